"""Pipes of a drawing that run into each other, and pipes too short for the fittings at their ends. Lengths [mm].

With the room that fittings usually take (`takeup.py`): which of them stand there is settled in the fabrication.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stubout.geometry.distance import segment_segment
from stubout.geometry.vec import Vec, angle_deg
from stubout.layout.draft import Board, DEdge, DNode
from stubout.layout.model import PointKind, Role
from stubout.layout.space_shapes import XY, Gauge
from stubout.layout.street_drops import seated
from stubout.layout.turned import SIXTEENTH_DEG, SWALLOWED_MM

SLACK_MM = 0.5  # what a socket gives without a word
TOUCH_MM = 2.0  # pipes may come so near
STRAIGHT_DEG = 5.0
SAME_WAY_DEG = 20.0
WYE_DEG = 62.0
CLASH, FAR, TIGHT = 4.0, 2.0, 1.0  # how bad each is beside the other


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong, and the fixtures whose pipes it is."""

    tags: tuple[str, ...]
    weight: float
    what: str
    edges: tuple[int, ...] = ()
    lacks: float = 0.0  # by how much more room it would be none [mm]


_Ends = tuple[XY, float | None, XY, float | None, float]


class _Solid(NamedTuple):
    """A pipe in space, with what it is known by: where its ends stood when it was made, and its size."""

    ends: _Ends
    a: Vec
    b: Vec
    r: float
    low: tuple[float, float, float]  # of the box about it
    high: tuple[float, float, float]
    length: float


class Pipes:
    """The pipes of a drawing, looked at again and again while points of it move: what hangs together stays the same."""

    def __init__(self, board: Board, gauge: Callable[[float], Gauge]) -> None:
        self.board, self._gauge = board, gauge
        nodes = board.nodes
        self.live = [e for e in board.edges.values() if nodes[e.up].z is not None and nodes[e.down].z is not None]
        self.at: dict[int, list[DEdge]] = {}
        for e in self.live:
            self.at.setdefault(e.up, []).append(e)
            self.at.setdefault(e.down, []).append(e)
        self.swallowed: set[int] = set()
        self._solids: dict[int, _Solid] = {}

    def _solid(self, e: DEdge) -> _Solid:
        """Return a pipe in space, made anew only where one of its ends has moved."""
        up, down = self.board.nodes[e.up], self.board.nodes[e.down]
        ends = (up.xy, up.z, down.xy, down.z, e.size_in)
        known = self._solids.get(e.id)
        if known is None or known.ends != ends:
            a, b, r = point_at(up), point_at(down), self._gauge(e.size_in).r
            low = (min(a.x, b.x) - r, min(a.y, b.y) - r, min(a.z, b.z) - r)
            high = (max(a.x, b.x) + r, max(a.y, b.y) + r, max(a.z, b.z) + r)
            known = self._solids[e.id] = _Solid(ends, a, b, r, low, high, a.to(b))
        return known

    def joint(self, n: int) -> tuple[frozenset[int], list[DEdge]]:
        """Return the points that make one joint with a point, swallowed pieces between them, and what meets there."""
        points, queue = {n}, [n]
        while queue:
            for e in self.at.get(queue.pop(), ()):
                if e.id in self.swallowed:
                    more = {e.up, e.down} - points
                    points |= more
                    queue += more
        meets = {e.id: e for p in points for e in self.at.get(p, ()) if e.id not in self.swallowed}
        return frozenset(points), [meets[i] for i in sorted(meets)]

    def meeting_or_tight(self, some: Sequence[DEdge]) -> Iterator[Fault]:
        """Yield where some of the pipes meet others, and which of them are too short for their fittings."""
        self.swallowed = {e.id for e in self.live if self._solid(e).length < SWALLOWED_MM}
        yield from self._clashes(some)
        yield from self._tight(some)

    def _clashes(self, some: Sequence[DEdge]) -> Iterator[Fault]:
        board = self.board
        solid = [(e, self._solid(e)) for e in self.live]
        asked = {e.id for e in some}
        for e, (_, a, b, r, low, high, _) in solid:
            if e.id not in asked:
                continue
            for f, (_, c, d, q, f_low, f_high, _) in solid:
                if f.id <= e.id and f.id in asked:
                    continue  # itself, or a pair looked at from the other side
                if f_low[0] > high[0] or f_high[0] < low[0] or f_low[1] > high[1] or f_high[1] < low[1]:
                    continue
                if f_low[2] > high[2] or f_high[2] < low[2]:
                    continue
                if shared := {e.up, e.down} & {f.up, f.down}:
                    apart = 0.0 if _one_in_the_other(board, e, f, min(shared)) else math.inf
                else:
                    apart = segment_segment(a, b, c, d)
                if apart < r + q - TOUCH_MM and (shared or not _neighbours(board, e, f)):
                    one, two = (e, f) if e.id < f.id else (f, e)
                    tags = tuple(sorted({t for t in (e.tag, f.tag) if t}))
                    yield Fault(tags, CLASH, f"{one.id} and {two.id} meet", (one.id, two.id), r + q - apart)

    def _tight(self, some: Sequence[DEdge]) -> Iterator[Fault]:
        board, meet = self.board, self.at
        for e in some:
            length = self._solid(e).length
            if length < SWALLOWED_MM:
                continue
            want = sum(_room(board, e, board.nodes[n], *self.joint(n)) for n in (e.up, e.down))
            if length < want - SLACK_MM and not _street(board, e, length):
                near = (e, *meet[e.up], *meet[e.down]) if not e.tag else (e,)
                tags = tuple(sorted({d.tag for d in near if d.tag}))
                what = f"{e.id} has {length:.0f} mm and wants {want:.0f} mm"
                yield Fault(tags, TIGHT, what, (e.id,), want - length)


