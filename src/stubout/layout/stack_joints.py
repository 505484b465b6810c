"""Joints of one stack: either a fitting apart or on one level in a double or side-inlet fitting. Lengths [mm]."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stubout.layout.draft import Board, DNode

SAME_LEVEL_MM = 25.0  # joints so near in height are made one where they can be

CLOSET_IN = 3.0


@dataclass(slots=True)
class StackJoint:
    """A point that drains into a stack: its height, and the lowest it may have."""

    node: DNode
    z: float
    low: float


def spread(board: Board, joints: Sequence[StackJoint]) -> int:
    """Give the joints of one stack heights that leave room for their fittings; return how many find none.

    Joints only move down from where they are; two whose branches face each other or stand square in plan may share a
    level.
    """
    tight = 0
    order = sorted(joints, key=lambda j: (-j.z, j.node.id))
    for above, below in itertools.pairwise(order):
        gap, want = above.z - below.z, spacing(board, above.node, below.node)
        if gap >= want:
            continue
        room = below.z - below.low
        paired = _paired(board, above.node, below.node) and above.z - gap >= above.low - 0.5
        if paired and (gap < SAME_LEVEL_MM or room < want - gap - 0.5):
            above.z -= gap
        else:
            below.z -= max(0.0, min(room, want - gap))
            tight += above.z - below.z < want - 0.5
    return tight


def spacing(board: Board, above: DNode, below: DNode) -> float:
    """Return the least distance of two joints on one stack, by the branches that enter there [mm]."""
    fits = board.fits
    run = board.stacks[above.stack].size_in
    enters = [max((e.size_in for e in board.into(n.id)), default=2.0) for n in (above, below)]
    return fits.tee(run, enters[0], "lower") + fits.tee(run, enters[1], "upper")


def _paired(board: Board, a: DNode, b: DNode) -> bool:
    """Return whether one double or side-inlet fitting could take the branches of both points."""
    ea, eb = board.into(a.id), board.into(b.id)
    if len(ea) != 1 or len(eb) != 1:
        return False
    pa, pb = board.nodes[ea[0].up].xy, board.nodes[eb[0].up].xy
    ua = (pa[0] - a.xy[0], pa[1] - a.xy[1])
    ub = (pb[0] - b.xy[0], pb[1] - b.xy[1])
    across = math.degrees(math.atan2(abs(ua[0] * ub[1] - ua[1] * ub[0]), ua[0] * ub[0] + ua[1] * ub[1]))
    if across > 150.0:  # a double tee takes like pipes, and no closets
        return ea[0].size_in == eb[0].size_in < CLOSET_IN
    return 75.0 < across < 105.0
