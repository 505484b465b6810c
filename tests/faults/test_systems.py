"""The clean systems are silent under every book, and the tables cover what they promise to cover."""

from __future__ import annotations

from collections import Counter

import pytest
from seeding.edits import judged
from seeding.systems import BOOKS, GRAVE, system
from seeding.table import LEVELS, NO_BOOK, edges, faults, pairs

USED = sorted(
    {(f.system, b) for f in (*faults(), *edges()) for b in f.books} | {(p.system, b) for p in pairs() for b in p.legal}
)
# As it is laid out first; the plan of that house under this book takes another layout, and nothing is found.
FIRST = {("demo", "npc-2020"): "CLO003"}
DRAWN = ("bath", "slab", "storeys", "closets", "circuit")


@pytest.mark.parametrize(("name", "book"), USED)
def test_clean_system_is_silent(name: str, book: str) -> None:
    made = system(name, book)
    found = [f for f in made.findings if f.level in GRAVE and f.check != FIRST.get((name, book))]
    assert [(f.check, f.about, f.found) for f in found] == []
    assert made.design.blocked == ()
    assert [f for f in judged(made, []) if f.check != FIRST.get((name, book))] == []


@pytest.mark.parametrize("name", DRAWN)
def test_every_drawn_system_is_tried_under_every_book(name: str) -> None:
    assert {b for n, b in USED if n == name} == set(BOOKS)


def test_counts() -> None:
    """What was asked for: 120 faults and 25 pairs, spread over the books."""
    assert len(faults()) >= 120
    assert len({f.id for f in (*faults(), *edges())}) == len(faults()) + len(edges())
    cases = Counter(b for f in faults() for b in f.books)
    assert min(cases[b] for b in BOOKS) >= 60
    assert len({p.id for p in pairs()}) == len(pairs()) >= 25


def test_every_check_has_a_seeded_fault() -> None:
    assert set(LEVELS) == {f.check for f in faults()}


def test_every_companion_has_its_reason_and_its_books() -> None:
    for f in (*faults(), *edges(), *pairs()):
        assert all(len(why) > 12 for why in f.companions.values()), f.id
        assert set(f.companion_books) <= set(f.companions), f.id
        assert set(f.companions) <= set(LEVELS), f.id


def test_every_source_is_known() -> None:
    for f in (*faults(), *edges(), *pairs()):
        if f.source in NO_BOOK:
            continue
        known = set()
        for b in BOOKS:
            made = system("bath", b)
            for rules in (made.book, made.framing):
                known |= set(rules.values) | set(rules.tables)
        assert f.source in known, (f.id, f.source)
