"""Vents of fixtures that no wall stands behind: the loop of an island, and the valve in a cabinet. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.geometry.vec import Vec
from stubout.layout.cavity import Spot
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.places import TOUCH_MM
from stubout.layout.route import Ask, Target
from stubout.layout.vent_upward import Upward
from stubout.layout.weights import LEAST_DROP_MM
from stubout.layout.work import TrapDraft, Work

LOOP_SPREAD_MM = 200.0


def draw_valve(work: Work, t: TrapDraft) -> list[int]:
    """Draw a trap's valve as high in its cabinet as it goes; return its edge."""
    board = work.board
    take = board.nodes[t.takeoff]
    f = t.need.fixture
    top = (f.flood_rim_z_mm or f.finished_z_mm + 860.0) - 120.0
    box = next((b for b in work.house.cabinets if b.id == f.cabinet_id), None)
    if box is not None and box.counter_z_mm is not None:
        top = box.counter_z_mm - box.counter_mm - 90.0
    z = max((take.z or 0.0) + 110.0, min(top, (take.z or 0.0) + 260.0))
    node = board.node(take.xy, PointKind.AAV, z, t.tag)
    e = board.edge(take, node, "vent", Role.VENT, Place("cabinet", f.cabinet_id), t.need.vent_in, tag=t.tag, plumb=True)
    return [e.id]


def draw_loop(work: Work, upward: Upward, t: TrapDraft) -> list[int]:
    """Draw the loop of an island: up under the counter, over, down, and a foot vent to the nearest wall.

    Returns its edges, none where it cannot be drawn.
    """
    board = work.board
    f = t.need.fixture
    take = board.nodes[t.takeoff]
    drop = next(e for e in board.out(take.id) if e.plumb)
    first = next((e for e in board.out(drop.down) if not e.plumb), None)
    if first is None:
        work.block((t.tag,), f"{t.tag}: its loop finds no level drain under the cabinet", "draw the route by hand")
        return []
    box = next((b for b in work.house.cabinets if b.id == f.cabinet_id), None)
    under = (f.flood_rim_z_mm or f.finished_z_mm + 900.0) - 60.0
    if box is not None and box.counter_z_mm is not None:
        under = box.counter_z_mm - box.counter_mm - 40.0
    a, b = board.nodes[first.up], board.nodes[first.down]
    length = board.plan(first)
    if length < LOOP_SPREAD_MM * 2.2:
        work.block(
            (t.tag,),
            f"{t.tag}: the drain under its cabinet is too short for the return of a loop vent",
            "draw the route by hand",
        )
        return []
    ux, uy = (b.xy[0] - a.xy[0]) / length, (b.xy[1] - a.xy[1]) / length
    xy = (a.xy[0] + ux * LOOP_SPREAD_MM, a.xy[1] + uy * LOOP_SPREAD_MM)
    if work.cavity.wall_near(work.house.level(f.level_id), xy, work.gauge(2.0).r):
        work.block(
            (t.tag,),
            f"{t.tag}: no wall takes its vent, and the return of a loop vent would stand in a wall",
            "a vent in the wall drawn by hand, or permission for an air admittance valve",
        )
        return []
    router = work.routers[f.level_id]
    za, zb = a.z or 0.0, b.z or 0.0
    joint = board.split(first, xy, PointKind.JUNCTION)
    joint.z = za + (zb - za) * LOOP_SPREAD_MM / length
    low = board.out(joint.id)[0]
    router.edge_layer[low.id] = router.edge_layer[first.id]
    size = max(t.need.vent_in, 1.5)
    g = work.gauge(2.0)
    place = Place("cabinet", f.cabinet_id)
    layer = router.edge_layer[first.id]
    room = work.space.leg(router.layers[layer], xy, xy, g)
    # as much as its tee and the fitting below take, where the ground leaves it
    over = max(LEAST_DROP_MM, board.fits.tee(2.0, 2.0, "lower") + board.fits.joint(2.0, 2.0, True, "branch"))
    foot = board.node(xy, PointKind.TIE_IN, joint.z + over, t.tag)
    runs: list[int] = []
    top1 = board.node(take.xy, PointKind.TURN, under, t.tag)
    top2 = board.node(xy, PointKind.TURN, under, t.tag)
    runs.append(board.edge(take, top1, "vent", Role.VENT, place, size, tag=t.tag, plumb=True).id)
    runs.append(board.edge(top1, top2, "vent", Role.VENT, place, size, tag=t.tag).id)
    beside = place if box is None or box.box.contains(Vec(*xy, under), TOUCH_MM) else Place("room", f.room_id)
    runs.append(board.edge(top2, foot, "vent", Role.VENT, beside, size, tag=t.tag, plumb=True).id)
    board.edge(foot, joint, "drain", Role.DRAIN, place, 2.0, tag=t.tag, plumb=True)
    # the foot vent: along under the floor to the nearest wall whose bay lets it rise
    spots = []
    for w in work.cavity.walls_of(work.house.level(f.level_id)):
        if w.knee or w.exterior or not work.cavity.allowed(w, "vent"):
            continue
        for bay in w.bays:
            spot = Spot(
                w, bay, min(max(w.station(Vec(xy[0], xy[1], 0)), bay.lo_mm + g.hub_r), bay.hi_mm - g.hub_r), 0.0
            )
            if bay.clear_mm < g.hub_mm or work.taken(spot, g):
                continue
            if not work.cavity.clear(w, spot.station, w.bottom_z_mm, w.bottom_z_mm + 1300, g):
                spots.append(spot)
    spots.sort(key=lambda s: (math.hypot(s.xy[0] - xy[0], s.xy[1] - xy[1]), s.wall.id))
    slope = work.demands.slope(2.0)
    for spot in spots[:6]:
        if room is not None:  # low enough that the foot vent still has cover where it reaches the wall
            rise = slope * (abs(spot.xy[0] - xy[0]) + abs(spot.xy[1] - xy[1]))
            foot.z = max(joint.z + 40.0, min(joint.z + over, room.spans[0].hi - 5.0 - rise))
        lat = router.lattice((xy, spot.xy))
        k = round(math.atan2(uy, ux) / (math.pi / 4)) % 8
        blocked = frozenset({k, (k + 4) % 8})
        path = router.search(
            Ask(spot.xy, (layer,), None), g, slope, [Target(xy, layer, foot.z, blocked, 0.0, "n0")], lat
        )
        if path is None:
            continue
        at = foot
        for s in reversed(path.steps):
            nxt = board.node(s.a, PointKind.TURN, s.z_a, t.tag)
            e = board.edge(at, nxt, "vent", Role.FOOT_VENT, s.place or place, 2.0, tag=t.tag)
            runs.append(e.id)
            at = nxt
        work.risers.append((spot, g.hub_mm))
        runs += upward.draw(at, spot, 2.0, (t.tag,), Role.VENT)
        return runs
    work.block((t.tag,), f"{t.tag}: the foot vent of the loop reaches no wall", "draw the route by hand")
    return []
