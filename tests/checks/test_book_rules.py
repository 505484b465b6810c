"""Rules a book has of its own where the others are silent or take another: the check reads the book's own number."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.model import Bore, Fabrication
from stubout.geometry.vec import Vec
from stubout.house.facts import Climate
from stubout.house.outside import RoofPlane
from stubout.rulebooks import queries
from stubout.rulebooks.frozen import Frozen

FROST = Climate(frost_prone_vents=True, winter_design_f=0.0, footing_depth_mm=None)


def told(book, value_id, number):
    """Return the book with another number for a value."""
    cell = replace(book.value(value_id), value=number)
    return replace(book, values=Frozen({**book.values, value_id: cell}))


@pytest.mark.parametrize(("up_mm", "cold", "n"), [(153, False, 0), (151, False, 2), (255, True, 0), (253, True, 2)])
def test_terminal_higher_where_frost_may_close_it(kit, up_mm, cold, n):
    """UPC 906.1: 6 in above the roof; 906.7 (secondary): 10 in where frost may close the vent."""
    plane = RoofPlane("north slope", -3000, -500, 3000, 4500, Vec(0, 0, 3300 - up_mm), 0.0, 0.0)
    climate = FROST if cold else Climate(frost_prone_vents=False, winter_design_f=40.0, footing_depth_mm=None)
    assert len(kit.found("TRM001", kit.design(book="upc-2021", roof=(plane,), climate=climate))) == n


@pytest.mark.parametrize("book", ["npc-2020", "ipc-2021"])
def test_frost_asks_for_no_more_height_elsewhere(book, kit):
    plain = kit.design(book="irc-2021").book
    assert queries.terminal_above_roof(plain, frost=True) == queries.terminal_above_roof(plain)
    d = kit.design(book=book, climate=FROST)
    assert kit.found("TRM001", d) == []


@pytest.mark.parametrize(("apart", "n"), [(762, 0), (761, 1)])
@pytest.mark.parametrize("book", ["upc-2021", "ipc-2021", "irc-2021"])
def test_two_closets_side_by_side(kit, book, apart, n):
    """UPC 402.5, IPC 405.3.1 (read): 30 in centre to centre."""
    outlet = kit.WC1.outlet
    second = replace(kit.WC1, tag="WC2", outlet=Vec(outlet.x, outlet.y + apart, outlet.z))
    d = kit.design(book=book, fixtures=(kit.LV1, kit.WC1, second))
    assert len([f for f in kit.found("CLR001", d) if f.about == ("WC1", "WC2")]) == n
    across = replace(second, side="left" if kit.WC1.side == "right" else "right")
    backs = kit.design(book=book, fixtures=(kit.LV1, kit.WC1, across))
    assert [f for f in kit.found("CLR001", backs) if f.about == ("WC1", "WC2")] == []
    silent = kit.design(book="npc-2020", fixtures=(kit.LV1, kit.WC1, second))
    assert kit.found("CLR001", silent) == []


@pytest.mark.parametrize(("fall", "n"), [(649, 1), (650, 0)])
def test_a_steep_drain_needs_no_cleanout_at_its_end(kit, fall, n):
    """UPC 707.4 (read): none on a pipe 72 degrees or less from vertical; 2 m that fall 649.8 mm lie at 72."""
    branch = {"role": "branch", "a": (2000, 609, -323.9 + fall), "b": (0, 609, -323.9), "size": 2, "tags": "LV1",
              "load": 1}  # fmt: skip
    d = kit.design(book="upc-2021", add={"K1": branch}, cleanouts=())
    low = replace(d, house=replace(d.house, levels=tuple(replace(v, subfloor_z_mm=500.0) for v in d.house.levels)))
    assert len([f for f in kit.found("CLO002", low) if f.about[0] == "K1"]) == n


@pytest.mark.parametrize(("diameters", "n"), [(1, 1), (2, 0)])
def test_fall_of_an_unvented_floor_drain_is_its_own_rule(kit, diameters, n):
    """NPC 2.5.1.1(3) (read): fall within the pipe size; a trap arm's own limit does not enter."""
    z = -323.9 + 100
    d = kit.design(
        add={"F1": {"role": "fixture drain", "a": (1000, 609, z), "b": (0, 609, -323.9), "size": 3, "tags": "FD",
                    "load": 3, "place": "under slab:main"}},
        traps=(*kit.TRAPS, {"tag": "FD", "arm": ("F1", "B2", "S1"), "trap_in": 3.0, "vented": False, "method": "none"}),
        fixtures=(kit.LV1, kit.WC1, kit.fixture("FD", "floor drain", wall_id="", primer=True)),
    )  # fmt: skip
    book = told(d.book, "floor_drain.unvented_fall_diameters", diameters)
    assert len(kit.found("FLD001", replace(d, book=book))) == n


