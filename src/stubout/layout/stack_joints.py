"""Joints of one stack: either a fitting apart or on one level in a double or side-inlet fitting. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stubout.layout.draft import Board, DNode
    from stubout.layout.space_shapes import XY

NEAR_ENOUGH_MM = 2.0  # what two fittings may be out, 1/16 in and a hair: a piece this much too long still goes in
SAME_LEVEL_MM = 25.0  # joints so near in height are made one where they can be
UNDER_MM = 30.0  # so far below at first: far enough not to share its level


@dataclass(slots=True)
class StackJoint:
    """A point that drains into a stack: its height, the lowest it may have, and what street fittings give."""

    node: DNode
    z: float
    low: float
    lifts: tuple[tuple[float, float], ...] = ()  # how much higher it may be where street fittings join its drops


def spread(board: Board, joints: Sequence[StackJoint]) -> int:
    """Give the joints of one stack heights that leave room for their fittings; return how many find none.

    Joints move down from where they are; those whose branches face each other or stand square in plan may share a
    level. Only where that is not enough one moves up, its drops joined by street fittings.
    """
    _strangers_below(joints)
    tight = 0
    level: list[StackJoint] = []  # the joints that share the level last dealt with
    over: list[StackJoint] = []  # those above it
    for joint in sorted(joints, key=lambda j: (-j.z, j.node.id)):
        if not level:
            level = [joint]
            continue
        gap, want = level[0].z - joint.z, spacing(board, level, joint)
        room = joint.z - joint.low
        shares = gap < want and _one_fitting(board, [*level, joint]) and all(j.z - gap >= j.low - 0.5 for j in level)
        if shares and (gap < SAME_LEVEL_MM or room < want - gap - 0.5):
            for j in level:
                j.z -= gap
            level.append(joint)
            continue
        if gap < want:
            joint.z -= max(0.0, min(room, want - gap))
            _lift(board, over, level, want - (level[0].z - joint.z))
            tight += level[0].z - joint.z < want - NEAR_ENOUGH_MM
        over, level = level, [joint]
    return tight


def _strangers_below(joints: Sequence[StackJoint]) -> None:
    """Let what has a vent of its own join below what breathes through the stack: it would wet that one's vent."""
    tops = [j.z for j in joints if j.node.on_top]
    for j in joints if tops else ():
        under = min(tops) - UNDER_MM
        if not j.node.on_top and not j.node.fixed and j.z > under >= j.low:
            j.z = under


def _lift(board: Board, over: Sequence[StackJoint], level: Sequence[StackJoint], lack: float) -> None:
    """Raise a joint by what the one below it lacks, if that is no nearer than goes to the one above it."""
    if lack <= 0.5 or len(level) != 1:
        return
    joint = level[0]
    for lo, hi in joint.lifts:
        by = max(lo, min(lack, hi))
        if by < lack - NEAR_ENOUGH_MM or (over and over[0].z - joint.z - by < spacing(board, over, joint) - 0.5):
            continue
        joint.z += by
        return


def spacing(board: Board, above: Sequence[StackJoint], below: StackJoint) -> float:
    """Return the least distance of two joints on one stack, by the branches that enter there [mm]."""
    over = max(_enters(board, j) for j in above)
    return board.fits.stacked(board.stacks[below.node.stack].size_in, over, _enters(board, below))


def _enters(board: Board, joint: StackJoint) -> float:
    return max((e.size_in for e in board.into(joint.node.id)), default=2.0)


def _one_fitting(board: Board, joints: Sequence[StackJoint]) -> bool:
    """Return whether one double fitting, or a tee with one or two side inlets, could take the branches of all."""
    if any(len(board.into(j.node.id)) != 1 for j in joints):
        return False
    first, *others = sorted(joints, key=lambda j: -_enters(board, j))
    if len(others) == 1:
        across = _across(board, first, others[0])
        if board.fits.opposite(across):  # a double tee takes like pipes, a double fixture fitting two closets
            return _enters(board, first) == _enters(board, others[0])
        return board.fits.square(across)
    if len(others) == 2:  # two side inlets, one on each hand
        square = all(board.fits.square(_across(board, first, o)) for o in others)
        facing = board.fits.opposite(_across(board, *others))
        return square and facing and _enters(board, others[0]) == _enters(board, others[1])
    return False


def _across(board: Board, a: StackJoint, b: StackJoint) -> float:
    """Return the angle in plan between the branches of two joints [deg]."""
    far, other = (board.nodes[board.into(j.node.id)[0].up].xy for j in (a, b))
    return across_deg(a.node.xy, far, other)


def across_deg(at: XY, one: XY, other: XY) -> float:
    """Return the angle in plan between the branches that come to a place from two others [deg]."""
    (ax, ay), (bx, by) = ((p[0] - at[0], p[1] - at[1]) for p in (one, other))
    return math.degrees(math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by))
