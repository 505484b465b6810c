"""Small geometry of drains in plan: short jogs, the stretch the trap takes, near and far. Lengths [mm]."""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.geometry.vec import Vec
from stubout.layout.route import Path
from stubout.layout.space_shapes import XY
from stubout.layout.weights import WEIGHTS

MOST_SWING_MM = 55.0  # a floor trap is swung no further into line with its arm; common practice, no source


def jog_corners(a: XY, b: XY, lo: float, hi: float) -> list[XY]:
    """Return the corners of the 45 degree jogs from one point to another: at the end, at the start, short of it."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    d = min(abs(dx), abs(dy))
    if not 20.0 < d < 700.0:
        return []
    sx, sy = math.copysign(1.0, dx), math.copysign(1.0, dy)
    if abs(dx) < abs(dy):
        at = (abs(dy) - d, lo, abs(dy) - d - hi, 0.0)
        return [p for t in at if 0 <= t < abs(dy) - d + 1 for p in ((a[0], a[1] + sy * t), (b[0], a[1] + sy * (t + d)))]
    at = (abs(dx) - d, lo, abs(dx) - d - hi, 0.0)
    return [p for t in at if 0 <= t < abs(dx) - d + 1 for p in ((a[0] + sx * t, a[1]), (a[0] + sx * (t + d), b[1]))]


def dear(path: Path) -> bool:
    """Return whether a path has something a plumber would rather go elsewhere for: fittings too close, a crossing."""
    return path.cost - path.length - path.target.cost >= WEIGHTS.short_leg


def swing(reach: float) -> float:
    """Return how far a floor trap of a reach swings sideways into line with its arm [mm]."""
    return min(0.7 * reach, MOST_SWING_MM)


def past_trap(path: Path, reach: float) -> Path:
    """Begin a path at the trap weir instead of under the outlet: the trap itself takes the first stretch.

    A short jog right at the outlet is the trap's as well: it is swung sideways into line with what follows.
    """
    if not path.steps or path.steps[0].place is None:
        return path
    s = path.steps[0]
    run = math.hypot(s.b[0] - s.a[0], s.b[1] - s.a[1])
    if run < swing(reach) and len(path.steps) > 1 and path.steps[1].place is not None:
        return past_trap(replace(path, steps=path.steps[1:], length=path.length - run), reach)
    cut = min(reach, run - 30.0)
    if cut <= 0:
        return path
    t = cut / run
    a = (s.a[0] + (s.b[0] - s.a[0]) * t, s.a[1] + (s.b[1] - s.a[1]) * t)
    z_a = None if s.z_a is None or s.z_b is None else s.z_a + (s.z_b - s.z_a) * t
    parts = tuple(replace(q, far=min(q.far, run - cut)) for q in s.parts if q.near < run - cut)
    return replace(path, steps=(replace(s, a=a, z_a=z_a, parts=parts), *path.steps[1:]), length=path.length - cut)


def near(a: XY, b: XY, d: float) -> bool:
    """Return whether two points lie no farther apart than so much [mm]."""
    return math.hypot(a[0] - b[0], a[1] - b[1]) <= d


def manhattan(a: XY, b: XY) -> float:
    """Return the distance of two points along the walls [mm]."""
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def level_vec(p: XY) -> Vec:
    """Return a plan point as a point in space at height 0."""
    return Vec(p[0], p[1], 0.0)
