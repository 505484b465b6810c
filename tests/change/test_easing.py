"""Fittings given room by moving points: what is kept, what is never moved, and that the checks have the last word."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from itertools import permutations
from pathlib import Path

import pytest
from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from stubout import laying, run
from stubout.change.ease_limits import key, learn, meetings
from stubout.change.eased import Finished, Vain, _tried, eased
from stubout.change.easing import COUPLED, Apart, Cap, Easing, Limits, Moves, Room, moved, rooms
from stubout.files.demo import demo_job
from stubout.fixes.bared import newly_bared
from stubout.fixes.concrete import newly_cast, newly_cast_points
from stubout.geometry.distance import nearest_of_segments
from stubout.geometry.vec import Vec, angle_deg
from stubout.laying import Laid
from stubout.layout import vent_loops
from stubout.layout.model import Layout, PointKind, Role, Run
from stubout.layout.places import place_of
from stubout.problems import Finding, Level
from stubout.solver import INFINITE, Linear

NO_LIMITS = Limits()
UPRIGHT = (Role.STACK, Role.STACK_VENT)


def finished(laid: Laid, layout: Layout) -> Finished:
    made = laying.finish(replace(laid, layout=layout))
    return Finished(layout, made, laying.check(made).open)


@pytest.fixture(scope="module")
def laid() -> Laid:
    return laying.lay(demo_job())


@pytest.fixture(scope="module")
def plain(laid: Laid) -> Finished:
    return finished(laid, laid.layout)


def way(layout: Layout, run: Run) -> Vec:
    at = {p.id: p.at for p in layout.points}
    return at[run.end].minus(at[run.start])


def spoilt(laid: Laid, plain: Finished) -> Iterator[Finished]:
    """Yield the house with one pipe after the other made too short for its fittings."""
    by_id = {r.id: r for r in plain.layout.runs}
    asked = tuple(rooms(plain.design.fabrication, plain.design.house))
    for room in asked:
        if len(room.runs) > 1 or room.exact or room.grow_mm < -190.0 or by_id[room.runs[0]].role in UPRIGHT:
            continue
        short = Room(room.runs, room.grow_mm - 12.0, exact=True)
        others = [replace(r, grow_mm=-1000.0, exact=False) for r in asked if r is not room]
        moves = Easing(plain.layout, plain.design.house, [short, *others]).moves(NO_LIMITS)
        if moves:
            yield finished(laid, moved(plain.layout, plain.design.house, moves))


def test_what_goes_is_left_alone(laid: Laid, plain: Finished) -> None:
    assert not plain.tight
    assert eased(plain, lambda layout: finished(laid, layout)) is plain
    easing = Easing(plain.layout, plain.design.house, rooms(plain.design.fabrication, plain.design.house))
    assert easing.moves(NO_LIMITS) == {}


def test_a_drain_made_too_short_gets_its_room_again(laid: Laid, plain: Finished) -> None:
    tight = [one for one in spoilt(laid, plain) if one.tight]
    assert tight, "no drain of the demonstration house could be spoilt"
    for one in tight:
        better = eased(one, lambda layout: finished(laid, layout))
        assert better.rank <= one.rank
        assert not better.tight or len(better.open) < len(one.open)


@pytest.fixture(scope="module")
def eased_once(laid: Laid, plain: Finished) -> tuple[Finished, Moves]:
    one = next(one for one in spoilt(laid, plain) if one.tight)
    easing = Easing(one.layout, one.design.house, rooms(one.design.fabrication, one.design.house))
    moves = easing.moves(NO_LIMITS)
    assert moves
    return one, moves


def test_pipes_keep_direction_and_slope(eased_once: tuple[Finished, Moves]) -> None:
    one, moves = eased_once
    after = moved(one.layout, one.design.house, moves)
    for r in one.layout.runs:
        old, new = way(one.layout, r), way(after, r)
        if old.length < 5.0:
            continue
        if old.plan_length < 0.1 * abs(old.z):  # plumb, or leaning within its wall: its lean is kept, its length not
            assert new.x == pytest.approx(old.x, abs=0.01)
            assert new.y == pytest.approx(old.y, abs=0.01)
            continue
        assert angle_deg(old, new) < 0.05, r.id
        assert new.z / new.plan_length == pytest.approx(old.z / old.plan_length, abs=1e-5)


def test_every_piece_that_went_still_goes(eased_once: tuple[Finished, Moves]) -> None:
    one, moves = eased_once
    after = moved(one.layout, one.design.house, moves)
    by_id = {r.id: r for r in one.layout.runs}
    for room in rooms(one.design.fabrication, one.design.house):
        was = sum(way(one.layout, by_id[i]).length for i in room.runs)
        now = sum(way(after, by_id[i]).length for i in room.runs)
        if not room.lacks:
            assert now - was >= room.grow_mm - 0.1, room
        if room.exact:
            assert now == pytest.approx(was, abs=0.05)


def test_what_is_bound_to_a_place_stays_there(eased_once: tuple[Finished, Moves]) -> None:
    one, moves = eased_once
    for p in one.layout.points:
        by = moves.get(p.id, Vec(0.0, 0.0, 0.0))
        if p.kind in (PointKind.FLANGE, PointKind.SEWER, PointKind.AAV):
            assert by == Vec(0.0, 0.0, 0.0)
        if p.kind is PointKind.TRAP:
            assert by.plan_length == 0.0, "a trap hangs under its outlet"
    marks = {m.tag: m for m in moved(one.layout, one.design.house, moves).stubs}
    for mark in marks.values():
        assert mark.lo_z_mm - 0.5 <= mark.mark_z_mm <= mark.hi_z_mm + 0.5 or not mark.feasible


def test_drawn_pipes_are_never_moved(plain: Finished) -> None:
    target = next(r for r in plain.layout.runs if r.system == "drain" and abs(way(plain.layout, r).z) < 50.0)
    layout = replace(plain.layout, runs=tuple(replace(r, drawn=True) for r in plain.layout.runs))
    easing = Easing(layout, plain.design.house, [Room((target.id,), 50.0, lacks=True)])
    assert easing.moves(NO_LIMITS) == {}


def test_a_terminal_keeps_its_height_above_the_roof(laid: Laid, plain: Finished) -> None:
    ends = [p for p in plain.layout.points if p.kind is PointKind.TERMINAL]
    assert ends
    for p in ends:
        planes = [r for r in laid.house.roof if r.x0_mm <= p.at.x <= r.x1_mm and r.y0_mm <= p.at.y <= r.y1_mm]
        above = p.at.z - min(r.z_at(p.at.x, p.at.y) for r in planes)
        for axis in (Vec(1.0, 0.0), Vec(0.0, 1.0)):
            pulled = Limits([Cap(p.id, axis, -40.0)])
            moves = Easing(plain.layout, laid.house, ()).moves(pulled)
            if not moves:
                continue
            at = next(q.at for q in moved(plain.layout, laid.house, moves).points if q.id == p.id)
            assert at.z - min(r.z_at(at.x, at.y) for r in planes) == pytest.approx(above, abs=0.01)


def test_a_trap_that_goes_down_takes_its_mark_along(plain: Finished) -> None:
    house = plain.design.house
    trap = next(t for t in plain.layout.traps if any(m.tag == t.tag and m.feasible for m in plain.layout.stubs))
    mark = next(m for m in plain.layout.stubs if m.tag == trap.tag)
    after = moved(plain.layout, house, {trap.weir: Vec(0.0, 0.0, -12.7)})
    new = next(m for m in after.stubs if m.tag == trap.tag)
    assert new.mark_z_mm == pytest.approx(mark.mark_z_mm - 12.7)
    assert new.derivation.steps[-1].startswith('moved down 1/2"')
    assert new.derivation.value != mark.derivation.value
    old_trap, new_trap = trap, next(t for t in after.traps if t.tag == trap.tag)
    assert new_trap.weir_z_mm == pytest.approx(old_trap.weir_z_mm - 12.7)


# --- what the checks say ------------------------------------------------------------------------------------------


def said(check: str, about: tuple[str, ...], found: str = "") -> Finding:
    return Finding(check, "name", Level.FIX, about, found, "wanted")


def test_findings_are_known_by_pipes_whatever_fittings_are_called() -> None:
    assert key(said("FIT006", ("D3", "F7", "F9"))) == key(said("FIT006", ("D3", "F8", "F12")))
    assert key(said("FIT006", ("D3", "F7"))) != key(said("FIT006", ("D4", "F7")))


def test_the_farthest_end_of_a_pipe_spoken_of_goes_half_as_far_and_at_last_stays(plain: Finished) -> None:
    easing = Easing(plain.layout, plain.design.house, ())
    run = next(r for r in plain.layout.runs if r.system == "drain" and abs(way(plain.layout, r).z) < 50.0)
    limits = Limits()
    assert learn(limits, easing, {run.end: Vec(0.0, 0.0, 80.0)}, said("FRM007", (run.id, "P")))
    (cap,) = limits.caps
    assert (cap.point, cap.way, cap.most_mm) == (run.end, Vec(0.0, 0.0, 1.0), 40.0)
    limits = Limits()
    assert learn(limits, easing, {run.end: Vec(0.0, 0.0, -8.0)}, said("FRM007", (run.id, "P")))
    assert limits.caps[0].most_mm == 0.0
    assert limits.caps[0].way == Vec(0.0, 0.0, -1.0)
    assert not learn(Limits(), easing, {}, said("FRM007", (run.id, "P"))), "nothing moved: nothing to learn"


@pytest.mark.parametrize("words", ['2" (51 mm)', '51 mm (2")'])  # as a job in inches says it, and one in mm
def test_pipes_that_ran_into_each_other_are_kept_apart(plain: Finished, words: str) -> None:
    easing = Easing(plain.layout, plain.design.house, ())
    at = easing.at
    low, high = next(
        (a, b)
        for a, b in permutations(plain.layout.runs, 2)
        if min(at[b.start].z, at[b.end].z) - max(at[a.start].z, at[a.end].z) > 150.0
    )
    gap = min(at[high.start].z, at[high.end].z) - max(at[low.start].z, at[low.end].z)
    limits = Limits()
    by = {n: Vec(0.0, 0.0, -gap) for n in (high.start, high.end)}
    told = learn(limits, easing, by, said("CLA005", (high.id, low.id), f"they run {words} into each other"))
    assert told
    (one,) = limits.apart
    assert isinstance(one, Apart)
    if one.way == Vec(0.0, 0.0, 1.0):
        assert one.least_mm == pytest.approx(min(gap, 52.0))


def test_pipes_that_run_into_each_other_come_clear(plain: Finished) -> None:
    at = {p.id: p.at for p in plain.layout.points}
    house, seen = plain.design.house, 0
    asked = tuple(rooms(plain.design.fabrication, house))
    for one, two in permutations((r for r in plain.layout.runs if r.system == "vent"), 2):
        here, there = nearest_of_segments(at[one.start], at[one.end], at[two.start], at[two.end])
        if not 60.0 < here.to(there) < 400.0:
            continue
        (pair,) = meetings(plain.layout, [said("CLA005", (one.id, two.id), 'they run 1" (25 mm) into each other')])
        assert (pair.one, pair.two, pair.lack_mm) == (one.id, two.id, 26.0)
        assert pair.way.dot(there.minus(here)) == pytest.approx(here.to(there))
        moves = Easing(plain.layout, house, asked, (pair,)).moves(NO_LIMITS)
        if not moves:
            continue  # both are bound to their places
        seen += 1
        then = {n: p.plus(moves.get(n, Vec(0.0, 0.0, 0.0))) for n, p in at.items()}

        def place(run: Run, share: float, at: Mapping[str, Vec]) -> Vec:
            return at[run.start].plus(at[run.end].minus(at[run.start]).times(share))

        gap = [place(two, pair.two_share, p).minus(place(one, pair.one_share, p)).dot(pair.way) for p in (at, then)]
        assert gap[0] == pytest.approx(here.to(there))
        assert gap[1] >= gap[0] + 26.0 - 1e-3
    assert seen


def judged(plain: Finished, found: Finding, meet: Callable[[Layout], bool], layout: Layout) -> Finished:
    return Finished(layout, plain.design, (found,) if meet(layout) else ())


def parting(plain: Finished) -> tuple[Finished, Callable[[Layout], Finished]]:
    """Return the house with two vents told to meet until they are 25 mm farther apart, and what tells it."""

    def gap(layout: Layout, one: Run, two: Run) -> float:
        at = {p.id: p.at for p in layout.points}
        here, there = nearest_of_segments(at[one.start], at[one.end], at[two.start], at[two.end])
        return here.to(there)

    asked = tuple(rooms(plain.design.fabrication, plain.design.house))
    for one, two in permutations((r for r in plain.layout.runs if r.system == "vent"), 2):
        was = gap(plain.layout, one, two)
        found = said("CLA005", (one.id, two.id), 'they run 1" (25 mm) into each other')
        if 60.0 < was < 400.0 and Easing(
            plain.layout, plain.design.house, asked, meetings(plain.layout, [found])
        ).moves(NO_LIMITS):
            finish = partial(judged, plain, found, lambda layout, a=one, b=two, g=was: gap(layout, a, b) < g + 25.0)
            return finish(plain.layout), finish
    raise AssertionError("no two vents of the house may be parted")


def test_a_layout_is_eased_for_pipes_that_meet(plain: Finished) -> None:
    one, finish = parting(plain)
    assert [f.check for f in one.open] == ["CLA005"]
    assert eased(one, finish).open == ()


def test_what_cannot_come_to_be_better_is_not_eased(plain: Finished) -> None:
    one, finish = parting(plain)
    cost = one.rank[2]
    assert eased(one, finish, (0, 0, cost * 0.97)) is one, "as much would be left, at a higher cost"
    assert eased(one, finish, (0, 0, cost)).open == ()
    more = Finished(one.layout, one.design, (*one.open, said("DRN012", ("D1",))))
    assert eased(more, finish, (0, 0, cost * 2)) is more, "more would be left"
    assert eased(more, finish, (0, 1, cost * 2)).open == ()


def test_what_was_eased_in_vain_is_not_eased_again_at_the_same_place(plain: Finished) -> None:
    one, finish = parting(plain)
    asked: list[Layout] = []

    def never(layout: Layout) -> Finished:
        asked.append(layout)
        return Finished(layout, plain.design, (*one.open, said("DRN012", ("D1",))))

    vain: Vain = set()
    assert eased(one, never, vain=vain) is one
    assert asked
    assert vain
    asked.clear()
    assert eased(one, never, vain=vain) is one
    assert not asked
    aside = tuple(replace(p, at=p.at.plus(Vec(50.0, 0.0, 0.0))) for p in one.layout.points)
    eased(replace(one, layout=replace(one.layout, points=aside)), never, vain=vain)
    assert asked, "elsewhere it is another matter"
    assert eased(one, finish).open == (), "and what does not remember eases it as ever"


def test_an_arm_that_became_too_long_may_become_no_longer(plain: Finished) -> None:
    easing = Easing(plain.layout, plain.design.house, ())
    trap = plain.layout.traps[0]
    limits = Limits()
    assert learn(limits, easing, {}, said("ARM003", (trap.tag, trap.arm_runs[0])))
    assert limits.no_longer == [trap.arm_runs]


# --- the solver ---------------------------------------------------------------------------------------------------


def test_linear_programmes_come_out_as_another_solver_has_them() -> None:
    """Small programmes made by counting, beside the simplex of OR-Tools (GLOP): the same least cost, or none."""
    for n in range(60):
        cost = [(n * 7 + 3 * j) % 11 - 2.0 for j in range(5)]
        rows = [
            ([(n * (i + 2) + j * (i + 3)) % 7 - 3.0 for j in range(5)], (n * 5 + i * 11) % 17 - 4.0) for i in range(4)
        ]
        ours = Linear()
        columns = [ours.column(0.0, 9.0, c) for c in cost]
        other = pywraplp.Solver.CreateSolver("GLOP")
        x = [other.NumVar(0.0, 9.0, f"x{j}") for j in range(5)]
        for factors, most in rows:
            ours.row(-INFINITE, most, list(zip(columns, factors, strict=True)))
            other.Add(sum(f * v for f, v in zip(factors, x, strict=True)) <= most)
        other.Minimize(sum(c * v for c, v in zip(cost, x, strict=True)))
        found, status = ours.solved(), other.Solve()
        if status == pywraplp.Solver.OPTIMAL:
            assert found is not None
            assert sum(c * v for c, v in zip(cost, found, strict=True)) == pytest.approx(other.Objective().Value())
        else:
            assert found is None


def test_answers_in_whole_numbers_come_out_as_another_solver_has_them() -> None:
    """Things to take or to leave within two limits, beside CP-SAT of OR-Tools: the same least cost, proven."""
    for n in range(25):
        cost = [-((n * 7 + 5 * j) % 13 + 1) for j in range(9)]
        rows = [([(n * (i + 2) + j * (i + 3)) % 7 + 1 for j in range(9)], (n * 5 + i * 11) % 17 + 4) for i in range(2)]
        ours, model = Linear(), cp_model.CpModel()
        columns = [ours.column(0.0, 1.0, c, whole=True) for c in cost]
        x = [model.new_bool_var(f"x{j}") for j in range(9)]
        for factors, most in rows:
            ours.row(-INFINITE, most, list(zip(columns, factors, strict=True)))
            model.add(sum(f * v for f, v in zip(factors, x, strict=True)) <= most)
        model.minimize(sum(c * v for c, v in zip(cost, x, strict=True)))
        other = cp_model.CpSolver()
        assert other.solve(model) == cp_model.OPTIMAL
        found, least = ours.whole(1000)
        assert least == pytest.approx(other.objective_value, abs=0.02)
        assert sum(c * v for c, v in zip(cost, found, strict=True)) == pytest.approx(other.objective_value)


def test_a_price_may_change_and_a_row_be_loosened() -> None:
    one = Linear()
    x, y = one.column(0.0, 1.0, 1.0, whole=True), one.column(0.0, 1.0, 2.0, whole=True)
    either = one.row(1.0, INFINITE, [(x, 1.0), (y, 1.0)])
    assert one.whole(10) == ((1.0, 0.0), pytest.approx(1.0))
    one.price(x, 5.0)
    assert one.whole(10) == ((0.0, 1.0), pytest.approx(2.0))
    one.loosen(either)
    assert one.whole(10) == ((0.0, 0.0), pytest.approx(0.0))
    one.row(3.0, INFINITE, [(x, 1.0), (y, 1.0)])
    assert one.whole(10) is None


def test_a_column_may_stand_in_several_terms_of_a_row() -> None:
    one = Linear()
    x = one.column(0.0, 10.0, 1.0)
    one.row(6.0, INFINITE, [(x, 1.0), (x, 2.0)])
    assert one.solved() == pytest.approx((2.0,))


def test_the_solver_says_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    one = Linear()
    one.column(0.0, 1.0, 1.0)
    assert one.solved() == (0.0,)
    assert capfd.readouterr().out == ""


def test_runs_with_couplings_may_hardly_get_shorter(plain: Finished) -> None:
    pieces = plain.design.fabrication.pieces
    coupled = [
        r for r in rooms(plain.design.fabrication, plain.design.house) if sum(p.pipes == r.runs for p in pieces) > 1
    ]
    for room in coupled:
        long = sum(p.centre_mm for p in pieces if p.pipes == room.runs)
        assert room.grow_mm == pytest.approx(-COUPLED * long)


# --- what no check speaks of --------------------------------------------------------------------------------------


def test_no_pipe_is_lifted_into_a_slab(monkeypatch: pytest.MonkeyPatch) -> None:
    """A foot vent over the drain of example 02 has no room below its slab: it stays tight, not in the concrete."""
    monkeypatch.setattr(vent_loops, "level_return", lambda *_: None)  # as where its return finds no place beside it
    path = Path(__file__).parents[2] / "examples" / "02-slab-bungalow.yaml"
    island = laying.lay(run.read(str(path)))
    one = finished(island, island.layout)
    assert one.tight
    better = eased(one, lambda layout: finished(island, layout))
    assert not newly_cast(one.design, better.design)
    free = Easing(one.layout, island.house, rooms(one.design.fabrication, island.house)).moves(NO_LIMITS)
    assert free
    lifted = finished(island, moved(one.layout, island.house, free))
    assert newly_cast(one.design, lifted.design), "without the limit it would go there"


def out_of_its_wall(plain: Finished) -> tuple[str, Moves]:
    """Return a plumb vent in a wall, and moves that bring it and what hangs on it at its lower end before the wall."""
    house = plain.design.house
    at = {p.id: p.at for p in plain.layout.points}
    for r in plain.layout.runs:
        if r.system != "vent" or r.place.kind != "wall" or at[r.start].minus(at[r.end]).plan_length > 1.0:
            continue
        wall = house.wall(r.place.ref)
        for side in (1.0, -1.0):
            by = Vec(-wall.along.y, wall.along.x).times(side * (wall.depth_mm + 60.0))
            moves = {r.start: by, r.end: by}
            new = next(n for n in moved(plain.layout, house, moves).runs if n.id == r.id)
            if new.place.kind == "room":
                return r.id, moves
    raise LookupError("no vent of the house has a room beside its wall")


def test_no_pipe_is_brought_out_of_its_wall(laid: Laid, plain: Finished) -> None:
    run_id, moves = out_of_its_wall(plain)
    out = finished(laid, moved(plain.layout, plain.design.house, moves))
    assert run_id in newly_bared(plain.design, out.design)
    assert not newly_bared(out.design, out.design), "what lies open already may"
    assert not newly_bared(out.design, plain.design), "and may go into the wall"
    shape = moved(plain.layout, plain.design.house, moves)
    assert _tried(shape, plain, partial(finished, laid)) is None


def test_a_parted_stack_may_stand_open_where_it_did(plain: Finished) -> None:
    net = plain.design.network
    stack = next(p for p in net.drains() if p.role is Role.STACK)
    open_place = replace(stack.place, kind="room", ref="base")
    before = replace(plain.design, network=replace(net, pipes=(replace(stack, place=open_place),)))
    piece = replace(stack, id=f"{stack.id}x", place=open_place)
    after = replace(before, network=replace(net, pipes=(replace(stack, place=open_place), piece)))
    assert not newly_bared(before, after)
    elsewhere = replace(piece, place=replace(open_place, ref="main"))
    assert newly_bared(before, replace(before, network=replace(net, pipes=(elsewhere,)))) == {piece.id}


def test_a_pipe_moved_elsewhere_says_where_it_lies_then(plain: Finished) -> None:
    house = plain.design.house
    bays: set[int] = set()
    for r in plain.layout.runs:
        if r.place.kind != "wall" or r.place.bay < 0:
            continue
        aside = house.wall(r.place.ref).along.times(406.4)  # a bay farther, studs 16 in on centre
        after = moved(plain.layout, house, {r.start: aside, r.end: aside})
        new = next(n.place for n in after.runs if n.id == r.id)
        was = place_of(house, *(p.at for n in (r.start, r.end) for p in plain.layout.points if p.id == n))
        if (new.kind, new.ref) == (was.kind, was.ref) and min(new.bay, was.bay) >= 0:
            bays.add(new.bay - was.bay)
    assert bays == {1}
    assert [r.place for r in moved(plain.layout, house, {}).runs] == [r.place for r in plain.layout.runs]


def test_no_fitting_is_brought_into_a_slab(plain: Finished) -> None:
    design = plain.design
    level = replace(design.house.levels[0], kind="slab", slab_mm=100.0)
    node = next(n for n in design.network.nodes if n.kind is PointKind.TURN)
    low, high = (
        replace(
            design,
            house=replace(design.house, levels=(replace(level, subfloor_z_mm=node.at.z + by),)),
        )
        for by in (-200.0, 50.0)
    )
    assert node.id not in newly_cast_points(high, low), "the slab lies below it"
    assert node.id in newly_cast_points(low, high), "the slab holds it"


def test_a_pipe_that_leans_a_little_may_become_longer() -> None:
    """A vent that comes 19 mm aside on its way up its wall keeps that, and its upper end may go up."""
    demo = laying.lay(demo_job())
    at = {p.id: p.at for p in demo.layout.points}
    run_ = next(
        r
        for r in demo.layout.runs
        if r.system == "vent"
        and at[r.start].to(at[r.end]) > 900.0
        and abs(at[r.end].x - at[r.start].x) < 1.0
        and abs(at[r.end].y - at[r.start].y) < 1.0
    )
    leaning = tuple(replace(p, at=p.at.plus(Vec(19.0, 0.0))) if p.id == run_.end else p for p in demo.layout.points)
    layout = replace(demo.layout, points=leaning, runs=(run_,))
    moves = Easing(layout, demo.house, [Room((run_.id,), 30.0, lacks=True)]).moves(NO_LIMITS)
    assert moves
    after = moved(layout, demo.house, moves)
    assert way(after, run_).length == pytest.approx(way(layout, run_).length + 30.0, abs=3.5)
    assert way(after, run_).x == pytest.approx(19.0, abs=0.01)
