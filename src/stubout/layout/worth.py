"""What a drawing would cost, reckoned before fittings are chosen: how the engine tells drawings of equal faults apart.

By the rows of the cost data and of the job: pipe and trench by length, a bend with its joints where a run turns, a tee
with its joints where runs meet, a roof penetration a terminal; and the upright pipe from a floor outlet or the top of a
standpipe down to its trap. What really is cut and bored is priced later
(`fabrication.costing`).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from typing import TypeVar

from stubout.catalog.costs import Costs
from stubout.geometry.vec import Vec
from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.draft import DEdge
from stubout.layout.model import UNDERGROUND, Layout, PointKind, Run
from stubout.layout.weights import WEIR_OFF_MIN, WEIR_PLAY_MM

K = TypeVar("K", bound=Hashable)
End = tuple[float, Vec]
"""A pipe at a point where it meets others: its size [in] and the way it leaves the point [mm]."""

STRAIGHT = math.cos(math.radians(10.0))  # what turns less goes through a fitting's play


def worth(layout: Layout, costs: Costs, tops: Mapping[str, float]) -> float:
    """Return about what a layout costs [min].

    Args:
        layout: The layout.
        costs: The rows of the data with those of the job.
        tops: Where the pipe down to each fixture's trap begins, from `pipe_tops` [mm].
    """
    at = {p.id: p.at for p in layout.points}
    pieces = ((r.start, r.end, r, at[r.end].minus(at[r.start])) for r in layout.runs)
    whole = pieces_worth(pieces, {p.id: p.kind for p in layout.points}, costs)
    drained = {r.end for r in layout.runs if r.system == "drain"}
    first = {r.start: r for r in layout.runs if r.system == "drain"}
    for t in layout.traps:
        if t.tag in tops and t.weir in first and t.weir not in drained:
            whole += down_worth(first[t.weir], tops[t.tag] - at[t.weir].z, costs)
    return round(whole, 1)


def asked_worth(layout: Layout, fixtures: Iterable[HouseFixture]) -> float:
    """Return what it weighs that traps lie lower than the weirs which the job fixes [min]: somebody has to be asked."""
    fixed = {f.tag: f.trap_weir_z_mm for f in fixtures if f.trap_weir_z_mm is not None}
    return WEIR_OFF_MIN * sum(fixed[t.tag] - t.weir_z_mm > WEIR_PLAY_MM for t in layout.traps if t.tag in fixed)


def pipe_tops(fixtures: Iterable[HouseFixture]) -> dict[str, float]:
    """Return the house z at which the upright pipe down to a trap or a closet's bend begins, by fixture [mm].

    Of floor outlets and standpipes only: what leads to a trap at a wall is no pipe of the rough-in.
    """
    out: dict[str, float] = {}
    for f in fixtures:
        if f.kind is FixtureKind.CLOTHES_WASHER and f.standpipe_top_z_mm is not None:
            out[f.tag] = f.standpipe_top_z_mm
        elif f.floor_outlet:
            known = None if f.kind is FixtureKind.WATER_CLOSET else f.outlet_z_mm
            out[f.tag] = f.finished_z_mm if known is None else known
    return out


def down_worth(run: Run | DEdge, height_mm: float, costs: Costs) -> float:
    """Return what the upright pipe costs that comes down to the first run of a fixture's drain [min]."""
    return max(0.0, height_mm) / 1000 * costs.pipe(run.size_in, run.place.kind).minutes


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
