"""How short a tree of level and square lines can be that joins points of the plan to a root.

Some shortest tree of lines along two square axes lies on the lines through the points themselves (Hanan, "On Steiner's
problem with rectilinear distance", SIAM J. Appl. Math. 14, 1966), so a small grid is enough. On it few points are
solved exactly (Dreyfus and Wagner, "The Steiner problem in graphs", Networks 1, 1971), many are bounded from below by
dual ascent (Wong, "A dual ascent approach for Steiner tree problems on a directed graph", Math. Programming 28, 1984).
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

MOST_EXACT = 6  # points beside the root: each more takes three times as long
NO_ARC = 1e-9


@dataclass(frozen=True, slots=True)
class Graph:
    """Undirected edges with lengths: neighbours and lengths by point."""

    near: tuple[tuple[tuple[int, float], ...], ...]


def grid(points: Sequence[tuple[float, float]]) -> tuple[Graph, tuple[int, ...]]:
    """Return the grid of level and square lines through points, and the number of each point on it."""
    xs, ys = sorted({p[0] for p in points}), sorted({p[1] for p in points})
    column, row = {x: i for i, x in enumerate(xs)}, {y: j for j, y in enumerate(ys)}
    near: list[list[tuple[int, float]]] = [[] for _ in range(len(xs) * len(ys))]

    def join(a: int, b: int, mm: float) -> None:
        near[a].append((b, mm))
        near[b].append((a, mm))

    for j in range(len(ys)):
        for i, (a, b) in enumerate(pairwise(xs)):
            join(j * len(xs) + i, j * len(xs) + i + 1, b - a)
    for i in range(len(xs)):
        for j, (a, b) in enumerate(pairwise(ys)):
            join(j * len(xs) + i, (j + 1) * len(xs) + i, b - a)
    return Graph(tuple(map(tuple, near))), tuple(row[y] * len(xs) + column[x] for x, y in points)


def least_tree(graph: Graph, root: int, wanted: Sequence[int]) -> float:
    """Return a length no tree that joins points to the root can be shorter than: the shortest itself for few points."""
    points = sorted(set(wanted) - {root})
    return exact(graph, root, points) if len(points) <= MOST_EXACT else dual_ascent(graph, root, points)


def exact(graph: Graph, root: int, wanted: Sequence[int]) -> float:
    """Return the length of a shortest tree, by dynamic programming over all sets of points."""
    if not wanted:
        return 0.0
    n, full = len(graph.near), (1 << len(wanted)) - 1
    best = [[float("inf")] * n for _ in range(full + 1)]
    for k, p in enumerate(wanted):
        best[1 << k][p] = 0.0
    for group in range(1, full + 1):
        here = best[group]
        part = (group - 1) & group
        while part > group ^ part:  # every way to part the group in two, once
            one, other = best[part], best[group ^ part]
            for v in range(n):
                here[v] = min(here[v], one[v] + other[v])
            part = (part - 1) & group
        spread(graph, here)
    return best[full][root]


def spread(graph: Graph, cost: list[float]) -> None:
    """Let every point be reached from every other along the edges."""
    queue = [(c, v) for v, c in enumerate(cost) if c < float("inf")]
    heapq.heapify(queue)
    while queue:
        c, v = heapq.heappop(queue)
        if c > cost[v]:
            continue
        for w, mm in graph.near[v]:
            if c + mm < cost[w]:
                cost[w] = c + mm
                heapq.heappush(queue, (cost[w], w))


def dual_ascent(graph: Graph, root: int, wanted: Sequence[int]) -> float:
    """Return a lower bound: sets of points around what is not joined yet pay for the arcs into them, while any is left.

    Every set holds a wanted point and not the root, so some arc of every tree goes into it; no arc is paid more than
    its length. Sets are taken smallest first, ties by number, so that the bound is always the same.
    """
    left = {(a, b): mm for a, row in enumerate(graph.near) for b, mm in row}
    bound = 0.0
    open_points = list(wanted)
    sizes = dict.fromkeys(open_points, 1)
    while open_points:
        p = min(open_points, key=lambda q: (sizes[q], q))
        inside = _reaching(graph, left, p)
        if root in inside or any(q in inside for q in open_points if q != p):
            open_points.remove(p)  # joined; or joined as soon as the other is
            continue
        arcs = [(a, b) for b in inside for a, _ in graph.near[b] if a not in inside]
        paid = min(left[arc] for arc in arcs)
        bound += paid
        for arc in arcs:
            left[arc] = max(left[arc] - paid, 0.0)
        sizes[p] = len(inside) + 1
    return bound


def _reaching(graph: Graph, left: dict[tuple[int, int], float], point: int) -> set[int]:
    """Return the points from which a point is reached along arcs that are paid in full."""
    seen, queue = {point}, [point]
    while queue:
        b = queue.pop()
        for a, _ in graph.near[b]:
            if a not in seen and left[(a, b)] <= NO_ARC:
                seen.add(a)
                queue.append(a)
    return seen
