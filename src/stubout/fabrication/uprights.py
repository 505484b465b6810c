"""What an upright run goes up through, and the open stretches of its line between. Lengths [mm].

All framing stands and the floors are sheathed when the pipe goes in, the walls are open on their sides. A piece is
brought in sideways where it finds room in line: in a bay between two plates, between ceiling framing and floor, in the
crawl space or the attic. From there it goes up or down through the holes. A plate's hole holds it as upright as it
stands in the end, so that one plate is enough to ask for that room; two studs are for a lying piece. Common practice,
no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from stubout.fabrication.bores import passes_over, touching
from stubout.fabrication.members import TOUCH_MM, Member, crossing
from stubout.fabrication.parting import Passed, Span
from stubout.fabrication.stretches import in_box, panels, touched
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Box, Vec
from stubout.house.model import House, HouseLevel

PLATES = ("bottom plate", "top plate")
SPACES = ("zone", "soffit")  # obstacles a pipe may lie in
FRAMED = ("beam", "post", "header", "blocking")  # obstacles that are members already
PLAY_MM = 10.0  # that a piece is shorter than the stretch it is stood up in; common practice, no source
DECK_MM = 50.0  # sheathing of a roof, and what a pipe's edge is nearer to it on a slope; common practice, no source
ROOF = "roof"
UP = 2  # axis of a member


@dataclass(frozen=True, slots=True)
class Upright:
    """What an upright run passes, in order along it, and the open stretches of its line."""

    passed: tuple[Passed, ...] = ()
    open: tuple[Span, ...] = ()  # places along the run, before its beginning below 0


class _Across(NamedTuple):
    """Something across the line of a run: it is passed, or the run ends before it."""

    lo_mm: float
    hi_mm: float
    owner: str
    passed: bool
    poured: bool = False


@dataclass(frozen=True, slots=True)
class _Along:
    """A run with its line drawn out to the top and the bottom of the house."""

    a: Vec
    b: Vec
    radius: float
    first: Vec
    last: Vec

    @property
    def long_mm(self) -> float:
        """Return the length of the run [mm]."""
        return self.a.to(self.b)

    @property
    def low(self) -> Vec:
        """Return its lower end."""
        return min(self.a, self.b, key=lambda p: p.z)

    @property
    def high(self) -> Vec:
        """Return its upper end."""
        return max(self.a, self.b, key=lambda p: p.z)

    def at_z(self, z: float) -> float:
        """Return the place along the run at a height [mm]."""
        return (z - self.a.z) / (self.b.z - self.a.z) * self.long_mm

    def across(self, span: Span, owner: str, *, may_pass: bool = True) -> _Across | None:
        """Return a stretch of the drawn-out line as something across the run; None where the run may not pass it."""
        before = self.first.to(self.a)
        lo, hi = span.lo_mm - before, span.hi_mm - before
        passed = lo < self.long_mm - TOUCH_MM and hi > TOUCH_MM
        return None if passed and not may_pass else _Across(lo, hi, owner, passed)

    def level(self, low_z: float, high_z: float, owner: str, *, poured: bool = False) -> _Across:
        """Return something level across the run between two heights [mm]."""
        lo, hi = sorted((self.at_z(low_z), self.at_z(high_z)))
        return _Across(lo, hi, owner, lo < self.long_mm - TOUCH_MM and hi > TOUCH_MM, poured)


def upright(house: House, frame: tuple[tuple[Member, Box], ...], a: Vec, b: Vec, radius: float) -> Upright:
    """Return what an upright run passes, with the room in line on both sides of each, and the stretches between.

    Args:
        house: The house: floors, slabs, ground, roof and what else is there.
        frame: Its members (`bores.framed`).
        a: Where the run begins.
        b: Where it ends.
        radius: Of the pipe [mm].
    """
    along = _drawn_out(house, a, b, radius)
    found = sorted((*_framing(house, frame, along), *_there(house, along), *_ground_and_roof(house, along)))
    across = _put_together(found, {w.id for w in house.walls})
    ends = (-math.inf, *(x for c in across for x in (c.lo_mm, c.hi_mm)), math.inf)
    open_ = tuple(Span(lo, hi) for lo, hi in zip(ends[::2], ends[1::2], strict=True))
    rooms = [max(s.hi_mm - s.lo_mm - PLAY_MM, 0.0) for s in open_]
    return Upright(
        tuple(
            Passed(c.owner, (c.lo_mm + c.hi_mm) / 2, before, after, c.poured)
            for c, (before, after) in zip(across, pairwise(rooms), strict=True)
            if c.passed
        ),
        open_,
    )


def _drawn_out(house: House, a: Vec, b: Vec, radius: float) -> _Along:
    """Return a run with its line drawn out as far as the house is high."""
    tall = house.footprint.hi.z - house.footprint.lo.z + a.to(b)
    way = b.minus(a).unit().times(tall)
    return _Along(a, b, radius, a.minus(way), b.plus(way))


def _framing(house: House, frame: tuple[tuple[Member, Box], ...], along: _Along) -> Iterator[_Across]:
    """Yield the plates, beams and floor panels across the line, and what else of the frame it runs into."""
    a, b, radius = along.first, along.last, along.radius
    for member in touching(frame, segment_bounds(a, b, radius)):
        span = touched(member, a, b, radius)
        if span is None:
            continue
        # What a run lies in lengthwise is a fault of its own and no hole it is threaded through.
        lying = member.kind in PLATES or (member.kind == "beam" and member.deep == UP)
        hit = None if lying else crossing(member, along.a, along.b, radius)
        square = hit is not None and hit.square and not passes_over(member, hit)
        if member.kind == "stud" and not square:
            continue
        across = along.across(span, member.owner, may_pass=lying or square)
        if across is not None:
            yield across
    for owner, box in panels(house):
        span = in_box(a, b, box, radius)
        across = None if span is None else along.across(span, owner)
        if across is not None:
            yield across


def _there(house: House, along: _Along) -> Iterator[_Across]:
    """Yield what else stands in the line beyond the run; what stands in the run is a fault of its own."""
    for o in house.obstacles:
        span = None if o.kind in (*SPACES, *FRAMED) else in_box(along.first, along.last, o.box, along.radius)
        across = None if span is None else along.across(span, o.id, may_pass=False)
        if across is not None:
            yield across


def _ground_and_roof(house: House, along: _Along) -> Iterator[_Across]:
    """Yield slab, ground and roof. The run passes a slab that is poured round it, and the roof it comes out of.

    Where the ground or a slab that is there already is opened for the run, the trench is as deep as the run.
    """
    low, high = along.low, along.high
    for v in _floors(house, low):
        if v.subfloor_z_mm > high.z - TOUCH_MM:
            continue
        top, under = v.subfloor_z_mm, v.subfloor_z_mm - v.slab_mm
        opened = v.kind == "ground" or v.slab_poured or v.left_out(low, along.radius)
        if opened or low.z > under + TOUCH_MM:
            yield along.level(min(low.z, top) - 1.0, min(low.z, top), v.id)
        else:
            yield along.level(under, top, v.id, poured=True)
    z = roof_z(house, high)
    if z is not None and z > low.z:
        yield along.level(z - DECK_MM, z, ROOF)


def out_of_doors(house: House, a: Vec, b: Vec) -> Iterator[Span]:
    """Yield where an upright run is in the roof and above it, or in a slab or the ground and below.

    Args:
        house: The house.
        a: Where the run begins.
        b: Where it ends.
    """
    low, high = sorted((a, b), key=lambda p: p.z)

    def between(z0: float, z1: float) -> Span:
        return Span(*sorted((z - a.z) / (b.z - a.z) * a.to(b) for z in (z0, z1)))

    for v in _floors(house, low):
        if low.z < v.subfloor_z_mm:
            yield between(low.z, v.subfloor_z_mm)
    z = roof_z(house, high)
    if z is not None and high.z > z - DECK_MM:
        yield between(z - DECK_MM, high.z)


def _floors(house: House, p: Vec) -> Iterator[HouseLevel]:
    """Yield the slabs and the ground under a house at a plan position; nothing outside of it."""
    lo, hi = house.footprint
    if lo.x <= p.x <= hi.x and lo.y <= p.y <= hi.y:
        yield from (v for v in house.levels if v.kind != "frame")


def roof_z(house: House, p: Vec) -> float | None:
    """Return the lowest roof surface over a plan position [mm]; None where no plane covers it."""
    planes = (r for r in house.roof if r.x0_mm <= p.x <= r.x1_mm and r.y0_mm <= p.y <= r.y1_mm)
    return min((r.z_at(p.x, p.y) for r in planes), default=None)


def _put_together(found: Iterable[_Across], walls: set[str]) -> list[_Across]:
    """Return what lies one on the other as one, a plate on its panel or slab; where there is a wall, it is named."""
    out: list[_Across] = []
    for c in found:
        if out and c.lo_mm - out[-1].hi_mm <= TOUCH_MM:
            last = out[-1]
            owner = c.owner if c.owner in walls and last.owner not in walls else last.owner
            top = max(last.hi_mm, c.hi_mm)
            out[-1] = _Across(last.lo_mm, top, owner, last.passed or c.passed, last.poured or c.poured)
        else:
            out.append(c)
    return out
