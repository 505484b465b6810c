"""Legs below a frame: hung from the joists, in a bulkhead or a crawl space, and past the walls there. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.house.framing import Wall
from stubout.house.model import HouseLevel
from stubout.layout.model import Place
from stubout.layout.premises import Premises
from stubout.layout.space_ground import outside_leg, without_footings
from stubout.layout.space_shapes import XY, Gauge, Layer, Leg, RegionKind, Span, across, crossing_station, cut_spans
from stubout.layout.weights import HANG_GAP_MM, OBSTACLE_GAP_MM

STACK_IN = 3.0  # a pipe so large goes into a wall at a stack only, where the plates are opened for its fittings
IN_THE_WAY = ("duct", "beam", "post", "appliance", "line", "box", "panel", "header", "valve")
ROOM_OF_BEND_MM = 60.0  # the hub of a bend that turns out of a drop stands below the plates; an estimate
ALONG_MM = 1.0  # so little nearer to the stud line at one end a leg runs along its wall
PASS_GAP_MM = 4.0  # between a duct and a straight piece of pipe that passes it plumb
BELOW_FRAME_MM = 400.0  # a pipe that comes down out of a bay is caught within so much below it


def below_leg(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg below a frame may be, None where it cannot be."""
    inside = premises.inside(p) and premises.inside(q)
    if layer.lowest and not inside:
        return outside_leg(premises, layer, p, q, g)
    region = None  # the deepest that holds both ends
    for r in layer.regions:
        if (region is None or r.lo < region.lo) and r.holds(p) and r.holds(q):
            region = r
    place_kind: RegionKind = "below frame"
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
    below = premises.level_below(layer.level)
    if below is not None and _in_one_cavity(premises, below, p, q):
        lo = below.subfloor_z_mm
    spans = [Span(lo + g.r, hi - g.r - HANG_GAP_MM)]
    if spans[0].lo > spans[0].hi:
        return None
    bores = 0
    if below is not None:
        crossed = _walls_crossed(premises, below, p, q, g, hi)
        if crossed is None:
            return None
        top, bores = crossed
        spans = cut_spans(spans, top, 1e6)
    spans = premises.without(spans, p, q, g, IN_THE_WAY, OBSTACLE_GAP_MM)
    if layer.lowest and spans:
        spans = without_footings(premises, spans, p, q, g)
    if not spans:
        return None
    ref = layer.frame.id if layer.frame else layer.level.id
    return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), bores, Place(place_kind, ref))


