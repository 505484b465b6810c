"""Every numeric limit, just inside: silent; just outside: found; moved by the amount the finding tells: clear again.

The limits are reckoned by hand from the reference pages (`source` of a row names the value or table of the book) with
the tolerances of `checks/base.py`, and from the places in the job files of this folder.
"""

from __future__ import annotations

import pytest
from seeding.table import Fault, cured, edges, found

CASES = [pytest.param(e, b, id=f"{e.id}-{b}") for e in edges() for b in e.books]


@pytest.mark.parametrize(("edge", "book"), CASES)
def test_limit(edge: Fault, book: str) -> None:
    inside, outside = edge.limits[book]
    assert [(f.check, f.about, f.found) for f in found(edge, book, inside)] == []
    told = found(edge, book, outside)
    assert {f.check for f in told} == edge.expected(book), [(f.check, f.about, f.found) for f in told]
    own = [f for f in told if f.check == edge.check]
    assert not edge.about or any(edge.about in f.about for f in own)
    if edge.fix and book == edge.books[0]:
        assert cured(edge, book, told, outside) is True, [f.do for f in own]


@pytest.mark.parametrize("edge", edges(), ids=lambda e: e.id)
def test_inside_and_outside_are_near(edge: Fault) -> None:
    for inside, outside in edge.limits.values():
        assert inside != outside
        assert abs(inside - outside) <= max(5.0, abs(inside) * 0.005), "just inside and just outside"
