"""STB005: pipes that stand in a cabinet with drawers. [mm].

Worked out by hand; the hub of a size is the catalogue's.
"""

from dataclasses import replace

import pytest

from stubout import units
from stubout.catalog import queries as catalog
from stubout.geometry.vec import Box, Vec
from stubout.house.model import CabinetBox, Drawer

X, Y = 200.0, 2000.0  # a riser 117 in front of the finished wall at 83, far from the lavatory


def riser(x=X, y=Y, place="cabinet:K1.1", hi=600.0):
    """Return a riser in a cabinet, from under the floor up, without a fitting between 0 and 600."""
    return {
        "K1": {"role": "drain", "a": (x, y, hi), "b": (x, y, -300), "size": 2, "tags": "KS1", "load": 2, "place": place}
    }


def box(*drawers, wall="P", forward=None):
    """Return a box 600 wide and 560 deep on the right of wall P, its middle where the riser stands."""
    extent = Box(Vec(83, 1700, 13), Vec(643, 2300, 865))
    return CabinetBox(
        "K1.1", "K1", "", "sink base", wall, "right", 1700.0, 2300.0, extent, 118.0, drawers=drawers, forward=forward
    )


def told(kit, cabinet, add=None):
    """Return what STB005 tells of the riser."""
    return [f for f in kit.found("STB005", kit.design(add=add or riser(), cabinets=(cabinet,))) if "K1" in f.about]


def test_a_riser_through_two_drawers_is_one_finding(kit):
    (f,) = told(kit, box(Drawer(113.0, 313.0), Drawer(333.0, 513.0)))
    assert f.about == ("K1", "K1.1")
    assert "2 drawers of K1.1" in f.found
    assert '100 mm (3 15/16") to 300 mm (11 13/16") above finished floor' in f.found
    assert f.owner == "cabinet maker"
    assert f.why == "The drawers do not close."


def test_clear_of_the_drawer(kit):
    od = catalog.od_mm(2.0)
    assert told(kit, box()) == []
    assert told(kit, box(Drawer(650.0, 800.0))) == []  # above its upper end
    gap = X - 83.0 + od / 2
    assert told(kit, box(Drawer(113.0, 313.0, back_gap_mm=gap))) == []
    assert len(told(kit, box(Drawer(113.0, 313.0, back_gap_mm=gap - 2.0)))) == 1


@pytest.mark.parametrize(("more_wide", "more_deep", "n"), [(0, 0, 0), (-4, 0, 1), (0, -4, 1), (200, 200, 0)])
def test_through_a_cut_out(kit, more_wide, more_deep, n):
    od = catalog.od_mm(2.0)
    cut = Drawer(113.0, 313.0, od + more_wide, X - 83.0 + od / 2 + more_deep)
    assert len(told(kit, box(cut))) == n


def test_the_cut_out_that_would_do_is_told(kit):
    od = catalog.od_mm(2.0)
    (f,) = told(kit, box(Drawer(113.0, 313.0)), riser(y=Y + 50.0))
    wide, deep = (units.both(mm, "mm") for mm in (2 * (50.0 + od / 2), X - 83.0 + od / 2))
    assert f.do.endswith(f"cut out from the back, {wide} wide and {deep} deep")


def test_a_hub_in_a_drawer_is_told_as_a_hub(kit):
    """The riser ends in a fitting at 330: its hub reaches into the drawer from 340 up, the pipe does not."""
    (f,) = told(kit, box(Drawer(340.0, 500.0)), riser(hi=330.0))
    assert f.found.startswith("a hub of ")


def test_an_island_opens_away_from_its_back(kit):
    """The front of the island is at 643: a gap behind the drawer is at 83, or the other way round."""
    gap = Drawer(113.0, 313.0, back_gap_mm=200.0)
    for forward, n in ((Vec(1.0, 0.0, 0.0), 0), (Vec(-1.0, 0.0, 0.0), 1), (None, 1)):
        assert len(told(kit, box(gap, wall="", forward=forward))) == n


def test_what_stands_in_the_wall_is_behind_the_drawers(kit):
    assert told(kit, box(Drawer(113.0, 313.0)), riser(place="wall:P")) == []


def test_an_arm_is_told_with_its_trap_only(kit):
    """LV1's arm lies at 500 before its stub-out: the drawer there is the trap's to tell."""
    cabinet = replace(box(Drawer(400.0, 600.0)), from_station_mm=359.0, to_station_mm=859.0,
                      box=Box(Vec(83, 359, 13), Vec(643, 859, 865)))  # fmt: skip
    d = kit.design(cabinets=(cabinet,), edit={"A1": {"place": "cabinet:K1.1"}})
    assert [f.about for f in kit.found("STB005", d)] == [("LV1", "K1.1")]
