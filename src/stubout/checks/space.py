"""Distances between round pipes and boxes: exact, without a grid.

A pipe is a capsule (a segment with a radius), an obstacle is an axis-aligned box.
"""

from __future__ import annotations

import itertools
import math

from stubout.geometry.vec import Box, Vec


def along(a: Vec, b: Vec, t: float) -> Vec:
    """Return the point a fraction `t` of the way from `a` to `b`."""
    return a.plus(b.minus(a).times(t))


def point_box_mm(p: Vec, box: Box) -> float:
    """Return the distance from a point to a box [mm]; 0 inside."""
    gaps = [max(lo - c, 0.0, c - hi) for c, lo, hi in zip(p, box.lo, box.hi, strict=True)]
    return math.sqrt(sum(g * g for g in gaps))


def segment_box(a: Vec, b: Vec, box: Box) -> tuple[float, Vec]:
    """Return the distance from a segment to a box [mm] and the nearest point of the segment.

    The squared distance is convex and piecewise quadratic along the segment, so its derivative is piecewise linear and
    rising: the zero lies between two neighbouring break points, where one straight line decides.
    """
    d = b.minus(a)
    breaks = {0.0, 1.0}
    for s, v, lo, hi in zip(a, d, box.lo, box.hi, strict=True):
        if v != 0.0:
            breaks.update(t for t in ((lo - s) / v, (hi - s) / v) if 0.0 < t < 1.0)

    def rise(t: float) -> float:
        """Return half the derivative of the squared distance."""
        total = 0.0
        for s, v, lo, hi in zip(a, d, box.lo, box.hi, strict=True):
            c = s + v * t
            total += v * (c - lo if c < lo else c - hi if c > hi else 0.0)
        return total

    ordered = sorted(breaks)
    best = ordered[-1]
    if rise(0.0) >= 0.0:
        best = 0.0
    else:
        for t0, t1 in itertools.pairwise(ordered):
            r0, r1 = rise(t0), rise(t1)
            if r1 >= 0.0:
                best = t1 if r1 == r0 else t0 + (t1 - t0) * (-r0) / (r1 - r0)
                break
    p = along(a, b, best)
    return point_box_mm(p, box), p


def segment_segment(a: Vec, b: Vec, c: Vec, d: Vec) -> tuple[float, Vec]:
    """Return the distance between two segments [mm] and the nearest point of the first."""
    u, v, w = b.minus(a), d.minus(c), a.minus(c)
    uu, uv, vv, uw, vw = u.dot(u), u.dot(v), v.dot(v), u.dot(w), v.dot(w)
    if uu == 0.0 and vv == 0.0:
        return a.to(c), a
    if uu == 0.0:
        return a.to(along(c, d, max(0.0, min(1.0, vw / vv)))), a
    if vv == 0.0:
        p = along(a, b, max(0.0, min(1.0, -uw / uu)))
        return p.to(c), p
    det = uu * vv - uv * uv
    s = 0.0 if det <= 1e-12 * uu * vv else max(0.0, min(1.0, (uv * vw - vv * uw) / det))
    t = (uv * s + vw) / vv
    if t < 0.0:
        t, s = 0.0, max(0.0, min(1.0, -uw / uu))
    elif t > 1.0:
        t, s = 1.0, max(0.0, min(1.0, (uv - uw) / uu))
    p = along(a, b, s)
    return p.to(along(c, d, t)), p


def boxes_meet(a: Box, b: Box, slack_mm: float = 0.0) -> bool:
    """Return whether two boxes overlap by more than `slack_mm` in every direction."""
    (ax0, ay0, az0), (ax1, ay1, az1) = a
    (bx0, by0, bz0), (bx1, by1, bz1) = b
    # The most frequent question of all checks: boxes that lie apart are known by the first comparison that fails.
    return (
        ax1 - bx0 > slack_mm
        and bx1 - ax0 > slack_mm
        and ay1 - by0 > slack_mm
        and by1 - ay0 > slack_mm
        and az1 - bz0 > slack_mm
        and bz1 - az0 > slack_mm
        and min(ax1 - ax0, bx1 - bx0, ay1 - ay0, by1 - by0, az1 - az0, bz1 - bz0) > slack_mm
    )


def clipped(a: Vec, b: Vec, box: Box) -> tuple[Vec, Vec] | None:
    """Return the part of a segment that lies in a box, None if none does."""
    lo_t, hi_t = 0.0, 1.0
    d = b.minus(a)
    for s, v, lo, hi in zip(a, d, box.lo, box.hi, strict=True):
        if v == 0.0:
            if not lo <= s <= hi:
                return None
            continue
        t0, t1 = sorted(((lo - s) / v, (hi - s) / v))
        lo_t, hi_t = max(lo_t, t0), min(hi_t, t1)
    return None if lo_t > hi_t else (along(a, b, lo_t), along(a, b, hi_t))
