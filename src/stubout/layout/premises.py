"""The house as pipes meet it: levels, outline, ground, roof, joist bays, and what stands in the way. Lengths [mm]."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from functools import cached_property

from stubout.house.bearings import Strip, strips_of
from stubout.house.framing import Wall
from stubout.house.model import Frame, House, HouseLevel, Obstacle
from stubout.layout.space_shapes import XY, Gauge, Span, across, box_hits_leg, cut_spans, under_slab_mm
from stubout.layout.way_out import WayOut
from stubout.layout.weights import HEADROOM_UNDER_MAIN_MM

Grown = tuple[float, float, float, float, Obstacle]  # a plan rectangle about an obstacle: x and y from, x and y to

STEEPER_OUTSIDE_MM = 150.0  # higher than at the least slope a building drain may lie where it leaves; an estimate
IN_THE_GROUND_MM = 600.0  # a slab so far below the ground outside is that of a basement


def lowest_hung_mm(below: HouseLevel) -> float:
    """Return how low a drain may hang over a basement that it does not lie under [house z]: one walks under it."""
    return below.subfloor_z_mm + HEADROOM_UNDER_MAIN_MM


class Premises:
    """A house with what its book lets be bored: what every answer about a leg is made of."""

    def __init__(
        self,
        house: House,
        joist_limit: dict[str, float],
        joist_edge: dict[str, float],
        stud_limit: Callable[[Wall], float],
        footing_plane: float = 1.0,
        way_out: WayOut | None = None,
    ) -> None:
        self.house = house
        self.way_out = way_out  # how low the building drain can leave it, where that is asked
        self.stud_limit = stud_limit
        self.footing_plane = footing_plane  # how steep the load plane beside a footing falls, height by distance
        self.joist_limit = joist_limit  # frame id -> largest hole [mm], 0 = none
        self.joist_edge = joist_edge
        self._bays: dict[tuple[str, float], tuple[list[float], list[float]]] = {}
        self._bearings: dict[str, tuple[Strip, ...]] = {}
        self._grown: dict[tuple[tuple[str, ...], float], tuple[Grown, ...]] = {}

    @cached_property
    def levels(self) -> tuple[HouseLevel, ...]:
        """Return the levels from the lowest up."""
        return tuple(sorted(self.house.levels, key=lambda v: v.order))

    @cached_property
    def _below(self) -> dict[str, HouseLevel | None]:
        return {v.id: low for low, v in zip((None, *self.levels), self.levels, strict=False)}

    def level_below(self, level: HouseLevel) -> HouseLevel | None:
        """Return the next lower level."""
        return self._below[level.id]

    def level_above(self, level: HouseLevel) -> HouseLevel | None:
        """Return the next higher level."""
        i = self.levels.index(level)
        return self.levels[i + 1] if i + 1 < len(self.levels) else None

    def inside(self, p: XY) -> bool:
        """Return whether a plan position lies within the outline of the house."""
        fp = self.house.footprint
        return fp.lo.x <= p[0] <= fp.hi.x and fp.lo.y <= p[1] <= fp.hi.y

    def basement(self, level: HouseLevel) -> bool:
        """Return whether a level is a basement, whose joists overhead may stay open: its slab lies in the ground."""
        lowest = level.kind == "slab" and self.level_below(level) is None
        return lowest and level.subfloor_z_mm < self.house.ground.at_house_z_mm - IN_THE_GROUND_MM

    @cached_property
    def undrained(self) -> HouseLevel | None:
        """Return the basement that the connection lies too high for: the building drain hangs over it, and leaves."""
        if self.way_out is None or len(self.levels) < 2:
            return None
        low, over = self.levels[:2]
        hangs = self.basement(low) and over.kind == "frame" and self.house.frame_carrying(over.id) is not None
        return low if hangs and self.way_out.z_mm > under_slab_mm(low, self.way_out.r_mm) else None

    @cached_property
    def most_outside_mm(self) -> float:
        """Return how high the top of a drain may lie outside: one that hangs over a basement drops inside."""
        below, out = self.undrained, self.way_out
        if below is None or out is None:
            return math.inf
        return max(lowest_hung_mm(below), out.z_mm + STEEPER_OUTSIDE_MM) + out.r_mm

    def ground_z(self, p: XY) -> float:
        """Return the ground outside at a plan position, straight between house and sewer."""
        sewer = self.house.sewer.at
        fp = self.house.footprint
        near = (min(max(sewer.x, fp.lo.x), fp.hi.x), min(max(sewer.y, fp.lo.y), fp.hi.y))
        total = abs(sewer.x - near[0]) + abs(sewer.y - near[1])
        if total < 1:
            return self.house.ground.at_house_z_mm
        part = (abs(p[0] - near[0]) + abs(p[1] - near[1])) / total
        g = self.house.ground
        return g.at_house_z_mm + (g.at_sewer_z_mm - g.at_house_z_mm) * min(1.0, part)

    def roof_z(self, p: XY) -> float | None:
        """Return the roof surface over a plan position, None where the house has no roof plane there."""
        zs = [
            r.z_at(p[0], p[1])
            for r in self.house.roof
            if r.x0_mm - 1 <= p[0] <= r.x1_mm + 1 and r.y0_mm - 1 <= p[1] <= r.y1_mm + 1
        ]
        return min(zs) if zs else None

    def bay_of(self, f: Frame, p: XY, g: Gauge) -> tuple[float, float] | None:
        """Return the joist bay that has room for the pipe's hub at a plan position."""
        known = self._bays.get((f.id, g.hub_r))
        if known is None:  # from where to where the pipe's centre line may be in each bay
            known = ([lo + g.hub_r - 0.5 for lo, _ in f.bays], [hi - g.hub_r + 0.5 for _, hi in f.bays])
            self._bays[f.id, g.hub_r] = known
        lows, highs = known
        v = p[1 if f.runs == "x" else 0]
        i = bisect_right(lows, v) - 1
        return f.bays[i] if i >= 0 and v <= highs[i] else None

    def bearings(self, f: Frame) -> tuple[Strip, ...]:
        """Return what the members of a frame bear on."""
        if f.id not in self._bearings:
            self._bearings[f.id] = strips_of(self.house, f)
        return self._bearings[f.id]

    def grown(self, kinds: tuple[str, ...], margin: float) -> tuple[Grown, ...]:
        """Return the obstacles of certain kinds with their plan rectangles grown by a margin."""
        key = (kinds, margin)
        if key not in self._grown:
            self._grown[key] = tuple(
                (o.box.lo.x - margin, o.box.lo.y - margin, o.box.hi.x + margin, o.box.hi.y + margin, o)
                for o in self.house.obstacles
                if o.kind in kinds
            )
        return self._grown[key]

    @cached_property
    def _walls(self) -> dict[str, tuple[Wall, ...]]:
        return {v.id: tuple(w for w in self.house.walls if w.level_id == v.id) for v in self.levels}

    @cached_property
    def _off(self) -> dict[tuple[str, XY], tuple[tuple[Wall, float], ...]]:
        return {}

    def walls_by(self, level: HouseLevel, p: XY) -> tuple[tuple[Wall, float], ...]:
        """Return the walls of a level, each with how far a plan position lies to the left of its stud line [mm]."""
        key = (level.id, p)
        if key not in self._off:
            self._off[key] = tuple((w, across(w, p)) for w in self.walls_of(level))
        return self._off[key]

    @cached_property
    def _cavities(self) -> dict[tuple[str, XY], frozenset[str]]:
        return {}

    def cavities(self, level: HouseLevel, p: XY) -> frozenset[str]:
        """Return the framed walls of a level between whose faces a plan position lies, a millimetre aside allowed."""
        key = (level.id, p)
        if key not in self._cavities:
            self._cavities[key] = frozenset(
                w.id
                for w, off in self.walls_by(level, p)
                if not w.against_concrete
                and abs(off) <= w.depth_mm / 2 + 1
                and -1 <= (p[0] - w.start.x) * w.along.x + (p[1] - w.start.y) * w.along.y <= w.length_mm + 1
            )
        return self._cavities[key]

    def walls_of(self, level: HouseLevel) -> tuple[Wall, ...]:
        """Return the walls of a level in the order of the job file."""
        return self._walls[level.id]

    def without(self, spans: list[Span], p: XY, q: XY, g: Gauge, kinds: tuple[str, ...], gap: float) -> list[Span]:
        """Return the heights of a leg less those at which it would come too near obstacles of certain kinds."""
        out = spans
        x_lo, x_hi = (p[0], q[0]) if p[0] < q[0] else (q[0], p[0])
        y_lo, y_hi = (p[1], q[1]) if p[1] < q[1] else (q[1], p[1])
        for x0, y0, x1, y1, o in self.grown(kinds, g.hub_r + gap):
            if x_hi <= x0 or x_lo >= x1 or y_hi <= y0 or y_lo >= y1:
                continue
            if o.keep_clear_above_below and box_hits_leg(o.box, p, q, g.hub_r):
                return []
            if box_hits_leg(o.box, p, q, g.hub_r + gap):
                out = cut_spans(out, o.box.lo.z - g.r - gap, o.box.hi.z + g.r + gap)
        return [s for s in out if s.hi - s.lo > 2]
