"""From the house to a readable isometric: small gaps drawn wider, large gaps narrower, order and directions kept.

Every plan coordinate keeps its place in the order of its axis, pipes that run along an axis still do, and a pipe that
slopes is drawn level: its slope is written beside it. Not to scale.
"""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass
from itertools import pairwise

from stubout.geometry.vec import Vec
from stubout.network.model import Network

SAME_MM = 2.0
# How far points that follow each other in plan are drawn apart: at least, and at most. The square root of a gap lies
# between; where a house is long and its baths are full, long gaps are drawn shorter still.
SPACINGS = ((9.0, math.inf), (9.0, 30.0), (9.0, 20.0), (14.0, 30.0), (14.0, 20.0))
MORE_CROSSINGS = 8  # more than the best view has, that one may have which is tried for the sake of its words
COS30, SIN30 = math.cos(math.radians(30)), 0.5
XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class IsoFrame:
    """Drawing coordinates of every node, and how they fall on paper."""

    at: dict[str, Vec]  # node id -> schematic coordinates, units of their own
    quarter: int  # quarter turns of the house before it is drawn
    plan_scale: float
    rise_scale: float
    x0: float = 0.0
    y0: float = 0.0

    def flat(self, v: Vec) -> XY:
        """Return the paper point of schematic coordinates."""
        x, y = _turned(v.x, v.y, self.quarter)
        px = (x - y) * COS30 * self.plan_scale
        py = (x + y) * SIN30 * self.plan_scale + v.z * self.rise_scale
        return self.x0 + px, self.y0 + py

    def point(self, node: str) -> XY:
        """Return the paper point of a node."""
        return self.flat(self.at[node])

    def depth(self, v: Vec) -> float:
        """Return how far away a point is; larger is farther."""
        x, y = _turned(v.x, v.y, self.quarter)
        return (x + y) - 0.5 * v.z

    def north_deg(self) -> float:
        """Return the paper direction of north [deg]."""
        x, y = _turned(0.0, 1.0, self.quarter)
        return math.degrees(math.atan2((x + y) * SIN30, (x - y) * COS30))


def _turned(x: float, y: float, quarter: int) -> XY:
    for _ in range(quarter % 4):
        x, y = -y, x
    return x, y


def _classes(values: dict[str, float], joined: list[tuple[str, str]]) -> list[tuple[float, list[str]]]:
    """Return nodes grouped by equal coordinate or by being joined, with the mean of each group."""
    parent = {k: k for k in values}

    def find(k: str) -> str:
        while parent[k] != k:
            parent[k] = parent[parent[k]]
            k = parent[k]
        return k

    for a, b in joined:
        parent[find(a)] = find(b)
    rows = sorted(values.items(), key=lambda kv: (kv[1], kv[0]))
    for (a, va), (b, vb) in pairwise(rows):
        if vb - va < SAME_MM and not joined:
            parent[find(a)] = find(b)
    groups: dict[str, list[str]] = {}
    for k in values:
        groups.setdefault(find(k), []).append(k)
    out = [(sum(values[k] for k in g) / len(g), sorted(g)) for g in groups.values()]
    return sorted(out, key=lambda t: (t[0], t[1]))


def _spaced(means: list[float], least: float, most: float) -> list[float]:
    """Return drawing coordinates for rising values: the square root of each gap, within `least` and `most`."""
    out = [0.0]
    for a, b in pairwise(means):
        gap = b - a
        out.append(out[-1] + (min(most, max(least, math.sqrt(gap))) if gap > 1e-6 else 0.0))
    return out


