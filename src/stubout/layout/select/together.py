"""One way for every fixture, from whatever drawing: the cheapest that go together, and what none can cost less than.

A mixed programme (HiGHS): no pipe flows two ways, a drain that vents another is there, two that share a vent fitting
agree about it, and what several use is paid once. Prices are those by which the engine tells drawings apart
(`worth.py`), each at the least that any drawing would have. Whether pipes of two drawings meet and fittings find room
is not asked: what is put together is finished and checked like any layout, and what does not pass is left out of the
next choice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from stubout.layout.select.pool import Piece, Place, Pool, Way
from stubout.solver import INFINITE, Linear

MOST_NODES = 2_000  # of the search tree: then what is proven so far
DOUBTED = 10_000.0  # what a way costs about which something is found, beside minutes


@dataclass(frozen=True, slots=True)
class Cheapest:
    """The cheapest ways that go together, with what is proven."""

    ways: tuple[Way, ...]  # one for each fixture
    least: float  # no other choice costs less: minutes, and DOUBTED for each way in doubt


class Together:
    """The ways of some drawings, to be put together.

    Args:
        pool: The ways.
    """

    def __init__(self, pool: Pool) -> None:
        self.pool = pool
        self._asked = Linear()
        self._refused: list[tuple[int, frozenset[Way]]] = []
        self._passed_over: list[int] = []
        ways = [w for some in pool.ways.values() for w in some]
        self._taken = {w: self._asked.column(0.0, 1.0, DOUBTED if w.doubted else 0.0, whole=True) for w in ways}
        pieces = sorted({p for w in ways for p in w.pieces})
        self._used = {p: self._asked.column(0.0, 1.0, pool.prices[p]) for p in pieces}
        self._paid = {q: self._asked.column(0.0, INFINITE, 1.0) for q in sorted({q for p in pieces for q in p[1:]})}
        for some in pool.ways.values():
            self._of_fixture(some)
        self._prices(pieces)
        for some_pieces in _one_way(pieces, ways):
            self._asked.row(0.0, 1.0, [(self._used[p], 1.0) for p in some_pieces])
        self._agree(ways)

    def cheapest(self) -> Cheapest | None:
        """Return the cheapest choice that was not refused; None where none is left or none was found."""
        found = self._asked.whole(MOST_NODES)
        if found is None:
            return None
        columns, least = found
        return Cheapest(tuple(w for w, column in self._taken.items() if columns[column] > 0.5), least)

    def refuse(self, ways: Collection[Way]) -> None:
        """Take some ways together no more: something is found about them, or they do not go together."""
        self._refused.append((self._not_all(ways), frozenset(ways)))

    def pass_over(self, ways: Collection[Way]) -> None:
        """Look for other choices than one that is known, until all that is known is taken in again (`allow`)."""
        self._passed_over.append(self._not_all(ways))

    def doubt(self, way: Way) -> None:
        """Let a way weigh more from now on."""
        self._asked.price(self._taken[way], DOUBTED)

    def allow(self, ways: Collection[Way]) -> None:
        """Take in what was passed over; let some ways weigh their minutes only, whatever was refused of them."""
        for w in ways:
            self._asked.price(self._taken[w], 0.0)
        for row in (*self._passed_over, *(row for row, refused in self._refused if refused <= set(ways))):
            self._asked.loosen(row)

    def _not_all(self, ways: Collection[Way]) -> int:
        return self._asked.row(0.0, len(ways) - 1.0, [(self._taken[w], 1.0) for w in ways])

    def _of_fixture(self, ways: Sequence[Way]) -> None:
        """One way of each fixture is taken; it uses its pieces and pays for its turns."""
        asked = self._asked
        asked.row(1.0, 1.0, [(self._taken[w], 1.0) for w in ways])
        uses: dict[Piece, list[tuple[int, float]]] = defaultdict(list)
        pays: dict[Place, list[tuple[int, float]]] = defaultdict(list)
        for w in ways:
            for p in sorted(w.pieces):
                uses[p].append((self._taken[w], -1.0))
            for q, price in sorted(w.at.items()):
                pays[q].append((self._taken[w], -price))
        for p, terms in uses.items():
            asked.row(0.0, INFINITE, [(self._used[p], 1.0), *terms])
        for q, terms in pays.items():
            asked.row(0.0, INFINITE, [(self._paid[q], 1.0), *terms])

    def _prices(self, pieces: Sequence[Piece]) -> None:
        """A terminal is paid where a vent ends, a fitting where two pipes come together."""
        for p in pieces:
            if (price := self.pool.roofs.get(p[2])) is not None:
                self._asked.row(0.0, INFINITE, [(self._paid[p[2]], 1.0), (self._used[p], -price)])
        for place, a, b, on in _joints(pieces):
            tee = self.pool.fitting(place, (a, b, on))
            self._asked.row(-tee, INFINITE, [(self._paid[place], 1.0), (self._used[a], -tee), (self._used[b], -tee)])

    def _agree(self, ways: Sequence[Way]) -> None:
        """What one way takes for granted of another is so."""
        drained: dict[Piece, list[Way]] = defaultdict(list)
        at: dict[Place, list[Way]] = defaultdict(list)
        for w in ways:
            for p in w.drains:
                drained[p].append(w)
            if w.takeoff is not None:
                at[w.takeoff].append(w)
        for w in ways:
            for p in w.wet:  # a drain that vents others carries something
                self._follows(w, [o for o in drained[p] if o.tag != w.tag])
            # of two that share a vent at two heights neither waits for the other
            if w.takeoff is not None and (mates := [o for o in at[w.takeoff] if o.tag == w.trap.partner]):
                self._follows(w, mates)
            for p in w.arm:  # nothing joins a trap arm but what did where it was drawn
                for o in drained[p]:
                    if o.tag != w.tag and not self.pool.drawn_together(w, o):
                        self.refuse((w, o))
        for some in at.values():
            for a, b in combinations(some, 2):
                if b.tag not in {a.tag, a.trap.partner} and not self.pool.drawn_together(a, b):
                    self.refuse((a, b))

    def _follows(self, one: Way, others: Sequence[Way]) -> None:
        """One way is taken only with one of some others."""
        terms = [(self._taken[o], 1.0) for o in others]
        self._asked.row(0.0, INFINITE, [*terms, (self._taken[one], -1.0)])


def _one_way(pieces: Sequence[Piece], ways: Sequence[Way]) -> Iterator[list[Piece]]:
    """Yield pieces of which at most one can be: what flows on from a place, and the same pipe the other way round.

    The loop of an island parts into two vents, one of which goes back to the drain.
    """
    onward: dict[tuple[str, Place], list[Piece]] = defaultdict(list)
    for p in pieces:
        onward[p[0], p[1]].append(p)
    parting = {a for w in ways for a in _parting(w.vents)}
    for (system, place), some in sorted(onward.items()):
        if len(some) > 1 and (system == "drain" or place not in parting):
            yield some
    there = set(pieces)
    for system, a, b in pieces:
        if a < b and (system, b, a) in there:
            yield [(system, a, b), (system, b, a)]


def _parting(vents: Sequence[Piece]) -> Iterator[Place]:
    """Yield the places from which two vents of one way go on."""
    seen: set[Place] = set()
    for _, a, _ in vents:
        if a in seen:
            yield a
        seen.add(a)


def _joints(pieces: Sequence[Piece]) -> Iterator[tuple[Place, Piece, Piece, Piece]]:
    """Yield two pieces of one system that flow into a place, with one that flows on: all three need a fitting."""
    into: dict[tuple[str, Place], list[Piece]] = defaultdict(list)
    onward: dict[tuple[str, Place], list[Piece]] = defaultdict(list)
    for p in pieces:
        into[p[0], p[2]].append(p)
        onward[p[0], p[1]].append(p)
    for (system, place), some in sorted(into.items()):
        on = onward.get((system, place), ())
        for a, b in combinations(some, 2):
            if on:
                yield place, a, b, on[0]
