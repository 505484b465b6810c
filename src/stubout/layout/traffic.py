"""The pipes already drawn in a layer, lying and standing, and whether a leg would meet them. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from stubout.layout.charted import Holes
from stubout.layout.space_shapes import XY
from stubout.layout.weights import WEIGHTS

FIELD_MM = 1500.0  # of a plan that is divided to ask only what lies near
SHY_MM = 30.0  # besides its own radius a pipe keeps so far from the line of a wall where a drop will come down


class Lying(NamedTuple):
    """A level pipe that already lies in a layer."""

    a: XY
    b: XY
    z_a: float | None
    z_b: float | None
    r: float


class Post(NamedTuple):
    """A plumb pipe: it stands from its foot upwards."""

    xy: XY
    z_foot: float | None
    r: float


Met = tuple[list[Post], list[tuple[Lying, float, float]], float]
"""What a leg meets: plumb pipes, lying ones with the place on both, and what the walls it runs along weigh."""


Places = dict[tuple[XY, XY], tuple[float, float] | None]
Meetings = dict[tuple[XY, XY, float], Places]
"""By the ends of a lying pipe and how near another may come: where legs meet it, see `_meeting`."""


Stands = tuple[Post, float, float, float]
Lies = tuple[Lying, float, float, float, float, float, Places]
Near = tuple[tuple[Stands, ...], tuple[Lies, ...]]
"""Plumb pipes with their places and how near one may come, lying ones with the rectangle to keep out of."""


class Traffic:
    """The pipes already drawn, asked whether a leg would meet one of them."""

    def __init__(
        self,
        lying: Iterable[Lying],
        r: float,
        posts: Iterable[Post] = (),
        strict: bool = False,
        shy: Iterable[tuple[XY, XY]] = (),
        known: Meetings | None = None,
        holes: tuple[Holes, ...] = (),
    ) -> None:
        known = {} if known is None else known  # what legs meet of a lying pipe, whatever else lies there
        self.r, self.strict, self.holes = r, strict, holes
        self.posts = tuple((v, v.xy[0], v.xy[1], r + v.r + 3.0) for v in posts)
        self.lying = tuple(
            (v, *_around(v, near), near, known.setdefault((v.a, v.b, near), {}))
            for v, near in ((v, r + v.r + 8.0) for v in lying)
        )
        self.shy = tuple(  # where others will want to come down
            (Lying(a, b, None, None, 0.0), known.setdefault((a, b, r + SHY_MM), {})) for a, b in shy
        )
        self._met: dict[tuple[XY, XY], Met] = {}
        self._near: dict[tuple[float, float, float, float], Near] = {}  # by fields of the plan

    def cost(self, p: XY, q: XY, z_p: float | None, z_q: float | None, home: XY | None) -> float | None:
        """Return what crossing others costs on a leg, None where it would run through one.

        Args:
            p: Lower end of the leg.
            q: Upper end.
            z_p: Height of the lower end [mm], None while open.
            z_q: Height of the upper end.
            home: Where the path drains into a plumb pipe, for as long as the path has not left it behind.
        """
        if self.holes and any(h.met_by(p, q) for h in self.holes):
            return None  # two holes too near each other in one I-joist
        met = self._met.get((p, q))
        if met is None:
            met = self._met[p, q] = self._meets(p, q)
        hit, crossed, total = met
        for post in hit:
            if home is not None and math.hypot(post.xy[0] - home[0], post.xy[1] - home[1]) < 2.0:
                continue
            if z_p is None or z_q is None or post.z_foot is None or max(z_p, z_q) > post.z_foot - self.r - post.r - 3.0:
                return None
        for v, t, u in crossed:
            if u < -0.5 and (self.strict or z_p is not None):
                return None  # along it, side by side too close
            if z_p is None or z_q is None or v.z_a is None or v.z_b is None:
                if self.strict:  # a joist bay or a bulkhead is not deep enough for one pipe over another
                    return None
                total += WEIGHTS.crossing * (2.0 if u < -0.5 else 1.0)
                continue
            apart = abs(z_p + (z_q - z_p) * t - (v.z_a + (v.z_b - v.z_a) * u))
            if apart < self.r + v.r + 10.0:
                return None
        return total

    def _meets(self, p: XY, q: XY) -> Met:
        """Return what a leg meets in plan, whatever its heights."""
        x0, x1 = (p[0], q[0]) if p[0] < q[0] else (q[0], p[0])
        y0, y1 = (p[1], q[1]) if p[1] < q[1] else (q[1], p[1])
        posts, lying = self._about(x0, y0, x1, y1)
        hit: list[Post] = []
        for post, x, y, near in posts:
            if x0 - near <= x <= x1 + near and y0 - near <= y <= y1 + near and _passes(p, q, post.xy, near):
                hit.append(post)
        crossed: list[tuple[Lying, float, float]] = []
        ends = (p, q)
        for v, vx0, vy0, vx1, vy1, near, known in lying:
            if x1 >= vx0 and x0 <= vx1 and y1 >= vy0 and y0 <= vy1:
                if ends not in known:
                    known[ends] = _meeting(p, q, v, near)
                if (m := known[ends]) is not None:
                    crossed.append((v, *m))
        along = 0
        for v, known in self.shy:
            if ends not in known:
                known[ends] = _meeting(p, q, v, self.r + SHY_MM)
            if (m := known[ends]) is not None and m[1] < -0.5:
                along += 1
        return hit, crossed, WEIGHTS.crossing * along

    def _about(self, x0: float, y0: float, x1: float, y1: float) -> Near:
        """Return what may be met in a plan rectangle, in order: all that reaches into the fields it lies in."""
        field = (x0 // FIELD_MM, y0 // FIELD_MM, x1 // FIELD_MM, y1 // FIELD_MM)
        found = self._near.get(field)
        if found is None:
            left, low, right, high = (c * FIELD_MM for c in (field[0], field[1], field[2] + 1.0, field[3] + 1.0))
            found = self._near[field] = (
                tuple(
                    p for p in self.posts if left - p[3] <= p[1] <= right + p[3] and low - p[3] <= p[2] <= high + p[3]
                ),
                tuple(v for v in self.lying if right >= v[1] and left <= v[3] and high >= v[2] and low <= v[4]),
            )
        return found

    def stands_on(self, p: XY, z: float | None = None) -> bool:
        """Return whether a plumb pipe at a plan position, from a height up, would run through a lying one."""
        for v, x0, y0, x1, y1, near, _ in self.lying:
            if not (x0 <= p[0] <= x1 and y0 <= p[1] <= y1):
                continue
            t, away = _off_leg(p, v.a, v.b)
            if away >= near:
                continue
            if z is None or v.z_a is None or v.z_b is None or v.z_a + (v.z_b - v.z_a) * t > z - near:
                return True
        return False


def _off_leg(p: XY, a: XY, b: XY) -> tuple[float, float]:
    """Return where on a plan segment a point is nearest (0 to 1) and how far; infinitely far from its own ends [mm]."""
    (px, py), (ax, ay), (bx, by) = p, a, b
    if (abs(px - ax) < 2.0 and abs(py - ay) < 2.0) or (abs(px - bx) < 2.0 and abs(py - by) < 2.0):
        return 0.0, math.inf
    dx, dy = bx - ax, by - ay
    ll = dx * dx + dy * dy
    t = 0.0
    if ll >= 1.0:
        t = ((px - ax) * dx + (py - ay) * dy) / ll
        t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
    return t, math.hypot(ax + dx * t - px, ay + dy * t - py)


def _around(v: Lying, near: float) -> tuple[float, float, float, float]:
    """Return the plan rectangle about a lying pipe, grown by how near another may come."""
    return (
        min(v.a[0], v.b[0]) - near,
        min(v.a[1], v.b[1]) - near,
        max(v.a[0], v.b[0]) + near,
        max(v.a[1], v.b[1]) + near,
    )


def _passes(p: XY, q: XY, c: XY, near: float) -> bool:
    """Return whether a leg passes a plan point too near."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    ll = math.hypot(dx, dy)
    if ll < 1:
        return False
    t = max(0.0, min(1.0, ((c[0] - p[0]) * dx + (c[1] - p[1]) * dy) / (ll * ll)))
    return math.hypot(p[0] + dx * t - c[0], p[1] + dy * t - c[1]) < near