def _heights(network: Network) -> dict[str, float]:
    """Return the drawing height of every node: level pipes level, what stands above stays above."""
    z = {n.id: n.at.z for n in network.nodes}
    level = [(p.start, p.end) for p in network.pipes if not p.vertical]
    groups = _classes(z, level or [(n, n) for n in list(z)[:1]])
    index = {k: i for i, (_, g) in enumerate(groups) for k in g}
    above: dict[int, set[int]] = {i: set() for i in range(len(groups))}
    need = [0] * len(groups)
    for p in network.pipes:
        lo, hi = (p.start, p.end) if p.a.z < p.b.z else (p.end, p.start)
        i, j = index[lo], index[hi]
        if p.vertical and i != j and j not in above[i]:
            above[i].add(j)
            need[j] += 1
    # Lowest first among those whose every lower neighbour is placed.
    ready = [(groups[i][0], i) for i in range(len(groups)) if need[i] == 0]
    heapq.heapify(ready)
    order: list[int] = []
    while ready:
        _, i = heapq.heappop(ready)
        order.append(i)
        for j in sorted(above[i]):
            need[j] -= 1
            if need[j] == 0:
                heapq.heappush(ready, (groups[j][0], j))
    order += [i for i in range(len(groups)) if i not in set(order)]  # a ring cannot be ordered; keep it by height
    out: dict[str, float] = {}
    here, last = 0.0, None
    for i in order:
        mean = groups[i][0]
        if last is not None:
            gap = mean - last
            here += max(9.0, math.sqrt(gap)) if gap > 30.0 else (6.0 if gap > SAME_MM else 2.5)
        for k in groups[i][1]:
            out[k] = here
        last = max(mean, last) if last is not None else mean
    return out


def frame(network: Network, spacing: tuple[float, float] = SPACINGS[0]) -> dict[str, Vec]:
    """Return the schematic coordinates of every node, in plan so far apart at least and at most."""
    axes: list[dict[str, float]] = []
    for axis in (0, 1):
        groups = _classes({n.id: n.at[axis] for n in network.nodes}, [])
        places = _spaced([m for m, _ in groups], *spacing)
        axes.append({k: places[i] for i, (_, g) in enumerate(groups) for k in g})
    z = _heights(network)
    return {n.id: Vec(axes[0][n.id], axes[1][n.id], z[n.id]) for n in network.nodes}


def crossing(a: XY, b: XY, c: XY, d: XY) -> tuple[float, float] | None:
    """Return where two segments cross, as fractions along each; None if they do not or only touch at their ends."""
    rx, ry, sx, sy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    den = rx * sy - ry * sx
    if abs(den) < 1e-9:
        return None
    t = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / den
    u = ((c[0] - a[0]) * ry - (c[1] - a[1]) * rx) / den
    if 0.02 < t < 0.98 and 0.02 < u < 0.98:
        return t, u
    return None


@dataclass(frozen=True, slots=True)
class Aspect:
    """From which corner the house is seen, and its schematic coordinates."""

    at: dict[str, Vec]
    quarter: int


def aspect(network: Network, corner: int | None = None) -> Aspect:
    """Return the view in which pipes cross least, none hides another and no level pipe looks upright.

    Args:
        network: The pipes.
        corner: Quarter turns of the house, if it must be seen from a certain corner.
    """
    return _scored(network, SPACINGS[0], corner)[0][1]


def aspects(network: Network, most: int, corner: int | None = None) -> tuple[Aspect, ...]:
    """Return other views that may hold their words better than `aspect`: hardly more pipes cross in them.

    Args:
        network: The pipes.
        most: How many at most, those first in which pipes cross least.
        corner: Quarter turns of the house, if it must be seen from a certain corner.
    """
    found: list[tuple[int, Aspect]] = []
    for n, spacing in enumerate(SPACINGS):
        by_corner: dict[int, tuple[int, Aspect]] = {}
        for one in _scored(network, spacing, corner):
            by_corner.setdefault(one[1].quarter, one)
        found += list(by_corner.values())[0 if n else 1 :]  # the first of all is `aspect` itself
    least = min((score for score, _ in found), default=0)
    found = sorted((f for f in found if f[0] <= least + MORE_CROSSINGS), key=lambda f: f[0])
    return tuple(view for _, view in found[:most])


