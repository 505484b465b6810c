"""Other shapes of a place where a fitting has no room, drawn by hand: what moves, what is named anew, what stays."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stubout import run
from stubout.change.kicked import PLACES, kicked, out_of_wood
from stubout.change.reshaped import APART_MM, Shapes
from stubout.fabrication.model import FittingUse
from stubout.files.demo import demo_job
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


def anywhere(*_: object) -> bool:
    return True


@pytest.fixture
def beside_a_vent() -> Layout:
    """Return the vent of a lavatory that rises 70 mm beside another one and goes across to it."""
    trap = TrapPlan("LV1", 1.5, "weir", "fitting", (), VentMethod.INDIVIDUAL, vent_runs=("rise", "short"))
    return layout(
        [
            point("fitting", 0, 70, 0, PointKind.TAKEOFF),
            point("knee", 0, 70, 700),
            point("tie", 0, 0, 701, PointKind.TIE_IN),
            point("below", 0, 0, -300),
            point("above", 0, 0, 1900),
            point("far", 0, 500, 696),
        ],
        [
            vent("rise", "fitting", "knee"),
            vent("short", "knee", "tie"),
            vent("other", "below", "tie"),
            vent("on", "tie", "above"),
        ],
        (trap,),
    )


def test_a_vent_is_kicked_over_away_from_the_one_it_joins(beside_a_vent: Layout) -> None:
    middle, near_tie, near_fitting, *_ = kicked(Shapes(beside_a_vent), "short", 90.0, anywhere)
    for made in (middle, near_tie, near_fitting):
        assert at(made, "knee").y == pytest.approx(160, abs=0.1)
        assert at(made, "knee").z == pytest.approx(700, abs=2.0), "on the slope of the level pipe"
        rise, lean, rest = made.traps[0].vent_runs[:3]
        runs = {r.id: r for r in made.runs}
        assert [runs[rise].start, runs[rise].end] == ["fitting", runs[lean].start]
        assert [runs[lean].end, runs[rest].start, runs[rest].end] == [runs[rest].start, runs[lean].end, "knee"]
        way = at(made, runs[lean].end).minus(at(made, runs[lean].start))
        assert (way.x, way.y) == pytest.approx((0, 90), abs=0.1)
        assert way.z >= way.plan_length, "45 degrees or steeper: it counts as upright"
        assert at(made, runs[rise].end).y == 70
    heights = [at(made, made.runs[0].end).z for made in (near_fitting, middle, near_tie)]
    assert heights == sorted(heights)


def test_what_lies_on_beyond_a_kicked_vent_gets_shorter(beside_a_vent: Layout) -> None:
    on = replace(beside_a_vent, runs=(*beside_a_vent.runs, vent("beyond", "far", "knee")))
    for made in kicked(Shapes(on), "short", 90.0, anywhere):
        assert at(made, "far") == Vec(0, 500, 696)
        assert 500 - at(made, "knee").y == pytest.approx(340, abs=0.1)


def test_a_drop_is_kicked_over_away_from_its_stack(beside_a_stack: Layout) -> None:
    made = next(kicked(Shapes(beside_a_stack), "short", 60.0, anywhere))
    assert at(made, "foot").y == pytest.approx(150, abs=0.1)
    drop = [r for r in made.runs if r.id.startswith("drop")]
    assert drop[0].start == "top"
    assert drop[-1].end == "foot"
    lean = drop[1]
    way = at(made, lean.end).minus(at(made, lean.start))
    assert way.z <= -way.plan_length
    assert way.y == pytest.approx(60, abs=0.1)


def test_nothing_is_kicked_over_where_it_cannot_go(beside_a_vent: Layout, beside_a_stack: Layout) -> None:
    assert not list(kicked(Shapes(beside_a_vent), "rise", 90.0, anywhere)), "only from a level pipe"
    assert not list(kicked(Shapes(beside_a_vent), "short", 600.0, anywhere)), "no height for it"
    across = replace(beside_a_vent, runs=(*beside_a_vent.runs, vent("across", "aside", "knee")))
    across = replace(across, points=(*across.points, point("aside", 400, 70, 700)))
    assert not list(kicked(Shapes(across), "short", 90.0, anywhere)), "what comes from the side would be bent"
    drawn = replace(beside_a_stack, runs=tuple(replace(r, drawn=True) for r in beside_a_stack.runs))
    assert not list(kicked(Shapes(drawn), "short", 60.0, anywhere))


@pytest.mark.parametrize(("kind", "turns"), [(PointKind.FLANGE, 2), (PointKind.TURN, 1)])
def test_a_corner_beside_a_flange_is_cut_at_sixty_degrees_too(kind: PointKind, turns: int) -> None:
    corner = layout(
        [point("a", 0, 200, 4, kind), point("b", 0, 0, 2), point("c", 600, 0, 0)],
        [drain("short", "a", "b"), drain("long", "b", "c")],
    )
    cut = [at(made, "b").x for made in Shapes(corner).of("short")]
    assert cut == pytest.approx([200.0, 200.0 * math.tan(math.radians(30.0))][:turns], abs=0.1)


def test_what_stands_over_a_kicked_vent_goes_along(beside_a_vent: Layout) -> None:
    plate = [point("plate", 0, 70, 640) if p.id == "knee" else p for p in beside_a_vent.points]
    runs = [r for r in beside_a_vent.runs if r.id != "rise"]
    runs += [vent("rise", "fitting", "plate"), vent("through", "plate", "knee")]
    over = replace(beside_a_vent, points=(*plate, point("knee", 0, 70, 700)), runs=tuple(runs))
    made = next(kicked(Shapes(over), "short", 90.0, anywhere))
    assert at(made, "plate").y == pytest.approx(160, abs=0.1)
    assert at(made, "knee").y == pytest.approx(160, abs=0.1)
    assert at(made, "fitting").y == 70


def test_the_upper_end_of_a_plumb_pipe_stays_where_its_foot_is_kicked_over() -> None:
    jog = layout(
        [point("a", 0, 70, 0), point("b", 0, 70, 500), point("c", 0, 0, 501), point("d", 0, 0, 1400)],
        [vent("up", "a", "b"), vent("jog", "b", "c"), vent("on", "c", "d")],
    )
    below, above = list(kicked(Shapes(jog), "jog", 50.0, anywhere))[:: len(PLACES)]
    assert (at(below, "b").y, at(below, "c").y) == pytest.approx((120, 0), abs=0.1)
    assert (at(above, "b").y, at(above, "c").y) == pytest.approx((70, -50), abs=0.1)
    assert at(above, "d").y == 0
    lean = next(r for r in above.runs if r.id == "onx")
    assert at(above, lean.end).y == pytest.approx(0, abs=0.1)
    assert at(above, lean.end).z > at(above, lean.start).z


def test_no_bend_is_kicked_into_wood(beside_a_vent: Layout) -> None:
    """The bottom plate of wall P of the demonstration house lies on its floor; hubs are fatter than pipes."""
    design = run.judged(demo_job()).design
    wall = design.house.wall("P")
    clear = out_of_wood(design.house)
    bay = max(wall.bays, key=lambda b: b.hi_mm - b.lo_mm)
    foot = wall.point((bay.lo_mm + bay.hi_mm) / 2, 0.0)
    plate = wall.bottom_z_mm

    def kick(low: float) -> bool:
        return clear(foot.at_z(low), foot.at_z(low + 60.0).plus(wall.along.times(50.0)), 1.5)

    assert kick(plate + 600.0)
    assert not kick(plate + 20.0)
    assert not kick(plate - 60.0), "through the plate from below"
    asked: list[float] = []

    def high(one: Vec, *_: object) -> bool:
        asked.append(one.z)
        return one.z > 300.0

    made = list(kicked(Shapes(beside_a_vent), "short", 90.0, high))
    assert 0 < len(made) < len(asked) == len(PLACES)
