"""What a drawing would cost, reckoned before fittings are chosen: how the engine tells drawings of equal faults apart.

By the rows of the cost data and of the job: pipe and trench by length, a bend with its joints where a run turns, a tee
with its joints where runs meet, a roof penetration a terminal. What really is cut and bored is priced later
(`fabrication.costing`).
"""

from __future__ import annotations

import math
from collections import defaultdict

from stubout.catalog.costs import Costs
from stubout.geometry.vec import Vec
from stubout.layout.model import UNDERGROUND, Layout, PointKind, Run

STRAIGHT = math.cos(math.radians(10.0))  # what turns less goes through a fitting's play


def worth(layout: Layout, costs: Costs) -> float:
    """Return about what a layout costs [min]."""
    at = {p.id: p for p in layout.points}
    meet: dict[str, list[tuple[Run, Vec]]] = defaultdict(list)
    total = 0.0
    for run in layout.runs:
        a, b = at[run.start].at, at[run.end].at
        total += a.to(b) / 1000 * costs.pipe(run.size_in, run.place.kind).minutes
        if run.place.kind in UNDERGROUND:
            total += math.hypot(a.x - b.x, a.y - b.y) / 1000 * costs.price("trench").minutes
        meet[run.start].append((run, b.minus(a)))
        meet[run.end].append((run, a.minus(b)))
    for p in layout.points:
        ends = meet[p.id]
        if p.kind is PointKind.TERMINAL and ends:
            total += costs.price("roof penetration", ends[0][0].size_in).minutes
        elif len(ends) > 1:
            total += _fitting(ends, costs)
    return round(total, 1)


def _fitting(ends: list[tuple[Run, Vec]], costs: Costs) -> float:
    sizes = sorted(run.size_in for run, _ in ends)
    joints = sum(costs.price("joint", s).minutes for s in sizes)
    if len(ends) > 2:
        further = sum(costs.price("extra branch", s).minutes for s in sizes[: len(ends) - 3])
        return costs.price("fitting tee", sizes[-1]).minutes + further + joints
    (_, a), (_, b) = ends
    long = a.length * b.length
    if sizes[0] == sizes[-1] and (long < 1.0 or -a.dot(b) / long > STRAIGHT):
        return 0.0
    return costs.price("fitting bend", sizes[-1]).minutes + joints
