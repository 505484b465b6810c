"""Cutting lines and areas at the edge of a drawing."""

from __future__ import annotations

from collections.abc import Sequence

from stubout.sheets.metrics import Rect

XY = tuple[float, float]


def clip_line(a: XY, b: XY, box: Rect) -> tuple[XY, XY] | None:
    """Return the part of a segment inside a box, None if there is none (Liang and Barsky's parametric cut)."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    lo, hi = 0.0, 1.0
    for p, q in ((-dx, a[0] - box[0]), (dx, box[2] - a[0]), (-dy, a[1] - box[1]), (dy, box[3] - a[1])):
        if abs(p) < 1e-12:
            if q < 0:
                return None
            continue
        t = q / p
        if p < 0:
            lo = max(lo, t)
        else:
            hi = min(hi, t)
        if lo > hi:
            return None
    return (a[0] + dx * lo, a[1] + dy * lo), (a[0] + dx * hi, a[1] + dy * hi)


def clip_area(points: Sequence[XY], box: Rect) -> tuple[XY, ...]:
    """Return the part of a convex area inside a box, empty if there is none."""
    out = list(points)
    for axis, edge, sign in ((0, box[0], 1.0), (0, box[2], -1.0), (1, box[1], 1.0), (1, box[3], -1.0)):
        ring, out = out, []
        for i, p in enumerate(ring):
            q = ring[i - 1]
            p_in, q_in = (p[axis] - edge) * sign >= -1e-9, (q[axis] - edge) * sign >= -1e-9
            if p_in != q_in:
                t = (edge - q[axis]) / (p[axis] - q[axis])
                out.append((q[0] + (p[0] - q[0]) * t, q[1] + (p[1] - q[1]) * t))
            if p_in:
                out.append(p)
        if not out:
            return ()
    return tuple(out)
