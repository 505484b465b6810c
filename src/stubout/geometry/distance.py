"""Distances between points, segments, boxes and capsules, in plain Python: a house is small.

All lengths in one unit, millimetres in this program. A capsule is a segment with a radius: a pipe with its round ends.
"""

from __future__ import annotations

import math
from itertools import pairwise

from stubout.geometry.vec import Box, Vec

Segment = tuple[Vec, Vec]
Rect = tuple[float, float, float, float]  # x0, y0, x1, y1 with x0 <= x1 and y0 <= y1

TOUCH_MM = 1e-6  # what is nearer than this touches


def nearest_on_segment(p: Vec, a: Vec, b: Vec) -> Vec:
    """Return the point of the segment a-b that is nearest to a point."""
    return _at(a, b, _clamped_parameter(p, a, b))


def _clamped_parameter(p: Vec, a: Vec, b: Vec) -> float:
    """Return where the foot of a point falls on a-b, 0 to 1."""
    (ax, ay, az), (bx, by, bz) = a, b
    dx, dy, dz = bx - ax, by - ay, bz - az
    length2 = dx * dx + dy * dy + dz * dz
    if length2 <= 0.0:
        return 0.0
    return min(1.0, max(0.0, ((p[0] - ax) * dx + (p[1] - ay) * dy + (p[2] - az) * dz) / length2))


def _at(a: Vec, b: Vec, t: float) -> Vec:
    # From the nearer end, so that t = 1 gives b itself and not b with rounding.
    return a.plus(b.minus(a).times(t)) if t <= 0.5 else b.plus(a.minus(b).times(1.0 - t))


def point_segment(p: Vec, a: Vec, b: Vec) -> float:
    """Return the distance of a point from the segment a-b [mm]."""
    return p.to(nearest_on_segment(p, a, b))


def nearest_of_segments(a: Vec, b: Vec, c: Vec, d: Vec) -> tuple[Vec, Vec]:
    """Return the points of the segments a-b and c-d that are nearest to each other.

    The minimum over both parameters is either inside both segments or at an end of one of them, so the four ends
    against the other segment and the common perpendicular are tried, and the best is kept; parallel segments need
    no case of their own then.
    """
    pairs = [
        (a, nearest_on_segment(a, c, d)),
        (b, nearest_on_segment(b, c, d)),
        (nearest_on_segment(c, a, b), c),
        (nearest_on_segment(d, a, b), d),
    ]
    u, v, w = b.minus(a), d.minus(c), a.minus(c)
    uu, uv, vv = u.dot(u), u.dot(v), v.dot(v)
    det = uu * vv - uv * uv
    if det > 1e-12 * uu * vv:
        uw, vw = u.dot(w), v.dot(w)
        s, t = (uv * vw - vv * uw) / det, (uu * vw - uv * uw) / det
        if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
            pairs.append((_at(a, b, s), _at(c, d, t)))
    return min(pairs, key=lambda pair: pair[0].to(pair[1]))


def segment_segment(a: Vec, b: Vec, c: Vec, d: Vec) -> float:
    """Return the distance between the segments a-b and c-d [mm]."""
    p, q = nearest_of_segments(a, b, c, d)
    return p.to(q)


def capsule_clearance(one: Segment, other: Segment, *, radius_one: float, radius_other: float) -> float:
    """Return the free space between two capsules [mm]; negative by how far they run into each other."""
    return segment_segment(*one, *other) - radius_one - radius_other


def point_box(p: Vec, box: Box) -> float:
    """Return the distance of a point from a box [mm], 0 inside."""
    return math.sqrt(sum(max(lo - x, 0.0, x - hi) ** 2 for x, lo, hi in zip(p, box.lo, box.hi, strict=True)))


def segment_box(a: Vec, b: Vec, box: Box) -> float:
    """Return the distance between the segment a-b and a box [mm], 0 if they touch.

    Between the places where the segment crosses a face plane of the box, the squared distance is one parabola along
    the segment, so its least value is exact: at an end of such a piece, or at the parabola's own lowest point.
    """
    d = b.minus(a)
    cuts = {0.0, 1.0}
    for start, step, lo, hi in zip(a, d, box.lo, box.hi, strict=True):
        if step != 0.0:
            cuts.update(t for t in ((lo - start) / step, (hi - start) / step) if 0.0 < t < 1.0)
    stops = sorted(cuts)
    best = min(_box_gap2(a, b, t, box) for t in stops)
    for t0, t1 in pairwise(stops):
        middle = _at(a, b, (t0 + t1) / 2)
        slope = curve = 0.0
        for m, start, step, lo, hi in zip(middle, a, d, box.lo, box.hi, strict=True):
            if not lo <= m <= hi:  # this axis counts: the piece lies wholly beyond one of its faces
                face = lo if m < lo else hi
                slope += step * (start - face)
                curve += step * step
        if curve > 0.0:
            best = min(best, _box_gap2(a, b, min(t1, max(t0, -slope / curve)), box))
    return math.sqrt(best)


