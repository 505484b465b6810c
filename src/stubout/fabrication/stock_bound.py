"""The least pipe any stock plan has to buy, by arithmetic alone.

A stick holds pieces that, each with one kerf, are together no longer than the stick and one kerf: cutting to length is
packing bins of several capacities. Offcuts on hand are sticks that cost nothing; there is one of each. A choice of
sticks that fails one of the conditions here cannot hold the pieces, however they are laid; the cheapest choice that
fails none is a proven least. Whole numbers, thousandths of a mm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

GRID = 1000  # steps a mm: what is proven is proven on this grid
MOST_CHOICES = 50_000  # of sticks that are looked at; where there are more, the bound is that of the volume
Choice = tuple[int, ...]  # how many sticks of each stock length, shortest length first


class Least(NamedTuple):
    """What a plan at least buys: pipe [mm] first, then sticks for that much pipe."""

    mm: float
    sticks: int


@dataclass(frozen=True, slots=True)
class Sizes:
    """One size of pipe as whole numbers: pieces with their kerf, longest first, and what each stock length holds."""

    items: tuple[int, ...]
    holds: tuple[int, ...]  # stock length and one kerf, shortest first
    stock_mm: tuple[float, ...]
    hand: tuple[int, ...] = ()  # the same of each offcut on hand
    hand_mm: tuple[float, ...] = ()

    def price(self, choice: Choice) -> tuple[float, int]:
        """Return pipe bought [mm], to the grid, and number of sticks of a choice."""
        return round(sum(n * s for n, s in zip(choice, self.stock_mm, strict=True)), 3), sum(choice)

    def hold(self, place: int) -> int:
        """Return what a stick holds: places count the stock lengths first, then the offcuts on hand."""
        return (*self.holds, *self.hand)[place]

    def sticks(self, choice: Choice) -> list[tuple[int, int]]:
        """Return how many sticks hold how much, of a choice and of all that is on hand."""
        bought = [(n, h) for n, h in zip(choice, self.holds, strict=True) if n]
        return bought + [(n, h) for h, n in sorted(Counter(self.hand).items())]


def sizes(cuts_mm: list[float], stock_mm: list[float], kerf_mm: float, hand_mm: tuple[float, ...] = ()) -> Sizes:
    """Return pieces and stock lengths as whole numbers: pieces rounded up, sticks down.

    Args:
        cuts_mm: Lengths of the pieces [mm], none longer than the longest stock length.
        stock_mm: Stock lengths, shortest first [mm].
        kerf_mm: What every cut takes [mm].
        hand_mm: Offcuts on hand [mm].
    """

    def holds(lengths_mm: Iterable[float]) -> tuple[int, ...]:
        return tuple(math.floor((s + kerf_mm) * GRID + 1e-3) for s in lengths_mm)

    items = sorted((math.ceil((c + kerf_mm) * GRID - 1e-3) for c in cuts_mm), reverse=True)
    return Sizes(tuple(items), holds(stock_mm), tuple(stock_mm), holds(hand_mm), hand_mm)


def least(of: Sizes, known: tuple[float, int]) -> Least:
    """Return the proven least of pipe and sticks.

    Args:
        of: Pieces and sticks.
        known: Pipe [mm] and sticks of a plan that works: nothing above it is looked at.
    """
    if _too_many(of, known):
        share = min(s / h for s, h in zip(of.stock_mm, of.holds, strict=True))
        to_buy = max(sum(of.items) - sum(of.hand), 0)
        return Least(to_buy * share, math.ceil(to_buy / of.holds[-1]))
    first = next(iter(choices(of, known)), None)
    return Least(*(of.price(first) if first is not None else known))


def choices(of: Sizes, known: tuple[float, int]) -> Iterator[Choice]:
    """Return the choices of sticks, cheaper than a known plan or the same, that nothing here rules out; best first."""
    if _too_many(of, known):
        return iter(())
    ranked = sorted(_within(of, known), key=lambda c: (of.price(c), c))
    return (c for c in ranked if could_hold(of, c))


def _most(of: Sizes, known: tuple[float, int]) -> list[int]:
    """Return how many sticks of each length a known price pays for, the shortest length left out."""
    return [min(len(of.items), int((known[0] + 1e-3) / s)) for s in of.stock_mm[1:]]


def _too_many(of: Sizes, known: tuple[float, int]) -> bool:
    return math.prod(m + 1 for m in _most(of, known)) > MOST_CHOICES


def _within(of: Sizes, known: tuple[float, int]) -> Iterator[Choice]:
    """Yield the choices that hold the volume and cost no more: of the shortest length just enough, and more."""
    volume = sum(of.items) - sum(of.hand)
    for longer in product(*(range(m + 1) for m in _most(of, known))):
        held = sum(n * h for n, h in zip(longer, of.holds[1:], strict=True))
        short = max(math.ceil((volume - held) / of.holds[0]), 0)
        while of.price((short, *longer)) <= known:
            yield (short, *longer)
            short += 1


def could_hold(of: Sizes, choice: Choice) -> bool:
    """Return False where a choice of sticks cannot hold the pieces; True proves nothing.

    The pieces that go into no shorter stick are put to the longer ones alone. For each of these, three conditions:
    volume; as many pieces of a length and more as the sticks can hold of it; and the weights behind the bound L2 of
    Martello and Toth (1990), with each stick weighed by what it can hold of them.
    """
    all_sticks = of.sticks(choice)
    for shorter in (0, *sorted({*of.holds, *of.hand})):
        items = [i for i in of.items if i > shorter]
        sticks = [(n, h) for n, h in all_sticks if h > shorter]
        if items and not (
            sticks and _volume_holds(items, sticks) and _counted(items, sticks) and _weighed(items, sticks)
        ):
            return False
    return True


def _volume_holds(items: list[int], sticks: list[tuple[int, int]]) -> bool:
    return sum(items) <= sum(n * h for n, h in sticks)


def _counted(items: list[int], sticks: list[tuple[int, int]]) -> bool:
    """Return whether for every length the sticks hold as many pieces as are at least that long."""
    return all(k <= sum(n * (h // item) for n, h in sticks) for k, item in enumerate(items, 1))


def _weighed(items: list[int], sticks: list[tuple[int, int]]) -> bool:
    """Return whether the pieces, weighed for every threshold, are no heavier than what the sticks can carry.

    At a threshold a piece below it weighs nothing, one that leaves less than it in the longest stick weighs that whole
    stick, any other its length. A stick that holds one of the heavy ones holds nothing else that weighs.
    """
    longest = max(h for _, h in sticks)
    for threshold in Counter(i for i in items if i <= longest / 2):
        heavy = [i for i in items if i > longest - threshold]
        weight = len(heavy) * longest + sum(i for i in items if threshold <= i <= longest - threshold)
        carried = sum(n * (longest if heavy and heavy[-1] <= h else h) for n, h in sticks)
        if weight > carried:
            return False
    return True
