"""What a drawing would cost, reckoned before fittings are chosen: how the engine tells drawings of equal faults apart.

By the rows of the cost data and of the job: pipe and trench by length, a bend with its joints where a run turns, a tee
with its joints where runs meet, a roof penetration a terminal. What really is cut and bored is priced later
(`fabrication.costing`).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from typing import TypeVar

from stubout.catalog.costs import Costs
from stubout.geometry.vec import Vec
from stubout.layout.draft import DEdge
from stubout.layout.model import UNDERGROUND, Layout, PointKind, Run

K = TypeVar("K", bound=Hashable)
End = tuple[float, Vec]
"""A pipe at a point where it meets others: its size [in] and the way it leaves the point [mm]."""

STRAIGHT = math.cos(math.radians(10.0))  # what turns less goes through a fitting's play


def worth(layout: Layout, costs: Costs) -> float:
    """Return about what a layout costs [min]."""
    at = {p.id: p.at for p in layout.points}
    pieces = ((r.start, r.end, r, at[r.end].minus(at[r.start])) for r in layout.runs)
    return round(pieces_worth(pieces, {p.id: p.kind for p in layout.points}, costs), 1)


def pieces_worth(pieces: Iterable[tuple[K, K, Run | DEdge, Vec]], points: Mapping[K, PointKind], costs: Costs) -> float:
    """Return about what pieces of pipe cost with what is cut in where they meet [min].

    Args:
        pieces: Where each begins and ends, the piece, and its way [mm].
        points: The points that they meet at.
        costs: The rows of the data with those of the job.
    """
    meet: dict[K, list[End]] = defaultdict(list)
    total = 0.0
    for start, end, piece, way in pieces:
        total += pipe_worth(piece, way, costs)
        meet[start].append((piece.size_in, way))
        meet[end].append((piece.size_in, way.times(-1.0)))
    for point, kind in points.items():
        ends = meet[point]
        if kind is PointKind.TERMINAL and ends:
            total += costs.price("roof penetration", ends[0][0]).minutes
        elif len(ends) > 1:
            total += fitting_worth(ends, costs)
    return total


def pipe_worth(run: Run | DEdge, way: Vec, costs: Costs) -> float:
    """Return what a straight piece of a run costs, with its trench [min]."""
    price = way.length / 1000 * costs.pipe(run.size_in, run.place.kind).minutes
    if run.place.kind in UNDERGROUND:
        price += way.plan_length / 1000 * costs.price("trench").minutes
    return price


def fitting_worth(ends: Sequence[End], costs: Costs) -> float:
    """Return what is cut in where pipes meet [min]: a bend or a reducer, a tee; nothing where one pipe goes on."""
    sizes = sorted(size for size, _ in ends)
    joints = sum(costs.price("joint", s).minutes for s in sizes)
    if len(ends) > 2:
        further = sum(costs.price("extra branch", s).minutes for s in sizes[: len(ends) - 3])
        return costs.price("fitting tee", sizes[-1]).minutes + further + joints
    (_, a), (_, b) = ends
    if sizes[0] == sizes[-1] and straight_on(a, b):
        return 0.0
    return costs.price("fitting bend", sizes[-1]).minutes + joints


def straight_on(a: Vec, b: Vec) -> bool:
    """Return whether two pipes that leave a point in these directions are one straight pipe."""
    long = a.length * b.length
    return long < 1.0 or -a.dot(b) / long > STRAIGHT
