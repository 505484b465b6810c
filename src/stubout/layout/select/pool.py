"""The ways of several drawings of one house, cut into the same pieces, so that they can be put together anew.

Each drawing gives each fixture a way: from its outlet to the connection, and from its vent fitting to the open air. A
pipe of one drawing is cut wherever a pipe of another ends on it; so what two ways have in common are the same pieces.
Lengths [mm], prices in minutes.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from stubout.catalog.costs import Costs
from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import Flow, chain_down, flow_of
from stubout.layout.model import Layout, PointKind, TrapPlan
from stubout.layout.worth import down_worth, fitting_worth, pipe_worth, straight_on

ON_LINE_MM = 0.15  # a point so near a pipe lies on it
LEAST_MM = 1.0  # of a piece

Place = tuple[float, float, float]
System = Literal["drain", "vent"]
Piece = tuple[System, Place, Place]
"""A straight piece of pipe, as it flows, between two places where a pipe of some drawing ends."""


Course = tuple[str, frozenset[Piece], Place | None]
"""What tells two ways apart: the fixture, their pieces and the place of the vent fitting."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One fixture's pipes in one drawing, in pieces."""

    tag: str
    drawing: int
    trap: TrapPlan
    drains: tuple[Piece, ...]  # from its outlet to the connection
    vents: tuple[Piece, ...]  # from its vent fitting to the open air, by way of whatever vents it
    arm: tuple[Piece, ...]
    wet: tuple[Piece, ...]  # drains of others that vent it
    takeoff: Place | None
    at: dict[Place, float]  # what its own pipes cost at the places where they meet [min]
    doubted: bool  # something is found about it in its drawing

    @property
    def pieces(self) -> frozenset[Piece]:
        """Return all its pieces, what vents it through others' drains among them."""
        return frozenset((*self.drains, *self.vents, *self.wet))

    @property
    def course(self) -> Course:
        """Return what tells it apart from other ways."""
        return self.tag, self.pieces, self.takeoff


