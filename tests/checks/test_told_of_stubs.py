"""What checks of stub-outs, standpipes, the sewer and the test tell, and where they stay silent; by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.catalog import queries as catalog
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Reading, TestPlanFacts
from stubout.house.framing import Stud
from stubout.house.model import CabinetBox, Drawer
from stubout.house.outside import Sewer

# --- stub-outs, standpipes, sewer, tests ------------------------------------------------------------------------------


def test_a_stub_out_between_two_studs_is_told_once(kit):
    wall = kit.wall(studs=(Stud(600.0, 38.0), Stud(620.0, 38.0)))
    (f,) = kit.found("STB003", kit.design(walls=(wall,)))
    assert "at 600 mm" in f.found
    assert "34 mm" in f.do  # 19 and half of 48.26 less 9
    assert "away from" in f.do
    (f,) = kit.found("STB003", kit.design(walls=(kit.wall(studs=(Stud(620.0, 38.0),)),)))
    assert "towards" in f.do


@pytest.mark.parametrize(("station", "n"), [(609.0 - 300.0, 1), (609.0 + 300.0, 1), (609.0, 0)])
def test_a_stub_out_to_either_side_of_its_fixture(kit, station, n):
    (f, *rest) = [*kit.found("STB004", kit.design(stubs=(kit.stub(station_mm=station),))), None]
    assert (f is not None) == bool(n)
    if n:
        assert "300 mm" in f.found
        assert f"{300 - catalog.trap_reach_mm(1.5):.0f} mm" in f.do
        assert rest == [None]


@pytest.mark.parametrize(
    ("mark_z", "lo_z", "under"), [(240.0, 250.0, "10 mm"), (240.0, 240.4, None), (240.0, 241.0, "1 mm")]
)
def test_a_mark_below_its_band(kit, mark_z, lo_z, under):
    mark = kit.stub(mark_z_mm=mark_z, lo_z_mm=lo_z, lo_governs="cabinet floor")
    found = kit.found("STB002", kit.design(stubs=(mark,)))
    assert [under in f.do for f in found] == ([True] if under else [])
    assert all("cabinet floor" in f.wanted for f in found)


def test_the_trap_and_not_the_mark_may_be_what_is_too_low(kit):
    """A 1-1/2 in trap under an arm at 500 hangs to 500 less its drop; the cabinet floor is 20 mm above that."""
    hang = catalog.trap_drop_mm(1.5)
    whole = Box(Vec(83, 300, 0), Vec(643, 900, 865))
    box = CabinetBox("V1.1", "V1", "", "sink base", "P", "right", 300.0, 900.0, whole, 500.0 - hang + 20.0)
    body = replace(kit.LV1, cabinet_id="V1.1")
    mark = kit.stub(lo_z_mm=500.0)  # the mark is 4 mm below its band: less than the 20
    (f,) = kit.found("STB002", kit.design(cabinets=(box,), fixtures=(body, kit.WC1), stubs=(mark,)))
    assert "20 mm" in f.do
    assert "V1.1" in f.about
    none = kit.stub(lo_z_mm=700.0, hi_z_mm=600.0, feasible=False)  # no height suits: STB007 tells it
    assert kit.found("STB002", kit.design(cabinets=(box,), fixtures=(body, kit.WC1), stubs=(none,))) == []
    assert len(kit.found("STB007", kit.design(stubs=(none,)))) == 1


def drawn(kit, *drawers, mark=None, **body):
    box = CabinetBox("V1.1", "V1", "", "drawers", "P", "right", 359.0, 859.0, Box(Vec(83, 359, 13), Vec(643, 859, 865)),
                     118.0, drawers=drawers)  # fmt: skip
    return kit.design(cabinets=(box,), fixtures=(replace(kit.LV1, **body), kit.WC1), stubs=(mark or kit.stub(),))


def test_a_cut_out_in_a_drawer(kit):
    """The hub of 1-1/2 in is 57.15 mm; the tailpiece ends 190 mm and half of 1-1/4 in, 15.9 mm, from the wall."""
    over = 496.0 + 57.15 / 2  # above the trap only the tailpiece is in the way
    for width, depth, words in (
        (58.0, 206.0, None), (57.0, 206.0, None), (56.0, 206.0, "1 mm"), (57.2, 190.0, "16 mm"), (40.0, 190.0, "16 mm"),
    ):  # fmt: skip
        found = kit.found("STB005", drawn(kit, Drawer(over, 640.0, width, depth)))
        if words is None:
            assert [f.do for f in found if "wider" not in f.do or "deeper" in f.do] == []
        else:
            assert any(words in f.do for f in found), (width, depth, [f.do for f in found])
    (f,) = kit.found("STB005", drawn(kit, Drawer(over, 640.0, 40.0, 190.0)))
    assert "17 mm" in f.do  # twice half of 57.15 less 40
    assert "the tailpiece of LV1 stands" in f.found
    assert kit.found("STB005", drawn(kit, Drawer(over, 640.0, back_gap_mm=206.0))) == []
    assert len(kit.found("STB005", drawn(kit, Drawer(over, 640.0, back_gap_mm=205.0)))) == 1
    assert kit.found("STB005", drawn(kit, Drawer(659.5, 900.0))) == []  # the outlet is at 660
    (f,) = kit.found("STB005", drawn(kit, Drawer(over - 30.0, 640.0)))
    assert "the trap and tailpiece of LV1 stand" in f.found


def test_three_drawers_in_the_way(kit):
    low, mid, high = Drawer(350.0, 450.0), Drawer(460.0, 520.0), Drawer(540.0, 640.0)
    (f,) = kit.found("STB005", drawn(kit, high, low, mid))
    assert "3 drawers of V1.1" in f.found
    assert f.why.startswith("The drawers do not close.")
    assert [w in f.do for w in ("the lowest drawer", "the next drawer", "the highest drawer")] == [True] * 3
    assert kit.found("STB005", drawn(kit, Drawer(100.0, 200.0), Drawer(700.0, 800.0))) == []
    (f,) = kit.found("STB005", drawn(kit, Drawer(700.0, 800.0), mid))
    assert "the drawer of V1.1" in f.found


def test_up_or_down_where_the_band_lets_it(kit):
    """Under a drawer: 5 mm and what is in the way higher; the band ends at 606."""
    hang = catalog.trap_drop_mm(1.5)
    for hi, word in ((496.0 + 25.0, True), (496.0 + 24.9, False)):
        mark = kit.stub(hi_z_mm=hi)
        (f,) = kit.found("STB005", drawn(kit, Drawer(130.0, 496.0 - hang + 20.0), mark=mark))
        assert ("or move the stub-out up" in f.do) is word
    for lo, word in ((400.0, True), (480.0, False)):
        mark = kit.stub(lo_z_mm=lo)
        (f,) = kit.found("STB005", drawn(kit, Drawer(500.0, 640.0), mark=mark))
        assert ("bring the trap below the drawer" in f.do) is word


@pytest.mark.parametrize(("word", "silent"), [("drawer of V1.1", True), ("the bowl", False)])
def test_no_height_because_of_a_drawer_is_told_with_the_drawer(kit, word, silent):
    """Either end of the band may be the drawer's."""
    for ends in ({"lo_governs": word, "hi_governs": "bowl"}, {"lo_governs": "floor", "hi_governs": word}):
        mark = kit.stub(lo_z_mm=560.0, hi_z_mm=520.0, feasible=False, **ends)
        d = drawn(kit, Drawer(400.0, 640.0), mark=mark)
        assert len(kit.found("STB007", d)) == (0 if silent else 1)
        (f,) = kit.found("STB005", d)
        assert ("No height is left" in f.why) is silent


