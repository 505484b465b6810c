"""The ways of several drawings of one house, cut into the same pieces, so that they can be put together anew.

Each drawing gives each fixture a way: from its outlet to the connection, and from its vent fitting to the open air. A
pipe of one drawing is cut wherever a pipe of another ends on it; so what two ways have in common are the same pieces.
Lengths [mm], prices in minutes.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from stubout.catalog.costs import Costs
from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import Flow, chain_down, flow_of
from stubout.layout.model import UNDERGROUND, Layout, PointKind, Run, TrapPlan
from stubout.layout.worth import STRAIGHT

ON_LINE_MM = 0.15  # a point so near a pipe lies on it
LEAST_MM = 1.0  # of a piece

Place = tuple[float, float, float]
System = Literal["drain", "vent"]
Piece = tuple[System, Place, Place]
"""A straight piece of pipe, as it flows, between two places where a pipe of some drawing ends."""


Known = tuple[frozenset[Piece], Place | None]
"""What tells two ways of a fixture apart: their pieces and the place of the vent fitting."""


@dataclass(frozen=True, slots=True)
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
    def key(self) -> Known:
        """Return what tells it apart from other ways of the fixture."""
        return self.pieces, self.takeoff


class Pool:
    """The ways of all drawings, in the same pieces.

    Args:
        drawings: Drawings of the same house, none of them with parts drawn by hand.
        doubted: The fixtures about which something is found, by drawing.
        costs: The rows of the data with those of the job.
    """

    def __init__(self, drawings: Sequence[Layout], doubted: Sequence[Collection[str]], costs: Costs) -> None:
        self.drawings, self.costs = tuple(drawings), costs
        self._ends = np.array(sorted({place_at(p.at) for d in drawings for p in d.points}))
        self._cut: dict[tuple[Place, Place], tuple[Place, ...]] = {}
        self.sizes: dict[Piece, float] = {}  # the least that any drawing has there [in]
        self.prices: dict[Piece, float] = {}
        self.roofs: dict[Place, float] = {}
        self.of_run = tuple(self._parts(d) for d in drawings)  # sizes of all, before anything is priced by them
        self.flows = tuple(flow_of(d.runs, {p.id: p.at for p in d.points}) for d in drawings)
        found: dict[str, dict[Known, Way]] = defaultdict(dict)
        self._same: list[list[tuple[str, Known]]] = []
        for n, drawing in enumerate(drawings):
            ways = [self._way(n, trap, trap.tag in doubted[n]) for trap in drawing.traps]
            self._same.append([(w.tag, w.key) for w in ways])
            for way, (_, key) in zip(ways, self._same[-1], strict=True):
                there = found[way.tag].setdefault(key, way)
                if there.doubted and not way.doubted:
                    found[way.tag][key] = way
        self._found = {tag: dict(ways) for tag, ways in sorted(found.items())}
        self.ways = {tag: tuple(ways.values()) for tag, ways in self._found.items()}

        self._in: dict[tuple[str, Known], set[int]] = defaultdict(set)
        for n, keys in enumerate(self._same):
            for one in keys:
                self._in[one].add(n)

    def drawn_together(self, one: Way, other: Way) -> bool:
        """Return whether some drawing has both ways."""
        return not self._in[one.tag, one.key].isdisjoint(self._in[other.tag, other.key])

    def of(self, drawing: int) -> tuple[Way, ...]:
        """Return the ways of one drawing, each as it is in the pool."""
        return tuple(self._found[tag][key] for tag, key in self._same[drawing])

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
                self.prices[piece] = min(_pipe(piece, run, self.costs), self.prices.get(piece, math.inf))
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
        meet: dict[Place, set[Piece]] = defaultdict(set)
        for piece in (*drains, *cut(vents)):
            meet[piece[1]].add(piece)
            meet[piece[2]].add(piece)
        at = {place: price for place, some in meet.items() if (price := self.fitting(place, some)) > 0.0}
        return Way(trap.tag, n, trap, drains, cut(vents), cut(trap.arm_runs), wet, takeoff, at, doubted)

    def fitting(self, place: Place, pieces: Iterable[Piece]) -> float:
        """Return what some pieces that meet at a place cost there: a bend where two turn, a tee where three meet."""
        ends = sorted(pieces)
        sizes = sorted(self.sizes[p] for p in ends)
        joints = sum(self.costs.price("joint", s).minutes for s in sizes)
        if len(ends) > 2:
            further = sum(self.costs.price("extra branch", s).minutes for s in sizes[: len(ends) - 3])
            return self.costs.price("fitting tee", sizes[-1]).minutes + further + joints
        if len(ends) < 2 or straight_on(place, *ends):
            return 0.0
        return self.costs.price("fitting bend", sizes[-1]).minutes + joints


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


def _pipe(piece: Piece, run: Run, costs: Costs) -> float:
    """Return what a piece of a run costs, with its trench [min]."""
    _, a, b = piece
    price = math.dist(a, b) / 1000 * costs.pipe(run.size_in, run.place.kind).minutes
    if run.place.kind in UNDERGROUND:
        price += math.dist(a[:2], b[:2]) / 1000 * costs.price("trench").minutes
    return price


def ends_at(pieces: Iterable[Piece]) -> Iterator[tuple[Place, Piece]]:
    """Yield both ends of every piece."""
    for piece in pieces:
        yield piece[1], piece
        yield piece[2], piece


def straight_on(place: Place, one: Piece, other: Piece) -> bool:
    """Return whether two pieces that meet go straight on."""
    at = Vec(*place)
    a, b = (Vec(*(p[2] if p[1] == place else p[1])).minus(at) for p in (one, other))
    long = a.length * b.length
    return long < 1.0 or -a.dot(b) / long > STRAIGHT


def place_at(p: Vec) -> Place:
    """Return a point as a place, to a tenth of a millimetre."""
    return (round(p.x, 1), round(p.y, 1), round(p.z, 1))
