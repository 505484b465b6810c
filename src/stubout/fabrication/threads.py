"""What a straight run goes through, and where a coupling may stand on it. Lengths [mm].

A lying piece that goes through two members and more stands square in their holes and cannot be slanted in: it has to
lie in line beside the first of them before it goes in. The room there is the bay up to the next member, or none is
limited where the wall has an open end. Common practice, no source. Upright pieces: `uprights`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.bores import passes_over, touching
from stubout.fabrication.members import TOUCH_MM, Member, crossing
from stubout.fabrication.parting import WAYS, Line, Parted, Passed, Span
from stubout.fabrication.pieces import EndOfPiece, Straight
from stubout.fabrication.stretches import in_box, panels, touched
from stubout.fabrication.turns import parted
from stubout.fabrication.uprights import SPACES, Upright, out_of_doors, upright
from stubout.geometry.distance import boxes_overlap, nearest_of_segments, point_segment, segment_bounds
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import House
from stubout.network.model import Network

LINED = ("stud", "joist", "i-joist", "truss")
CORNER_MM = 50.0  # a wall that comes this near to the end of another one closes it
FREE_MM = 10.0  # between a hub and wood or anything else; common practice, no source
LEAST_BARE_MM = 25.0  # of a length between two hubs, so that hands and cement get at both; common practice, no source
LEAST_REST_MM = 300.0  # the last length of a run longer than a stick is not cut shorter; common practice, no source


@dataclass(frozen=True, slots=True)
class Framing:
    """The frame of a house as runs go through it, found once."""

    house: House
    network: Network
    members: tuple[tuple[Member, Box], ...]
    catalog: Catalog
    _owned: dict[str, list[Member]] = field(default_factory=dict)
    _passes: dict[tuple[str, ...], Upright] = field(default_factory=dict)  # by run, found once

    def __post_init__(self) -> None:
        for m, _ in self.members:
            if m.kind in LINED:
                self._owned.setdefault(m.owner, []).append(m)

    def passed(self, run: Straight) -> Upright:
        """Return what a run goes through, in order: studs and joists of a lying one, all across an upright one.

        Args:
            run: The straight run.
        """
        if run.length_mm < 1.0:
            return Upright()
        if run.ids not in self._passes:
            self._passes[run.ids] = self._up(run) if run.upright else Upright(self._found(run))
        return self._passes[run.ids]

    def _up(self, run: Straight) -> Upright:
        a, b = run.point(0.0), run.point(run.length_mm)
        return upright(self.house, self.members, a, b, self.catalog.od_mm(run.pipes[0][0].size_in) / 2)

    def _found(self, run: Straight) -> tuple[Passed, ...]:
        a, b = run.point(0.0), run.point(run.length_mm)
        radius = self.catalog.od_mm(run.pipes[0][0].size_in) / 2
        box = segment_bounds(a, b, radius)
        out = []
        for member in touching(self.members, box):
            if member.kind not in LINED:
                continue
            hit = crossing(member, a, b, radius)
            if hit is not None and hit.square and not passes_over(member, hit):
                out.append(self._passed(member, a, b, radius))
        return tuple(sorted(out, key=lambda p: (p.at_mm, p.owner)))

    def _passed(self, member: Member, a: Vec, b: Vec, radius: float) -> Passed:
        """Return a member on a line through it, with the room up to the next ones beside it."""
        t = member.thin
        la, lb = member.local(a), member.local(b)
        step = (lb[t] - la[t]) / a.to(b)  # along the owner, for a step along the run
        at = ((member.lo[t] + member.hi[t]) / 2 - la[t]) / step
        z = a.z + (b.z - a.z) * at / a.to(b)
        beside = [m for m in self._owned[member.owner] if m is not member and m.lo.z - radius < z < m.hi.z + radius]
        low = [m.hi[t] for m in beside if m.hi[t] <= member.lo[t] + TOUCH_MM]
        high = [m.lo[t] for m in beside if m.lo[t] >= member.hi[t] - TOUCH_MM]
        room_low = (member.lo[t] - max(low)) / abs(step) if low else self._beyond(member, first=True)
        room_high = (min(high) - member.hi[t]) / abs(step) if high else self._beyond(member, first=False)
        before, after = (room_low, room_high) if step > 0 else (room_high, room_low)
        return Passed(member.owner, at, max(before, 0.0), max(after, 0.0))

    def _beyond(self, member: Member, *, first: bool) -> float:
        """Return the room beyond the last member of an owner: any length beyond the open end of a wall."""
        wall = member.wall
        return math.inf if wall is not None and open_end(self.house, wall, wall.start if first else wall.end) else 0.0

    def line(self, run: Straight, start_mm: float, end_mm: float, longest_mm: float = 0.0) -> Line:
        """Return a run with what it goes through, as it is to be parted.

        Args:
            run: The straight run.
            start_mm: What the fitting at its beginning takes off [mm].
            end_mm: What the one at its end takes off [mm].
            longest_mm: The longest stick [mm]; 0 = any length.
        """
        size = run.pipes[0][0].size_in
        gap = sum(catalogue.fitting("coupling", (size, size), self.catalog).ports.values())
        least = 2 * self.catalog.socket_mm(size) + LEAST_BARE_MM
        seats = (start_mm, run.length_mm - end_mm)
        through = self.passed(run)
        return Line(
            *seats,
            gap_mm=gap,
            least_mm=least,
            longest_mm=longest_mm,
            passed=through.passed,
            upright=run.upright,
            open=through.open,
        )

    def lengths(self, run: Straight, start: EndOfPiece, end: EndOfPiece, longest_mm: float) -> Parted:
        """Return the lengths a run is cut into: one where it is on a stick and goes in whole.

        Where no couplings let it be put in, only those of a run longer than a stick; where no place for one of these is
        free, they stand where the sticks end.

        Args:
            run: The straight run.
            start: What stands at its beginning.
            end: What stands at its end.
            longest_mm: The longest stick [mm]; 0 = any length.
        """
        line = self.line(run, start.take.mm, end.take.mm, longest_mm)
        whole = Parted((line.between(line.start_mm, line.end_mm),))
        if any(line.goes(line.start_mm, line.end_mm, way) for way in WAYS):
            return whole
        line = replace(line, closed=self.closed(run), last_mm=LEAST_REST_MM if line.goes_whole else 0.0)
        if found := parted(line):
            return Parted(found, to_go_in=not line.goes_whole)
        on_sticks = replace(line, passed=(), last_mm=LEAST_REST_MM)
        found = on_sticks.parted() or replace(on_sticks, closed=()).parted()
        return Parted(found) if found else whole

    def closed(self, run: Straight) -> tuple[Span, ...]:
        """Return where the middle of a coupling on a run must not be: in wood, in what else is there, in other pipes.

        Args:
            run: The straight run.
        """
        a, b = run.point(0.0), run.point(run.length_mm)
        size = run.pipes[0][0].size_in
        radius = self.catalog.hub_od_mm(size) / 2
        pad = catalogue.coupling_mm(size, self.catalog) / 2 + FREE_MM
        spans = [*self._wood(a, b, radius), *self._bodies(a, b, radius), *self._pipes(run, a, b, radius)]
        if run.upright:
            spans += out_of_doors(self.house, a, b)
        return tuple(Span(lo - pad, hi + pad) for lo, hi in spans)

    def _wood(self, a: Vec, b: Vec, radius: float) -> Iterator[Span]:
        whole = segment_bounds(a, b, radius)
        for member in touching(self.members, whole):
            span = touched(member, a, b, radius)
            if span is not None:
                yield span

    def _bodies(self, a: Vec, b: Vec, radius: float) -> Iterator[Span]:
        """Yield where a hub would be in an obstacle, or in the panel of a floor."""
        boxes = [o.box for o in self.house.obstacles if o.kind not in SPACES]
        for box in (*boxes, *(box for _, box in panels(self.house))):
            span = in_box(a, b, box, radius)
            if span is not None:
                yield span

    def _pipes(self, run: Straight, a: Vec, b: Vec, radius: float) -> Iterator[Span]:
        """Yield where a hub would be in another pipe."""
        own = set(run.ids)
        whole = segment_bounds(a, b, radius)
        for p in self.network.pipes:
            near = radius + self.catalog.od_mm(p.size_in) / 2
            if p.id in own or not boxes_overlap(whole, segment_bounds(p.a, p.b, near)):
                continue
            at, _ = nearest_of_segments(a, b, p.a, p.b)
            if point_segment(at, p.a, p.b) < near:
                yield Span(*(_edge(a, b, at, end, (p.a, p.b), near) for end in (a, b)))


def _edge(a: Vec, b: Vec, at: Vec, end: Vec, other: tuple[Vec, Vec], near: float) -> float:
    """Return how far along a-b, from a place towards an end, a line stays nearer than `near` to another one."""
    if point_segment(end, *other) < near:
        return a.to(end)
    inside, outside = at, end
    for _ in range(40):
        mid = inside.plus(outside).times(0.5)
        inside, outside = (mid, outside) if point_segment(mid, *other) < near else (inside, mid)
    return a.to(outside)


def open_end(house: House, wall: Wall, end: Vec) -> bool:
    """Return whether no other wall of the storey closes an end of a wall."""
    for other in house.walls:
        if other.id == wall.id or other.level_id != wall.level_id:
            continue
        along = other.station(end)
        far = other.depth_mm / 2 + wall.depth_mm / 2 + CORNER_MM
        if -far <= along <= other.length_mm + far and abs(other.offset(end)) <= far:
            return False
    return True
