"""Faults seeded into clean systems: the fix offered leaves the system as clean as it was."""

from __future__ import annotations

import pytest
from seeding.edits import spoil
from seeding.systems import GRAVE, system
from seeding.table import faults

from stubout.checks.registry import run_all
from stubout.fixes.tried import fix_for

CLEARED = {
    "arm-too-long-kitchen": "Lay ",
    "arm-falls-too-much-tray": "Lower the trap",
    "arm-climbs-shower": "Raise the trap",
    "arm-too-short-tub": "Move the trap",
    "closet-too-far-from-vent": "Move the turn",
    "building-drain-three-inches": "Lay ",
    "stack-cleanout-too-small": "Make cleanout",
    "branch-too-flat-island": "Raise the turn",
    "quarter-bend-under-tub-drop": "At ",
    "nail-plates-left-off-main-vent": "Put on: ",
    "stub-on-added-stud": "Move the trap",
}
NO_PIPE_HELPS = ("lavatory-vent-left-out", "bar-sink-forgotten", "closet-front-blocked")


def tried(fault_id):
    fault = next(f for f in faults() if f.id == fault_id)
    made = system(fault.system, fault.books[0])
    design = spoil(made, fault.edits())
    known = {(f.check, f.about, f.found) for f in made.findings}
    said = run_all(design)[0]
    own = next(f for f in said if f.check == fault.check and (f.check, f.about, f.found) not in known)
    return fix_for(design, own, said)


@pytest.mark.parametrize(("fault_id", "begins"), CLEARED.items())
def test_seeded_fault_is_cleared(fault_id, begins):
    told = tried(fault_id)
    assert told.cleared, told.sentence
    assert told.finding.level in GRAVE
    assert told.sentence.startswith(begins)


@pytest.mark.parametrize("fault_id", NO_PIPE_HELPS)
def test_nothing_is_claimed_where_something_else_is_missing(fault_id):
    told = tried(fault_id)
    assert not told.cleared
    assert told.sentence.startswith("No single change that was tried")
