"""Where a pipe may lie: joist bays, the space below a frame, under a slab, an attic - asked leg by leg.

A leg is a straight piece between two plan positions in one layer. The answer is the heights its centre line may have.
All lengths [mm].
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from stubout.geometry.vec import Box
from stubout.house.model import Frame, House, HouseLevel, Wall
from stubout.layout.model import Place
from stubout.layout.weights import (
    CEILING_BOARD_MM,
    FOOTING_GAP_MM,
    HANG_GAP_MM,
    OBSTACLE_GAP_MM,
    ROOM_TO_WALL_MM,
    UNDER_SLAB_COVER_MM,
    WEIGHTS,
)

XY = tuple[float, float]
LayerKind = Literal["bay", "below", "under", "attic"]
DEEP = -1.0e6
FINISH_MM = 60.0  # a bulkhead that ends so near the studs of a wall stands at it
PASS_GAP_MM = 4.0  # between a duct and a straight piece of pipe that passes it plumb
BELOW_FRAME_MM = 400.0  # a pipe that comes down out of a bay is caught within so much below it


@dataclass(frozen=True, slots=True)
class Gauge:
    """The girth of a pipe: outside diameter, hub, hole the trade bores, and what bores are allowed."""

    size_in: float
    od_mm: float
    id_mm: float
    hub_mm: float
    hole_mm: float

    @property
    def r(self) -> float:
        """Return the outside radius [mm]."""
        return self.od_mm / 2

    @property
    def hub_r(self) -> float:
        """Return the hub radius [mm]."""
        return self.hub_mm / 2


@dataclass(frozen=True, slots=True)
class Span:
    """Heights that a centre line may have on a leg, and what lying there costs extra."""

    lo: float
    hi: float
    cost: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True)
class Leg:
    """The answer for one leg: the allowed heights, highest first, and what is cut."""

    spans: tuple[Span, ...]
    bores: int
    place: Place

    def at(self, z: float) -> Span | None:
        """Return the span that holds a height."""
        return next((s for s in self.spans if s.lo - 0.5 <= z <= s.hi + 0.5), None)


@dataclass(frozen=True, slots=True)
class Region:
    """A plan rectangle below a frame in which pipes may hang between two heights."""

    x0: float
    y0: float
    x1: float
    y1: float
    lo: float
    hi: float
    kind: Literal["below frame", "soffit", "crawl"]
    whole: bool = False  # the whole outline of the house

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


def _length_inside(box: Box, p: XY, q: XY, margin: float) -> float:
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


class Memory:
    """What has been asked of one floor zone, with the answers: lattices, and paths searched on them.

    Typed loosely, because what is stored is made further up: see `trunk.ZoneRouter`.
    """

    def __init__(self) -> None:
        self.lattices: dict[tuple[object, ...], Any] = {}
        self.paths: dict[tuple[object, ...], Any] = {}
        self.answers: dict[tuple[object, ...], Any] = {}

    def __deepcopy__(self, memo: dict[int, object]) -> Memory:
        """Return itself: the same question always has the same answer."""
        return self


class Space:
    """A house asked for the room it leaves to pipes."""

    def __init__(
        self,
        house: House,
        joist_limit: dict[str, float],
        joist_edge: dict[str, float],
        stud_limit: Callable[[Wall], float],
        footing_plane: float = 1.0,
    ) -> None:
        self.house = house
        self.stud_limit = stud_limit
        self.footing_plane = footing_plane  # how steep the load plane beside a footing falls, height by distance
        self.joist_limit = joist_limit  # frame id -> largest hole [mm], 0 = none
        self.joist_edge = joist_edge
        self._legs: dict[tuple[str, XY, XY, float], Leg | None] = {}
        self.effort = 0  # steps of path search spent on this house: a measure of work that is no clock
        self._memories: dict[str, Memory] = {}
        self._bays: dict[str, tuple[tuple[float, float], ...]] = {}

    def memory(self, zone: str) -> Memory:
        """Return what is remembered of a floor zone."""
        return self._memories.setdefault(zone, Memory())

    @cached_property
    def levels(self) -> tuple[HouseLevel, ...]:
        """Return the levels from the lowest up."""
        return tuple(sorted(self.house.levels, key=lambda v: v.order))

    def level_below(self, level: HouseLevel) -> HouseLevel | None:
        """Return the next lower level."""
        i = self.levels.index(level)
        return self.levels[i - 1] if i else None

    def level_above(self, level: HouseLevel) -> HouseLevel | None:
        """Return the next higher level."""
        i = self.levels.index(level)
        return self.levels[i + 1] if i + 1 < len(self.levels) else None

    @cached_property
    def layers(self) -> dict[str, Layer]:
        """Return all layers by key: `bay:LEVEL`, `below:LEVEL`, `under:LEVEL`, `attic:LEVEL`."""
        out: dict[str, Layer] = {}
        for level in self.levels:
            if level.kind == "slab":
                out[f"under:{level.id}"] = Layer(f"under:{level.id}", "under", level, None, lowest=True)
            frame = self.house.frame_carrying(level.id)
            if level.kind == "frame" and frame is not None:
                below = self.level_below(level)
                crawl = below is None or below.kind == "ground"
                out[f"bay:{level.id}"] = Layer(f"bay:{level.id}", "bay", level, frame)
                regions = self._regions(frame, below)
                if regions:
                    out[f"below:{level.id}"] = Layer(f"below:{level.id}", "below", level, frame, regions, lowest=crawl)
            if level.attic_above:
                out[f"attic:{level.id}"] = Layer(f"attic:{level.id}", "attic", level, None)
        return out

    def floor_layers(self, level: HouseLevel) -> tuple[Layer, ...]:
        """Return the layers a drain of this level may use, best first."""
        keys = [f"bay:{level.id}", f"below:{level.id}", f"under:{level.id}"]
        below = self.layers.get(keys[1])
        if below is not None and any(r.whole for r in below.regions):
            keys.pop(0)  # open below everywhere: pipes hang under the joists, where they can meet
        return tuple(self.layers[k] for k in keys if k in self.layers)

    @cached_property
    def lowest_layer(self) -> Layer:
        """Return the layer from which the building drain leaves."""
        return next(layer for layer in self.layers.values() if layer.lowest)

    def _regions(self, frame: Frame, below: HouseLevel | None) -> tuple[Region, ...]:
        fp = self.house.footprint
        top = frame.bottom_z_mm
        if below is None or below.kind == "ground":
            lo = DEEP
            return (Region(fp.lo.x, fp.lo.y, fp.hi.x, fp.hi.y, lo, top, "crawl", whole=True),)
        out: list[Region] = []
        unfinished = below.kind == "slab" and self.level_below(below) is None  # a basement: joists overhead stay open
        if below.ceiling_open or unfinished:
            out.append(
                Region(fp.lo.x, fp.lo.y, fp.hi.x, fp.hi.y, below.subfloor_z_mm + 2030, top, "below frame", whole=True)
            )
        g = ROOM_TO_WALL_MM
        for room in self.house.rooms:
            if room.level_id != below.id or (room.drop_ceiling_z_mm is None and not room.ceiling_open):
                continue
            drop = room.drop_ceiling_z_mm
            lo = below.subfloor_z_mm + 2030 if drop is None else drop + CEILING_BOARD_MM
            out.append(Region(room.x0_mm - g, room.y0_mm - g, room.x1_mm + g, room.y1_mm + g, lo, top, "below frame"))
        for o in self.house.obstacles:
            if o.kind == "soffit" and below.subfloor_z_mm < o.box.lo.z < top:
                b = o.box
                lo = b.lo.z + CEILING_BOARD_MM
                x0, x1 = b.lo.x + self._side(below, b, "x", -1), b.hi.x + self._side(below, b, "x", 1)
                y0, y1 = b.lo.y + self._side(below, b, "y", -1), b.hi.y + self._side(below, b, "y", 1)
                out.append(Region(x0, y0, x1, y1, lo, top, "soffit"))
        return tuple(out)

    def _side(self, level: HouseLevel, box: Box, axis: Literal["x", "y"], sign: int) -> float:
        """Return how far the inside of a bulkhead goes past its outside: into the wall beside it, or less its board."""
        for w in self.house.walls:
            if w.level_id != level.id or abs(getattr(w.along, axis)) > 0.5:
                continue
            face = getattr(w.start, axis) - sign * w.depth_mm / 2
            end = getattr(box.hi if sign > 0 else box.lo, axis)
            if abs(face - end) < FINISH_MM:
                return sign * ROOM_TO_WALL_MM
        return -sign * CEILING_BOARD_MM

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

    def inside(self, p: XY) -> bool:
        """Return whether a plan position lies within the outline of the house."""
        fp = self.house.footprint
        return fp.lo.x <= p[0] <= fp.hi.x and fp.lo.y <= p[1] <= fp.hi.y

    def leg(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        """Return what a leg may be, None where it cannot be at all."""
        key = (layer.key, min(p, q), max(p, q), g.size_in)
        if key not in self._legs:
            self._legs[key] = self._ask(layer, p, q, g)
        return self._legs[key]

    def _ask(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        if layer.kind == "bay":
            return self._bay_leg(layer, p, q, g)
        if layer.kind == "below":
            return self._below_leg(layer, p, q, g)
        if layer.kind == "under":
            return self._under_leg(layer, p, q, g)
        return self._attic_leg(layer, p, q, g)

    # --- joist bays -------------------------------------------------------------------------------------------

    def _bay_leg(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        f = layer.frame
        assert f is not None
        c = 1 if f.runs == "x" else 0
        a = 1 - c
        lo_c, hi_c = min(p[c], q[c]), max(p[c], q[c])
        if lo_c < f.across_lo_mm or hi_c > f.across_hi_mm:
            return None
        if min(p[a], q[a]) < f.along_lo_mm or max(p[a], q[a]) > f.along_hi_mm:
            return None
        if self.bay_of(f, p, g) is None or self.bay_of(f, q, g) is None:
            return None
        half = f.width_mm / 2
        crossed = [m for m in f.centres_mm if lo_c < m < hi_c]
        if crossed:
            hole = g.hole_mm
            edge = self.joist_edge.get(f.id, 0.0)
            if abs(p[a] - q[a]) > 1 or hole > self.joist_limit.get(f.id, 0.0) + 0.05:
                return None
            spans = [Span(f.bottom_z_mm + edge + hole / 2, f.top_z_mm - edge - hole / 2)]
        else:
            if abs(p[c] - q[c]) > 1:
                near = [m for m in f.centres_mm if lo_c - half - g.hub_r < m < hi_c + half + g.hub_r]
                if near:
                    return None
            spans = [Span(f.bottom_z_mm + g.r + 3, f.top_z_mm - g.r - 3)]
        if spans[0].lo > spans[0].hi:
            return None
        spans = self._without(
            spans, p, q, g, ("duct", "beam", "post", "blocking", "appliance", "line"), OBSTACLE_GAP_MM
        )
        if not spans:
            return None
        index = sum(1 for m in f.centres_mm if m < p[c])
        return Leg(tuple(spans), len(crossed), Place("joist bay", f.id, index))

    def bay_of(self, f: Frame, p: XY, g: Gauge) -> tuple[float, float] | None:
        """Return the joist bay that has room for the pipe's hub at a plan position."""
        c = 1 if f.runs == "x" else 0
        bays = self._bays.get(f.id)
        if bays is None:
            bays = self._bays[f.id] = f.bays
        for lo, hi in bays:
            if lo + g.hub_r - 0.5 <= p[c] <= hi - g.hub_r + 0.5:
                return lo, hi
        return None

    # --- below a frame ----------------------------------------------------------------------------------------

    def _below_leg(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        inside = self.inside(p) and self.inside(q)
        if layer.lowest and not inside:
            return self._outside_leg(layer, p, q, g)
        region = min((r for r in layer.regions if r.holds(p) and r.holds(q)), key=lambda r: r.lo, default=None)
        place_kind: Literal["below frame", "soffit", "crawl"] = "below frame"
        if region is None:
            holding = [r for r in layer.regions if r.holds(p)] + [r for r in layer.regions if r.holds(q)]
            if not holding or not any(r.holds(p) for r in holding) or not any(r.holds(q) for r in holding):
                return None
            mid = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
            if not any(r.holds(mid) for r in layer.regions):
                return None
            lo, hi = max(r.lo for r in holding), min(r.hi for r in holding)
        else:
            lo, hi, place_kind = region.lo, region.hi, region.kind
        below = self.level_below(layer.level)
        if below is not None and self._in_one_cavity(below, p, q):
            lo = below.subfloor_z_mm
        spans = [Span(lo + g.r, hi - g.r - HANG_GAP_MM)]
        if spans[0].lo > spans[0].hi:
            return None
        bores = 0
        if below is not None:
            crossed = self._walls_crossed(below, p, q, g, hi)
            if crossed is None:
                return None
            top, bores = crossed
            spans = cut_spans(spans, top, 1e6)
        kinds = ("duct", "beam", "post", "appliance", "line", "box", "panel", "header", "valve")
        spans = self._without(spans, p, q, g, kinds, OBSTACLE_GAP_MM)
        if layer.lowest:
            spans = self._without_footings(spans, p, q, g)
        if not spans:
            return None
        ref = layer.frame.id if layer.frame else layer.level.id
        return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), bores, Place(place_kind, ref))

    def _walls_crossed(self, level: HouseLevel, p: XY, q: XY, g: Gauge, hi: float) -> tuple[float, int] | None:
        """Return the greatest height and the studs bored where a leg passes walls of the level below, else None."""
        top = hi
        bores = 0
        for w in self.house.walls:
            if w.level_id != level.id or w.against_concrete or w.top_z_mm < hi - 150:
                continue
            if (inside := self._run_inside(w, p, q, g)) is not None:
                if inside < 0:
                    return None
                bores += inside
                top = min(top, w.top_z_mm - w.top_plate_mm - g.r - 3)
                continue
            s = crossing_station(w, p, q)
            if s is None:
                if self._enters_stud(w, p, q, g):
                    return None
                continue
            bay = w.bay_at(s)
            if bay is None or s < bay.lo_mm + g.r or s > bay.hi_mm - g.r:
                return None
            top = min(top, w.top_z_mm - w.top_plate_mm - g.r - 3)
            if any(o.station_mm < s < o.station_mm + o.width_mm and o.header_top_z_mm > top for o in w.openings):
                return None
        return top, bores

    def _in_one_cavity(self, level: HouseLevel, p: XY, q: XY) -> bool:
        """Return whether both ends lie between the faces of one wall of a level: no ceiling bounds it there."""
        for w in self.house.walls:
            if w.level_id != level.id or w.against_concrete:
                continue
            n, d = w.leftward, w.along
            if all(
                abs((v[0] - w.start.x) * n.x + (v[1] - w.start.y) * n.y) <= w.depth_mm / 2 + 1
                and -1 <= (v[0] - w.start.x) * d.x + (v[1] - w.start.y) * d.y <= w.length_mm + 1
                for v in (p, q)
            ):
                return True
        return False

    def _enters_stud(self, w: Wall, p: XY, q: XY, g: Gauge) -> bool:
        """Return whether a leg that ends inside a wall cuts into a stud on its way in."""
        n, d = w.leftward, w.along
        a = (p[0] - w.start.x) * n.x + (p[1] - w.start.y) * n.y
        b = (q[0] - w.start.x) * n.x + (q[1] - w.start.y) * n.y
        half = w.depth_mm / 2
        if abs(a - b) < 1.0 or min(a, b) > half or max(a, b) < -half:
            return False
        s0 = (p[0] - w.start.x) * d.x + (p[1] - w.start.y) * d.y
        s1 = (q[0] - w.start.x) * d.x + (q[1] - w.start.y) * d.y
        t0, t1 = sorted(((-half - a) / (b - a), (half - a) / (b - a)))
        t0, t1 = max(0.0, t0), min(1.0, t1)
        lo, hi = sorted((s0 + (s1 - s0) * t0, s0 + (s1 - s0) * t1))
        if hi < 0 or lo > w.length_mm:
            return False
        return any(
            lo - g.r < m.station_mm + m.width_mm / 2 and hi + g.r > m.station_mm - m.width_mm / 2 for m in w.studs
        )

    def plumb_clear(self, layer: Layer, p: XY, g: Gauge) -> bool:
        """Return whether a pipe may come down here out of a joist bay: not onto a stud of a wall below, nor a duct."""
        reach = g.r + PASS_GAP_MM
        for o in self.house.obstacles:
            b = o.box
            if o.kind not in ("duct", "beam", "post", "appliance", "line"):
                continue
            if b.lo.x - reach < p[0] < b.hi.x + reach and b.lo.y - reach < p[1] < b.hi.y + reach:
                frame = layer.frame
                if frame is not None and b.lo.z < frame.top_z_mm and b.hi.z > frame.bottom_z_mm - BELOW_FRAME_MM:
                    return False
        below = self.level_below(layer.level)
        if below is None:
            return True
        for w in self.house.walls:
            if w.level_id != below.id or w.against_concrete or w.top_z_mm < layer.level.subfloor_z_mm - 1000:
                continue
            n, d = w.leftward, w.along
            off = (p[0] - w.start.x) * n.x + (p[1] - w.start.y) * n.y
            s = (p[0] - w.start.x) * d.x + (p[1] - w.start.y) * d.y
            if abs(off) >= w.depth_mm / 2 + g.r or not 0 <= s <= w.length_mm:
                continue
            bay = w.bay_at(s)
            if bay is None or not bay.lo_mm + g.hub_r <= s <= bay.hi_mm - g.hub_r or abs(off) > w.depth_mm / 2 - g.r:
                return False
        return True

    def _run_inside(self, w: Wall, p: XY, q: XY, g: Gauge) -> int | None:
        """Return the studs bored by a leg that runs inside a wall, -1 if it may not, None if it does not."""
        d, n = w.along, w.leftward
        a = (p[0] - w.start.x) * n.x + (p[1] - w.start.y) * n.y
        b = (q[0] - w.start.x) * n.x + (q[1] - w.start.y) * n.y
        if abs(a - b) > 1 or abs(a) > w.depth_mm / 2 + g.r:
            return None
        s, t = sorted(((v[0] - w.start.x) * d.x + (v[1] - w.start.y) * d.y) for v in (p, q))
        s, t = max(s, 0.0), min(t, w.length_mm)
        if s >= t:
            return None
        studs = [m for m in w.studs if s < m.station_mm < t]
        if studs and (abs(a) > w.depth_mm / 2 - g.r or g.hole_mm > self.stud_limit(w) + 0.05):
            return -1
        if any(o.station_mm < t and o.station_mm + o.width_mm > s for o in w.openings):
            return -1
        return len(studs)

    # --- under a slab, and outside ----------------------------------------------------------------------------

    def _under_leg(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        if not (self.inside(p) and self.inside(q)):
            return self._outside_leg(layer, p, q, g)
        v = layer.level
        hi = v.subfloor_z_mm - v.slab_mm - UNDER_SLAB_COVER_MM - g.r
        spans = self._without_footings([Span(DEEP, hi)], p, q, g)
        return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), 0, Place("under slab", v.id)) if spans else None

    def _outside_leg(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        hi = min(self.ground_z(p), self.ground_z(q)) - g.r
        if self.inside(p) or self.inside(q):
            inner = p if self.inside(p) else q
            fp = self.house.footprint
            edge = min(
                abs(inner[0] - fp.lo.x), abs(inner[0] - fp.hi.x), abs(inner[1] - fp.lo.y), abs(inner[1] - fp.hi.y)
            )
            if edge > 1500:  # split at the outline first: the lattice holds its lines
                return None
        spans = self._without_footings([Span(DEEP, hi)], p, q, g)
        spans = self._without(spans, p, q, g, ("beam", "post"), OBSTACLE_GAP_MM)
        return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), 0, Place("buried", layer.level.id)) if spans else None

    def _without_footings(self, spans: list[Span], p: XY, q: XY, g: Gauge) -> list[Span]:
        out = spans
        sleeves: list[Span] = []
        gap = FOOTING_GAP_MM + g.r
        for o in self.house.obstacles:
            if o.kind not in ("footing", "pad"):
                continue
            out = self._beside_footing(out, o.box, p, q, g)
            # a long footing is a rectangle along a wall: going along inside it is never right, across it may be sleeved
            if not box_hits_leg(o.box, p, q, g.r + FOOTING_GAP_MM):
                continue
            out = cut_spans(out, o.box.lo.z - gap, o.box.hi.z + gap)
            if o.kind == "footing" and _crosses_short(o.box, p, q):
                lo, hi = o.box.lo.z - gap, min(o.box.hi.z, max(s.hi for s in spans))
                if lo < hi:
                    # by the part of the footing passed, so that the lattice does not charge one sleeve leg by leg
                    wide = min(o.box.hi.x - o.box.lo.x, o.box.hi.y - o.box.lo.y) + 2 * gap
                    part = _length_inside(o.box, p, q, gap) / wide
                    sleeves.append(Span(lo, hi, WEIGHTS.sleeve * part, f"sleeve through footing {o.id}"))
        return out + sleeves

    def _beside_footing(self, spans: list[Span], box: Box, p: XY, q: XY, g: Gauge) -> list[Span]:
        """Return the heights of a leg, those dearer at which its trench would undermine a footing it runs along."""
        away = _away_along(box, p, q)
        if away is None:
            return spans
        lim = box.lo.z + g.r - max(0.0, away - g.r) * self.footing_plane
        dear = WEIGHTS.undermine * math.hypot(q[0] - p[0], q[1] - p[1])
        out: list[Span] = []
        for s in spans:
            if s.hi > lim:
                out.append(Span(max(s.lo, lim), s.hi, s.cost, s.note))
            if s.lo < lim:
                out.append(Span(s.lo, min(s.hi, lim), s.cost + dear, s.note))
        return out

    # --- attic ------------------------------------------------------------------------------------------------

    def _attic_leg(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        if not (self.inside(p) and self.inside(q)):
            return None
        lo = layer.level.subfloor_z_mm + layer.level.wall_height_mm
        frame = next((f for f in self.house.frames if f.open_above and abs(f.bottom_z_mm - lo) < 400), None)
        lo = (frame.top_z_mm if frame and frame.kind != "truss" else lo + 90) + g.r
        roof = min(self.roof_z(p) or DEEP, self.roof_z(q) or DEEP)
        hi = roof - 200 - g.r
        if lo > hi:
            return None
        kinds = ("duct", "appliance", "skylight", "zone")
        spans = self._without([Span(lo, hi)], p, q, g, kinds, 50.0)
        for o in self.house.roof_openings:
            if o.box.hi.z - o.box.lo.z < 2500 and box_hits_leg(o.box, p, q, 100.0 + g.r):
                return None
        return Leg(tuple(spans), 0, Place("attic", layer.level.id)) if spans else None

    def roof_z(self, p: XY) -> float | None:
        """Return the roof surface over a plan position, None where the house has no roof plane there."""
        zs = [
            r.z_at(p[0], p[1])
            for r in self.house.roof
            if r.x0_mm - 1 <= p[0] <= r.x1_mm + 1 and r.y0_mm - 1 <= p[1] <= r.y1_mm + 1
        ]
        return min(zs) if zs else None

    # --- obstacles --------------------------------------------------------------------------------------------

    def _without(self, spans: list[Span], p: XY, q: XY, g: Gauge, kinds: tuple[str, ...], gap: float) -> list[Span]:
        out = spans
        for o in self.house.obstacles:
            if o.kind not in kinds:
                continue
            if o.keep_clear_above_below and box_hits_leg(o.box, p, q, g.hub_r):
                return []
            if box_hits_leg(o.box, p, q, g.hub_r + gap):
                out = cut_spans(out, o.box.lo.z - g.r - gap, o.box.hi.z + g.r + gap)
        return [s for s in out if s.hi - s.lo > 2]


def _crosses_short(box: Box, p: XY, q: XY) -> bool:
    dx, dy = box.hi.x - box.lo.x, box.hi.y - box.lo.y
    along_x, along_y = abs(q[0] - p[0]), abs(q[1] - p[1])
    return (dx <= dy and along_x > 0.5) or (dy <= dx and along_y > 0.5)


def _away_along(box: Box, p: XY, q: XY) -> float | None:
    """Return how near a leg comes to a footing it runs along [mm], None if it crosses it or passes its ends."""
    wide_x, wide_y = box.hi.x - box.lo.x, box.hi.y - box.lo.y
    dx, dy = q[0] - p[0], q[1] - p[1]
    run = math.hypot(dx, dy)
    square = max(wide_x, wide_y) < 1.5 * min(wide_x, wide_y)
    if run < 1.0 or (not square and (abs(dx) if wide_x >= wide_y else abs(dy)) / run < 0.5):
        return None
    best: float | None = None
    for t in (0.0, 0.25, 0.5, 0.75, 1.0):
        x, y = p[0] + dx * t, p[1] + dy * t
        gap_x = max(box.lo.x - x, 0.0, x - box.hi.x)
        gap_y = max(box.lo.y - y, 0.0, y - box.hi.y)
        if square or min(gap_x, gap_y) <= 0.0:
            best = min(math.hypot(gap_x, gap_y), math.inf if best is None else best)
    return best


def crossing_station(w: Wall, p: XY, q: XY) -> float | None:
    """Return the station where a plan segment passes the stud line of a wall, ends on the line not counted."""
    d, n = w.along, w.leftward
    a = (p[0] - w.start.x) * n.x + (p[1] - w.start.y) * n.y
    b = (q[0] - w.start.x) * n.x + (q[1] - w.start.y) * n.y
    if a * b >= -1.0 or min(abs(a), abs(b)) < 1.0:
        return None
    t = a / (a - b)
    x, y = p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t
    s = (x - w.start.x) * d.x + (y - w.start.y) * d.y
    return s if 0 <= s <= w.length_mm else None