class Pool:
    """The ways of all drawings, in the same pieces.

    Args:
        drawings: Drawings of the same house, none of them with parts drawn by hand.
        doubted: The fixtures about which something is found, by drawing.
        costs: The rows of the data with those of the job.
        tops: Where the pipe down to each fixture's trap begins, from `worth.pipe_tops` [mm].
    """

    def __init__(
        self,
        drawings: Sequence[Layout],
        doubted: Sequence[Collection[str]],
        costs: Costs,
        tops: Mapping[str, float],
    ) -> None:
        self.drawings, self.costs, self.tops = tuple(drawings), costs, tops
        self._ends = np.array(sorted({place_at(p.at) for d in drawings for p in d.points}))
        self._cut: dict[tuple[Place, Place], tuple[Place, ...]] = {}
        self.sizes: dict[Piece, float] = {}  # the least that any drawing has there [in]
        self.prices: dict[Piece, float] = {}
        self.roofs: dict[Place, float] = {}
        self.of_run = tuple(self._parts(d) for d in drawings)  # sizes of all, before anything is priced by them
        self.flows = tuple(flow_of(d.runs, {p.id: p.at for p in d.points}) for d in drawings)
        self._drawn = tuple(
            {(w := self._way(n, trap, trap.tag in doubted[n])).course: w for trap in drawing.traps}
            for n, drawing in enumerate(drawings)
        )
        self._ways: dict[Course, Way] = {}  # each once, undoubted where it is so in any drawing
        for ways in self._drawn:
            for course, way in ways.items():
                if self._ways.setdefault(course, way).doubted and not way.doubted:
                    self._ways[course] = way
        by_tag: dict[str, list[Way]] = defaultdict(list)
        for way in self._ways.values():
            by_tag[way.tag].append(way)
        self.ways = {tag: tuple(by_tag[tag]) for tag in sorted(by_tag)}

    def of(self, drawing: int) -> tuple[Way, ...]:
        """Return the ways of one drawing, each as it is in the pool."""
        return tuple(self._ways[course] for course in self._drawn[drawing])

    def drawn_together(self, one: Way, other: Way) -> bool:
        """Return whether some drawing has both ways."""
        return any(one.course in ways and other.course in ways for ways in self._drawn)

    def as_drawn(self, ways: Iterable[Way]) -> dict[int, tuple[Way, ...]]:
        """Return ways by the drawing each is taken from, those first from which most are.

        A way that several drawings have is taken from the first of these.
        """
        left = [w.course for w in ways]
        has = [sum(course in drawn for course in left) for drawn in self._drawn]
        out: dict[int, tuple[Way, ...]] = {}
        for n in sorted(range(len(has)), key=lambda n: (-has[n], n)):
            mine = [course for course in left if course in self._drawn[n]]
            if mine:
                out[n] = tuple(self._drawn[n][course] for course in mine)
                left = [course for course in left if course not in self._drawn[n]]
        return out

    def _parts(self, drawing: Layout) -> dict[str, tuple[Piece, ...]]:
        """Return the pieces of every run of a drawing, in flow order, their least sizes and prices noted."""
        at = {p.id: place_at(p.at) for p in drawing.points}
        kinds = {p.id: p.kind for p in drawing.points}
        out = {}
        for run in drawing.runs:
            cut = self._pieces(at[run.start], at[run.end])
            out[run.id] = tuple((run.system, a, b) for a, b in pairwise(cut))
            for piece in out[run.id]:
                self.sizes[piece] = min(run.size_in, self.sizes.get(piece, math.inf))
                price = pipe_worth(run, Vec(*piece[2]).minus(Vec(*piece[1])), self.costs)
                self.prices[piece] = min(price, self.prices.get(piece, math.inf))
            for end in (run.start, run.end):
                if kinds[end] is PointKind.TERMINAL:
                    price = self.costs.price("roof penetration", run.size_in).minutes
                    self.roofs[at[end]] = min(price, self.roofs.get(at[end], math.inf))
        return out

    def _pieces(self, a: Place, b: Place) -> tuple[Place, ...]:
        """Return a straight line cut wherever a pipe of any drawing ends on it."""
        if (a, b) not in self._cut:
            p, q = np.array(a), np.array(b)
            long = float(np.linalg.norm(q - p))
            if long <= LEAST_MM:
                return (a, b) if a != b else (a,)
            way = (q - p) / long
            along = (self._ends - p) @ way
            aside = np.linalg.norm(self._ends - p - np.outer(along, way), axis=1)
            on = (aside < ON_LINE_MM) & (along > LEAST_MM) & (along < long - LEAST_MM)
            between = sorted(zip(along[on].tolist(), self._ends[on].tolist(), strict=True))
            self._cut[a, b] = (a, *((x, y, z) for _, (x, y, z) in between), b)
        return self._cut[a, b]

    def _way(self, n: int, trap: TrapPlan, doubted: bool) -> Way:
        flow, parts = self.flows[n], self.of_run[n]

        def cut(runs: Iterable[str]) -> tuple[Piece, ...]:
            return tuple(dict.fromkeys(piece for i in runs if i in parts for piece in parts[i]))

        above = flow.drains_in.get(trap.weir, ())  # from the outlet down to a trap that lies below it
        vents, back = _vents(flow, trap)
        drains = cut((*above, *_down(flow, trap.weir), *back))
        wet = cut(trap.wet_through)
        takeoff = place_at(flow.at[trap.takeoff]) if trap.takeoff else None
        meet = meetings((*drains, *cut(vents)))
        at = {place: price for place, some in meet.items() if (price := self.fitting(place, some)) > 0.0}
        out = flow.drains_out.get(trap.weir, ())
        if trap.tag in self.tops and out and not above:
            weir = flow.at[trap.weir]
            if (price := down_worth(flow.runs[out[0]], self.tops[trap.tag] - weir.z, self.costs)) > 0.0:
                at[place_at(weir)] = at.get(place_at(weir), 0.0) + price
        return Way(trap.tag, n, trap, drains, cut(vents), cut(trap.arm_runs), wet, takeoff, at, doubted)

    def fitting(self, place: Place, pieces: Sequence[Piece]) -> float:
        """Return the least that some pieces that meet at a place cost there [min].

        What goes straight on may need no reducer: sizes are the least of any drawing, and may be alike in the end.
        """
        if len(pieces) < 2 or (len(pieces) == 2 and goes_on(place, *pieces)):
            return 0.0
        return fitting_worth([(self.sizes[p], leaves(place, p)) for p in sorted(pieces)], self.costs)


def _vents(flow: Flow, trap: TrapPlan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the vents of a fixture up to the open air, and the drains that the return of an island flows on in."""
    starts = [trap.takeoff, *(flow.runs[i].start for i in trap.wet_through if i in flow.runs)]
    vents: dict[str, None] = {}
    back: list[str] = []
    while starts:
        for i in flow.vents_out.get(starts.pop(0), ()):
            if i in vents:
                continue
            vents[i] = None
            end = flow.runs[i].end
            starts.append(end)
            if not flow.vents_out.get(end):
                back += _down(flow, end)
    return tuple(vents), tuple(back)


def _down(flow: Flow, node: str) -> tuple[str, ...]:
    outs = flow.drains_out.get(node, ())
    return (outs[0], *chain_down(flow, outs[0])) if outs else ()


def meetings(pieces: Iterable[Piece]) -> dict[Place, list[Piece]]:
    """Return the pieces that meet at each place."""
    meet: dict[Place, list[Piece]] = defaultdict(list)
    for piece in pieces:
        meet[piece[1]].append(piece)
        meet[piece[2]].append(piece)
    return meet


def leaves(place: Place, piece: Piece) -> Vec:
    """Return the way of a piece from one of its ends to the other."""
    return Vec(*(piece[2] if piece[1] == place else piece[1])).minus(Vec(*place))


def goes_on(place: Place, one: Piece, other: Piece) -> bool:
    """Return whether two pieces that meet go straight on."""
    return straight_on(leaves(place, one), leaves(place, other))


def place_at(p: Vec) -> Place:
    """Return a point as a place, to a tenth of a millimetre."""
    return (round(p.x, 1), round(p.y, 1), round(p.z, 1))
