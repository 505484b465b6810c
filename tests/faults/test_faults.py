"""Every seeded fault is found by its own check, with the companions its row explains and with no other."""

from __future__ import annotations

import pytest
from seeding.edits import spoil
from seeding.sense import nonsense
from seeding.strangers import behind_strangers, is_stranger
from seeding.systems import GRAVE, system
from seeding.table import Fault, cured, faults, found, given
from seeding.told import case, chosen, rests_on, told, written

from stubout.checks.registry import by_id

AGAIN = "what is told has changed: docs/generate.py --faults"
CASES = [pytest.param(f, b, id=f"{f.id}-{b}") for f in faults() for b in f.books]


@pytest.mark.parametrize(("fault", "book"), CASES)
def test_fault_is_found(fault: Fault, book: str) -> None:
    assert [f for f in given(fault, book) if f.level in GRAVE] == []
    now = found(fault, book)
    assert {f.check for f in now} == fault.expected(book), [(f.check, f.about, f.found) for f in now]
    assert [n for f in now for n in nonsense(f)] == []
    own = [f for f in now if f.check == fault.check]
    assert fault.level in {f.level.value for f in own}
    assert not fault.about or any(fault.about in f.about for f in own), [f.about for f in own]
    if fault.fix and book == fault.books[0]:
        assert fault.x is not None
        assert cured(fault, book, now, fault.x) is True, [f.do for f in own]
    record = written()[fault.check]
    assert sorted(rests_on(fault, now)) == record["bases"][case(fault, book)], AGAIN
    if chosen()[fault.check] is fault and book == fault.books[0]:
        assert told(fault, now, record["bases"]) == record, AGAIN


@pytest.mark.parametrize("fault", faults(), ids=lambda f: f.id)
def test_nothing_in_front_of_it_hides_it(fault: Fault) -> None:
    """What cannot be judged makes no check stop before the fault."""
    check, book = by_id(fault.check), fault.books[0]
    assert check is not None
    design = spoil(system(fault.system, book), fault.edits())
    alone, behind = (
        sorted(f.about for f in check.run(d)[0] if not any(map(is_stranger, f.about)))
        for d in (design, behind_strangers(design))
    )
    assert alone
    assert alone == behind


def test_one_fault_is_written_down_for_every_check() -> None:
    assert list(written()) == list(chosen()), AGAIN


def test_what_is_written_down_is_of_faults_that_are_seeded() -> None:
    cases = {check: {case(f, b) for f in faults() if f.check == check for b in f.books} for check in chosen()}
    assert {check: set(told["bases"]) for check, told in written().items()} == cases, AGAIN