def _box_gap2(a: Vec, b: Vec, t: float, box: Box) -> float:
    p = _at(a, b, t)
    return sum(max(lo - x, 0.0, x - hi) ** 2 for x, lo, hi in zip(p, box.lo, box.hi, strict=True))


def capsule_box_clearance(a: Vec, b: Vec, box: Box, *, radius: float) -> float:
    """Return the free space between a capsule and a box [mm]; below zero it runs into the box.

    Once the centre line is inside the box the result stays at minus the radius: it tells that, not how deep.
    """
    return segment_box(a, b, box) - radius


def box_box(one: Box, other: Box) -> float:
    """Return the distance between two boxes [mm], 0 if they touch or overlap."""
    gaps = (
        max(lo2 - hi1, 0.0, lo1 - hi2) for lo1, hi1, lo2, hi2 in zip(one.lo, one.hi, other.lo, other.hi, strict=True)
    )
    return math.sqrt(sum(g * g for g in gaps))


def boxes_overlap(one: Box, other: Box, margin: float = 0.0) -> bool:
    """Return whether two boxes share more than a face, the first grown by `margin` [mm]."""
    return all(
        lo1 - margin < hi2 - TOUCH_MM and lo2 < hi1 + margin - TOUCH_MM
        for lo1, hi1, lo2, hi2 in zip(one.lo, one.hi, other.lo, other.hi, strict=True)
    )


def segment_bounds(a: Vec, b: Vec, radius: float = 0.0) -> Box:
    """Return the box around a segment, or around a capsule of a radius [mm]: what a pipe can touch."""
    (ax, ay, az), (bx, by, bz) = a, b
    x0, x1 = (ax, bx) if ax < bx else (bx, ax)
    y0, y1 = (ay, by) if ay < by else (by, ay)
    z0, z1 = (az, bz) if az < bz else (bz, az)
    return Box(Vec(x0 - radius, y0 - radius, z0 - radius), Vec(x1 + radius, y1 + radius, z1 + radius))


def clip_to_rect(a: Vec, b: Vec, rect: Rect) -> tuple[float, float] | None:
    """Return the part of a-b, seen from above, that lies in a rectangle: parameters 0 to 1, None if there is none."""
    t0, t1 = 0.0, 1.0
    x0, y0, x1, y1 = rect
    for start, step, lo, hi in ((a.x, b.x - a.x, x0, x1), (a.y, b.y - a.y, y0, y1)):
        if step == 0.0:
            if not lo <= start <= hi:
                return None
            continue
        near, far = sorted(((lo - start) / step, (hi - start) / step))
        t0, t1 = max(t0, near), min(t1, far)
        if t0 > t1:
            return None
    return t0, t1


def segment_meets_rect(a: Vec, b: Vec, rect: Rect) -> bool:
    """Return whether a segment, seen from above, touches a rectangle or lies in it."""
    return clip_to_rect(a, b, rect) is not None


def clip_to_box(a: Vec, b: Vec, box: Box) -> tuple[float, float] | None:
    """Return the part of a-b that lies in a box: parameters 0 to 1, None if there is none."""
    t0, t1 = 0.0, 1.0
    for start, step, lo, hi in zip(a, b.minus(a), box.lo, box.hi, strict=True):
        if step == 0.0:
            if not lo <= start <= hi:
                return None
            continue
        near, far = sorted(((lo - start) / step, (hi - start) / step))
        t0, t1 = max(t0, near), min(t1, far)
        if t0 > t1:
            return None
    return t0, t1


def point_rect(x: float, y: float, rect: Rect) -> float:
    """Return the distance in plan of a point from a rectangle [mm], 0 inside."""
    x0, y0, x1, y1 = rect
    return math.hypot(max(x0 - x, 0.0, x - x1), max(y0 - y, 0.0, y - y1))


def segment_rect(a: Vec, b: Vec, rect: Rect) -> float:
    """Return the distance in plan between a segment and a rectangle [mm], 0 if they touch."""
    x0, y0, x1, y1 = rect
    return segment_box(a.at_z(0.0), b.at_z(0.0), Box(Vec(x0, y0, 0.0), Vec(x1, y1, 0.0)))


def segments_cross_in_plan(a: Vec, b: Vec, c: Vec, d: Vec) -> bool:
    """Return whether two segments touch or cross when seen from above."""
    return segment_segment(a.at_z(0.0), b.at_z(0.0), c.at_z(0.0), d.at_z(0.0)) <= TOUCH_MM


def rects_overlap(one: Rect, other: Rect) -> bool:
    """Return whether two rectangles share more than an edge."""
    return (
        one[0] < other[2] - TOUCH_MM
        and other[0] < one[2] - TOUCH_MM
        and one[1] < other[3] - TOUCH_MM
        and other[1] < one[3] - TOUCH_MM
    )