def leg_in_wall(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg through the studs of a wall under a closed ceiling may be, None where it cannot be."""
    below = premises.level_below(layer.level)
    region = next((r for r in layer.regions if r.holds(p) and r.holds(q)), None)
    if below is None or region is None or g.size_in >= STACK_IN:
        return None
    wall = next(w for w in premises.walls_of(below) if w.id == region.ref)
    a, b = across(wall, p), across(wall, q)
    crossed = _walls_crossed(premises, below, p, q, g, region.hi)
    if crossed is None or abs(a - b) > ALONG_MM or abs(a) > wall.depth_mm / 2 - g.hub_r:
        return None
    top, bores = crossed
    spans = [Span(region.lo + g.r, top - g.r - ROOM_OF_BEND_MM)]
    spans = premises.without(spans, p, q, g, IN_THE_WAY, OBSTACLE_GAP_MM) if spans[0].lo < spans[0].hi else []
    return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), bores, Place("wall", wall.id)) if spans else None


def _walls_crossed(
    premises: Premises, level: HouseLevel, p: XY, q: XY, g: Gauge, hi: float
) -> tuple[float, int] | None:
    """Return the greatest height and the studs bored where a leg passes walls of the level below, else None."""
    top = hi
    bores = 0
    for (w, a), (_, b) in zip(premises.walls_by(level, p), premises.walls_by(level, q), strict=True):
        if w.against_concrete or w.top_z_mm < hi - 150:
            continue
        reach = w.depth_mm / 2 + g.r
        if (a > reach and b > reach) or (a < -reach and b < -reach):
            continue  # all of it lies on one side
        if (inside := _run_inside(premises, w, p, q, g)) is not None:
            if inside < 0:
                return None
            bores += inside
            top = min(top, w.top_z_mm - w.top_plate_mm - g.r - 3)
            continue
        s = crossing_station(w, p, q)
        if s is None:
            if _enters_stud(w, p, q, g):
                return None
            if g.size_in < STACK_IN and (abs(a) < w.depth_mm / 2) != (abs(b) < w.depth_mm / 2):
                top = min(top, w.top_z_mm - w.top_plate_mm - g.r - 3)  # out of its side below the plates
            continue
        bay = w.bay_at(s)
        if bay is None or s < bay.lo_mm + g.r or s > bay.hi_mm - g.r:
            return None
        top = min(top, w.top_z_mm - w.top_plate_mm - g.r - 3)
        if any(o.station_mm < s < o.station_mm + o.width_mm and o.header_top_z_mm > top for o in w.openings):
            return None
    return top, bores


def _in_one_cavity(premises: Premises, level: HouseLevel, p: XY, q: XY) -> bool:
    """Return whether both ends lie between the faces of one wall of a level: no ceiling bounds it there."""
    return not premises.cavities(level, p).isdisjoint(premises.cavities(level, q))


def in_wall(premises: Premises, layer: Layer, end: XY, p: XY) -> float:
    """Return how much of a leg that ends in a wall below lies between its faces: no ceiling bounds it there [mm]."""
    below = premises.level_below(layer.level) if layer.kind == "below" else None
    for w in premises.walls_of(below) if below is not None else ():
        a, b, half = across(w, end), across(w, p), w.depth_mm / 2
        d = w.along
        s = (end[0] - w.start.x) * d.x + (end[1] - w.start.y) * d.y
        if w.against_concrete or abs(a) > half or abs(b) <= half or not 0.0 <= s <= w.length_mm:
            continue
        part = (half - a) / (b - a) if b > 0 else (half + a) / (a - b)
        return part * math.hypot(p[0] - end[0], p[1] - end[1])
    return 0.0


def _enters_stud(w: Wall, p: XY, q: XY, g: Gauge) -> bool:
    """Return whether a leg that ends inside a wall cuts into a stud on its way in."""
    a, b = across(w, p), across(w, q)
    half = w.depth_mm / 2
    if abs(a - b) < 1.0 or min(a, b) > half or max(a, b) < -half:
        return False
    d = w.along
    s0 = (p[0] - w.start.x) * d.x + (p[1] - w.start.y) * d.y
    s1 = (q[0] - w.start.x) * d.x + (q[1] - w.start.y) * d.y
    t0, t1 = sorted(((-half - a) / (b - a), (half - a) / (b - a)))
    t0, t1 = max(0.0, t0), min(1.0, t1)
    lo, hi = sorted((s0 + (s1 - s0) * t0, s0 + (s1 - s0) * t1))
    if hi < 0 or lo > w.length_mm:
        return False
    return any(lo - g.r < m.station_mm + m.width_mm / 2 and hi + g.r > m.station_mm - m.width_mm / 2 for m in w.studs)


def _run_inside(premises: Premises, w: Wall, p: XY, q: XY, g: Gauge) -> int | None:
    """Return the studs bored by a leg that runs inside a wall, -1 if it may not, None if it does not."""
    a, b = across(w, p), across(w, q)
    if abs(a - b) > ALONG_MM or abs(a) > w.depth_mm / 2 + g.r:
        return None
    d = w.along
    s, t = sorted(((v[0] - w.start.x) * d.x + (v[1] - w.start.y) * d.y) for v in (p, q))
    s, t = max(s, 0.0), min(t, w.length_mm)
    if s >= t:
        return None
    studs = [m for m in w.studs if s < m.station_mm < t]
    if studs and (abs(a) > w.depth_mm / 2 - g.r or g.hole_mm > premises.stud_limit(w) + 0.05):
        return -1
    if any(o.station_mm < t and o.station_mm + o.width_mm > s for o in w.openings):
        return -1
    return len(studs)


def plumb_clear(premises: Premises, layer: Layer, p: XY, g: Gauge) -> bool:
    """Return whether a pipe may come down here out of a joist bay: not onto a stud of a wall below, nor a duct."""
    reach = g.r + PASS_GAP_MM
    for o in premises.house.obstacles:
        b = o.box
        if o.kind not in ("duct", "beam", "post", "appliance", "line"):
            continue
        if b.lo.x - reach < p[0] < b.hi.x + reach and b.lo.y - reach < p[1] < b.hi.y + reach:
            frame = layer.frame
            if frame is not None and b.lo.z < frame.top_z_mm and b.hi.z > frame.bottom_z_mm - BELOW_FRAME_MM:
                return False
    below = premises.level_below(layer.level)
    if below is None:
        return True
    for w in premises.walls_of(below):
        if w.against_concrete or w.top_z_mm < layer.level.subfloor_z_mm - 1000:
            continue
        d, off = w.along, across(w, p)
        s = (p[0] - w.start.x) * d.x + (p[1] - w.start.y) * d.y
        if abs(off) >= w.depth_mm / 2 + g.r or not 0 <= s <= w.length_mm:
            continue
        bay = w.bay_at(s)
        if bay is None or not bay.lo_mm + g.hub_r <= s <= bay.hi_mm - g.hub_r or abs(off) > w.depth_mm / 2 - g.r:
            return False
    return True
