"""The stock plan by columns: choices of sticks in order of price, until one holds the pieces.

A choice is passed over where the arithmetic rules it out, where everything was tried, or where prices of the pieces
prove that it cannot hold them (`stock_lp.Proof`). The first that is not passed over is the proven least, never less
than the arithmetic's. Where no plan is found for it within a number of steps, the cheapest plan found is told with its
gap.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Literal

from stubout.fabrication.stock_bound import Choice, Least, Sizes, choices, least
from stubout.fabrication.stock_fill import Filled
from stubout.fabrication.stock_lp import Columns, Proof, counted
from stubout.fabrication.stock_pack import (
    FEW_STICKS,
    STEPS_BELOW,
    STEPS_LIKELY,
    WIDTH,
    Column,
    Counts,
    TooMuchError,
    likely,
    packed,
)

FEW_LENGTHS = 24  # so many equations are solved in no time
STEPS = 100_000  # of trying everything for the plan of one choice
MOST_OPEN = 6  # choices that may hold the pieces and get no plan, before the rest is left alone


def by_columns(of: Sizes, hint: Filled) -> tuple[Filled, Least]:
    """Return the cheapest plan found and its proven bound, pipe first, then sticks.

    Args:
        of: Pieces and stock lengths, and what is on hand.
        hint: A plan that works; what comes back is never dearer.
    """
    bought = [k for k, _ in hint if k < len(of.holds)]
    known = of.price(tuple(bought.count(k) for k in range(len(of.holds))))
    search = _Search(of)
    open_: list[Choice] = []
    for choice in choices(of, known):
        if of.price(choice) >= known:
            return hint, Least(*of.price(open_[0])) if open_ else Least(*known)
        found = search.plan(choice)
        if isinstance(found, list):
            return found, Least(*of.price((*open_, choice)[0]))
        if found is None:
            open_.append(choice)
        if len(open_) == MOST_OPEN:
            break
    return hint, Least(*of.price(open_[0])) if open_ else least(of, known)


@dataclass(slots=True)
class _Search:
    """One size of pipe: its columns and the proofs found so far."""

    of: Sizes
    columns: Columns = field(init=False)
    demand: Counts = field(init=False)
    proofs: list[Proof] = field(default_factory=list)
    steps: int = 2 * STEPS_LIKELY  # left for likely ways

    def __post_init__(self) -> None:
        lengths = tuple(sorted(set(self.of.items), reverse=True))
        hand = sorted(set(self.of.hand))
        self.columns = Columns(lengths, (*self.of.holds, *hand))
        self.demand = counted(self.of.items, lengths)

    def sticks(self, choice: Choice) -> Counts:
        """Return how many sticks of each kind: those of a choice, then those on hand by length."""
        hand = Counter(self.of.hand)
        return (*choice, *(hand[h] for h in sorted(hand)))

    def plan(self, choice: Choice) -> Filled | Literal[False] | None:
        """Return the pieces laid out on a choice of sticks; False where they do not go on, None where that is open."""
        sticks = self.sticks(choice)
        lengths, holds = self.columns.lengths, self.columns.holds
        priced = len(lengths) <= FEW_LENGTHS  # then prices are quicker than trying everything
        if any(p.refutes(self.demand, sticks) for p in self.proofs) or (priced and self._refuted(sticks)):
            return False
        with suppress(TooMuchError):
            fixed = packed(lengths, self.demand, holds, sticks, STEPS)
            return False if fixed is None else self._filled(fixed)
        if not priced and self._refuted(sticks):
            return False
        with suppress(TooMuchError):
            fixed = self._dive(self.demand, sticks)
            if fixed is not None:
                return self._filled(fixed)
        steps = min(self.steps, STEPS_LIKELY)
        fixed, left = likely(lengths, self.demand, holds, sticks, steps)
        self.steps -= steps - left
        return None if fixed is None else self._filled(fixed)

    def _refuted(self, sticks: Counts) -> bool:
        """Return whether prices prove that some sticks cannot hold the pieces."""
        try:
            shared = self.columns.share(self.demand, sticks)
            if shared.short <= 1e-6:
                return False
            proof = self.columns.proof(self.demand, shared.prices)
        except TooMuchError:
            return False
        if not proof.refutes(self.demand, sticks):
            return False
        self.proofs.append(proof)
        return True

    def _dive(self, demand: Counts, sticks: Counts) -> list[Column] | None:
        """Return the pieces laid out by the columns the linear programme uses most; None where that leads nowhere.

        Columns used once and more are fixed as often; where none is, the one used most; until few sticks are left.
        """
        columns = self.columns
        if not any(demand):
            return []
        if sum(sticks) <= FEW_STICKS:
            with suppress(TooMuchError):
                return packed(columns.lengths, demand, columns.holds, sticks, STEPS_BELOW)
        shared = columns.share(demand, sticks)
        if shared.short > 1e-6 or not shared.used:
            return None
        ranked = sorted(shared.used, key=lambda u: (-round(u[1], 6), u[0].kind, [-n for n in u[0].counts]))
        whole = [c for c, x in ranked for _ in range(int(x + 1e-6))]
        for fixed in (whole, *([c] for c, _ in ranked[:WIDTH])):
            rest = _less(demand, sticks, fixed) if fixed else None
            below = self._dive(*rest) if rest else None
            if below is not None:
                return [*fixed, *below]
        return None

    def _filled(self, fixed: Sequence[Column]) -> Filled:
        hand = [(h, k) for k, h in enumerate(self.of.hand, len(self.of.holds))]
        out: Filled = []
        for kind, counts in fixed:
            items = [w for w, n in zip(self.columns.lengths, counts, strict=True) for _ in range(n)]
            if kind >= len(self.of.holds):
                one = next(p for p in hand if p[0] == self.columns.holds[kind])
                hand.remove(one)
                out.append((one[1], items))
            elif items:
                out.append((kind, items))
        return out


def _less(demand: Counts, sticks: Counts, fixed: Sequence[Column]) -> tuple[Counts, Counts] | None:
    """Return the pieces and sticks left once some columns are fixed; None where there are not so many."""
    left, kinds = list(demand), list(sticks)
    for kind, counts in fixed:
        kinds[kind] -= 1
        for i, n in enumerate(counts):
            left[i] -= n
    return (tuple(left), tuple(kinds)) if min(*left, 0) == 0 and min(*kinds, 0) == 0 else None