def point_at(n: DNode) -> Vec:
    """Return where a point of a drawing stands."""
    return Vec(n.xy[0], n.xy[1], n.z or 0.0)


def _one_in_the_other(board: Board, e: DEdge, f: DEdge, n: int) -> bool:
    """Return whether two pipes leave a point in nearly the same direction."""
    return angle_deg(_way(board, e, n), _way(board, f, n)) < SAME_WAY_DEG


def _neighbours(board: Board, e: DEdge, f: DEdge) -> bool:
    """Return whether only a swallowed piece lies between two pipes."""
    for n in (e.up, e.down):
        for m in (f.up, f.down):
            if point_at(board.nodes[n]).to(point_at(board.nodes[m])) < SWALLOWED_MM:
                return True
    return False


def _street(board: Board, e: DEdge, length: float) -> bool:
    """Return whether a drop is as long as a street fitting between its two bends makes it."""
    if not e.plumb or e.system != "drain" or e.role is Role.STACK:
        return False
    return seated(board.fits, board.drop(e, length))


def _room(board: Board, e: DEdge, n: DNode, joint: frozenset[int], meets: list[DEdge]) -> float:
    """Return about how much of a pipe the fitting at one of its ends takes up, socket and all.

    Args:
        board: The board.
        e: The pipe.
        n: The point at its end.
        joint: That point, and those no farther from it than a fitting swallows.
        meets: The pipes that meet there.
    """
    fits, size = board.fits, e.size_in
    others = [d for d in meets if d.id != e.id]
    if not others:
        if n.kind is PointKind.FLANGE:
            return fits.closet(size)
        return fits.trap(size) if n.kind is PointKind.TRAP else 0.0
    way = {d.id: _way(board, d, d.up if d.up in joint else d.down) for d in meets}
    if len(others) == 1:
        turn = 180.0 - angle_deg(way[e.id], way[others[0].id])
        if n.kind is PointKind.TRAP or turn < STRAIGHT_DEG:
            return 0.0
        if turn < SIXTEENTH_DEG:
            return fits.room("1/16 bend", (size, size), "outlet")
        if turn < WYE_DEG:
            return fits.eighth(size)
        into_upright = e.plumb != others[0].plumb and e.plumb == (e.up in joint)
        return fits.quarter(size) if e.system == "vent" or into_upright else fits.sweep(size)
    drains = [d for d in meets if d.system == "drain" and d.up in joint]
    leaving = drains or [d for d in meets if d.up in joint]
    out = min(leaving, key=lambda d: way[d.id].z) if leaving else meets[0]
    run = max((d for d in meets if d.id != out.id), key=lambda d: (round(angle_deg(way[d.id], way[out.id])), -d.id))
    least = min(size, *(d.size_in for d in meets))
    biggest = max(d.size_in for d in meets)
    if e.id == run.id and len(others) == 2 and not out.plumb and out.system == "drain":
        vents = [d for d in others if d.system == "vent" and d.plumb]
        if vents:  # the fitting lies in line with the drain on: a street bend in its hub where the arm turns into it
            turn = 180.0 - angle_deg(way[e.id], way[out.id])
            steps = 0 if turn < SIXTEENTH_DEG else 1 if turn < WYE_DEG else 2
            return fits.take_off(size, vents[0].size_in, steps)
    if out.plumb or out.system == "vent":
        port = "lower" if e.id == out.id else "upper" if e.id == run.id else "branch"
        return fits.tee(biggest, size if port == "branch" else least, port)
    square = any(angle_deg(way[d.id], way[out.id]) < 180.0 - WYE_DEG for d in meets if d.id not in (out.id, run.id))
    port = "outlet" if e.id == out.id else "inlet" if e.id == run.id else "branch"
    return fits.joint(biggest, size if port == "branch" else least, square, port)


def _way(board: Board, d: DEdge, n: int) -> Vec:
    far = board.nodes[d.down if d.up == n else d.up]
    v = point_at(far).minus(point_at(board.nodes[n]))
    return v.unit() if v.length > 1e-6 else Vec(0.0, 0.0, 1.0)
