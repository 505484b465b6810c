"""The words of space: the girth of a pipe, the layers of a house, and what is said of one leg. Lengths [mm].

A leg is a straight piece between two plan positions in one layer. The answer is the heights its centre line may have.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

from stubout.geometry.vec import Box
from stubout.house.framing import Wall
from stubout.house.model import Frame, HouseLevel
from stubout.layout.model import Place
from stubout.layout.weights import UNDER_SLAB_COVER_MM

XY = tuple[float, float]
Rect = tuple[float, float, float, float]  # in plan: x and y from, x and y to
LayerKind = Literal["bay", "below", "walls", "under", "attic"]
RegionKind = Literal["below frame", "soffit", "crawl", "wall"]
DEEP = -1.0e6


@dataclass(frozen=True)  # without slots: the radii are remembered on it
class Gauge:
    """The girth of a pipe: outside diameter, hub, hole the trade bores, and what bores are allowed."""

    size_in: float
    od_mm: float
    id_mm: float
    hub_mm: float
    hole_mm: float

    @cached_property
    def r(self) -> float:
        """Return the outside radius [mm]."""
        return self.od_mm / 2

    @cached_property
    def hub_r(self) -> float:
        """Return the hub radius [mm]."""
        return self.hub_mm / 2


class Span(NamedTuple):
    """Heights that a centre line may have on a leg, and what lying there costs extra."""

    lo: float
    hi: float
    cost: float = 0.0
    note: str = ""


class Leg(NamedTuple):
    """The answer for one leg: the allowed heights, highest first, and what is cut."""

    spans: tuple[Span, ...]
    bores: int
    place: Place

    def at(self, z: float) -> Span | None:
        """Return the span that holds a height."""
        for s in self.spans:
            if s.lo - 0.5 <= z <= s.hi + 0.5:
                return s
        return None


@dataclass(frozen=True, slots=True)
class Region:
    """A plan rectangle below a frame in which pipes may lie between two heights."""

    x0: float
    y0: float
    x1: float
    y1: float
    lo: float
    hi: float
    kind: RegionKind
    whole: bool = False  # the whole outline of the house
    ref: str = ""  # the wall, where it is one

    def holds(self, p: XY) -> bool:
        """Return whether a plan position lies inside."""
        return self.x0 <= p[0] <= self.x1 and self.y0 <= p[1] <= self.y1


@dataclass(frozen=True, slots=True)
class Layer:
    """One horizontal layer that the search may use."""

    key: str
    kind: LayerKind
    level: HouseLevel  # whose floor zone it is (for an attic: the level below it)
    frame: Frame | None
    regions: tuple[Region, ...] = ()
    lowest: bool = False  # the sewer leaves from here

    @property
    def under_frame(self) -> bool:
        """Return whether it lies under the joist bays of its level, in the open or in walls."""
        return self.kind in ("below", "walls")


def under_slab_mm(level: HouseLevel, r_mm: float) -> float:
    """Return how high the centre line of a pipe of a radius may lie under a slab [house z]."""
    return level.subfloor_z_mm - level.slab_mm - UNDER_SLAB_COVER_MM - r_mm


def box_hits_leg(box: Box, p: XY, q: XY, margin: float) -> bool:
    """Return whether the plan rectangle of a box, grown by a margin, meets a plan segment."""
    x0, y0, x1, y1 = box.lo.x - margin, box.lo.y - margin, box.hi.x + margin, box.hi.y + margin
    t0, t1 = 0.0, 1.0
    for start, delta, lo, hi in ((p[0], q[0] - p[0], x0, x1), (p[1], q[1] - p[1], y0, y1)):
        if abs(delta) < 1e-9:
            if not lo < start < hi:
                return False
            continue
        a, b = (lo - start) / delta, (hi - start) / delta
        t0, t1 = max(t0, min(a, b)), min(t1, max(a, b))
        if t0 >= t1:
            return False
    return True


def length_inside(box: Box, p: XY, q: XY, margin: float) -> float:
    """Return how much of a plan segment lies over a box grown by a margin [mm]."""
    t0, t1 = 0.0, 1.0
    for start, delta, lo, hi in (
        (p[0], q[0] - p[0], box.lo.x - margin, box.hi.x + margin),
        (p[1], q[1] - p[1], box.lo.y - margin, box.hi.y + margin),
    ):
        if abs(delta) < 1e-9:
            if not lo < start < hi:
                return 0.0
            continue
        a, b = (lo - start) / delta, (hi - start) / delta
        t0, t1 = max(t0, min(a, b)), min(t1, max(a, b))
    return max(0.0, t1 - t0) * math.hypot(q[0] - p[0], q[1] - p[1])


def cut_spans(spans: list[Span], lo: float, hi: float) -> list[Span]:
    """Return the spans without the heights between lo and hi."""
    out: list[Span] = []
    for s in spans:
        if hi <= s.lo or lo >= s.hi:
            out.append(s)
            continue
        if lo > s.lo:
            out.append(Span(s.lo, lo, s.cost, s.note))
        if hi < s.hi:
            out.append(Span(hi, s.hi, s.cost, s.note))
    return out


def across(w: Wall, p: XY) -> float:
    """Return how far a plan position lies to the left of the stud line of a wall [mm]."""
    x, y, _ = w.start
    n_x, n_y, _ = w.leftward
    return (p[0] - x) * n_x + (p[1] - y) * n_y


def crossing_station(w: Wall, p: XY, q: XY) -> float | None:
    """Return the station where a plan segment passes the stud line of a wall, ends on the line not counted."""
    a, b = across(w, p), across(w, q)
    if a * b >= -1.0 or min(abs(a), abs(b)) < 1.0:
        return None
    t = a / (a - b)
    x, y = p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t
    d = w.along
    s = (x - w.start.x) * d.x + (y - w.start.y) * d.y
    return s if 0 <= s <= w.length_mm else None


def off_line(p: XY, a: XY, b: XY) -> float:
    """Return how far a plan point is from a plan segment [mm]."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    ll = dx * dx + dy * dy
    t = 0.0 if ll < 1.0 else max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / ll))
    return math.hypot(a[0] + dx * t - p[0], a[1] + dy * t - p[1])


def inside(box: Box, xy: XY, r: float) -> bool:
    """Return whether what takes so much around a plan position stands within a box, heights left out [mm]."""
    return box.lo.x + r <= xy[0] <= box.hi.x - r and box.lo.y + r <= xy[1] <= box.hi.y - r