def test_vent_bend_by_its_own_rule(kit):
    """UPC 903.3 (read): vent-pattern bends from 6 in above the rim; the other books go by the height of the tie-in."""
    upc, npc = kit.design(book="upc-2021").book, kit.design().book
    assert queries.vent_pattern_above_rim(upc).section == "903.3"
    assert queries.vent_pattern_above_rim(npc) == queries.tie_in_above_rim(npc)


def upright(kit, load=1.0, length=820.0, more=0):
    """Return a lavatory whose upright drain vents a tub below, and so many other fixtures on it."""
    z = 495.4 - length
    tags = " ".join(["LV1", *(f"X{k}" for k in range(more))])
    tub = kit.fixture("BT1", "bathtub", wall_id="", floor_outlet=True, flood_rim_z_mm=400.0, group="")
    others = tuple(kit.fixture(f"X{k}", "lavatory", wall_id="", group="") for k in range(more))
    add = {
        "D1": {"role": "drain", "a": (0, 609, 495.4), "b": (0, 609, z), "size": 2, "tags": tags, "load": load},
        "W1": {"role": "branch", "a": (0, 609, z), "b": (0, 400, z - 4.2), "size": 2, "tags": f"{tags} BT1",
               "load": load + 2},
        "T1": {"role": "trap arm", "a": (500, 609, z + 10), "b": (0, 609, z), "size": 1.5, "tags": "BT1", "load": 2},
    }  # fmt: skip
    return kit.design(
        book="upc-2021",
        drop=("D1", "B1", "B2"),
        add=add,
        traps=(*kit.TRAPS, {"tag": "BT1", "arm": ("T1",), "method": "wet", "through": ("D1",)}),
        fixtures=(kit.LV1, kit.WC1, tub, *others),
    )


@pytest.mark.parametrize(("load", "n"), [(2.0, 0), (3.0, 1)])
def test_load_of_one_fixture_on_an_upright_wet_vent(kit, load, n):
    """UPC 908.1 (secondary): only fixtures of 1 and 2 DFU drain into it; bathroom groups do not enter."""
    found = kit.found("WET003", upright(kit, load))
    assert [f.about[0] for f in found] == ["LV1"] * n


@pytest.mark.parametrize(("length", "n"), [(1828, 0), (1830, 1)])
def test_length_of_an_upright_wet_vent(kit, length, n):
    """UPC 908.1 (secondary): 6 ft (1828.8 mm) at most."""
    assert len(kit.found("WET003", upright(kit, length=length))) == n


@pytest.mark.parametrize(("more", "n"), [(2, 0), (3, 1)])
def test_fixtures_on_an_upright_wet_vent(kit, more, n):
    """UPC 908.1 (secondary): four fixtures at most."""
    assert len(kit.found("WET003", upright(kit, more=more))) == n


@pytest.mark.parametrize(
    ("kind", "pipe", "wood", "n"),
    [("joist", "A3", 51.0, 0), ("joist", "A3", 50.0, 1), ("stud", "A3", 10.0, 0), ("joist", "D1", 10.0, 0)],
)
def test_wood_between_two_holes(kit, kind, pipe, wood, n):
    """IRC R502.8.1 (read): 2 in from any other hole; studs have no such rule, and pipes that meet share a hole."""
    one = Bore("B1", "main joist at 812", kind, "main", 812.0, "A1", Vec(0, 812, 480), 60.0, 235.0, 87.5, 78.3, 50.8,
               "ok", 480, 467)  # fmt: skip
    other = replace(one, id="B2", pipe=pipe, centre=Vec(60.0 + wood, 812, 480))
    d = kit.design(fabrication=Fabrication((), (), (one, other), (), (), (), (), ()))
    assert len(kit.found("FRM002", d)) == n