def _scored(network: Network, spacing: tuple[float, float], corner: int | None) -> list[tuple[int, Aspect]]:
    """Return the views of one spacing with what speaks against each, the best first."""
    at = frame(network, spacing)
    found = []
    # A 45 degree leg looks upright or level in an isometric; one axis drawn shorter sets it apart.
    for short in (1.0, 0.8, 0.62):
        pressed = {k: Vec(v.x, v.y * short, v.z) for k, v in at.items()}
        for quarter in range(4) if corner is None else (corner,):
            trial = Aspect(pressed, quarter)
            found.append((_score(network, trial) + (0 if short == 1.0 else 1), trial))
    return sorted(found, key=lambda f: f[0])


def _score(network: Network, view: Aspect) -> int:
    trial = IsoFrame(view.at, view.quarter, 1.0, 1.0)
    point = {k: trial.point(k) for k in view.at}
    lines = [(point[p.start], point[p.end], p) for p in network.pipes]
    score = 0
    for i, (a, b, p) in enumerate(lines):
        if not p.vertical and abs(b[0] - a[0]) < 0.22 * abs(b[1] - a[1]):
            score += 4
        for c, d, q in lines[i + 1 :]:
            if p.start in (q.start, q.end) or p.end in (q.start, q.end):
                shared = p.start if p.start in (q.start, q.end) else p.end
                score += 4 * _folded(point, shared, p.start, p.end, q.start, q.end)
            elif _near(a, b, c, d):
                score += crossing(a, b, c, d) is not None
    return score


def _near(a: XY, b: XY, c: XY, d: XY) -> bool:
    """Return whether the boxes round two segments meet: most pairs are told apart by this alone."""
    return (
        (a[0] if a[0] > b[0] else b[0]) >= (c[0] if c[0] < d[0] else d[0])
        and (c[0] if c[0] > d[0] else d[0]) >= (a[0] if a[0] < b[0] else b[0])
        and (a[1] if a[1] > b[1] else b[1]) >= (c[1] if c[1] < d[1] else d[1])
        and (c[1] if c[1] > d[1] else d[1]) >= (a[1] if a[1] < b[1] else b[1])
    )


def _folded(point: dict[str, XY], node: str, *ends: str) -> bool:
    """Return whether two pipes leave their common point in nearly the same direction on paper."""
    far = [e for e in ends if e != node]
    if len(far) != 2:
        return False
    x, y = point[node]
    turns = [math.atan2(point[e][1] - y, point[e][0] - x) for e in far]
    off = abs((turns[0] - turns[1] + math.pi) % (2 * math.pi) - math.pi)
    return off < math.radians(9)


def fitted(view: Aspect, width: float, height: float) -> IsoFrame:
    """Return a view that fills a rectangle of paper, its lower left corner at (0, 0)."""
    at, quarter = view.at, view.quarter
    unit = [IsoFrame(at, quarter, 1.0, 0.0).point(n) for n in at]
    plan_w = max(p[0] for p in unit) - min(p[0] for p in unit) or 1.0
    plan_h = max(p[1] for p in unit) - min(p[1] for p in unit) or 1.0
    # Plan and rise share the height of the paper; the plan may take at most 60 % of it.
    plan_scale = min(width / plan_w, 0.6 * height / plan_h)
    rise_scale = plan_scale
    for _ in range(40):
        ys = [IsoFrame(at, quarter, plan_scale, rise_scale).point(n)[1] for n in at]
        used = max(ys) - min(ys) or 1.0
        if abs(used - height) < 0.2:
            break
        rise_scale = max(0.3 * plan_scale, min(rise_scale * height / used, 2.2 * plan_scale))
    ys = [IsoFrame(at, quarter, plan_scale, rise_scale).point(n)[1] for n in at]
    shrink = min(1.0, height / (max(ys) - min(ys) or 1.0))
    trial = IsoFrame(at, quarter, plan_scale * shrink, rise_scale * shrink)
    points = [trial.point(n) for n in at]
    lo = (min(p[0] for p in points), min(p[1] for p in points))
    hi = (max(p[0] for p in points), max(p[1] for p in points))
    dx = (width - (hi[0] - lo[0])) / 2 - lo[0]
    dy = (height - (hi[1] - lo[1])) / 2 - lo[1]
    return IsoFrame(at, quarter, trial.plan_scale, trial.rise_scale, dx, dy)
