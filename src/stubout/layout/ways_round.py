"""Branches that go far round: which, from where to where, and by how much. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stubout.layout.draft import Board, DEdge
from stubout.layout.lattice import octile
from stubout.layout.model import Role
from stubout.layout.space_shapes import XY
from stubout.layout.zone_router import FAR_ROUND, ROUND_FREE_MM

ARM_FREE_MM = 500.0  # more, by way of the bay where its vent rises, nobody minds; chosen by measuring houses
FREE = ("crawl", "under slab")


@dataclass(frozen=True, slots=True)
class WayRound:
    """One branch that is longer than nobody minds."""

    tag: str
    start: XY  # its drop, or its outlet in the floor
    end: XY  # its joint
    extra_mm: float


def ways_round(board: Board, edges: Iterable[DEdge], *, arms: bool = False) -> Iterator[WayRound]:
    """Yield the branches among some pipes that are longer than twice the straight way from drop to joint.

    With `arms` that of a fixture on the floor begins at its trap or flange where its arm lies free, in a crawl space or
    below a slab: it may lead away from where its drain goes. Between joists it goes where they let it.
    """
    runs: dict[str, list[DEdge]] = {}
    for e in edges:
        arm = arms and e.role is Role.TRAP_ARM and e.place.kind in FREE
        if (e.role is Role.BRANCH or arm) and e.tag and not e.plumb:
            runs.setdefault(e.tag, []).append(e)
    for tag, run in runs.items():
        ups, downs = {e.up for e in run}, {e.down for e in run}
        starts, ends = ups - downs, downs - ups
        if len(starts) == len(ends) == 1:
            a, b = board.nodes[starts.pop()].xy, board.nodes[ends.pop()].xy
            free = ROUND_FREE_MM + (ARM_FREE_MM if any(e.role is Role.TRAP_ARM for e in run) else 0.0)
            extra = math.fsum(board.plan(e) for e in run) - FAR_ROUND * octile(a, b) - free
            if extra > 0.0:
                yield WayRound(tag, a, b, extra)
