"""Faults seeded into clean systems: what is offered, made, leaves the fault's own check silent and raises no other.

That no other check speaks up is `Bench.raised`, asked again here of the whole design. One fault a kind of change is
tried in full; the record of all of them is written by `seeding/mended.py`.
"""

from __future__ import annotations

import pytest
from seeding.edits import spoil
from seeding.mended import grave, judged, mend, written
from seeding.systems import GRAVE, system
from seeding.table import Fault, faults

from stubout.checks.registry import run_all
from stubout.fixes.bench import Bench, applied, key
from stubout.fixes.tried import tried

SHOWN = {  # fault -> how what is offered begins
    "arm-too-long-kitchen": "Lay A-KS in 2 in",
    "arm-too-long-shower": "Move the trap",
    "arm-flat-starter": "Raise the trap",
    "arm-falls-too-much-tray": "Lower the trap",
    "quarter-bend-under-tub-drop": "Where ",
    "nail-plates-left-off-main-vent": "Put on a nail plate",
    "strap-forgotten": "Put on a strap",
    "hangers-left-off": "Support ",
    "hole-too-big-in-stud": "Bore ",
    "building-drain-three-inches": "Lay ",
    "stack-cleanout-too-small": "Make cleanout",
    "house-without-sewer-cleanout": "Set a ",
    "upper-shower-vent-left-out": "Vent SH2 by itself",
    "no-vent-outdoors": "End the vent",
    "trap-in-the-building-drain": "Take out the trap",
    "air-test-on-plastic": "Test with water",
    "drawer-before-sink-trap": "Have the drawer",
    "terminal-too-low": "Raise the terminal",
    "flange-below-floor": "Raise the flange",
    "stub-off-centre": "Set the mark",
}


def fault(fault_id: str) -> Fault:
    return next(f for f in faults() if f.id == fault_id)


@pytest.mark.parametrize(("fault_id", "begins"), SHOWN.items())
def test_offer_clears_the_fault_and_raises_nothing(fault_id: str, begins: str) -> None:
    one = fault(fault_id)
    book = one.books[0]
    before = judged(one, book, spoil(system(one.system, book), one.edits()))
    told, edits = tried(Bench(before.design, before.findings, before.not_checked), before.own[0])
    assert told.cleared, told.words
    assert told.words.startswith(begins)
    after = applied(before.design, edits)
    known = {key(f) for f in before.findings if f.level in GRAVE}
    now = {key(f) for f in run_all(after)[0] if f.level in GRAVE}
    assert now < known
    assert key(before.own[0]) not in now


@pytest.mark.parametrize("fault_id", SHOWN)
def test_pipes_stay_joined_and_every_list_speaks_of_pipes_that_are_there(fault_id: str) -> None:
    one = fault(fault_id)
    book = one.books[0]
    before = judged(one, book, spoil(system(one.system, book), one.edits()))
    _, edits = tried(Bench(before.design, before.findings, before.not_checked), before.own[0])
    after = applied(before.design, edits)
    net, fab = after.network, after.fabrication
    ids = {p.id for p in net.pipes}
    assert all(p.a == net.node(p.start).at and p.b == net.node(p.end).at for p in net.pipes)
    assert all(set(n.inflow) == {p.id for p in net.pipes if p.end == n.id} for n in net.nodes)
    assert all(set(n.outflow) == {p.id for p in net.pipes if p.start == n.id} for n in net.nodes)
    assert {b.pipe for b in fab.bores} | {h.pipe for h in fab.hangers} | {p.pipe for p in fab.pieces if p.pipe} <= ids
    assert {p.bore for p in fab.plates} <= {b.id for b in fab.bores}
    assert len({b.id for b in fab.bores}) == len(fab.bores)


@pytest.mark.parametrize("fault_id", ["bar-sink-forgotten", "layout-gave-up", "terminal-on-closed-slope"])
def test_nothing_is_claimed_where_no_change_helps(fault_id: str) -> None:
    one = fault(fault_id)
    told = mend(one, one.books[0])
    assert not told["cleared"]
    assert told["words"][-1].startswith("No single change")


def test_most_of_the_record_is_cleared() -> None:
    """Of what is recorded 95 in 100 are cleared at least, so that a lost kind of change is seen."""
    wanted = {(f.id, b) for f in faults() if grave(f) for b in f.books}
    rows = [m for m in written() if (m["fault"], m["book"]) in wanted]
    assert len(rows) >= 0.9 * len(wanted)
    assert sum(m["cleared"] for m in rows) >= 0.95 * len(rows)
