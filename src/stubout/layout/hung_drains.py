"""Drains of a crawl space hung close under the joists. Lengths [mm], sizes in nominal inches.

A plumber hangs them as high as fall and fittings let him and lets the building drain drop once, where it leaves the
house: hangers and drops from the fixtures are short, and nobody crawls under pipe. What was searched from the deep
connection up keeps its ways in plan and is raised as one; so nothing of it comes nearer to anything but the floor.
"""

from __future__ import annotations

import math

from stubout.layout.draft import DNode
from stubout.layout.model import Role, VentMethod
from stubout.layout.work import TrapDraft, Work

LEAST_MM = 100.0  # drains that may lie no more than so much higher stay
SPARE_MM = 6.0  # kept of the height that there is: points are moved a little afterwards
UPRIGHT_MM = 2.0  # a vent so little aside of its fitting rises straight


def hangs(work: Work) -> bool:
    """Return whether the building drain leaves from a crawl space."""
    return work.space.lowest_layer.kind == "below"


def hang(work: Work) -> bool:
    """Raise all drains of a crawl space as one, as high as they go, where the building drain drops inside the house.

    Where it does not drop anyway nothing is raised: two bends mostly cost more than shorter drops spare.

    Args:
        work: The desk with all drains drawn and their heights solved; no stack is drawn, no trap lifted.

    Returns:
        Whether they were raised; if not nothing was changed.
    """
    board = work.board
    drop = next((e for e in board.edges.values() if e.plumb and e.role is Role.BUILDING_DRAIN), None)
    if drop is None:
        return False
    hung = _up_stream(work, drop.up)
    by = _room_above(work, hung)
    if by < LEAST_MM:
        return False
    for i in hung:
        board.nodes[i].z = (board.nodes[i].z or 0.0) + by
    work.hung_mm = by
    return True


def _up_stream(work: Work, start: int) -> set[int]:
    """Return the points of the lowest zone that drain through one, that one with them."""
    found: set[int] = set()
    front = [start]
    while front:
        n = front.pop()
        found.add(n)
        into = (e for e in work.board.into(n) if e.up not in found)
        front += [e.up for e in into if not e.plumb or _lies_below(work, work.board.nodes[e.up])]
    return found


def _lies_below(work: Work, n: DNode) -> bool:
    """Return whether the upper end of a drop hangs below the lowest frame itself."""
    frame = work.space.lowest_layer.frame
    return frame is not None and n.z is not None and n.z < frame.bottom_z_mm


def _room_above(work: Work, hung: set[int]) -> float:
    """Return how much higher some drains may lie [mm]; 0 where one of them cannot be moved."""
    board, room = work.board, math.inf
    for i in hung:
        n = board.nodes[i]
        if n.z is None or n.drawn:
            return 0.0
        room = min(room, n.cap - n.z)
        for e in board.into(i):
            up = board.nodes[e.up]
            if up.z is None or e.drawn:
                return 0.0
            if e.up not in hung:
                room = min(room, up.z - n.z - board.fits.drop(e.size_in))
            elif not e.plumb:
                room = min([room, *(q.hi - n.z - e.slope * q.far for q in e.parts)])
    for s in board.stacks:
        if s.foot in hung and s.drawn:
            return 0.0
        joints = [z for i in s.nodes if (z := board.nodes[i].z) is not None]
        if s.foot in hung and joints:
            room = min(room, min(joints) - (board.nodes[s.foot].z or 0.0) - board.fits.drop(s.size_in))
    room = min([room, *(_lean_room(work, t, hung) for t in work.traps.values())])
    return 0.0 if math.isinf(room) else max(0.0, room - SPARE_MM)


def _lean_room(work: Work, trap: TrapDraft, hung: set[int]) -> float:
    """Return how much higher the fitting of a vent that leans over into a wall may lie [mm]; infinite if none does."""
    board, at = work.board, work.board.nodes.get(trap.takeoff)
    aside = 0.0 if trap.spot is None or at is None else math.dist(at.xy, trap.spot.xy)
    if at is None or at.id not in hung or trap.method is not VentMethod.INDIVIDUAL or aside <= UPRIGHT_MM:
        return math.inf
    fits, size = board.fits, trap.need.vent_in
    bends = fits.tee(size, size, "upper") + 2 * fits.eighth(size) + aside
    tops = [q.hi for e in board.into(at.id) for q in e.parts if q.near < 1.0]
    return min(tops, default=-math.inf) - bends - (at.z or 0.0)
