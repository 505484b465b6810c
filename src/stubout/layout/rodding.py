"""Drains that a rod does not reach: where a cleanout finds no place, the drain is laid another way.

Cleanouts are set last, into a drawing that stands. Where the book asks for one and no place for it can be reached, the
house is drawn again without a choice of the fixtures whose drains meet there, or in another order, and the new drawing
is kept where fewer are missing and nothing else is worse.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from stubout.layout.cleanout_setter import NO_PLACE
from stubout.layout.judge import choices_of
from stubout.layout.model import Layout
from stubout.layout.work import Ban, Order, Work

MOST_TRIES = 8  # times a house is drawn again for its cleanouts


@dataclass(frozen=True, slots=True)
class Rodded:
    """A drawing with its cleanouts."""

    work: Work
    layout: Layout
    bare: Layout  # without them
    rank: tuple[int, float, float]  # before cleanouts
    drained: Work | None = None  # its desk before any vent was drawn

    @property
    def key(self) -> tuple[int, float, int, float]:
        """Return how good it is, the smaller the better."""
        return (*self.rank[:2], len(missing(self.layout)), self.rank[2])


Draw = Callable[[frozenset[Ban], Order], Rodded]


def missing(layout: Layout) -> tuple[str, ...]:
    """Return the runs and points where a cleanout is asked for and none was set."""
    return tuple(q.about[0] for q in layout.questions if q.id.startswith("Q-") and q.id.endswith(NO_PLACE))


def rodded(best: Rodded, draw: Draw, orders: tuple[Order, ...], enough: Callable[[], bool]) -> Rodded:
    """Return the drawing in which the fewest cleanouts are missing.

    Other orders come first; then a choice is left out of the best drawing, and of those that are as good but dearer.

    Args:
        best: The drawing so far.
        draw: Draws the house without some choices, in an order, and sets its cleanouts.
        orders: Other orders to try.
        enough: Whether enough has been searched already.
    """
    seen = [best]
    tried: set[tuple[frozenset[Ban], Order]] = {(best.work.bans, best.work.order)}
    for _ in range(MOST_TRIES):
        best = min(seen, key=lambda d: d.key)
        if not missing(best.layout) or enough():
            break
        from_here = sorted((d for d in seen if d.key[:3] == best.key[:3]), key=lambda d: d.key)
        ways = (w for ways in (_orders(seen[0], orders), *map(_ways, from_here)) for w in ways)
        way = next((w for w in ways if w not in tried), None)
        if way is None:
            break
        tried.add(way)
        seen.append(draw(*way))
    return min(seen, key=lambda d: d.key)


def _orders(best: Rodded, orders: tuple[Order, ...]) -> Iterator[tuple[frozenset[Ban], Order]]:
    """Yield the other orders."""
    for order in orders:
        yield best.work.bans, order


def _ways(best: Rodded) -> Iterator[tuple[frozenset[Ban], Order]]:
    """Yield the drawing without one of the choices made where a cleanout is missing."""
    work = best.work
    runs = {r.id: r for r in best.layout.runs}
    tags: dict[str, None] = {}
    for about in missing(best.layout):
        here = [runs[about]] if about in runs else [r for r in runs.values() if about in (r.start, r.end)]
        drains = [r for r in here if r.system == "drain"]
        ends = {n for r in drains for n in (r.start, r.end)}
        tags |= dict.fromkeys(r.tag for r in drains if r.tag)
        tags |= dict.fromkeys(r.tag for r in runs.values() if r.end in ends and r.system == "drain" and r.tag)
    for tag in tags:
        if tag in work.traps:
            for ban in choices_of(work, tag):
                yield work.bans | {ban}, work.order
