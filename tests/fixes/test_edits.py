"""Edits leave what they do not name as it is, and what they change hangs together."""

from __future__ import annotations

from dataclasses import replace

import pytest
from laid_out import design_named

from stubout.checks.registry import run_all
from stubout.design import Design
from stubout.fixes.bench import GRAVE, Bench, applied, key
from stubout.fixes.follow import made_anew, relisted
from stubout.fixes.graph import relaid, sketch_of
from stubout.fixes.moves import Shift
from stubout.fixes.redraw import Line, On, Redraw
from stubout.fixes.sizes import Resize
from stubout.fixes.tried import fixes, tried
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind

UP = Vec(0.0, 0.0, 8.0)


@pytest.fixture(scope="module")
def clean() -> Design:
    """Return the drawn bath."""
    return design_named("drawn-bath")


def grave(design: Design) -> set[object]:
    return {key(f) for f in run_all(design)[0] if f.level in GRAVE}


def test_a_sketch_put_back_is_the_design(clean: Design) -> None:
    again = relaid(clean, sketch_of(clean))
    assert again.network.traps == clean.network.traps
    assert {p.id: p for p in again.network.pipes} == {p.id: p for p in clean.network.pipes}
    assert again.stubs == clean.stubs
    assert again.blocked == clean.blocked


def test_lists_made_anew_are_those_of_the_design(clean: Design) -> None:
    every = frozenset(p.id for p in clean.network.pipes)
    fab = relisted(clean, every, made_anew(clean)).fabrication
    assert set(fab.bores) == set(clean.fabrication.bores)
    assert set(fab.fittings) == set(clean.fabrication.fittings)
    assert sorted(p.cut_mm for p in fab.pieces) == sorted(p.cut_mm for p in clean.fabrication.pieces)


def test_lists_of_pipes_not_touched_stay_as_they_are_even_if_wrong(clean: Design) -> None:
    bare = replace(clean, fabrication=replace(clean.fabrication, hangers=()))
    weir = next(t.weir for t in clean.network.traps if t.tag == "LV1")
    moved = applied(bare, [Shift(((weir, UP),), weir)])
    touched = {p.id for p in clean.network.pipes if weir in (p.start, p.end)}
    assert {h.pipe for h in moved.fabrication.hangers} <= touched


def test_a_vent_length_said_otherwise_changes_by_the_move_only(clean: Design) -> None:
    net = clean.network
    top = next(n.id for n in net.nodes if n.kind is PointKind.TERMINAL)
    said = tuple(replace(p, vent_length_mm=p.vent_length_mm + 1000.0) if p.system == "vent" else p for p in net.pipes)
    longer = replace(clean, network=replace(net, pipes=said, _node={}, _pipe={}))
    moved = applied(longer, [Shift(((top, UP),), top)])
    last = next(p for p in moved.network.pipes if p.end == top)
    assert last.vent_length_mm == pytest.approx(longer.network.pipe(last.id).vent_length_mm + 8.0, abs=0.01)


def test_moving_there_and_back_changes_nothing(clean: Design) -> None:
    weir = next(t.weir for t in clean.network.traps if t.tag == "KS")
    there = applied(clean, [Shift(((weir, UP),), weir)])
    assert there.network.node(weir).at.z == clean.network.node(weir).at.z + 8.0
    back = applied(there, [Shift(((weir, UP.times(-1.0)),), weir)])
    assert grave(back) == grave(clean)
    assert {b.id for b in back.fabrication.bores} == {b.id for b in clean.fabrication.bores}


def test_a_drain_laid_larger_takes_its_cleanout_along(clean: Design) -> None:
    drain = clean.network.pipe("BD.3")
    after = tuple(p.id for p in clean.network.downstream(drain))
    larger = applied(clean, [Resize((drain.id, *after), 4.0)])
    assert next(c for c in larger.cleanouts if c.id == "CO1").size_in >= 3.5
    assert next(g for g in larger.house.routes if g.id == "BD").size_in is None, "laid in parts: it names no size"


def test_a_pipe_drawn_in_splits_what_it_joins_and_is_counted(clean: Design) -> None:
    vent = clean.network.pipe("V-WC1.3")
    at = vent.a.plus(vent.b.minus(vent.a).times(0.3))
    takeoff = next(t.takeoff for t in clean.network.traps if t.tag == "BT1")
    low = clean.network.node(takeoff).at.at_z(at.z - 40.0)
    gone = tuple(p.id for p in clean.network.vents() if p.id.startswith("V-BT1"))
    line = Line("V-BT1", "vent", 1.5, takeoff, On(vent.id, at), (low,), "BT1")
    new = Redraw("vent", ("BT1",), "", "", "", gone=gone, lines=(line,)).on(clean)
    trap = next(t for t in new.network.traps if t.tag == "BT1")
    assert trap.takeoff == takeoff
    assert [new.network.pipe(i).tags for i in trap.vent_runs] == [("BT1",)] * len(trap.vent_runs)
    joint = new.network.node(new.network.pipe(trap.vent_runs[-1]).end)
    assert joint.kind is PointKind.TIE_IN
    assert new.blocked == clean.blocked


def test_the_fix_of_a_wrong_list_is_not_found_by_moving_pipes(clean: Design) -> None:
    bare = replace(clean, fabrication=replace(clean.fabrication, hangers=()))
    findings, not_checked = run_all(bare)
    own = next(f for f in findings if f.check == "SUP001")
    told, _ = tried(Bench(bare, tuple(findings), tuple(not_checked)), own)
    assert told.cleared
    assert [c.kind for c in told.changes] == ["hanger"]


def test_nothing_is_tried_where_nothing_is_wrong(clean: Design) -> None:
    findings, not_checked = run_all(clean)
    assert fixes(clean, tuple(f for f in findings if f.level not in GRAVE), tuple(not_checked)) == ()


def test_what_is_accepted_in_writing_is_left_alone(clean: Design) -> None:
    bare = replace(clean, fabrication=replace(clean.fabrication, hangers=()))
    findings, not_checked = run_all(bare)
    told = tuple(f for f in findings if f.level in GRAVE)
    assert told
    assert fixes(bare, tuple(findings), tuple(not_checked), told) == ()


def test_the_same_finding_gets_the_same_fix(clean: Design) -> None:
    bare = replace(clean, fabrication=replace(clean.fabrication, plates=()))
    findings, not_checked = run_all(bare)
    once, again = (fixes(bare, tuple(findings), tuple(not_checked)) for _ in range(2))
    assert once == again
