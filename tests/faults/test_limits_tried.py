"""Every numeric limit a check goes by is tried just inside and just outside, or has the reason why it cannot."""

from __future__ import annotations

from seeding.limits import NO_LIMIT, ON_THE_BATH, functions, limits, tried
from seeding.systems import BOOKS
from seeding.table import edges


def test_every_limit_has_its_pair() -> None:
    assert sorted(set(limits()) - set(tried()) - set(NO_LIMIT)) == []


def test_no_reason_is_left_over() -> None:
    assert sorted(set(NO_LIMIT) - set(limits())) == []
    assert sorted(set(NO_LIMIT) & set(tried())) == []


def test_what_an_edge_tries_is_a_limit() -> None:
    for edge in edges():
        assert set(edge.limits_of) <= set(limits()), edge.id


def test_the_tests_on_the_small_bath_are_there_and_have_two_sides() -> None:
    """A test that is named here tries several numbers, by its cases or in a loop, and says what comes of each."""
    have = functions()
    assert sorted(set(ON_THE_BATH) - set(limits())) == []
    for test in ON_THE_BATH.values():
        assert "parametrize(" in have[test] or "for " in have[test] or have[test].count("assert ") > 1, test
        assert any(call in have[test] for call in ("kit.found(", "gaps(", "laundry(", "offset(")), test


def test_pairs_are_spread_over_the_books() -> None:
    assert min(sum(b in e.books for e in edges()) for b in BOOKS) >= 50
