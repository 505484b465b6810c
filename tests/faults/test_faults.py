"""Every seeded fault is found by its own check, with the companions its row explains and with no other."""

from __future__ import annotations

import pytest
from seeding.systems import GRAVE
from seeding.table import Fault, cured, faults, found, given

CASES = [pytest.param(f, b, id=f"{f.id}-{b}") for f in faults() for b in f.books]


@pytest.mark.parametrize(("fault", "book"), CASES)
def test_fault_is_found(fault: Fault, book: str) -> None:
    assert [f for f in given(fault, book) if f.level in GRAVE] == []
    told = found(fault, book)
    assert {f.check for f in told} == fault.expected(book), [(f.check, f.about, f.found) for f in told]
    own = [f for f in told if f.check == fault.check]
    assert fault.level in {f.level.value for f in own}
    assert not fault.about or any(fault.about in f.about for f in own), [f.about for f in own]
    if fault.fix and book == fault.books[0]:
        assert fault.x is not None
        assert cured(fault, book, told, fault.x) is True, [f.do for f in own]
