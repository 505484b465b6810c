"""A whole drawing bettered by what is chosen all at once: places that are tried first, and the house drawn again.

In a small house every set of places is drawn, so that no other is better; in a larger one the places chosen together,
then one place after the other, the most promising first, within a fixed number of search steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from itertools import product
from typing import Protocol, TypeVar

from stubout.layout.select.arms import ArmChoice
from stubout.layout.select.solve import solve

MOST_ALL = 8  # sets of places up to which all are drawn
MOST_TRIALS = 4  # single places that are tried in a larger house
LEAST_SAVING = 0.01  # what would spare less of the cost is not told from the error of the estimate (`worth.py`)
MOST_EFFORT = 30_000  # search steps of the whole layout after which no further place is tried

Places = Mapping[str, str]


class Ranked(Protocol):
    """A whole drawing that can be held against another."""

    @property
    def rank(self) -> tuple[int, float, float]:
        """Return what is blocked, how bad its worst fault is, what it costs: the less the better."""
        ...


Drawing = TypeVar("Drawing", bound=Ranked)


def guided(
    best: Drawing,
    found: ArmChoice,
    placed: Callable[[Drawing], Places],
    draw: Callable[[Places], Drawing],
    effort: Callable[[], int],
) -> Drawing:
    """Return the best drawing found by trying places first; the same one where little would be won.

    Args:
        best: The best so far.
        found: The arms of all fixtures on walls as one choice.
        placed: Where the vent fittings of a drawing stand, by fixture.
        draw: Draws the house with such places tried first.
        effort: How many search steps have been taken.
    """
    other = _searched(best, found, placed, draw, effort)
    spared = other.rank[2] <= best.rank[2] * (1.0 - LEAST_SAVING)
    return other if other.rank[:2] < best.rank[:2] or (other.rank[:2] == best.rank[:2] and spared) else best


def _searched(
    best: Drawing,
    found: ArmChoice,
    placed: Callable[[Drawing], Places],
    draw: Callable[[Places], Drawing],
    effort: Callable[[], int],
) -> Drawing:
    """Return the drawing that ranks best of those that are tried."""
    seen = {_key(placed(best), found)}
    for wanted in _worth_trying(found):
        if _key(wanted, found) in seen:
            continue
        if effort() > MOST_EFFORT:
            break
        seen.add(_key(wanted, found))
        best = min(best, draw(wanted), key=lambda d: d.rank)
    if math.prod(len(options(found, g)) for g in range(len(found.arms))) <= MOST_ALL:
        return best
    for trial, (tag, place) in enumerate(_single(found)):
        if trial >= MOST_TRIALS or effort() > MOST_EFFORT:
            break
        wanted = {**placed(best), tag: place}
        if _key(wanted, found) not in seen:
            seen.add(_key(wanted, found))
            best = min(best, draw(wanted), key=lambda d: d.rank)
    return best


def options(found: ArmChoice, group: int) -> dict[str, int]:
    """Return the places of one fixture, the cheapest first, with their prices."""
    out: dict[str, int] = {}
    for k, arm in enumerate(found.arms[group]):
        out.setdefault(found.place(group, k), arm.price)
    return out


def _worth_trying(found: ArmChoice) -> Iterator[Places]:
    """Yield the places chosen together, then every set of places where they are few."""
    picked = solve(found.choice)
    if picked is not None:
        yield found.places(picked.picks)
    groups = [options(found, g) for g in range(len(found.arms))]
    if math.prod(map(len, groups)) <= MOST_ALL:
        for some in product(*groups):
            yield dict(zip(found.tags, some, strict=True))


def _single(found: ArmChoice) -> list[tuple[str, str]]:
    """Return single places to try, those first whose price is nearest to the cheapest of their fixture."""
    out = []
    for g, tag in enumerate(found.tags):
        places = options(found, g)
        least = min(places.values())
        out += [(price - least, tag, place) for place, price in places.items()]
    return [(tag, place) for _, tag, place in sorted(out)]


def _key(places: Places, found: ArmChoice) -> tuple[str, ...]:
    return tuple(places.get(tag, "") for tag in found.tags)
