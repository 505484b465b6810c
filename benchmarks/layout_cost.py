"""What the engine's layouts cost, how much is proven, what that takes: `python benchmarks/layout_cost.py [JOB ...]`.

- cost: of the engine's layout, by the cost data; bound and gap as in `design.json`; the share of the plan's time that
  the bound takes;
- against plain: the same house with every fixture led to the connection by a shortest path over level and square lines,
  paths joined where they meet, and with a vent of its own through the roof. No rule of any book is kept there. Both are
  reckoned alike, by `layout.worth`;
- graph steps: shortest ways and trees on grids of a house's size, against networkx and rustworkx;
- growth: the bound by the number of fixtures, the choice of arms by the number of fixtures in one wall.

Times are processor time; ratios do not hang on the machine.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import networkx as nx
import rustworkx as rx
from networkx.algorithms.approximation import steiner_tree

from stubout import run
from stubout.catalog.queries import costs_of
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.layout.bound.bound import lower_bound
from stubout.layout.bound.plan import least_pipe
from stubout.layout.bound.steiner import Graph, dual_ascent, exact, grid, spread
from stubout.layout.model import Layout, Place, Point, PointKind, Role, Run
from stubout.layout.select import branch, cpsat
from stubout.layout.select.model import Choice
from stubout.layout.worth import worth

ROOT = Path(__file__).parents[1]
ABOVE_ROOF_MM = 300.0
UNDER_FLOOR_MM = 300.0


def seconds(work: Callable[[], Any], least: float = 0.05) -> float:
    """Return how long a piece of work takes, the mean of as many times as fill a while [s]."""
    begun, times = time.process_time(), 0
    while time.process_time() - begun < least or not times:
        work()
        times += 1
    return (time.process_time() - begun) / times


def as_layout(design: Design) -> Layout:
    """Return the points and runs of a design, sized, as the layout they were made from."""
    net = design.network
    points = tuple(Point(n.id, n.at, n.kind, n.tag) for n in net.nodes)
    runs = tuple(Run(p.id, "vent" if p.system == "vent" else "drain", p.role, p.start, p.end, p.place, p.size_in)
                 for p in net.pipes)  # fmt: skip
    return Layout(points, runs, (), (), ())


def plain(design: Design) -> Layout:
    """Return the plain layout of the same fixtures: shortest ways, joined where they meet, and a vent each."""
    net, sewer = design.network, design.house.sewer.at
    starts = {t.tag: (net.node(t.weir).at, net.pipe(t.arm_runs[0]).size_in if t.arm_runs else 3.0) for t in net.traps}
    graph, numbers = grid([(sewer.x, sewer.y), *((round(v.x), round(v.y)) for v, _ in starts.values())])
    xs = sorted({sewer.x, *(float(round(v.x)) for v, _ in starts.values())})
    ys = sorted({sewer.y, *(float(round(v.y)) for v, _ in starts.values())})
    roads = nx.Graph()
    for a, row in enumerate(graph.near):
        roads.add_weighted_edges_from((a, b, mm) for b, mm in row)
    ways = nx.single_source_dijkstra_path(roads, numbers[0])
    flow: dict[tuple[int, int], float] = {}
    points: dict[str, Point] = {}
    runs: list[Run] = []
    top = max(n.at.z for n in net.nodes if n.kind is PointKind.TERMINAL)
    lowest = min(v.z for v, _ in starts.values()) - UNDER_FLOOR_MM

    def at(number: int) -> str:
        name = f"P{number}"
        kind = PointKind.SEWER if number == numbers[0] else PointKind.JUNCTION
        where = Vec(xs[number % len(xs)], ys[number // len(xs)], lowest)
        return points.setdefault(name, Point(name, where, kind)).id

    for (tag, (v, size)), number in zip(starts.items(), numbers[1:], strict=True):
        way = ways[number]
        for down, up in pairwise(way):
            flow[up, down] = max(flow.get((up, down), 0.0), size)
        foot = at(number)
        trap = points.setdefault(f"T-{tag}", Point(f"T-{tag}", Vec(points[foot].at.x, points[foot].at.y, v.z),
                                                   PointKind.TAKEOFF, tag))  # fmt: skip
        end = points.setdefault(f"V-{tag}", Point(f"V-{tag}", trap.at.at_z(top), PointKind.TERMINAL, tag))
        runs.append(Run(f"D-{tag}", "drain", Role.DRAIN, trap.id, foot, Place("wall"), size))
        runs.append(Run(f"W-{tag}", "vent", Role.VENT, trap.id, end.id, Place("wall"), 1.5))
    slab = any(v.kind == "slab" for v in design.house.levels)
    for (up, down), size in sorted(flow.items()):
        place = Place("under slab" if slab else "crawl")
        runs.append(Run(f"B{up}-{down}", "drain", Role.BRANCH, at(up), at(down), place, size))
    return Layout(tuple(points.values()), tuple(runs), (), (), ())


def told_costs(jobs: Sequence[str]) -> None:
    print("job                        cost  bound   gap  bound s  of plan   worth   plain saved")
    for name in jobs:
        job = run.demo_job() if name == "demo" else run.read(name)
        begun = time.process_time()
        d = run.design(job)
        whole = time.process_time() - begun
        costs = costs_of(d.house.costs)
        took = seconds(lambda d=d, costs=costs: lower_bound(d.house, d.book, d.framing, d.stubs, costs))
        ours, theirs = worth(as_layout(d), costs), worth(plain(d), costs)
        gap = d.gap()
        print(
            f"{Path(name).stem:24} {d.costing().minutes:6.0f} {d.bound.minutes if d.bound else 0:6.0f} "
            f"{'-' if gap is None else f'{gap:.0%}':>5} {took:8.3f} {took / whole:8.1%} {ours:7.0f} {theirs:7.0f} "
            f"{1 - ours / theirs:.0%}"
        )


def scattered(count: int, seed: int) -> list[tuple[float, float]]:
    rnd = random.Random(seed)
    return [(float(rnd.randrange(0, 12_000, 50)), float(rnd.randrange(0, 9_000, 50))) for _ in range(count)]


def told_graphs() -> None:
    print("\ngraph steps: our time over theirs (below 1: ours is faster), and lengths")
    print("points   grid  ways/nx  ways/rx  tree/nx  nx length  dual ascent")
    for count in (5, 7, 12, 20):
        graph, numbers = grid(scattered(count, count))
        net, fast = both(graph)
        root, wanted = numbers[0], sorted(set(numbers[1:]))

        def ways(graph: Graph = graph, root: int = root) -> None:
            cost = [float("inf")] * len(graph.near)
            cost[root] = 0.0
            spread(graph, cost)

        ours = seconds(ways)
        by_nx = seconds(lambda net=net, root=root: nx.single_source_dijkstra_path_length(net, root))
        by_rx = seconds(lambda fast=fast, root=root: rx.dijkstra_shortest_path_lengths(fast, root, float))
        tree = seconds(lambda g=graph, r=root, w=wanted: dual_ascent(g, r, w))
        theirs = seconds(lambda n=net, r=root, w=wanted: steiner_tree(n, [r, *w], method="mehlhorn"))
        best = exact(graph, root, wanted) if len(wanted) <= 7 else None
        low = dual_ascent(graph, root, wanted)
        length = steiner_tree(net, [root, *wanted], method="mehlhorn").size("weight")
        against = best or low
        print(
            f"{count:6} {len(graph.near):6} {ours / by_nx:8.2f} {ours / by_rx:8.2f} {tree / theirs:8.2f} "
            f"{length / against:10.3f} {low / against:12.3f}" + ("" if best else "  (against dual ascent)")
        )


def both(graph: Graph) -> tuple[Any, Any]:
    """Return a grid as a graph of both libraries."""
    net, fast = nx.Graph(), rx.PyGraph()
    fast.add_nodes_from(range(len(graph.near)))
    for a, row in enumerate(graph.near):
        for b, mm in row:
            if a < b:
                net.add_edge(a, b, weight=mm)
                fast.add_edge(a, b, mm)
    return net, fast


def told_growth() -> None:
    print("\ngrowth of the bound: fixtures, seconds")
    for count in (3, 6, 12, 24, 48):
        points = [(p, 100.0) for p in scattered(count, count)]
        took = seconds(lambda points=points: least_pipe((0.0, -3000.0), points))
        print(f"{count:6} {took:8.3f}")
    print(
        "\ngrowth of the choice: fixtures with 8 places in one wall, seconds of the own search, of CP-SAT; same picks"
    )
    for count in (2, 4, 8, 12):
        choice = crowded(count)
        own, other = branch.solve(choice), cpsat.solve(choice)
        a, b = seconds(lambda c=choice: branch.solve(c)), seconds(lambda c=choice: cpsat.solve(c))
        same = own is not None and other is not None and own.proven and own.picks == other.picks
        print(f"{count:6} {a:8.4f} {b:8.4f} {'yes' if same else 'own not proven' if own and not own.proven else 'NO'}")


def crowded(count: int) -> Choice:
    """Return fixtures beside each other in one wall, each with eight places, some too near a neighbour's."""
    rnd = random.Random(count)
    places = [[(g * 500 + k * 150, rnd.randrange(100, 900)) for k in range(8)] for g in range(count)]
    names = [(g, k) for g in range(count) for k in range(8)]
    near = {(a, b) for a in names for b in names
            if a[0] < b[0] and abs(places[a[0]][a[1]][0] - places[b[0]][b[1]][0]) < 120}  # fmt: skip
    return Choice(tuple(tuple(cost for _, cost in row) for row in places), frozenset(near))


if __name__ == "__main__":
    told_costs(sys.argv[1:] or ["demo", *map(str, sorted((ROOT / "examples").glob("*.yaml")))])
    told_graphs()
    told_growth()
