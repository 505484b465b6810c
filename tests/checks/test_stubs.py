"""Stub-outs: height, stud, centre, drawer, seam. Worked values: house 01 facts 10 and 15, house 02 facts 14 and 16."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from stubout.files.books import load_book
from stubout.files.jobs import read_job
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Stud
from stubout.house.model import CabinetBox, Drawer
from stubout.house.resolve import resolve
from stubout.layout.model import StubPlace
from stubout.layout.stubs import stub_marks

EXAMPLE = Path(__file__).parents[2] / "examples" / "01-two-storey-basement.yaml"


def box(kind="sink base", lo=300.0, hi=900.0, drawers=(), floor=118.0, **kw):
    """Return a cabinet box against P, right side."""
    return CabinetBox(
        "V1.1",
        "V1",
        "box",
        kind,
        "P",
        "right",
        lo,
        hi,
        Box(Vec(83, lo, 13), Vec(643, hi, 865)),
        floor,
        drawers=drawers,
        **kw,
    )


@pytest.mark.parametrize(("z", "n"), [(609.9, 0), (611, 1)])
def test_too_high_for_the_outlet(kit, z, n):
    """Outlet at 660, 50 mm into the trap (trade figure): at most 610 at the weir."""
    d = kit.design(
        edit={
            "A1": {"a": (230, 609, z), "b": (0, 609, z - 4.6)},
            "D1": {"a": (0, 609, z - 4.6)},
            "V1": {"a": (0, 609, z - 4.6)},
        },
        stubs=(),
    )
    found = kit.found("STB001", d)
    assert len(found) == n
    if n:
        assert found[0].level.value == "STOP"
        assert "finished floor" in found[0].found
        assert "subfloor" in found[0].found


@pytest.mark.parametrize(("mark", "n"), [(606, 0), (607, 1)])
def test_mark_above_its_band(kit, mark, n):
    assert len(kit.found("STB001", kit.design(stubs=(kit.stub(mark_z_mm=float(mark)),)))) == n


@pytest.mark.parametrize(("floor", "n"), [(383, 0), (386, 1)])
def test_trap_meets_cabinet_floor(kit, floor, n):
    """A 1-1/2 in trap hangs 4-9/16 in (116 mm) below its outlet centre, here at 500."""
    lv = replace(kit.LV1, cabinet_id="V1.1")
    d = kit.design(fixtures=(lv, kit.WC1), cabinets=(box(floor=float(floor)),), stubs=())
    assert len(kit.found("STB002", d)) == n


@pytest.mark.parametrize(("mark", "n"), [(250, 0), (249, 1)])
def test_mark_below_its_band(kit, mark, n):
    assert len(kit.found("STB002", kit.design(stubs=(kit.stub(mark_z_mm=float(mark)),)))) == n


@pytest.mark.parametrize(("off", "n"), [(44, 0), (41, 1), (0, 1), (-44, 0)])
def test_on_a_stud(kit, off, n):
    """Half a 38 mm stud and half a 48.3 mm pipe: 43.1 mm."""
    assert len(kit.found("STB003", kit.design(stubs=(kit.stub(station_mm=812.0 + off),)))) == n


def test_stub_above_a_cripple_is_clear(kit):
    wall = kit.wall(studs=(Stud(609.0, 38.0, "cripple", 38.0, 300.0),))
    assert kit.found("STB003", kit.design(walls=(wall,))) == []
    assert len(kit.found("STB003", kit.design(walls=(wall,), stubs=(kit.stub(mark_z_mm=200.0),)))) == 1


@pytest.mark.parametrize(("off", "n"), [(0, 0), (60, 0), (150, 1)])
def test_off_centre(kit, off, n):
    assert len(kit.found("STB004", kit.design(stubs=(kit.stub(station_mm=609.0 + off),)))) == n


@pytest.mark.parametrize(
    ("top", "cut", "n"),
    [
        (380, (0, 0), 0),  # the trap ends at 496 - 116 = 380
        (385, (0, 0), 1),
        (400, (230, 200), 1),  # the cut-out stops at 200, the tailpiece ends at 206
        (400, (230, 210), 0),
        (400, (50, 300), 1),  # too narrow for the hub
    ],
)
def test_drawer(kit, top, cut, n):
    """House 01 fact 15: tailpiece 16 mm behind its centre, cut-out of the drawer from the back."""
    drawer = Drawer(100.0, float(top), cut_width_mm=cut[0], cut_depth_mm=cut[1])
    b = box("drawers", lo=359.0, hi=859.0, drawers=(drawer,))
    assert len(kit.found("STB005", kit.design(cabinets=(b,)))) == n


def test_what_to_ask_of_the_cabinet_maker(kit):
    """House 01 fact 15: at the trap at most 655 AFF; a 1-1/4 in trap hangs 107, play 5: the drawer is 22 too high.

    With a 1-1/2 in trap, 116, it is 31. The cut-out of the upper drawer stops 16 before the end of the tailpiece.
    """
    low = Drawer(13.0 + 120, 13.0 + 565)
    up = Drawer(13.0 + 580, 13.0 + 800, cut_width_mm=230.0, cut_depth_mm=200.0)
    b = box("drawers", lo=359.0, hi=859.0, drawers=(low, up))
    lv3 = replace(kit.LV1, from_wall_mm=200.0, outlet_z_mm=13.0 + 705)
    for size, too_high in ((1.25, "22 mm"), (1.5, "31 mm")):
        mark = kit.stub(mark_z_mm=13.0 + 651, size_in=size, arm_fall_mm=4.0)  # 655 at the trap less 200 at 1:50
        d = kit.design(cabinets=(b,), fixtures=(lv3, kit.WC1), stubs=(mark,))
        (f,) = kit.found("STB005", d)  # one cause, one finding: both drawers are the cabinet maker's
        assert "2 drawers" in f.found
        low_do, up_do = f.do.split(", and ")
        assert f"the lower drawer made {too_high}" in low_do
        assert low_do.endswith("lower")
        assert "cut-out of the upper drawer made 16 mm" in up_do
        assert up_do.endswith("deeper")


def test_another_height_is_offered_only_where_the_band_has_one(kit):
    """A drawer 400 to 600 in front of a trap at 500: below it means 371 at most, half a hub (57 mm) lower."""
    b = box("drawers", lo=359.0, hi=859.0, drawers=(Drawer(400.0, 600.0),))
    for lo, offered in ((370.0, True), (373.0, False)):
        (f,) = kit.found("STB005", kit.design(cabinets=(b,), stubs=(kit.stub(lo_z_mm=lo),)))
        assert ("below the drawer" in f.do) == offered
        assert "trap and tailpiece" in f.found
    (f,) = kit.found("STB005", kit.design(cabinets=(b,), stubs=(kit.stub(mark_z_mm=300.0),)))
    assert "below" not in f.do  # it hangs there already, and only the tailpiece goes through the drawer
    assert "the tailpiece of LV1" in f.found


@pytest.mark.parametrize(("hi", "offered"), [(521, True), (519, False)])
def test_a_higher_stub_out_is_offered_only_within_the_band(kit, hi, offered):
    """The trap ends at 380, the drawer at 400: 20 and 5 play, from 496 to 521."""
    b = box("drawers", lo=359.0, hi=859.0, drawers=(Drawer(100.0, 400.0),))
    (f,) = kit.found("STB005", kit.design(cabinets=(b,), stubs=(kit.stub(hi_z_mm=float(hi)),)))
    assert ("stub-out up" in f.do) == offered


@pytest.mark.parametrize(("edge", "n"), [(562, 0), (563, 1)])
def test_seam(kit, edge, n):
    """Hub 57 mm and a side of 19 mm: 47.5 mm from the seam at least."""
    assert len(kit.found("STB006", kit.design(cabinets=(box(lo=float(edge)),)))) == n


@pytest.mark.parametrize(("top", "n"), [(450, 0), (480, 1)])
def test_partition(kit, top, n):
    b = box(partition_station_mm=620.0, partition_hi_z_mm=float(top))
    assert len(kit.found("STB006", kit.design(cabinets=(b,)))) == n


def test_no_height_at_all(kit):
    """The high end is at the wall, the low one at the trap: 190 mm of arm at 1:50, 3.8 mm, lie between them."""
    bad = kit.stub(lo_z_mm=443.0 + 3.8, hi_z_mm=413.0, arm_fall_mm=3.8, feasible=False)
    (f,) = kit.found("STB007", kit.design(stubs=(bad,)))
    assert "30 mm" in f.do
    assert kit.found("STB007", kit.design()) == []


def test_finding_and_derivation_say_the_same_shortage(kit):
    """LV3 of house 01: the solver's own derivation, its finding, and the sheet's fact 15 (31 with a 1-1/2 in trap)."""
    house, _ = resolve(read_job(str(EXAMPLE)))
    book = load_book(house.job.book_id, house.amendments)
    marks = stub_marks(house, book, {"LV3": 1.5})
    (bad,) = [m for m in marks if not m.feasible]
    said = re.search(r"short by (\d+)", " ".join(bad.derivation.steps))
    d = replace(kit.design(stubs=(bad,)), house=house, book=book)
    (f,) = kit.found("STB005", d)  # the drawer is the cause: it tells that no height is left
    lower = re.search(r"made (\d+) mm .*? lower", f.do)
    assert said.group(1) == lower.group(1) == "31"
    heights = re.search(r"at most (\d+) mm .*? at least (\d+) mm", f.why)
    assert int(heights.group(2)) - int(heights.group(1)) == 31
    assert kit.found("STB007", d) == []


IN_CABINET = StubPlace("in cabinet", "V1.1", 300.0)


@pytest.mark.parametrize("check", ["STB003", "STB004", "STB006"])
def test_a_riser_clear_of_the_wall_meets_no_stud_no_seam_and_no_swing(kit, check):
    """On the stud at 812, 203 off the bowl's centre and on a seam: told of a stub-out, not of an arm that passes no
    wall.
    """
    told = kit.stub(station_mm=812.0)
    for mark, n in ((told, 1), (replace(told, place=IN_CABINET), 0)):
        d = kit.design(stubs=(mark,), cabinets=(box(lo=812.0),))
        assert len(kit.found(check, d)) == n


@pytest.mark.parametrize(("check", "z", "do"), [("STB001", 620.0, "lower the arm"), ("STB002", 240.0, "raise the arm")])
def test_an_arm_in_a_cabinet_is_told_as_an_arm(kit, check, z, do):
    (f,) = kit.found(check, kit.design(stubs=(kit.stub(mark_z_mm=z, place=IN_CABINET),)))
    assert f.found.startswith("arm of LV1, in cabinet V1.1, at ")
    assert f.do.startswith(do)


def test_a_drawer_is_met_by_the_trap_not_by_the_riser_aside(kit):
    """A drawer box that ends at 700: the trap hangs under the bowl at 609, its riser stands at 750."""
    b = box("drawers", hi=700.0, drawers=(Drawer(400.0, 600.0),))
    aside = kit.stub(station_mm=750.0)
    assert kit.found("STB005", kit.design(cabinets=(b,), stubs=(aside,))) == []
    assert len(kit.found("STB005", kit.design(cabinets=(b,), stubs=(replace(aside, place=IN_CABINET),)))) == 1
