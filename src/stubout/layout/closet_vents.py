"""Vents of closets that no stack vents: over the stack's joint, of their own, from a bay over the drain.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import math

from stubout.house.model import FixtureKind
from stubout.layout.adopt_vents import vent_at_drawn_point
from stubout.layout.cavity import Spot
from stubout.layout.closets import closet_start_cap
from stubout.layout.drain_zone import DrainZone
from stubout.layout.floor_arms import floor_own_vent
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.space_shapes import crossing_station
from stubout.layout.work import BY_WET, TrapDraft, spot_key
from stubout.layout.zone_stacks import airs


def closet_own_vent(zone: DrainZone, trap: TrapDraft) -> None:
    """Give a closet whose drain no wet vent reaches a vent of its own: redraw its drain under a wall bay."""
    work, board = zone.work, zone.work.board
    f = trap.need.fixture
    if trap.method is not VentMethod.NONE or _stack_wet(zone, trap) or vent_at_drawn_point(work, trap):
        return
    tail = [board.edges[i] for i in trap.closet_tail if i in board.edges]
    others = any(len(board.into(e.down)) > 1 for e in tail[:-1]) or any(e.role is Role.BUILDING_DRAIN for e in tail)
    if others:
        _wye_vent(zone, trap)
        return
    mark = board.mark()
    kept_layers = dict(zone.router.edge_layer)
    for e in tail:
        board.edges.pop(e.id, None)
        zone.router.edge_layer.pop(e.id, None)
    del work.traps[f.tag]
    n_blocked = len(work.blocked)
    floor_own_vent(zone, f, trap.need, closet_start_cap(zone, f), closet=True)
    if f.tag not in work.traps:
        board.undo(mark)
        zone.router.edge_layer = kept_layers
        del work.blocked[n_blocked:]
        work.traps[f.tag] = trap
        _wye_vent(zone, trap)


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


def _wye_vent(zone: DrainZone, trap: TrapDraft) -> None:
    """Vent a closet from a point of its drain that passes under a wall bay."""
    work, board = zone.work, zone.work.board
    g = work.gauge(max(trap.need.vent_in, 2.0))
    walked, at = 0.0, trap.weir
    for _ in range(40):
        outs = board.out(at)
        if not outs:
            break
        e = outs[0]
        a, b = board.nodes[e.up].xy, board.nodes[e.down].xy
        length = board.plan(e)
        for w in work.cavity.walls_of(zone.level):
            if w.knee or w.exterior or not work.cavity.allowed(w, "vent"):
                continue
            s = crossing_station(w, a, b)
            for bay in w.bays if s is not None else ():
                if s is not None and bay.lo_mm + g.hub_r <= s <= bay.hi_mm - g.hub_r:
                    spot = Spot(w, bay, s, 0.0)
                    x, y = spot.xy
                    t = math.hypot(x - a[0], y - a[1])
                    if not 150 < t < length - 150 or walked + t > trap.need.arm_max:
                        continue
                    if work.taken(spot, g) or work.cavity.clear(w, s, w.bottom_z_mm, w.bottom_z_mm + 1200, g):
                        continue
                    if (trap.tag, spot_key(spot)) in work.bans:
                        continue
                    if zone.outlook.cost(spot, w.bottom_z_mm, trap.need.vent_in) is None:
                        continue
                    on = spot.xy
                    layer = zone.router.edge_layer.get(e.id)
                    joint = board.split(e, on, PointKind.TAKEOFF)
                    low = board.out(joint.id)[0]
                    if layer is not None:
                        zone.router.edge_layer[low.id] = layer
                    trap.takeoff, trap.method = joint.id, VentMethod.INDIVIDUAL
                    trap.spot = spot
                    work.risers.append((spot, g.hub_mm))
                    _name_arm(zone, trap)
                    return
        walked += length
        at = e.down
        if walked > trap.need.arm_max:
            break
    work.block(
        (trap.tag,),
        f"{trap.tag}: no vent within reach of its drain",
        "a wet vent through the lavatory, a wall bay over the drain, or a route drawn by hand",
    )


def _name_arm(zone: DrainZone, trap: TrapDraft) -> None:
    """Name the drain from a closet down to its take-off its trap arm."""
    board = zone.work.board
    at = trap.weir
    trap.arm = []
    while at != trap.takeoff:
        e = board.out(at)[0]
        if e.role is Role.BRANCH:
            e.role = Role.TRAP_ARM
        trap.arm.append(e.id)
        at = e.down
