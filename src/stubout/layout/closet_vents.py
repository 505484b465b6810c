"""Vents of closets that no stack vents: over the stack's joint, of their own, from a bay over the drain.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from stubout.kinds import FixtureKind
from stubout.layout.adopt_vents import vent_at_drawn_point
from stubout.layout.cavity_shapes import Spot
from stubout.layout.closets import closet_start_cap
from stubout.layout.draft import DEdge
from stubout.layout.drain_zone import MOST_STEPS, DrainZone
from stubout.layout.floor_arms import floor_own_vent
from stubout.layout.leaning_vents import leaning_vent, set_take_off, vent_leaning
from stubout.layout.main_vent import main_vent_missing
from stubout.layout.model import Role, VentMethod
from stubout.layout.space_shapes import XY, Gauge, crossing_station
from stubout.layout.work import BY_WET, TrapDraft, spot_key
from stubout.layout.zone_stacks import airs

WYE_END_MM = 150.0  # a vent fitting stays so far from the ends of the pipe it is cut into; an estimate
CLEAR_RISE_MM = 1200.0  # a bay is free for a vent so far up before it may turn


def closet_own_vent(zone: DrainZone, tag: str) -> None:
    """Give a closet whose drain no wet vent reaches a vent of its own: redraw its drain under a wall bay.

    Where the house still lacks the one large vent the book asks for, the closet's vent is that, if a wall takes it.

    Args:
        zone: The floor zone.
        tag: The closet; nothing happens if it has its vent.
    """
    trap = zone.work.traps[tag]
    if trap.method is not VentMethod.NONE or _stack_wet(zone, trap) or vent_at_drawn_point(zone.work, trap):
        return
    usual = trap.need.vent_in
    for vent_in in dict.fromkeys((max(usual, main_vent_missing(zone.work)), usual)):
        if _leaning(zone, tag, vent_in) or _redrawn(zone, tag, vent_in) or _wye_vent(zone, tag, vent_in):
            return
    zone.work.block(
        (tag,),
        f"{tag}: no vent within reach of its drain before another drain joins it",
        "a wet vent through the lavatory, a wall bay over the drain nearer to the closet, or a route drawn by hand",
    )


def _leaning(zone: DrainZone, tag: str, vent_in: float) -> bool:
    """Vent a closet from where its drain lies, by a vent that leans over into a wall; return whether one goes."""
    trap = zone.work.traps[tag]
    own = _own_drain(zone, trap) if zone.lowest and zone.work.order.short else []
    one = leaning_vent(zone, trap.need, own, vent_in) if not any(e.drawn for e in own) else None
    if one is not None:
        vent_leaning(zone, trap, one, vent_in)
    return one is not None


def _redrawn(zone: DrainZone, tag: str, vent_in: float) -> bool:
    """Redraw what of its drain is a closet's alone, by way of a bay that takes its vent; return whether it goes."""
    work, board = zone.work, zone.work.board
    trap = work.traps[tag]
    own = _own_drain(zone, trap)
    if not own or any(e.drawn for e in own):
        return False
    before = zone.snapshot()
    target = zone.first_target
    trunk = own[0].role is Role.BUILDING_DRAIN
    for e in own:
        board.edges.pop(e.id, None)
        zone.router.edge_layer.pop(e.id, None)
    del work.traps[tag]
    if not zone.edges():
        zone.first_target = zone.trunk_target
    f = trap.need.fixture
    n_blocked = len(work.blocked)
    floor_own_vent(zone, f, replace(trap.need, vent_in=vent_in), closet_start_cap(zone.work, f), closet=True)
    leads = trunk and zone.first_target is not None
    zone.first_target = target
    if tag not in work.traps:
        del work.blocked[n_blocked:]
        zone.restore(before)
        return False
    if leads:
        _lead(zone, tag)
    return True


