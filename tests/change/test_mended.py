"""What the checks find in a layout put right by moves they offer: the demonstration house, a point of it set wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import pytest
from laid_out import job_named, once

from stubout import laying, run
from stubout.change.eased import Finished
from stubout.change.easing import moved
from stubout.change.mended import Same, as_plain, mended, same
from stubout.design import Design
from stubout.fixes.graph import arm_marks
from stubout.geometry.vec import Vec
from stubout.laying import Laid
from stubout.layout.model import Layout, PointKind, Role
from stubout.problems import Finding, NotChecked

Looked = tuple[tuple[Finding, ...], tuple[NotChecked, ...]]


@pytest.fixture(scope="module")
def laid() -> Laid:
    return once("the demonstration house laid out", lambda: run.lay(job_named("demo")))


def finisher(laid: Laid) -> Callable[[Layout], Finished]:
    return partial(laying._finished, laid, None)


def put_right(wrong: Finished, laid: Laid, in_vain: set[Same] | None = None) -> Finished:
    def found(design: Design) -> Looked:
        verdict = run.check(design)
        return verdict.findings, verdict.not_checked

    return mended(wrong, finisher(laid), found, in_vain)


def set_wrong(laid: Laid, point: str, by: Vec) -> Finished:
    return finisher(laid)(moved(laid.layout, laid.house, {point: by}))


def arm_end(laid: Laid, kind: PointKind) -> str:
    """Return the upper or lower end of the first trap arm along a wall, whose points say what they are."""
    kinds = {p.id: p.kind for p in laid.layout.points}
    arms = [r for r in laid.layout.runs if r.role is Role.TRAP_ARM]
    return next(n for r in arms for n in (r.start, r.end) if kinds[n] is kind)


@pytest.mark.parametrize("mm", [-30.0, 30.0])
def test_a_vent_fitting_set_too_high_or_too_low_is_put_right(laid: Laid, mm: float) -> None:
    """The arm then climbs, or falls too steeply for its elbow: up or down until the checks are silent."""
    wrong = set_wrong(laid, arm_end(laid, PointKind.TAKEOFF), Vec(0.0, 0.0, mm))
    assert wrong.open
    right = put_right(wrong, laid)
    assert not right.open
    assert not right.design.blocked
    assert [r.id for r in right.layout.runs] == [r.id for r in laid.layout.runs], "pipes keep their names"


def test_a_house_in_which_nothing_is_found_stays_as_it_is(laid: Laid) -> None:
    fine = finisher(laid)(laid.layout)
    assert put_right(fine, laid) is fine


def test_a_drawn_pipe_is_left_where_it_was_drawn(laid: Laid) -> None:
    """Of two ends that could move, the one that nobody drew does; with all drawn, none."""
    point = arm_end(laid, PointKind.TAKEOFF)
    wrong = set_wrong(laid, point, Vec(0.0, 0.0, -30.0))
    drawn = replace(wrong.layout, runs=tuple(replace(r, drawn=True) for r in wrong.layout.runs))
    by_hand = finisher(laid)(drawn)
    assert by_hand.open
    assert put_right(by_hand, laid) is by_hand


def test_what_was_not_put_right_in_one_layout_is_not_tried_in_the_next(
    laid: Laid, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pipes have other names there, so that it is known by its check and its place; what was put right is tried."""
    wrong = set_wrong(laid, arm_end(laid, PointKind.TAKEOFF), Vec(0.0, 0.0, -30.0))
    in_vain: set[Same] = set()
    assert not put_right(wrong, laid, in_vain).open
    assert not in_vain
    drawn = replace(wrong.layout, runs=tuple(replace(r, drawn=True) for r in wrong.layout.runs))
    by_hand = finisher(laid)(drawn)
    assert put_right(by_hand, laid, in_vain) is by_hand
    assert in_vain == {same(f) for f in by_hand.open}
    assert put_right(wrong, laid, in_vain) is wrong, "it is at the same place"

    def tried(*_: object) -> None:
        raise AssertionError("tried again")

    monkeypatch.setattr("stubout.change.mended.tried", tried)
    assert put_right(wrong, laid, in_vain) is wrong


@pytest.mark.parametrize("kind", [PointKind.TRAP, PointKind.FLANGE])
def test_traps_and_flanges_stay_under_their_outlets(laid: Laid, kind: PointKind) -> None:
    """In plan they stand where their fixtures have their outlets; what is wrong there is put right elsewhere."""
    point = arm_end(laid, kind)
    wrong = set_wrong(laid, point, Vec(0.0, 0.0, -30.0))
    right = put_right(wrong, laid)
    was, now = ({p.id: p.at for p in one.layout.points} for one in (wrong, right))
    kinds = {p.id: p.kind for p in wrong.layout.points}
    held = [i for i, k in kinds.items() if k in (PointKind.TRAP, PointKind.FLANGE)]
    assert [(now[i].x, now[i].y) for i in held] == [(was[i].x, was[i].y) for i in held]
    assert len(right.open) < len(wrong.open)


def test_a_stub_out_goes_along_with_its_arm(laid: Laid) -> None:
    """What is marked on the wall goes as far as the arm that passes it there, and says so."""
    point = arm_end(laid, PointKind.TRAP)
    tag = next(t.tag for t in laid.layout.traps if t.weir == point)
    wrong = set_wrong(laid, point, Vec(0.0, 0.0, -30.0))
    right = put_right(wrong, laid)
    was, now = ({s.tag: s for s in one.layout.stubs}[tag] for one in (wrong, right))
    passed, passes = ({s.tag: s.mark_z_mm for s in arm_marks(one.design)}[tag] for one in (wrong, right))
    assert now.mark_z_mm - was.mark_z_mm == pytest.approx(passes - passed)
    assert passes - passed > 1.0
    assert now.derivation.steps[-1].startswith("moved up ")
    assert now.derivation.value != was.derivation.value


def test_no_drain_is_tipped_and_no_fitting_more_is_taken(laid: Laid) -> None:
    """What the checks let pass a plumber may not lay: steeper than 1/2 in per ft by more than a play, or in more bends.

    That slope is common practice, no source.
    """
    kinds = {p.id: p.kind for p in laid.layout.points}
    foot = next(r.end for r in laid.layout.runs if r.role is Role.STACK and kinds[r.end] is PointKind.STACK_FOOT)
    fine = finisher(laid)(laid.layout).design
    tipped = set_wrong(laid, foot, Vec(0.0, 0.0, 120.0)).design
    assert as_plain(fine, fine)
    assert as_plain(tipped, fine)
    assert not as_plain(fine, tipped)
    fittings = fine.fabrication.fittings
    more = replace(fine, fabrication=replace(fine.fabrication, fittings=(*fittings, fittings[0])))
    assert not as_plain(fine, more)
    assert as_plain(more, fine)
