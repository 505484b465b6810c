"""Whether a choice of sticks can hold the pieces if pieces may be cut up among plans: a linear programme by columns.

A column is what is laid on one stick. Columns are made as they are needed: the prices that a solution puts on the
pieces tell which stick would pay best (Gilmore and Gomory 1961). Prices that no stick pays for are a proof, checked in
whole numbers, that the choice cannot hold the pieces - and many another choice with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from stubout.fabrication.stock_pack import Column, Counts, TooMuchError
from stubout.fabrication.stock_price import dearest

EPS = 1e-9
SHARP = 1_000_000  # prices in whole numbers: so many steps to one
MOST_WORK = 8_000_000  # of all linear programmes of one size together, in numbers changed: a count and no clock


class Proof(NamedTuple):
    """Prices of the pieces in whole numbers, and the most a stick of each kind can pay."""

    prices: tuple[int, ...]
    pays: tuple[int, ...]

    def refutes(self, demand: Sequence[int], sticks: Sequence[int]) -> bool:
        """Return whether all pieces cost more than all sticks can pay: then these cannot hold those."""
        cost = sum(p * d for p, d in zip(self.prices, demand, strict=True))
        return cost > sum(v * n for v, n in zip(self.pays, sticks, strict=True))


class Shared(NamedTuple):
    """A solution: how many pieces are left over, in fractions, the prices of the lengths, and the columns in use."""

    short: float
    prices: tuple[float, ...]
    used: tuple[tuple[Column, float], ...]


@dataclass(slots=True)
class Columns:
    """The lengths and kinds of sticks of one size of pipe, and the columns made so far."""

    lengths: tuple[int, ...]  # with their kerf
    holds: tuple[int, ...]  # of each kind of stick
    known: dict[Column, None] = field(default_factory=dict)
    work: int = 0

    def share(self, demand: Sequence[int], sticks: Sequence[int]) -> Shared:
        """Return how few pieces are left over when columns may be used in fractions; none: the sticks could do.

        Args:
            demand: How many pieces of each length.
            sticks: How many sticks of each kind.

        Raises:
            TooMuchError: If the work was given up.
        """
        table = _Table(len(self.lengths), demand, sticks)
        while True:
            self.work += len(table.right) ** 2
            if self.work > MOST_WORK:
                raise TooMuchError
            entering = table.slack() or self._column(table, demand)
            if entering is None or table.cost() <= EPS:
                return Shared(max(table.cost(), 0.0), table.prices()[: len(self.lengths)], table.used())
            table.enter(entering)

    def _column(self, table: _Table, demand: Sequence[int]) -> Column | None:
        """Return the column that pays best: one made before, else a new one; None where none pays."""
        prices = table.prices()
        n = len(self.lengths)
        best, most = None, 1e-7
        for c in self.known:
            pays = sum(prices[i] * k for i, k in enumerate(c.counts) if k) + prices[n + c.kind]
            if pays > most and all(k <= d for k, d in zip(c.counts, demand, strict=True)):
                best, most = c, pays
        if best is not None:
            return best
        for kind, hold in enumerate(self.holds):
            if not table.limits[kind]:
                continue
            found = dearest(self.lengths, demand, prices[:n], hold, max(-prices[n + kind], 0.0) + 1e-7)
            pays = found.value + prices[n + kind]
            if pays > most:
                best, most = Column(kind, found.counts), pays
        if best is not None:
            self.known[best] = None
        return best

    def proof(self, demand: Sequence[int], prices: Sequence[float]) -> Proof:
        """Return prices in whole numbers with what each kind of stick can pay at most.

        Args:
            demand: How many pieces of each length there are.
            prices: Their prices, as a solution has them.

        Raises:
            TooMuchError: If the work was given up.
        """
        whole = tuple(max(round(p * SHARP), 0) for p in prices)
        return Proof(whole, tuple(int(dearest(self.lengths, demand, whole, h).value) for h in self.holds))


class _Table:
    """The revised simplex with the inverse of its basis: pieces left over are what is paid for, and made few.

    Rows: the pieces of each length, laid out or left over; then the sticks of each kind, used or not. The basis begins
    with all pieces left over and no stick used.
    """

    def __init__(self, lengths: int, demand: Sequence[int], sticks: Sequence[int]) -> None:
        self.n = lengths
        self.limits = tuple(sticks)
        size = lengths + len(sticks)
        self.inverse = [[float(i == j) for j in range(size)] for i in range(size)]
        self.right = [float(x) for x in (*demand, *sticks)]
        self.basis: list[Column | int] = list(range(size))  # a row's own variable by its number, or a column
        self._prices: tuple[float, ...] | None = None

    def prices(self) -> tuple[float, ...]:
        """Return what one more piece of each length, and one more stick of each kind, would cost."""
        if self._prices is None:
            paid = [row for b, row in zip(self.basis, self.inverse, strict=True) if isinstance(b, int) and b < self.n]
            self._prices = tuple(map(sum, zip(*paid, strict=True))) if paid else (0.0,) * len(self.basis)
        return self._prices

    def cost(self) -> float:
        """Return how many pieces are left over."""
        return sum(x for b, x in zip(self.basis, self.right, strict=True) if isinstance(b, int) and b < self.n)

    def used(self) -> tuple[tuple[Column, float], ...]:
        """Return the columns in use, and how often."""
        rows = zip(self.basis, self.right, strict=True)
        return tuple((b, x) for b, x in rows if isinstance(b, Column) and x > EPS)

    def slack(self) -> int | None:
        """Return a row whose own variable would make it cheaper: pieces left over after all, a stick not used."""
        held = {b for b in self.basis if isinstance(b, int)}
        prices = self.prices()
        worst, row = 1e-7, None
        for i, price in enumerate(prices):
            gain = price - 1.0 if i < self.n else price
            if gain > worst and i not in held:
                worst, row = gain, i
        return row

    def enter(self, one: Column | int) -> None:
        """Take a column or a row's own variable into the basis, in place of the one that runs out first."""
        if isinstance(one, int):
            way = [row[one] for row in self.inverse]
        else:
            entries = [(i, k) for i, k in enumerate(one.counts) if k] + [(self.n + one.kind, 1)]
            way = [sum(row[i] * k for i, k in entries) for row in self.inverse]
        ratios = [(max(self.right[r], 0.0) / w, -w, r) for r, w in enumerate(way) if w > EPS]
        if not ratios:
            raise TooMuchError
        _, _, out = min(ratios)
        pivot = way[out]
        row = [v / pivot for v in self.inverse[out]]
        share = self.right[out] / pivot
        for r, w in enumerate(way):
            if r != out and abs(w) > 1e-14:
                self.inverse[r] = [a - w * b for a, b in zip(self.inverse[r], row, strict=True)]
                self.right[r] -= w * share
        self.inverse[out], self.right[out], self.basis[out] = row, share, one
        self._prices = None


def counted(pieces: Iterator[int] | Sequence[int], lengths: Sequence[int]) -> Counts:
    """Return how many of each length there are among some pieces."""
    place = {w: i for i, w in enumerate(lengths)}
    out = [0] * len(lengths)
    for p in pieces:
        out[place[p]] += 1
    return tuple(out)
