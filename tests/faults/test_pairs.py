"""The same pipes under two books: one lets them pass, the other says why not."""

from __future__ import annotations

import pytest
from seeding.table import Pair, pairs, same_under

CASES = [pytest.param(p, a, b, id=f"{p.id}-{a}-{b}") for p in pairs() for a in p.legal for b in p.illegal]


@pytest.mark.parametrize(("pair", "legal", "illegal"), CASES)
def test_legal_here_and_not_there(pair: Pair, legal: str, illegal: str) -> None:
    home, other = same_under(pair, legal, illegal)
    assert home == frozenset()
    assert other == pair.expected(illegal)
