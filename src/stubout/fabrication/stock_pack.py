"""Pieces laid out on a given number of sticks by trying everything that may matter, within a number of steps.

The longest piece left goes on some stick; with it only fillings to which no piece left could be added, since adding it
never does harm; and none that wastes more than all sticks together can spare. Where little can be spared few fillings
are left, and that none of them works is a proof.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import islice
from typing import NamedTuple

STEPS_LIKELY = 1_000_000  # of the search for a likely way
STEPS_BELOW = 20_000  # of these for the last sticks, each time
FEW_STICKS = 6  # left, of which everything is tried
WIDTH = 3  # fillings tried of every stick before them
SHARES = 2  # of what can be spared, that the filling of one stick may waste
Counts = tuple[int, ...]  # of each length


class TooMuchError(Exception):
    """A search was given up; the one who asks does without."""


class Column(NamedTuple):
    """What is laid on one stick of one kind."""

    kind: int
    counts: Counts


def packed(
    lengths: Sequence[int], demand: Sequence[int], holds: Sequence[int], sticks: Sequence[int], most_steps: int
) -> list[Column] | None:
    """Return the pieces laid out on the sticks, None where there is no way.

    Args:
        lengths: Lengths with their kerf, longest first.
        demand: How many pieces of each.
        holds: What each kind of stick holds.
        sticks: How many of each kind there are.
        most_steps: After so many the search is given up.

    Raises:
        TooMuchError: If it was.

    Example: 60 + 40 and 50 + 30 + 20 on two sticks of 100.
        >>> [c.counts for c in packed((60, 50, 40, 30, 20), (1, 1, 1, 1, 1), (100,), (2,), 100)]
        [(1, 0, 1, 0, 0), (0, 1, 0, 1, 1)]
        >>> packed((51,), (3,), (100,), (2,), 100) is None
        True
    """
    spare = sum(h * n for h, n in zip(holds, sticks, strict=True)) - sum(
        w * n for w, n in zip(lengths, demand, strict=True)
    )
    return _Pack(tuple(lengths), tuple(holds), most_steps).down(list(demand), list(sticks), spare)


def likely(
    lengths: Sequence[int], demand: Sequence[int], holds: Sequence[int], sticks: Sequence[int], most_steps: int
) -> tuple[list[Column] | None, int]:
    """Return the pieces laid out on the sticks where a likely way is found, and the steps left.

    None where no way is found: that proves nothing.

    The first sticks get few fillings each, those of the longest pieces that waste no more than their share of what can
    be spared; of the last sticks everything is tried.

    Args:
        lengths: Lengths with their kerf, longest first.
        demand: How many pieces of each.
        holds: What each kind of stick holds.
        sticks: How many of each kind there are.
        most_steps: After so many the search is given up.
    """
    pack = _Pack(tuple(lengths), tuple(holds), most_steps)
    with suppress(TooMuchError):
        return pack.guess(list(demand), list(sticks)), pack.steps
    return None, 0


@dataclass(slots=True)
class _Pack:
    lengths: tuple[int, ...]
    holds: tuple[int, ...]
    steps: int  # left

    def guess(self, demand: list[int], sticks: list[int]) -> list[Column] | None:
        """Return the pieces left laid out on the sticks left in a likely way."""
        spare = sum(h * n for h, n in zip(self.holds, sticks, strict=True)) - sum(
            w * n for w, n in zip(self.lengths, demand, strict=True)
        )
        if sum(sticks) <= FEW_STICKS:
            below = _Pack(self.lengths, self.holds, min(STEPS_BELOW, self.steps))
            try:
                return below.down(demand, sticks, spare)
            except TooMuchError:
                return None
            finally:
                self.steps -= STEPS_BELOW - below.steps
                if self.steps < 0:
                    raise TooMuchError
        first = next((i for i, n in enumerate(demand) if n), None)
        if first is None:
            return []
        share = SHARES * spare // sum(sticks)
        for kind in sorted(range(len(self.holds)), key=lambda k: self.holds[k]):
            if not sticks[kind] or self.holds[kind] < self.lengths[first]:
                continue
            for counts, _ in islice(self._fillings(first, demand, self.holds[kind], share), WIDTH):
                left = [d - n for d, n in zip(demand, counts, strict=True)]
                below_ = self.guess(left, [n - (k == kind) for k, n in enumerate(sticks)])
                if below_ is not None:
                    return [Column(kind, counts), *below_]
        return None

    def down(self, demand: list[int], sticks: list[int], spare: int) -> list[Column] | None:
        """Return the pieces left laid out on the sticks left, None where there is no way."""
        first = next((i for i, n in enumerate(demand) if n), None)
        if first is None:
            return []
        if spare < 0:
            return None
        for kind in sorted(range(len(self.holds)), key=lambda k: self.holds[k]):
            if not sticks[kind] or self.holds[kind] < self.lengths[first]:
                continue
            for counts, waste in self._fillings(first, demand, self.holds[kind], spare):
                left = [d - n for d, n in zip(demand, counts, strict=True)]
                fewer = [n - (k == kind) for k, n in enumerate(sticks)]
                below = self.down(left, fewer, spare - waste)
                if below is not None:
                    return [Column(kind, counts), *below]
        return None

    def _fillings(self, first: int, demand: list[int], hold: int, spare: int) -> Iterator[tuple[Counts, int]]:
        """Yield what can lie on a stick with one of the first length, and what it wastes."""
        n = len(demand)
        rest = [0] * (n + 1)
        for i in range(n - 1, -1, -1):
            rest[i] = rest[i + 1] + self.lengths[i] * demand[i]
        counts = [0] * n
        counts[first] = 1
        lengths = self.lengths

        def more(i: int, room: int, missed: int) -> Iterator[tuple[Counts, int]]:
            """Go on with length i; `missed` is the shortest piece that was left away though it may fit."""
            self.steps -= 1
            if self.steps < 0:
                raise TooMuchError
            if room - rest[i] > spare:
                return
            while i < n and (not demand[i] or lengths[i] > room):
                i += 1
            if i == n:
                if missed > room:
                    yield tuple(counts), room
                return
            there = demand[i] - (i == first)
            for k in range(min(there, room // lengths[i]), -1, -1):
                counts[i] += k
                yield from more(i + 1, room - k * lengths[i], lengths[i] if k < there else missed)
                counts[i] -= k

        yield from more(first, hold - lengths[first], hold + 1)
