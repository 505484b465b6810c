"""Other shapes of a place where a fitting has no room, drawn by hand: what moves, what is named anew, what stays."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.change.reshaped import APART_MM, Shapes
from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec
from stubout.layout.model import Layout, Place, Point, PointKind, Role, Run, TrapPlan, VentMethod
from stubout.problems import Status

BAY = Place("joist bay", "main", 3)


def point(name: str, x: float, y: float, z: float, kind: PointKind = PointKind.TURN) -> Point:
    return Point(name, Vec(x, y, z), kind)


def drain(name: str, start: str, end: str, role: Role = Role.BRANCH) -> Run:
    return Run(name, "drain", role, start, end, BAY, 2.0)


def vent(name: str, start: str, end: str) -> Run:
    return Run(name, "vent", Role.VENT, start, end, BAY, 2.0)


def layout(points: list[Point], runs: list[Run], traps: tuple[TrapPlan, ...] = ()) -> Layout:
    return Layout(tuple(points), tuple(runs), traps, (), ())


def at(made: Layout, name: str) -> Vec:
    return next(p.at for p in made.points if p.id == name)


@pytest.fixture
def beside_a_stack() -> Layout:
    """Return a drop that comes down 90 mm beside a stack and joins it level."""
    return layout(
        [
            point("top", 0, 90, 900),
            point("foot", 0, 90, 2),
            point("joint", 0, 0, 0, PointKind.JUNCTION),
            point("over", 0, 0, 1000),
            point("under", 0, 0, -900),
            point("far", 400, 0, 8),
        ],
        [
            drain("drop", "top", "foot"),
            drain("short", "foot", "joint"),
            drain("other", "far", "joint"),
            drain("stack", "over", "joint", Role.STACK),
            drain("on", "joint", "under", Role.STACK),
        ],
    )


def test_a_short_drain_below_a_drop_is_leaned(beside_a_stack: Layout) -> None:
    (leaned, *_) = Shapes(beside_a_stack).of("short")
    assert at(leaned, "foot") == Vec(0, 90, 92), "as far up as it lies aside: 45 degrees"
    assert at(leaned, "joint") == Vec(0, 0, 0)
    way = at(leaned, "foot").minus(at(leaned, "joint"))
    assert way.z == pytest.approx(way.plan_length, abs=3.0)


def test_a_vent_is_leaned_at_its_upper_end() -> None:
    jog = layout(
        [point("a", 0, 0, 0), point("b", 0, 0, 500), point("c", 86, 0, 501), point("d", 86, 0, 1400)],
        [vent("up", "a", "b"), vent("jog", "b", "c"), vent("on", "c", "d")],
    )
    higher, lower = Shapes(jog).of("jog")
    assert at(higher, "c").z == pytest.approx(501 + 86, abs=0.1)
    assert at(lower, "b").z == pytest.approx(500 - 86, abs=0.1)


def test_what_is_long_drawn_or_plumb_keeps_its_shape(beside_a_stack: Layout) -> None:
    assert not list(Shapes(beside_a_stack).of("drop"))
    drawn = replace(beside_a_stack, runs=tuple(replace(r, drawn=True) for r in beside_a_stack.runs))
    assert not list(Shapes(drawn).of("short"))
    assert Shapes(drawn).without("short") is None
    assert not list(Shapes(drawn).apart("short"))


def test_a_corner_is_cut_along_the_next_pipe() -> None:
    corner = layout(
        [point("a", 0, 80, 4), point("b", 0, 0, 2), point("c", 400, 0, 0)],
        [drain("short", "a", "b"), drain("long", "b", "c")],
    )
    (cut,) = Shapes(corner).of("short")
    new = at(cut, "b")
    assert (new.x, new.y) == pytest.approx((80, 0), abs=0.1)
    assert 0 <= new.z <= 2, "on the slope of the pipe it is cut along"


def test_a_drain_gets_a_joint_of_its_own_below_the_others(beside_a_stack: Layout) -> None:
    (apart,) = Shapes(beside_a_stack).apart("short")
    runs = {r.id: r for r in apart.runs}
    joint = runs["short"].end
    assert joint not in {p.id for p in beside_a_stack.points}
    assert at(apart, joint) == Vec(0, 0, -APART_MM)
    assert at(apart, "foot") == Vec(0, 90, 2 - APART_MM), "the level pipe comes along, its drop is longer"
    assert at(apart, "top") == Vec(0, 90, 900)
    between = next(r for r in apart.runs if r.start == "joint" and r.end == joint)
    assert (between.role, runs["on"].start) == (Role.STACK, joint)
    assert runs["other"].end == "joint"


def test_a_run_left_out_makes_one_point_of_two() -> None:
    trap = TrapPlan("LV1", 1.5, "a", "b", ("arm",), VentMethod.INDIVIDUAL, wet_through=("short",))
    one = layout(
        [point("a", 0, 0, 0, PointKind.TRAP), point("b", 300, 0, 0, PointKind.TAKEOFF), point("c", 300, 0, 0)],
        [drain("arm", "a", "b", Role.TRAP_ARM), drain("short", "b", "c"), drain("on", "c", "d")],
        (trap,),
    )
    gone = Shapes(replace(one, points=(*one.points, point("d", 300, 0, -500)))).without("short")
    assert gone is not None
    assert {p.id: p.kind for p in gone.points}["b"] is PointKind.TAKEOFF, "the kind that says more stays"
    assert [(r.id, r.start, r.end) for r in gone.runs] == [("arm", "a", "b"), ("on", "b", "d")]
    assert gone.traps[0].wet_through == ()


@pytest.mark.parametrize(("arm_runs", "goes"), [(("arm",), False), (("arm", "short"), True)])
def test_a_trap_keeps_an_arm(arm_runs: tuple[str, ...], goes: bool) -> None:
    trap = TrapPlan("LV1", 1.5, "a", "b", arm_runs, VentMethod.INDIVIDUAL)
    one = layout(
        [point("a", 0, 0, 0, PointKind.TRAP), point("b", 0, 0, 0), point("c", 300, 0, 0, PointKind.TAKEOFF)],
        [drain("arm", "a", "b", Role.TRAP_ARM), drain("short", "b", "c", Role.TRAP_ARM)],
        (trap,),
    )
    assert (Shapes(one).without("arm") is not None) is goes


def turned_arm() -> Layout:
    """Return a trap arm that turns where its vent rises, and the drain beyond."""
    trap = TrapPlan("WC1", 3.0, "f", "t", ("arm",), VentMethod.INDIVIDUAL, vent_runs=("rise",))
    return layout(
        [
            point("f", 0, 0, 20, PointKind.FLANGE),
            point("t", 400, 0, 12, PointKind.TAKEOFF),
            point("j", 400, 600, 0, PointKind.JUNCTION),
            point("v", 400, 0, 900),
            point("w", 400, 300, 906),
        ],
        [
            drain("arm", "f", "t", Role.TRAP_ARM),
            drain("on", "t", "j"),
            vent("rise", "t", "v"),
            vent("level", "v", "w"),
        ],
        (trap,),
    )


def use(beside_mm: float) -> FittingUse:
    return FittingUse(
        "F1",
        "t",
        "combination",
        (3.0, 3.0, 2.0),
        Vec(400, 0, 12),
        ("arm", "on", "rise"),
        Status.MEMORY,
        "",
        0.0,
        beside_mm,
    )


def test_a_vent_at_a_turn_is_taken_off_where_its_fitting_stands() -> None:
    down, up = Shapes(turned_arm()).parted(use(150.0))
    takeoff = down.traps[0].takeoff
    assert at(down, takeoff).y == pytest.approx(150.0, abs=0.1)
    assert {p.id: p.kind for p in down.points}["t"] is PointKind.TURN
    assert {r.id: r.start for r in down.runs}["rise"] == takeoff
    arm = [r for r in down.runs if r.role is Role.TRAP_ARM]
    assert [r.end for r in arm] == ["t", takeoff], "the arm goes on to the vent"
    assert down.traps[0].arm_runs == tuple(r.id for r in arm)
    assert at(down, "v").y == pytest.approx(150.0, abs=0.1), "the vent stays plumb"
    assert at(down, "w") == Vec(400, 300, 906), "and runs on to where it went"

    shorter = up.traps[0]
    assert at(up, shorter.takeoff).x == pytest.approx(250.0, abs=0.2)
    assert shorter.arm_runs == ("arm",)
    assert {r.id: r.end for r in up.runs}["arm"] == shorter.takeoff
    rest = next(r for r in up.runs if r.start == shorter.takeoff and r.end == "t")
    assert rest.role is Role.BRANCH


def test_a_fitting_is_not_set_beyond_the_end_of_its_pipe() -> None:
    assert not list(Shapes(turned_arm()).parted(use(700.0)))
