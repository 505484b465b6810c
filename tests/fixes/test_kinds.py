"""What each kind of proposal changes, on a seeded fault it is for: who has to agree, and what the words say."""

from __future__ import annotations

import pytest
from seeding.edits import spoil
from seeding.mended import Spoiled, judged
from seeding.systems import system
from seeding.table import Fault, faults

from stubout.fixes.bench import Bench, applied
from stubout.fixes.tried import tried
from stubout.layout.model import VentMethod

SHOWN = [  # fault, how what is offered begins, who has to agree
    ("valve-refused", "Vent KS by a loop under the counter", ""),
    ("foot-vent-without-cleanout", "Set a cleanout in the riser", ""),
    ("loop-returns-below-other-drains", "Bring the loop of KS straight down into D-KS", ""),
    ("island-trap-in-floor", "Hang the trap of KS where its arm begins", ""),
    ("stranger-on-wet-vent", "Lead the arm of WC1 straight to a drop of its own", ""),
    ("circuit-vent-below-the-second", "Set another vent on C.1", ""),
    ("circuit-relief-missing", "Set another vent on C.", ""),
    ("shower-drops-into-circuit-branch", "Lower the trap", ""),
    ("single-stack-where-no-article-is", "Take `vents by: single stack` out of S1", ""),
    ("two-washers-at-a-foot", "Lead D-S2 on beside BD.", ""),
    ("dishwasher-on-tailpiece", "Set an air-gap fitting at KS", ""),
    ("small-floor-drain", "Set a floor drain FD with a 2 in outlet", ""),
    ("closet-front-blocked", "Have the partition of Bath", "builder"),
    ("stack-in-thin-wall", "Have wall UP built of 140 mm", "builder"),
    ("trench-beside-footing", "Have the footing F9 founded", "builder"),
    ("lavatory-before-a-wall", "Take a shallower bowl for LV1", "owner"),
    ("stack-in-refused-wall", "Have wall UP opened to drains", "owner"),
    ("eighth-bend-at-right-angle", "Where ", ""),
]


def spoiled(fault_id: str) -> tuple[Fault, Spoiled]:
    one = next(f for f in faults() if f.id == fault_id)
    return one, judged(one, one.books[0], spoil(system(one.system, one.books[0]), one.edits()))


@pytest.mark.parametrize(("fault_id", "begins", "asks"), SHOWN)
def test_offer_and_who_agrees(fault_id: str, begins: str, asks: str) -> None:
    _, before = spoiled(fault_id)
    told, _ = tried(Bench(before.design, before.findings, before.not_checked), before.own[0])
    assert told.cleared, told.words
    assert told.words.startswith(begins), told.words
    assert told.asks == asks


def test_a_loop_takes_the_place_of_the_valve() -> None:
    _, before = spoiled("valve-refused")
    _, edits = tried(Bench(before.design, before.findings, before.not_checked), before.own[0])
    after = applied(before.design, edits)
    trap = next(t for t in after.network.traps if t.tag == "KS")
    assert trap.method is VentMethod.LOOP
    assert all(n.kind.value != "air admittance valve" for n in after.network.nodes)
    assert len(after.cleanouts) == len(before.design.cleanouts) + 1, "one in the riser of the foot vent"


def test_a_trap_that_has_its_own_vent_gets_no_second() -> None:
    """The lavatory at the head of a wet vent is not vented again: the one below it is."""
    _, before = spoiled("wet-vent-offset-far")
    told, _ = tried(Bench(before.design, before.findings, before.not_checked), before.own[0])
    assert told.cleared
    assert "WC1" in told.words
    assert "Vent LV1" not in told.words