def _own_drain(zone: DrainZone, trap: TrapDraft) -> list[DEdge]:
    """Return the drain from a closet down to where another joins it, a stack or the connection."""
    board = zone.work.board
    own: list[DEdge] = []
    at = trap.weir
    for _ in range(MOST_STEPS):
        out = next(iter(board.out(at)), None)
        if out is None or out.tag != trap.tag:
            break
        own.append(out)
        at = out.down
        if len(board.into(at)) > 1 or board.nodes[at].stack >= 0:
            break
    return own


def _lead(zone: DrainZone, tag: str) -> None:
    """Make the drain from a closet's vent fitting on the building drain, since it is the first of its zone."""
    work, board = zone.work, zone.work.board
    at = work.traps[tag].takeoff
    while out := next(iter(board.out(at)), None):
        out.role, out.size_in = Role.BUILDING_DRAIN, max(out.size_in, work.trunk_in)
        if not out.plumb:
            out.slope = work.trunk_slope
        at = out.down


def _stack_wet(zone: DrainZone, trap: TrapDraft) -> bool:
    """Return whether the lavatory enters the closet's stack over it: then the stack between them vents it."""
    board = zone.work.board
    tail = [board.edges[i] for i in trap.closet_tail if i in board.edges]
    if (trap.tag, BY_WET) in zone.work.bans:
        return False
    if not tail or board.nodes[tail[-1].down].stack < 0:
        return False
    stack = board.stacks[board.nodes[tail[-1].down].stack]
    if not airs(zone, stack):
        return False
    if any(board.nodes[i].tag for i in stack.nodes if i != tail[-1].down and board.nodes[i].tag):
        return False
    for t in zone.work.traps.values():
        if t.method is not VentMethod.INDIVIDUAL or t.need.fixture.group != trap.need.fixture.group:
            continue
        if t.need.fixture.kind is not FixtureKind.LAVATORY:
            continue
        at = t.takeoff
        for _ in range(20):
            nxt = board.out(at)
            if not nxt:
                break
            at = nxt[0].down
        if at in stack.nodes and at != tail[-1].down:
            trap.arm, trap.takeoff, trap.method = [e.id for e in tail], tail[-1].down, VentMethod.WET
            for e in tail:
                e.role = Role.TRAP_ARM
            return True
    return False


def _wye_vent(zone: DrainZone, tag: str, vent_in: float) -> bool:
    """Vent a closet from a point of its drain that passes under a wall bay before another drain joins it."""
    work, board = zone.work, zone.work.board
    trap = work.traps[tag]
    g = work.gauge(max(vent_in, 2.0))
    walked = 0.0
    for e in _own_drain(zone, trap):
        a, b = board.nodes[e.up].xy, board.nodes[e.down].xy
        length = board.plan(e)
        for spot in _bays_over(zone, a, b, g):
            t = math.dist(a, spot.xy)
            if not WYE_END_MM < t < length - WYE_END_MM or walked + t > work.arm_left(trap):
                continue
            if (tag, spot_key(spot)) in work.bans:
                continue
            if zone.outlook.cost(spot, spot.wall.bottom_z_mm, vent_in) is None:
                continue
            set_take_off(zone, trap, e, spot.xy, spot, vent_in)
            return True
        walked += length
    return False


def _bays_over(zone: DrainZone, a: XY, b: XY, g: Gauge) -> Iterator[Spot]:
    """Yield the wall bays that a lying drain passes under and in which a vent of a girth may begin to rise."""
    work = zone.work
    for w in work.cavity.walls_of(zone.level):
        if w.knee or w.exterior or not work.cavity.allowed(w, "vent") or not work.cavity.fits_depth(w, g):
            continue
        s = crossing_station(w, a, b)
        for bay in w.bays if s is not None else ():
            if s is None or not bay.lo_mm + g.hub_r <= s <= bay.hi_mm - g.hub_r:
                continue
            spot = Spot(w, bay, s, 0.0)
            if not work.taken(spot, g) and not work.cavity.clear(w, s, w.bottom_z_mm, w.bottom_z_mm + CLEAR_RISE_MM, g):
                yield spot
