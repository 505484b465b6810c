"""Two changes together: only where none helps alone, and after both every check lets pass what it let pass before."""

from __future__ import annotations

import pytest
from seeding.edits import spoil
from seeding.mended import judged, mend
from seeding.systems import GRAVE, system
from seeding.table import Fault, faults

from stubout.checks.registry import run_all
from stubout.fixes.bench import Bench, applied, key
from stubout.fixes.tried import tried

TWO = [
    ("waste-stack-overloaded", "ipc-2021"),
    ("island-branch-overloaded", "upc-2021"),
    ("sewer-higher-than-said", "npc-2020"),
]


def fault(fault_id: str) -> Fault:
    return next(f for f in faults() if f.id == fault_id)


@pytest.mark.parametrize(("fault_id", "book"), TWO)
def test_two_changes_clear_it_and_raise_nothing(fault_id: str, book: str) -> None:
    one = fault(fault_id)
    before = judged(one, book, spoil(system(one.system, book), one.edits()))
    told, edits = tried(Bench(before.design, before.findings, before.not_checked), before.own[0])
    assert told.cleared, told.words
    assert len(told.changes) == len(edits)
    known = {key(f) for f in before.findings if f.level in GRAVE}
    now = {key(f) for f in run_all(applied(before.design, edits))[0] if f.level in GRAVE}
    assert now < known


@pytest.mark.parametrize("fault_id", ["wet-vent-overloaded", "quarter-bend-under-tub-drop"])
def test_one_change_is_enough_where_one_helps(fault_id: str) -> None:
    one = fault(fault_id)
    before = judged(one, one.books[0], spoil(system(one.system, one.books[0]), one.edits()))
    told, _ = tried(Bench(before.design, before.findings, before.not_checked), before.own[0])
    assert told.cleared
    assert len(told.changes) == 1


@pytest.mark.parametrize(
    ("fault_id", "says"),
    [
        ("layout-gave-up", "BLK001: no arm reaches a wall"),
        ("bar-sink-forgotten", "DRN013: "),
        ("terminal-on-closed-slope", "TRM004 asks for a terminal where the job lets the roof be pierced"),
        ("terminal-at-taller-wall", "TRM008 against ARM002"),
    ],
)
def test_where_nothing_helps_the_rules_that_fight_are_named(fault_id: str, says: str) -> None:
    told = mend(fault(fault_id), fault(fault_id).books[0])
    assert not told["cleared"]
    assert told["words"][-1].startswith("No single change clears it")
    assert says in told["words"][-1]