def test_a_washer_whose_rim_is_not_said(kit):
    """NPC 2.4.9.3(3): the top of the standpipe stands for an unsaid rim, and is not judged against itself."""
    washer = kit.fixture("LV1", "clothes washer", station_mm=609.0, standpipe_top_z_mm=1000.0)
    for rim, n, silent in ((None, 0, 1), (1000.0, 0, 1), (1000.4, 0, 0), (1001.0, 1, 0), (990.0, 0, 0)):
        d = kit.design(fixtures=(replace(washer, flood_rim_z_mm=rim), kit.WC1))
        assert len(kit.found("STP003", d)) == n
        assert len(kit.unjudged("STP003", d)) == silent


@pytest.mark.parametrize(("beside_mm", "n"), [(25.0, 0), (25.5, 1)])
def test_a_sewer_an_inch_aside(kit, beside_mm, n):
    """What a coupling and a hand take up (common practice, no source)."""
    sewer = Sewer(Vec(beside_mm, -5000, -487), 4.0, "south", "septic tank")
    found = kit.found("SEW001", kit.design(sewer=sewer))
    assert len(found) == n
    assert all("beside the septic tank" in f.found for f in found)


@pytest.mark.parametrize(("doubt", "n"), [(63.0, 0), (65.0, 1), (0.5, 0)])
def test_fall_against_the_doubt(kit, doubt, n):
    """64 mm to spare above 1:100 (B1 8, B2 11, S1 45)."""
    sewer = Sewer(Vec(0, -5000, -487), 4.0, "south", "sewer", invert_uncertainty_mm=doubt)
    found = kit.found("SEW002", kit.design(sewer=sewer))
    assert len(found) == n
    assert all("64 mm" in f.found and "65 mm" in f.wanted for f in found)
    level = kit.design(
        edit={"S1": {"b": (0, -5000, -391)}},
        kinds={(0, -5000, -391): "sewer connection"},
        sewer=replace(sewer, invert_uncertainty_mm=doubt),
    )
    assert len(kit.found("SEW002", level)) == 1 if doubt > 20 else True