def _meeting(p: XY, q: XY, v: Lying, near: float) -> tuple[float, float] | None:
    """Return where a leg crosses a lying pipe, as fractions of both; (0, -1) if it runs beside it too close."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    ex, ey = v.b[0] - v.a[0], v.b[1] - v.a[1]
    ll, lv = math.hypot(dx, dy), math.hypot(ex, ey)
    if ll < 1 or lv < 1:
        return None
    cross = dx * ey - dy * ex
    ax, ay = v.a[0] - p[0], v.a[1] - p[1]
    if abs(cross) < 1e-6 * ll * lv:
        if abs(ax * dy - ay * dx) / ll > near:
            return None
        s0, s1 = sorted(((ax * dx + ay * dy) / ll, ((v.b[0] - p[0]) * dx + (v.b[1] - p[1]) * dy) / ll))
        return (0.0, -1.0) if min(s1, ll) - max(s0, 0.0) > 30.0 else None
    t = (ax * ey - ay * ex) / cross
    u = (ax * dy - ay * dx) / cross
    if abs(t) * ll < 2.0 and -2.0 / lv <= u <= 1.0 + 2.0 / lv:
        return None  # the leg leaves this pipe: it is what it drains into
    if 0.0 <= t <= 1.0 and 0.0 <= u <= 1.0:
        return t, u
    # no crossing, but an end may come too near; what is near the leg's own lower end belongs to the leg before
    best: tuple[float, float, float] | None = None
    w, away = _off_leg(q, v.a, v.b)
    if away < near:
        best = (away, 1.0, w)
    for end, at in ((v.a, 0.0), (v.b, 1.0)):
        w, away = _off_leg(end, p, q)
        if away < near and w * ll > near and (best is None or away < best[0]):
            best = (away, w, at)
    return None if best is None else (best[1], best[2])
