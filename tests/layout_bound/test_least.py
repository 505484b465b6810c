"""The least prices and what sharing spares, against what fittings cost and against search over all pairs."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout.catalog.shipped_costs import COSTS
from stubout.layout.bound.least import Least
from stubout.layout.bound.sharing import MOST_EXACT, most_spared
from stubout.layout.needs import SIZES


def cost_of(kind: str, run_in: float, branches: tuple[float, ...]) -> float:
    """Return what a fitting costs by `fabrication.costing`: by its largest size, further branches, a joint a socket."""
    size = max(run_in, *branches)
    return (
        COSTS.price(f"fitting {kind}", size).minutes
        + sum(COSTS.price("extra branch", b).minutes for b in branches[1:])
        + 2 * COSTS.price("joint", size).minutes
        + sum(COSTS.price("joint", b).minutes for b in branches)
    )


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(("tee", "wye", "combination")),
    st.sampled_from(SIZES),
    st.lists(st.sampled_from(SIZES), min_size=1, max_size=3),
)
def test_the_shares_of_its_branches_are_never_more_than_a_fitting_costs(kind, run_in, branches) -> None:
    least = Least(COSTS)
    branches = tuple(sorted(branches, reverse=True))
    whole = cost_of(kind, run_in, branches) + 1e-9
    assert sum(map(least.branch, branches)) <= whole
    assert sum(least.branch(b, run_in=run_in) for b in branches) <= whole or max(branches) > run_in
    if len(branches) == 1:
        assert least.tee(branches[0]) <= whole
    if len(branches) <= 2:
        assert sum(map(least.vent_branch, branches)) <= whole
        if kind != "tee":
            assert sum(map(least.lying_branch, branches)) <= whole


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(SIZES), st.lists(st.sampled_from(SIZES), min_size=3, max_size=4))
def test_nor_than_two_that_stand_in_one_place_with_the_joints_of_one_run(run_in, branches) -> None:
    """As `fabrication.costing` counts them: no joint between the two, since no piece of pipe is."""
    least = Least(COSTS)
    size = max(run_in, *branches)
    whole = 2 * COSTS.price("fitting tee", size).minutes + 2 * COSTS.price("joint", size).minutes
    whole += sum(COSTS.price("joint", b).minutes for b in branches)
    whole += sum(COSTS.price("extra branch", b).minutes for b in sorted(branches)[: len(branches) - 2])
    assert sum(map(least.branch, branches)) <= whole + 1e-9
    assert len(branches) > 3 or sum(map(least.vent_branch, branches)) <= whole + 1e-9


@pytest.mark.parametrize("size", SIZES)
def test_a_bend_costs_no_less_with_either_of_its_joints(size: float) -> None:
    bend = min(COSTS.price(f"fitting {kind}", size).minutes for kind in ("bend", "street"))
    assert Least(COSTS).bend(size) <= bend + COSTS.price("joint", size).minutes + 1e-9


PAIRS = st.dictionaries(
    st.tuples(st.integers(0, 6), st.integers(0, 6)).filter(lambda p: p[0] < p[1]), st.floats(0.0, 20.0), max_size=9
)


@settings(max_examples=200, deadline=None)
@given(PAIRS)
def test_what_is_spared_is_the_best_of_all_choices_of_pairs(pairs) -> None:
    best = 0.0
    for k in range(1, 4):
        for some in combinations(pairs, k):
            members = [n for pair in some for n in pair]
            if len(set(members)) == len(members):
                best = max(best, sum(pairs[p] for p in some))
    assert most_spared(pairs) == pytest.approx(best)


def test_of_many_no_choice_spares_more_than_is_told() -> None:
    """A ring of more than are looked at one by one: every second pair, by hand."""
    n = MOST_EXACT + 2
    ring = {tuple(sorted((i, (i + 1) % n))): 3.0 for i in range(n)}
    assert most_spared(ring) >= 3.0 * (n // 2)
