"""Vents moved along their wall, off the turn of the drain they rise from: the drain keeps its way. Lengths [mm].

Where a drain turns under the bay of its vent, one of its legs mostly runs along that wall, since the other comes to it
square. On that leg the vent fitting goes a fitting's room beside the turn: down stream where the drain goes on along
the wall, up stream where the arm comes along it. The vent rises so much aside, in its bay or in a neighbouring one.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from stubout.geometry.vec import Vec
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import DEdge, DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.settle import LEAST_LEG_MM, MOST_MOVED, SAME_MM, STAY, Hand
from stubout.layout.space_shapes import XY
from stubout.layout.turned import SWALLOWED_MM, jogged, way_of
from stubout.layout.work import TrapDraft, Work

STEP_MM = 20.0
MOST_ASIDE_MM = 700.0  # the next bay but one of studs at 16 in; an estimate


def vent_steps(room: float, most: float) -> list[float]:
    """Return how far from a turn a vent fitting is tried: from the room that fittings take on, as far as a leg is."""
    steps: list[float] = []
    far = room
    while far <= min(most, MOST_ASIDE_MM):
        steps.append(far)
        far += STEP_MM
    return steps


def shifted(work: Work, trap: TrapDraft, leg: int, far: float) -> bool:
    """Move a vent fitting along a leg of its drain, its vent with it; False (half done) if that cannot be.

    Args:
        work: The desk.
        trap: The fixture's trap; its fitting stands where the drain turns.
        leg: The run that lies along the wall: the last of the arm, or the first of the drain beyond.
        far: How far from the turn [mm].
    """
    board = work.board
    at, e = board.nodes[trap.takeoff], board.edges[leg]
    down = e.up == at.id
    far_end = board.nodes[e.down if down else e.up]
    length = board.plan(e)
    if length - far < LEAST_LEG_MM:
        return False
    part = far / length
    to = (at.xy[0] + (far_end.xy[0] - at.xy[0]) * part, at.xy[1] + (far_end.xy[1] - at.xy[1]) * part)
    spot = _beside(work, trap, to)
    risers = board.out(at.id, "vent")
    if spot is None or len(risers) != 1 or not risers[0].plumb:
        return False
    by = (to[0] - at.xy[0], to[1] - at.xy[1])
    group = _with_vent(Hand(work), at, risers[0], by)
    if group is None:
        return False
    _cut(work, trap, e, to)
    hand = Hand(work)
    if not down and hand.why_not(board.out(at.id)[0]):  # it is as large as the drain beyond now
        return False
    touched = list({d.id: d for n in sorted(group) for d in hand.at.get(n, ())}.values())
    if not hand.moves(group, touched, by) or not arm_goes(work, trap):
        return False
    for d in touched:
        if d.plumb and d.place.kind == "wall":
            d.place = _in_bay(work, d)
    was, trap.spot = trap.spot, spot
    work.risers[:] = [(spot if s is was else s, girth) for s, girth in work.risers]
    return True


def _beside(work: Work, trap: TrapDraft, to: XY) -> Spot | None:
    """Return the place in the wall of a vent at a point under it, None where the point does not lie under a bay."""
    if trap.spot is None:
        return None
    w, p = trap.spot.wall, Vec(*to)
    station = w.station(p)
    bay = w.bay_at(station)
    if bay is None or abs(w.offset(p) - trap.spot.offset) > SAME_MM:
        return None
    spot = Spot(w, bay, station, trap.spot.offset)
    g = work.gauge(trap.need.vent_in)
    others = any(
        s is not trap.spot and s.wall.id == w.id and abs(s.station - station) < g.hub_mm for s, _ in work.risers
    )
    return None if others else spot


def _with_vent(hand: Hand, at: DNode, riser: DEdge, by: XY) -> set[int] | None:
    """Return the points that move with the vent of a fitting, those of its drain left out; None if one must stay."""
    board = hand.board
    group: set[int] = set()
    queue = [riser.down]
    while queue:
        n = queue.pop()
        if n in group or n == at.id:
            continue
        node = board.nodes[n]
        if node.fixed or node.drawn or node.kind in STAY or len(group) >= MOST_MOVED:
            return None
        group.add(n)
        for e in hand.at.get(n, ()):
            m = e.down if e.up == n else e.up
            far = board.nodes[m].xy
            dx, dy = far[0] - node.xy[0], far[1] - node.xy[1]
            length = math.hypot(dx, dy)
            if e.plumb or length < SAME_MM or abs(dx * by[1] - dy * by[0]) > 0.01 * length * math.hypot(*by):
                if e.drawn or e.system != "vent":
                    return None
                queue.append(m)
    return group


def _cut(work: Work, trap: TrapDraft, e: DEdge, to: XY) -> None:
    """Leave the turn where it is and let the vent fitting stand on a leg beside it."""
    board = work.board
    at = board.nodes[trap.takeoff]
    down = e.up == at.id
    lists = [ids for t in work.traps.values() for ids in (t.wet, t.closet_tail, t.arm) if e.id in ids]
    other = board.into(at.id)[0] if down else board.out(at.id)[0]
    before = jogged(work, other) if down else None
    turn = board.split(e, to, PointKind.TURN)
    low = board.out(turn.id)[0]
    turn.xy, at.xy = at.xy, turn.xy
    turn.z, at.z = at.z, turn.z
    if down:
        other.down, e.up, e.down, low.up = turn.id, turn.id, at.id, at.id
    else:
        e.down, low.up, low.down, other.up = at.id, at.id, turn.id, turn.id
    if before is not None:  # the turn stands a hair before the fitting, and stays there
        _drop(work, e, other, before)
        other = before
    for router in work.routers.values():
        if e.id in router.edge_layer:
            router.edge_layer[low.id] = router.edge_layer[e.id]
    for ids in lists:
        if ids is not trap.arm:
            ids.insert(ids.index(e.id) + 1, low.id)
    if down:
        e.role, e.size_in, e.tag = Role.TRAP_ARM, other.size_in, other.tag
        trap.arm.append(e.id)
    else:
        low.role, low.size_in = other.role, other.size_in


def _drop(work: Work, e: DEdge, jog: DEdge, before: DEdge) -> None:
    """Take out a piece of an arm that a joint swallows: its turn becomes that of the leg beyond."""
    board = work.board
    corner, turn, more = board.nodes[jog.up], board.nodes[jog.down], board.plan(jog)
    e.parts = tuple(replace(q, far=q.far + more) if q is e.parts[-1] else q for q in e.parts)
    turn.xy, turn.z = corner.xy, corner.z
    before.down = turn.id
    for t in work.traps.values():
        for ids in (t.arm, t.wet, t.closet_tail):
            if jog.id in ids:
                ids.remove(jog.id)
    board.edges.pop(jog.id)
    board.nodes.pop(corner.id)


def arm_goes(work: Work, trap: TrapDraft) -> bool:
    """Return whether a trap arm is no longer and turns no farther than the book lets it."""
    board, need = work.board, trap.need
    arm = [board.edges[i] for i in trap.arm]
    ways = [way_of(work, e) for e in arm if not e.plumb and board.plan(e) > SWALLOWED_MM]
    turned = math.fsum(math.degrees(math.acos(max(-1.0, min(1.0, u.dot(v))))) for u, v in pairwise(ways))
    return sum(board.plan(e) for e in arm) <= work.arm_left(trap) and turned <= need.arm_turn + 0.5


def _in_bay(work: Work, d: DEdge) -> Place:
    """Return where a plumb pipe stands in its wall."""
    w = work.house.wall(d.place.ref)
    bay = w.bay_at(w.station(Vec(*work.board.nodes[d.up].xy)))
    return d.place if bay is None else Place("wall", w.id, bay.index)
