"""The pieces that pay best on one stick: an exact bounded knapsack, by dynamic programming on undominated states.

What column generation asks again and again, and what a proof by prices asks once in whole numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from stubout.fabrication.stock_pack import Counts, TooMuchError

MOST_STATES = 20_000  # kept at one time in one search; beyond, the search is given up
ROUNDING = 1 + 1e-12  # of a bound in floating point


class Best(NamedTuple):
    """What pays best on a stick, and what it pays."""

    value: float
    counts: Counts


class _State(NamedTuple):
    """Some pieces on a stick: what they take, what they pay, the last of them and those before."""

    weight: int
    value: float
    length: int = -1
    often: int = 0
    before: _State | None = None

    def more(self, length: int, count: int, weight: int, price: float) -> _State:
        return _State(self.weight + count * weight, self.value + count * price, length, count, self)


def dearest(
    lengths: Sequence[int], most: Sequence[int], prices: Sequence[float], hold: int, least: float = 0.0
) -> Best:
    """Return the pieces on one stick with the highest sum of prices; none where no pieces pay more than `least`.

    Whole-number prices give a whole-number value without rounding.

    Args:
        lengths: Lengths with their kerf.
        most: How many there are of each.
        prices: What one of each pays; one that pays nothing is left out.
        hold: What the stick holds.
        least: What is to be beaten.

    Raises:
        TooMuchError: If the search was given up.

    Example:
        >>> dearest((60, 50, 40, 30), (1, 1, 1, 1), (6, 5, 5, 3), 100)
        Best(value=11, counts=(1, 0, 1, 0))
    """
    order = [i for i in range(len(lengths)) if prices[i] > 0 and most[i] and lengths[i] <= hold]
    order.sort(key=lambda i: (-prices[i] / lengths[i], -lengths[i]))
    best = _State(0, 0)
    for i in order:  # to begin with, what pays most for its length, as often as it goes
        n = min(most[i], (hold - best.weight) // lengths[i])
        best = best.more(i, n, lengths[i], prices[i]) if n else best
    states = [_State(0, 0)]
    for k, i in enumerate(order):
        rest = order[k + 1] if k + 1 < len(order) else None
        rate = prices[rest] / lengths[rest] if rest is not None else 0.0
        grown = [
            s.more(i, n, lengths[i], prices[i])
            for s in states
            for n in range(1, min(most[i], (hold - s.weight) // lengths[i]) + 1)
        ]
        grown += states
        states, top = [], -1.0
        for state in sorted(grown, key=lambda s: (s.weight, -s.value)):
            if state.value <= top:
                continue  # no lighter than another one that pays as much
            top = state.value
            best = max(best, state, key=lambda s: s.value)
            if (state.value + rate * (hold - state.weight)) * ROUNDING > max(best.value, least):
                states.append(state)
        if len(states) > MOST_STATES:
            raise TooMuchError
    return Best(best.value, _counts(best, len(lengths))) if best.value > least else Best(0, (0,) * len(lengths))


def _counts(state: _State, n: int) -> Counts:
    out = [0] * n
    at: _State | None = state
    while at is not None and at.length >= 0:
        out[at.length] += at.often
        at = at.before
    return tuple(out)
