"""Plans by columns: against every grouping, against the exact solver, and where it gains: lengths that repeat."""

from __future__ import annotations

import random
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.fabrication.test_stock import HARDER, KERF, NO_SOLVER, WHY_NOT, by_all_ways

from stubout.fabrication import stock_exact
from stubout.fabrication.stock_bound import choices, least, sizes
from stubout.fabrication.stock_columns import by_columns
from stubout.fabrication.stock_exact import solve
from stubout.fabrication.stock_lp import Columns, Proof
from stubout.fabrication.stock_pack import TooMuchError, likely, packed
from stubout.fabrication.stock_price import dearest

SMALL = st.lists(st.integers(200, 3000), min_size=1, max_size=7)
HAND = st.lists(st.sampled_from([900.0, 1500.0, 2900.0]), max_size=2)


def alone(of):
    """Return a poor plan to begin with: a stick to each piece."""
    return [(len(of.holds) - 1, [i]) for i in of.items]


def price(of, filled):
    bought = [of.stock_mm[k] for k, _ in filled if k < len(of.holds)]
    return round(sum(bought), 3), len(bought)


def held(of, filled):
    assert sorted(i for _, items in filled for i in items) == sorted(of.items)
    assert all(sum(items) <= of.hold(k) for k, items in filled)
    hand = [k for k, _ in filled if k >= len(of.holds)]
    assert len(set(hand)) == len(hand)


@settings(max_examples=100, deadline=None)
@given(cuts=SMALL, stock=st.sampled_from([(3048.0,), (3048.0, 6096.0), (3000.0, 3660.0, 5000.0)]), hand=HAND)
def test_small_plans_are_the_best_of_all(cuts, stock, hand):
    of = sizes([float(c) for c in cuts], list(stock), KERF, tuple(sorted(hand)))
    filled, bound = by_columns(of, alone(of))
    held(of, filled)
    assert price(of, filled) == bound == by_all_ways(cuts, stock, KERF, tuple(hand))


@settings(max_examples=60, deadline=None)
@given(
    kinds=st.lists(st.integers(150, 2900), min_size=2, max_size=5, unique=True),
    often=st.lists(st.integers(1, 6), min_size=5, max_size=5),
    stock=st.sampled_from([(3048.0,), (3048.0, 6096.0)]),
)
def test_the_bound_is_no_weaker_than_the_arithmetic(kinds, often, stock):
    cuts = [float(k) for k, n in zip(kinds, often, strict=False) for _ in range(n)]
    of = sizes(cuts, list(stock), KERF)
    hint = alone(of)
    filled, bound = by_columns(of, hint)
    held(of, filled)
    assert least(of, price(of, hint)) <= bound <= price(of, filled)


def repeated(seed, pieces, kinds, stock, kerf=3.175):
    rng = random.Random(seed)  # lengths to the sixteenth
    lengths = [round(rng.uniform(150, 2700) / 1.5875) * 1.5875 for _ in range(kinds)]
    return sizes([rng.choice(lengths) for _ in range(pieces)], list(stock), kerf)


@pytest.mark.skipif(NO_SOLVER, reason=WHY_NOT)
@pytest.mark.parametrize("seed", range(6))
def test_the_solver_proves_nothing_else(seed):
    of = repeated(seed, 24, 5, (3048.0, 6096.0))
    filled, bound = by_columns(of, alone(of))
    other, proven = solve(of, filled, least(of, price(of, filled)))
    assert price(of, filled) == bound
    assert proven <= bound <= price(of, other)


@pytest.mark.parametrize(
    ("seed", "stock"), [(0, (3048.0,)), (0, (3048.0, 6096.0)), (1, (3048.0,)), (2, (3048.0, 6096.0))]
)
def test_many_pieces_of_few_lengths_come_out_proven(seed, stock):
    of = repeated(seed, 120, 14, stock)
    filled, bound = by_columns(of, alone(of))
    held(of, filled)
    assert price(of, filled) == bound


@pytest.mark.parametrize("seed", range(4))
def test_a_few_thousandths_to_spare_come_out_proven(seed):
    """Sticks cut at random and mixed up: of each at most 8 mm, 2.6 thousandths, is to spare; so they all fit again."""
    rng = random.Random(seed)
    cuts = []
    for _ in range(10):
        marks = [0.0, *sorted(rng.random() for _ in range(rng.randint(1, 4))), 1.0]
        room = 3048.0 - KERF * (len(marks) - 2) - rng.uniform(0.0, 8.0)
        cuts += [max((b - a) * room, 6.0) for a, b in pairwise(marks)]
    of = sizes(cuts, [3048.0], KERF)
    filled, bound = by_columns(of, alone(of))
    held(of, filled)
    assert bound <= (30480.0, 10)
    assert price(of, filled) == bound


@settings(max_examples=150, deadline=None)
@given(
    lengths=st.lists(st.integers(5, 60), min_size=1, max_size=5, unique=True),
    most=st.lists(st.integers(1, 3), min_size=5, max_size=5),
    prices=st.lists(st.integers(0, 9), min_size=5, max_size=5),
    hold=st.integers(20, 120),
)
def test_the_dearest_stick_is_that_of_all(lengths, most, prices, hold):
    n = len(lengths)
    ways = product(*(range(m + 1) for m in most[:n]))
    best = max(
        sum(p * k for p, k in zip(prices, way, strict=False))
        for way in ways
        if sum(w * k for w, k in zip(lengths, way, strict=True)) <= hold
    )
    found = dearest(lengths, most[:n], prices[:n], hold)
    assert found.value == best
    assert sum(w * k for w, k in zip(lengths, found.counts, strict=True)) <= hold
    assert sum(p * k for p, k in zip(prices, found.counts, strict=False)) == best
    assert all(k <= m for k, m in zip(found.counts, most, strict=False))
    assert dearest(lengths, most[:n], prices[:n], hold, least=best).value == 0  # nothing pays more


# by hand: three of 51 on two sticks of 100: one too many, each worth a stick
def test_prices_that_no_stick_pays_for():
    columns = Columns((51,), (100,))
    shared = columns.share((3,), (2,))
    assert shared.short == pytest.approx(1.0)
    proof = columns.proof((3,), shared.prices)
    assert proof.refutes((3,), (2,))
    assert not proof.refutes((3,), (3,))
    assert columns.share((3,), (3,)).short == pytest.approx(0.0)
    assert not Proof((1,), (1,)).refutes((2,), (2,))


def test_a_choice_that_arithmetic_lets_pass_is_refuted():
    of = sizes([float(c) for c in HARDER], [3660.0], KERF)
    assert next(iter(choices(of, (36600.0, 10)))) == (4,)
    filled, bound = by_columns(of, alone(of))
    assert bound == price(of, filled) == (5 * 3660.0, 5)


def test_searches_give_up_after_their_steps():
    lengths = tuple(range(160, 100, -1))
    demand, holds, sticks = (1,) * 60, (1000,), (8,)
    with pytest.raises(TooMuchError):
        packed(lengths, demand, holds, sticks, 10)
    assert likely(lengths, demand, holds, sticks, 10) == (None, 0)


def test_without_room_nothing_is_packed():
    assert packed((60, 50), (1, 1), (100,), (1,), 1000) is None
    assert packed((60,), (0,), (100,), (0,), 1000) == []
    assert stock_exact.better(sizes([50.0], [100.0], 0.0), [(0, [50000])])[1:] == ((100.0, 1), "columns")
