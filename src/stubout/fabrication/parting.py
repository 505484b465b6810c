"""Where a straight run is parted: couplings as few as can be, so that every length is on a stick and goes in. [mm]

Seen along the run only: places are distances from its beginning. Lengths go in from one side of the members they pass
or from the other. Those before a place along the run come in from before, those after it from after, so that no length
has to pass where another one is in already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal, NamedTuple

Way = Literal["before", "after"]
WAYS: tuple[Way, Way] = ("before", "after")
SEVERAL = 2  # members: one alone lets a lying pipe be slanted in its hole
STAND_MM = 1800.0  # in lower stretches nobody stands up to an upright pipe; common practice, no source
LOW = 10.0  # a coupling there is as far from where one would like it as one so many times farther off than it is low
SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)  # of a free stretch: places that are tried beside those that have to be
EPS_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Passed:
    """A member that a run goes through, and the room in line with the run on both sides of it."""

    owner: str  # wall or frame; of an upright run also a slab's level, or "roof"
    at_mm: float  # its middle, along the run
    before_mm: float  # up to the next member of the owner; inf where that side is open, 0 where there is none
    after_mm: float
    poured: bool = False  # concrete round a pipe that stands there first


class Span(NamedTuple):
    """A stretch of a run."""

    lo_mm: float
    hi_mm: float


class Length(NamedTuple):
    """One length of a parted run: where the pipe begins and ends, in its sockets."""

    start_mm: float
    end_mm: float

    @property
    def mm(self) -> float:
        """Return what the saw is set to [mm]."""
        return round(self.end_mm - self.start_mm, 9)  # a whole stick is no longer than it is


@dataclass(frozen=True, slots=True)
class Parted:
    """The lengths of a run."""

    lengths: tuple[Length, ...]
    to_go_in: bool = False  # parted so that they can be put in, else because sticks are no longer


@dataclass(frozen=True, slots=True)
class Line:
    """A run to be parted, from seat to seat."""

    start_mm: float
    end_mm: float
    gap_mm: float  # between the two pipes in a coupling
    least_mm: float  # of a length between two hubs, or a hub and an end
    longest_mm: float = 0.0  # stock length; 0 = any
    last_mm: float = 0.0  # the last length is no shorter
    passed: tuple[Passed, ...] = ()  # in order
    closed: tuple[Span, ...] = ()  # no middle of a coupling may be there
    upright: bool = False  # one member is enough to hold it, and all of them are in one line
    open: tuple[Span, ...] = ()  # of an upright run: what is open of its line between all that is across it

    def parted(self) -> tuple[Length, ...]:
        """Return the lengths of the run, the fewest there can be; nothing where it cannot be parted.

        Where it has to be parted to go in, the couplings stand as near the middle of their stretch as that lets them;
        where only the stick is too short, every length but the last is as long as it gets.
        """
        return _Search(self, _free(self)).best()

    def places(self, wanted: list[float]) -> list[float]:
        """Return the places of couplings that are looked at, with those nearest to some others on both sides."""
        search = _Search(self, _free(self))
        near = {search.nearest(w, sign) for w in wanted for sign in (1.0, -1.0)}
        return sorted({*search.places()[:-1], *(at for at in near if at is not None)})

    def off(self, at: float, free: Span | None = None) -> float:
        """Return how far a coupling stands from where one would like it: the middle of its stretch.

        Of an upright run: the middle of a bay or a storey in which one can stand.

        Args:
            at: The middle of the coupling.
            free: The stretch in which it may be.
        """
        lo, hi = next((s for s in self.open if s.lo_mm <= at <= s.hi_mm), free or Span(at, at))
        if not self.upright:
            return abs(at - (lo + hi) / 2)
        lo, hi = max(lo, self.start_mm - STAND_MM), min(hi, self.end_mm + STAND_MM)
        return abs(at - (lo + hi) / 2) + LOW * max(STAND_MM - (hi - lo), 0.0)

    def room_mm(self, length: Length, way: Way) -> float:
        """Return the shortest of the rooms in line that a length comes from on one side; inf where none is limited."""
        return min((_room(own, through, way) for own, through in self._held(length)), default=math.inf)

    @property
    def goes_whole(self) -> bool:
        """Return whether the whole run could be put in, were there a stick as long."""
        whole = replace(self, longest_mm=0.0)
        return any(whole.goes(self.start_mm, self.end_mm, way) for way in WAYS)

    def goes(self, p: float, q: float, way: Way) -> bool:
        """Return whether the length between two couplings, or an end and a coupling, can be cut and put in."""
        length = self.between(p, q)
        whole = (p, q) == (self.start_mm, self.end_mm)
        if not whole and length.mm < self.least_mm - EPS_MM:
            return False
        if self.longest_mm > 0 and length.mm > self.longest_mm + EPS_MM:
            return False
        return self.lets(length, way)

    def between(self, p: float, q: float) -> Length:
        """Return the length of pipe between two couplings, or an end and a coupling."""
        return Length(
            p if p == self.start_mm else p + self.gap_mm / 2,
            q if q == self.end_mm else q - self.gap_mm / 2,
        )

    def lets(self, length: Length, way: Way) -> bool:
        """Return whether a length can be put in from one side."""
        return all(
            len(through) == 1  # it stands there before the concrete, and before the walls on it
            if any(p.poured for p in through)
            else length.mm <= _room(own, through, way) + EPS_MM
            for own, through in self._held(length)
        )

    def several(self, length: Length) -> bool:
        """Return whether a length goes through more members of one owner than it can be slanted into."""
        return any(True for _ in self._held(length))

    def poured(self, length: Length) -> bool:
        """Return whether a length stands where it belongs before the concrete is poured round it."""
        return any(p.poured for _, through in self._held(length) for p in through)

    def _held(self, length: Length) -> Iterator[tuple[list[Passed], list[Passed]]]:
        """Yield all that the run passes of one owner, and of these what a length passes, where that holds it in line.

        All that an upright run passes is in one line.
        """
        for owner in ("",) if self.upright else dict.fromkeys(p.owner for p in self.passed):
            own = [p for p in self.passed if self.upright or p.owner == owner]
            through = [p for p in own if length.start_mm <= p.at_mm <= length.end_mm]
            if len(through) >= (1 if self.upright else SEVERAL):
                yield own, through


def _room(own: list[Passed], through: list[Passed], way: Way) -> float:
    """Return the longest room in line a length can come from; it may come through the other holes of its run."""
    if way == "before":
        return max(p.before_mm for p in own if p.at_mm <= through[0].at_mm)
    return max(p.after_mm for p in own if p.at_mm >= through[-1].at_mm)


def _free(line: Line) -> list[Span]:
    """Return the stretches in which the middle of a coupling may be."""
    half = line.gap_mm / 2
    at = line.start_mm + line.least_mm + half
    end = line.end_mm - max(line.least_mm, line.last_mm) - half
    out = []
    for lo, hi in sorted(line.closed):
        if lo > at:
            out.append(Span(at, min(lo, end)))
        at = max(at, hi)
    out.append(Span(at, end))
    return [s for s in out if s.hi_mm >= s.lo_mm]


Rank = tuple[int, float]  # lengths; how far the couplings stand from where one would like them


@dataclass(slots=True)
class _Search:
    line: Line
    free: list[Span]
    _wish: dict[float, float] = field(default_factory=dict)  # place of a coupling -> what it is away from the best

    def best(self) -> tuple[Length, ...]:
        """Return the fewest lengths; of those the couplings where they are wanted."""
        line = self.line
        places = self.places()
        known: dict[tuple[float, Way], tuple[Rank, tuple[Length, ...]]] = {(line.start_mm, "before"): ((0, 0.0), ())}
        for q in places:
            for p, way in list(known):
                rank, lengths = known[p, way]
                new = (rank[0] + 1, round(rank[1] + self._wish[q], 3))
                for then in WAYS[WAYS.index(way) :]:
                    better = (q, then) not in known or new < known[q, then][0]
                    if p < q and better and line.goes(p, q, then):
                        known[q, then] = (new, (*lengths, line.between(p, q)))
        ends = [known[line.end_mm, w] for w in WAYS if (line.end_mm, w) in known]
        return min(ends, key=lambda e: e[0])[1] if ends else ()

    def places(self) -> list[float]:
        """Return the places of couplings that are looked at, and the end: few, and enough for the fewest couplings."""
        line = self.line
        middles = not line.goes_whole
        out = {
            round(s.lo_mm + share * (s.hi_mm - s.lo_mm), 6) for s in self.free for share in (SHARES if middles else ())
        }
        out |= set(self._chain("before")) | set(self._chain("after"))
        for c in out:
            span = next(s for s in self.free if s.lo_mm - 1e-5 <= c <= s.hi_mm + 1e-5)
            self._wish[c] = line.off(c, span) if middles else -c
        self._wish[line.end_mm] = 0.0
        return sorted({*out, line.end_mm})

    def _chain(self, way: Way) -> Iterator[float]:
        """Yield the couplings of the run parted from one end, every length as long as it gets."""
        line = self.line
        sign = 1.0 if way == "before" else -1.0
        at, end = (line.start_mm, line.end_mm) if way == "before" else (line.end_mm, line.start_mm)
        while True:
            limits = [line.longest_mm, *(p.before_mm if way == "before" else p.after_mm for p in line.passed)]
            wanted = [at + sign * (x + line.gap_mm / (2 if at in (line.start_mm, line.end_mm) else 1)) for x in limits]
            tried = {c for w in wanted if (c := self.nearest(w, sign)) is not None}
            tried |= {s.hi_mm if sign > 0 else s.lo_mm for s in self.free}
            ahead = [c for c in tried if sign * (c - at) > EPS_MM and line.goes(min(at, c), max(at, c), way)]
            if line.goes(min(at, end), max(at, end), way) or not ahead:
                return
            at = max(ahead, key=lambda c: sign * c)
            yield at

    def nearest(self, place: float, sign: float) -> float | None:
        """Return the last free place up to a place, seen in a direction."""
        held = [s for s in self.free if sign * ((s.lo_mm if sign > 0 else s.hi_mm) - place) <= EPS_MM]
        if not held or place in (float("inf"), float("-inf")):
            return None
        if sign > 0:
            return max(min(s.hi_mm, place) for s in held)
        return min(max(s.lo_mm, place) for s in held)
