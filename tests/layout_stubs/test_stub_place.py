"""Where the mark of a stub-out stands: through the wall, at a trap in it, or at a riser clear of it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from laid_out import design_named

from stubout.geometry.vec import Box, Vec
from stubout.house import model as m
from stubout.kinds import FixtureKind
from stubout.layout.model import (
    Layout,
    Place,
    Point,
    PointKind,
    Role,
    Run,
    StubMark,
    StubPlace,
    TrapPlan,
    VentMethod,
)
from stubout.layout.stub_place import banded_at_riser, in_place, stubs_in_place
from stubout.problems import Derivation

FACE_MM = 44.5 + 13.0  # from the middle of the studs to the finish of the wall of `make`


@pytest.fixture
def house(make):
    """Return one wall along x with a sink on its left side, a cabinet before it and a wall across at x 3000."""
    sink = m.HouseFixture("KS", FixtureKind.KITCHEN_SINK, "", "r", "main", 0.0, 20.0, "A", "left", 500.0,
                          cabinet_id="C1")  # fmt: skip
    walls = (make.wall("A", Vec(0, 0, 0), Vec(10000, 0, 0)), make.wall("B", Vec(3000, 100, 0), Vec(3000, 5000, 0)))
    other = make.box(id="C0", box=Box(Vec(0, 60, 0), Vec(1000, 600, 900)))  # the same place: its own is named
    own = make.box(box=Box(Vec(0, 60, 0), Vec(1000, 600, 900)))
    return make.house("mm", "npc-2020", (sink,), walls=walls, cabinets=(other, own))


@pytest.fixture
def mark():
    """Return its mark as the height solver leaves it: a band of 240 to 500 at the wall, 5 mm below the trap."""
    return StubMark(
        tag="KS", wall_id="A", side="left", station_mm=500.0, lo_z_mm=240.0, hi_z_mm=500.0, mark_z_mm=400.0,
        lo_governs="floor", hi_governs="outlet", size_in=1.5, projection_mm=76.0, finished_z_mm=20.0,
        subfloor_z_mm=0.0, derivation=Derivation("KS", "stub-out height", "said", ("as solved",)), arm_fall_mm=5.0,
    )  # fmt: skip


def laid(mark, *at):
    """Return a layout of one arm through some points, its mark with it."""
    points = tuple(Point(f"N{i}", Vec(*map(float, p)), PointKind.TRAP, "KS") for i, p in enumerate(at))
    runs = tuple(
        Run(f"D{i}", "drain", Role.TRAP_ARM, f"N{i}", f"N{i + 1}", Place("room"), 1.5) for i in range(len(at) - 1)
    )
    trap = TrapPlan("KS", 1.5, "N0", points[-1].id, tuple(r.id for r in runs), VentMethod.INDIVIDUAL)
    return Layout(points, runs, (trap,), (mark,), cleanouts=())


def placed(house, mark, *at):
    (made,) = in_place(house, laid(mark, *at)).stubs
    return made


def test_an_arm_through_the_finished_wall_is_a_stub_out_where_it_was(house, mark):
    assert placed(house, mark, (500, 300, 405), (500, 0, 399)) == mark
    assert mark.place == StubPlace()
    assert mark.place.pierces
    assert not mark.place.clear
    assert (mark.place.noun, mark.place.words) == ("stub-out", "")


def test_a_trap_in_the_wall_is_marked_at_the_trap(house, mark):
    made = placed(house, mark, (500, 0, 405), (650, 0, 402))
    assert made == replace(mark, place=StubPlace("in wall"))
    assert not made.place.pierces
    assert not made.place.clear
    assert made.place.noun == "trap arm"


def test_a_riser_in_a_cabinet_is_marked_where_the_arm_meets_it(house, mark):
    made = placed(house, mark, (500, 300, 480), (500, 430, 477))
    assert made.place == StubPlace("in cabinet", "C1", 430.0 - FACE_MM)
    assert made.place.words == "in cabinet C1"
    assert made.place.noun == "arm at its riser"
    assert (made.station_mm, made.mark_z_mm, made.arm_fall_mm, made.projection_mm) == (500.0, 477.0, 3.0, 0.0)
    assert (made.lo_z_mm, made.hi_z_mm) == (240.0, 502.0)  # 505 at the trap, less the fall to the riser
    assert made.derivation.value.startswith("457 mm")
    assert made.derivation.steps[0] == "as solved"
    assert "in cabinet C1" in made.derivation.steps[-1]
    assert "mark: 457 mm AFF" in made.derivation.steps[-1]


def test_a_riser_aside_has_its_own_station(house, mark):
    made = placed(house, mark, (500, 300, 480), (700, 300, 476))
    assert (made.station_mm, made.place.from_face_mm) == (700.0, 300.0 - FACE_MM)


def test_a_riser_with_no_cabinet_round_it_stands_in_front_of_the_wall(house, mark):
    made = placed(house, mark, (1500, 121, 480), (1630, 96, 477))
    assert made.place == StubPlace("before wall", "", 96.0 - FACE_MM)
    assert made.place.words == "in front of the wall"


def test_a_riser_in_the_wall_across_is_no_hole_in_its_own(house, mark):
    made = placed(house, mark, (2700, 300, 480), (3000, 300, 474))
    assert made.place == StubPlace("in other wall", "B", 300.0 - FACE_MM)
    assert made.place.words == "in wall B"


def test_the_right_side_of_a_wall_counts_the_other_way(house, mark):
    made = placed(house, replace(mark, side="right"), (1500, -300, 480), (1500, -430, 477))
    assert made.place == StubPlace("before wall", "", 430.0 - FACE_MM)


def test_what_is_in_place_comes_back_as_it_is(house, mark):
    once = placed(house, mark, (500, 300, 480), (500, 430, 477))
    assert placed(house, once, (500, 300, 480), (500, 430, 477)) == once


def test_a_riser_moved_takes_its_mark_along_and_says_it_once(house, mark):
    once = placed(house, mark, (500, 300, 480), (500, 430, 477))
    moved = placed(house, once, (520, 300, 490), (520, 440, 486))
    assert (moved.station_mm, moved.mark_z_mm, moved.hi_z_mm) == (520.0, 486.0, 501.0)
    assert moved.place.from_face_mm == 440.0 - FACE_MM
    assert moved.derivation.steps == once.derivation.steps
    assert moved.derivation.value.startswith("466 mm")


def test_a_fixture_that_is_not_laid_out_keeps_its_mark(house, mark):
    assert stubs_in_place(house, (mark,), (), (), ()) == (mark,)


def test_an_end_of_a_band_that_is_none_stays_at_the_trap(house, mark):
    none = replace(mark, lo_z_mm=520.0, hi_z_mm=500.0, feasible=False)
    made = placed(house, none, (500, 300, 480), (500, 430, 477))
    assert (made.lo_z_mm, made.hi_z_mm) == (520.0, 502.0)


def test_another_reckoning_of_the_band_is_carried_to_the_riser(house, mark):
    made = placed(house, mark, (500, 300, 480), (500, 430, 477))
    new = replace(mark, lo_z_mm=250.0, hi_z_mm=470.0, arm_fall_mm=4.0)
    assert (banded_at_riser(made, new).lo_z_mm, banded_at_riser(made, new).hi_z_mm) == (250.0, 471.0)


@pytest.mark.parametrize(
    ("name", "place", "off_mm"), [("01", "in cabinet K1.4", 479.0), ("03", "in cabinet K1.5", 447.5)]
)
def test_the_sinks_of_01_and_03_stand_in_their_cabinets(name, place, off_mm):
    """By hand from the job files: the riser 130 mm beyond the trap's reach, less half the wall and its finish."""
    design = design_named(name)
    stub = next(s for s in design.stubs if s.tag == "KS")
    trap = next(t for t in design.network.traps if t.tag == "KS")
    end = design.network.node(trap.takeoff).at
    assert stub.place.words == place
    assert stub.place.from_face_mm == pytest.approx(off_mm, abs=0.2)
    assert (stub.station_mm, stub.mark_z_mm) == (design.house.wall(stub.wall_id).station(end), end.z)
    assert stub.lo_z_mm <= stub.mark_z_mm <= stub.hi_z_mm


def test_the_lavatory_of_03_that_is_boxed_before_its_wall_has_no_hole_either():
    stub = next(s for s in design_named("03").stubs if s.tag == "LV2")
    assert stub.place.kind == "before wall"
    assert stub.place.from_face_mm == pytest.approx(38.6, abs=0.1)


@pytest.mark.parametrize("name", ["demo", "02", "04", "drawn-bath"])
def test_where_every_arm_passes_its_wall_each_is_a_stub_out_but_the_washer(name):
    design = design_named(name)
    for s in design.stubs:
        washer = design.house.fixture(s.tag).kind is FixtureKind.CLOTHES_WASHER
        assert s.place == (StubPlace("in wall") if washer else StubPlace())
