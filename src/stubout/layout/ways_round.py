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


@dataclass(frozen=True, slots=True)
class WayRound:
    """One branch that is longer than nobody minds."""

    tag: str
    start: XY  # its drop
    end: XY  # its joint
    extra_mm: float


def ways_round(board: Board, edges: Iterable[DEdge]) -> Iterator[WayRound]:
    """Yield the branches among some pipes that are longer than twice the straight way from drop to joint."""
    runs: dict[str, list[DEdge]] = {}
    for e in edges:
        if e.role is Role.BRANCH and e.tag and not e.plumb:
            runs.setdefault(e.tag, []).append(e)
    for tag, run in runs.items():
        ups, downs = {e.up for e in run}, {e.down for e in run}
        starts, ends = ups - downs, downs - ups
        if len(starts) == len(ends) == 1:
            a, b = board.nodes[starts.pop()].xy, board.nodes[ends.pop()].xy
            extra = math.fsum(board.plan(e) for e in run) - FAR_ROUND * octile(a, b) - ROUND_FREE_MM
            if extra > 0.0:
                yield WayRound(tag, a, b, extra)
