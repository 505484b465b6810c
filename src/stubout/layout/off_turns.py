"""Vent fittings that stand where their drain turns: the turn is moved a fitting's room up or down stream. [mm].

No single fitting turns a lying drain and takes a vent at once. Where the drain beyond can be shifted aside, its turn
comes after the fitting; else, where the arm can be, before it. The vent stays where it is. Where neither goes the vent
is moved along its wall (`vent_shifts.py`). What is moved lies where the frame lets it, and nothing else of the drawing
is worse for it; else the drain stays as it is, and the cut list says where the tee really stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

from stubout.geometry.vec import Vec
from stubout.layout.crowded import TIGHT, WYE_DEG
from stubout.layout.draft import DEdge, DNode
from stubout.layout.judge import Look
from stubout.layout.model import PointKind
from stubout.layout.settle import LEAST_LEG_MM, STAY, Hand
from stubout.layout.space_shapes import XY
from stubout.layout.turned import ALIKE, STRAIGHT_DEG, SWALLOWED_MM, Turn, turn_at, way_of
from stubout.layout.vent_shifts import arm_goes, shifted, vent_steps
from stubout.layout.work import Work

SPARE_MM = 1.0
Lay = tuple[tuple[XY, XY], str]
STEPS_MM = (0.0, 15.0, 40.0)  # beyond the room that fittings take


def set_off_turns(work: Work) -> None:
    """Move the turns of drains off the vent fittings that stand in them, wherever there is room."""
    for trap in work.traps.values():
        turn = turn_at(work, trap)
        if turn is None or _set_off(work, turn):
            continue
        if (turn := turn_at(work, trap)) is not None:  # once more: what was tried is not what stands
            _vent_aside(work, turn)


def _set_off(work: Work, turn: Turn) -> bool:
    """Make the first shift of the turn that leaves the drawing no worse; return whether there is one."""
    if work.board.plan(turn.arm) < SWALLOWED_MM:
        return False
    vent_in = max(e.size_in for e in work.board.out(turn.at.id, "vent"))
    before = Look(work).badness()
    for shift, e, port in ((_after, turn.on, "outlet"), (_before, turn.arm, "inlet")):
        fits, run_in = work.board.fits, max(turn.arm.size_in, turn.on.size_in, vent_in)
        try:
            room = fits.room("combination", (run_in, run_in, vent_in), port)
            room += fits.eighth(e.size_in) if turn.deg < WYE_DEG else fits.sweep(e.size_in)
        except LookupError:
            continue
        for more in STEPS_MM:
            if _tried(work, partial(shift, work, turn, room + SPARE_MM + more), before):
                return True
    return False


def _vent_aside(work: Work, turn: Turn) -> bool:
    """Move the vent along its wall, off a turn that has to stay; return whether there is room."""
    vent_in = max(e.size_in for e in work.board.out(turn.at.id, "vent"))
    before = Look(work).badness()
    for e, port in ((turn.on, "inlet"), (turn.arm, "outlet")):
        fits, run_in = work.board.fits, max(turn.arm.size_in, turn.on.size_in, vent_in)
        try:
            room = fits.room("combination", (run_in, run_in, vent_in), port)
        except LookupError:
            continue
        room += fits.eighth(e.size_in) if turn.deg < WYE_DEG else fits.sweep(e.size_in)
        for far in vent_steps(room + SPARE_MM, work.board.plan(work.board.edges[e.id])):
            if _tried(work, partial(shifted, work, turn.trap, e.id, far), before):
                return True
    return False


def _tried(work: Work, shift: Callable[[], bool], before: float) -> bool:
    """Make a shift and keep it if it is good; return whether it was."""
    lists = [(ids, list(ids)) for t in work.traps.values() for ids in (t.arm, t.wet, t.closet_tail)]
    spots, risers = {tag: t.spot for tag, t in work.traps.items()}, list(work.risers)
    mark, layers = work.board.mark(), {k: dict(r.edge_layer) for k, r in work.routers.items()}
    if shift() and Look(work).badness() <= before - TIGHT + 1e-6:
        return True
    work.board.undo(mark)
    for k, layer in layers.items():
        work.routers[k].edge_layer = layer
    for ids, was in lists:
        ids[:] = was
    for tag, spot in spots.items():
        work.traps[tag].spot = spot
    work.risers[:] = risers
    return False


def _after(work: Work, turn: Turn, far: float) -> bool:
    """Let the drain run on straight through the fitting and turn after it; False (half done) if that cannot be.

    The pipe beyond keeps its way, and its end slides along the drain it comes to.
    """
    board = work.board
    on, at = board.edges[turn.on.id], board.nodes[turn.at.id]
    end = board.nodes[on.down]
    meets = [e for e in board.edges.values() if end.id in (e.up, e.down) and e.id != on.id]
    beyond = next((e for e in meets if e.up == end.id), None)
    if beyond is None or end.stack >= 0 or _stays(end) or any(e.plumb or e.drawn or e.system != "drain" for e in meets):
        return False
    w = way_of(work, beyond)
    line = [e for e in meets if e.id != beyond.id]
    if any(way_of(work, e).dot(w) < 1.0 - ALIKE or abs(e.slope - beyond.slope) > ALIKE for e in line):
        return False
    corner = Vec(*at.xy).plus(turn.u.times(far))
    slid = _crossing(Vec(*end.xy), w, corner, turn.v)
    if slid is None or slid.minus(corner).dot(turn.v) < LEAST_LEG_MM:
        return False
    was = _lie(work)
    end.xy = (slid.x, slid.y)
    if any(board.plan(e) < LEAST_LEG_MM or way_of(work, e).dot(w) < 0.0 for e in (beyond, *line)):
        return False
    end.z = (board.nodes[beyond.down].z or 0.0) + beyond.slope * board.plan(beyond)
    new = _cut(work, on, corner, upper=True)
    board.nodes[on.up].z = end.z + on.slope * board.plan(on)
    rise = (board.nodes[on.up].z or 0.0) + new.slope * far - (at.z or 0.0)
    return _good(work, new, rise, (new, on, beyond, *line), was)


def _before(work: Work, turn: Turn, far: float) -> bool:
    """Let the arm turn before the fitting, in line with the drain beyond; False (half done) if that cannot be.

    The last piece of the arm keeps its way, and its start slides along the piece before it.
    """
    board = work.board
    arm, at = board.edges[turn.arm.id], board.nodes[turn.at.id]
    start = board.nodes[arm.up]
    meets = [e for e in board.edges.values() if start.id in (e.up, e.down) and e.id != arm.id]
    if _stays(start) or len(meets) != 1 or meets[0].down != start.id or meets[0].plumb or meets[0].drawn:
        return False
    first = meets[0]
    w = way_of(work, first)
    corner = Vec(*at.xy).minus(turn.v.times(far))
    slid = _crossing(Vec(*start.xy), w, corner, turn.u)
    if slid is None or corner.minus(slid).dot(turn.u) < LEAST_LEG_MM:
        return False
    was = _lie(work)
    start.xy = (slid.x, slid.y)
    if board.plan(first) < LEAST_LEG_MM or way_of(work, first).dot(w) < 0.0:
        return False
    new = _cut(work, arm, corner, upper=False)
    board.nodes[arm.down].z = (at.z or 0.0) + new.slope * far
    start.z = (board.nodes[arm.down].z or 0.0) + arm.slope * board.plan(arm)
    if not arm_goes(work, turn.trap):
        return False
    rise = start.z + first.slope * board.plan(first) - (board.nodes[first.up].z or 0.0)
    return _good(work, first, rise, (new, arm, first), was)


def _stays(node: DNode) -> bool:
    return node.fixed or node.drawn or node.kind in STAY


def _crossing(p: Vec, w: Vec, q: Vec, v: Vec) -> Vec | None:
    """Return where the line through p along w and the one through q along v cross in plan; None if they run alike."""
    across = w.x * v.y - w.y * v.x
    if abs(across) < math.sin(math.radians(STRAIGHT_DEG)):
        return None
    d = q.minus(p)
    return p.plus(w.times((d.x * v.y - d.y * v.x) / across))


def _cut(work: Work, e: DEdge, corner: Vec, *, upper: bool) -> DEdge:
    """Put a corner into a pipe; return the new piece, which takes the upper or the lower end."""
    board = work.board
    node = board.node((corner.x, corner.y), PointKind.TURN, 0.0)
    far = board.nodes[e.up if upper else e.down]
    ends = (far, node) if upper else (node, far)
    new = board.edge(*ends, e.system, e.role, e.place, e.size_in, tag=e.tag, slope=e.slope, parts=e.parts)
    if upper:
        e.up = node.id
    else:
        e.down = node.id
    for router in work.routers.values():
        if e.id in router.edge_layer:
            router.edge_layer[new.id] = router.edge_layer[e.id]
    for t in work.traps.values():
        for ids in (t.arm, t.wet, t.closet_tail):
            if e.id in ids:
                ids.insert(ids.index(e.id) + (not upper), new.id)
    return new


def _lie(work: Work) -> dict[int, Lay]:
    """Return how every pipe lies: its ends, and why it cannot lie so, "" if it can."""
    hand = Hand(work)
    return {e.id: (hand.ends(e), hand.why_not(e)) for e in hand.live}


def _good(work: Work, e: DEdge, rise: float, moved: tuple[DEdge, ...], was: dict[int, Lay]) -> bool:
    """Return whether all that lies above a pipe can be raised with it, and what was moved lies no worse than before."""
    hand = Hand(work)
    return hand.raised(e, rise) and all(hand.still_good(d, *was.get(d.id, (hand.ends(d), ""))) for d in moved)
