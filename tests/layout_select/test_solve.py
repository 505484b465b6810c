"""Choices: the own search, the constraint solver and an exhaustive search agree, pick by pick."""

from __future__ import annotations

import sys
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout.layout.select import branch, cpsat
from stubout.layout.select.model import Choice
from stubout.layout.select.solve import solve


@st.composite
def choices(draw) -> Choice:
    costs = draw(st.lists(st.lists(st.integers(0, 60), min_size=1, max_size=4), min_size=1, max_size=5))
    names = [(g, k) for g, group in enumerate(costs) for k in range(len(group))]
    pairs = [(a, b) for a in names for b in names if a[0] < b[0]]
    if not pairs:
        return Choice(tuple(map(tuple, costs)))
    conflicts = draw(st.lists(st.sampled_from(pairs), max_size=8))
    spared = draw(st.lists(st.tuples(st.sampled_from(pairs), st.integers(0, 30)), max_size=4))
    return Choice(tuple(map(tuple, costs)), frozenset(conflicts), tuple((a, b, n) for (a, b), n in spared))


def by_enumeration(choice: Choice):
    """Return cost and picks of the first in order of the cheapest, None if nothing is possible."""
    every = ((choice.cost(p), p) for p in product(*(range(len(g)) for g in choice.costs)))
    return min(((cost, p) for cost, p in every if cost is not None), default=None)


@settings(max_examples=150, deadline=None)
@given(choices())
def test_the_own_search_finds_the_optimum_of_exhaustive_search(choice: Choice) -> None:
    best, got = by_enumeration(choice), branch.solve(choice)
    assert (got is None) == (best is None)
    if got is not None:
        assert (got.cost, got.picks) == best
        assert got.proven


@settings(max_examples=40, deadline=None)
@given(choices())
def test_the_constraint_solver_picks_the_same(choice: Choice) -> None:
    own, other = branch.solve(choice), cpsat.solve(choice)
    if own is None:
        assert other is None
    else:
        assert (other.picks, other.cost, other.bound) == (own.picks, own.cost, own.bound)


@settings(max_examples=60, deadline=None)
@given(choices(), st.integers(1, 12))
def test_a_search_cut_short_tells_a_bound_that_holds(choice: Choice, steps: int) -> None:
    best, got = by_enumeration(choice), branch.solve(choice, steps)
    if got is not None:
        assert best is not None
        assert got.bound <= best[0] <= got.cost == choice.cost(got.picks)


def test_without_the_solver_the_own_search_answers(monkeypatch) -> None:
    choice = Choice(tuple((3, 1, 2) for _ in range(4)), frozenset({((0, 1), (1, 1))}))
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    with pytest.raises(ImportError):
        cpsat.solve(choice)
    got = solve(choice)
    assert got is not None
    assert got.picks == by_enumeration(choice)[1]


def test_a_group_without_candidates_is_refused() -> None:
    with pytest.raises(ValueError, match="without a candidate"):
        Choice(((1,), ()))
    with pytest.raises(ValueError, match="saving below nothing"):
        Choice(((1,), (2,)), savings=(((0, 0), (1, 0), -1),))