def test_a_record_of_a_size_no_book_knows(kit):
    """Records that cannot be judged do not hide the one that can."""
    readings = (
        Reading("A1", "photo", "x"),
        Reading("V1", "slope", "1%"),
        Reading("C1", "slope", "1%"),
        Reading("B1", "fall", "0.5%"),
    )
    d = kit.design(readings=readings, edit={"B1": {"size": 3}, "C1": {"size": 20}})
    assert [f.about for f in kit.found("REC001", d)] == [("B1",)]
    assert any("V1" in r for r in kit.unjudged("REC001", d))


def test_a_system_as_high_as_the_head(kit):
    """NPC 2.3.6: 3 m. From the lowest joint to the highest open end."""
    top = -436.0 + 3000.0
    for z, n in ((top, 0), (top - 0.4, 0), (top - 1.0, 1)):
        d = kit.design(edit={"V1": {"b": (0, 609, z)}, "V2": {"b": (0, 1421, z)}})
        found = kit.found("TST001", d)
        assert [f.about for f in found] == [("test", "system")] * n
    facts = replace(kit.FACTS, test=TestPlanFacts("water", 2000.0, 15.0))
    (f,) = kit.found("TST001", kit.design(job=facts))
    assert "2000 mm" in f.found
    assert "3000 mm" in f.wanted


def test_what_hangs_at_a_stub_out_where_little_is_known(kit):
    """Without an outlet the trap reaches up by half its hub; without a distance the tailpiece stands at the wall."""
    top = 496.0 + 57.15 / 2
    unknown = {"outlet_z_mm": None}
    assert kit.found("STB005", drawn(kit, Drawer(top - 0.9, 640.0), **unknown)) == []
    assert len(kit.found("STB005", drawn(kit, Drawer(top - 1.1, 640.0), **unknown))) == 1
    near = {"from_wall_mm": 0.0}  # half of 1-1/4 in, 15.9 mm
    assert kit.found("STB005", drawn(kit, Drawer(560.0, 640.0, back_gap_mm=15.9), **near)) == []
    assert len(kit.found("STB005", drawn(kit, Drawer(560.0, 640.0, back_gap_mm=15.8), **near))) == 1


def test_standpipes_among_other_fixtures(kit):
    """A lavatory, a washer without a standpipe and one without a rim stand before the one that is judged."""
    low = kit.fixture("W3", "clothes washer", standpipe_top_z_mm=1000.0, flood_rim_z_mm=1020.0)
    first = kit.fixture("W1", "clothes washer")
    second = kit.fixture("W2", "clothes washer", standpipe_top_z_mm=1000.0)
    d = kit.design(fixtures=(kit.LV1, first, second, low, kit.WC1))
    assert [f.about for f in kit.found("STP003", d)] == [("W3",)]
    assert kit.unjudged("STP003", d) == ["W2: the rim of the washer is not known"]
    assert kit.found("STP003", replace(d, book=kit.BOOKS["ipc-2021"])) == []
