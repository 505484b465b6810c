"""Vents and routes drawn by hand: where a drawn arm takes its vent, and what drawn vents others may tie into.

Lengths [mm].
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.layout.adopted import Adopted
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import DEdge, DNode
from stubout.layout.flowgraph import Flow
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.space_shapes import XY, crossing_station
from stubout.layout.vent_ways import Header, Riser
from stubout.rulebooks import queries as ask

if TYPE_CHECKING:
    from stubout.layout.venting import Venting
    from stubout.layout.work import TrapDraft, Work

CLEAR_ABOVE_MM = 250.0  # a vent must be able to stand so far above the rim before it may turn
TIE_CLEAR_MM = 60.0  # a tie-in stays so far from the ends of a riser


def open_vent(work: Work, got: Adopted, flow: Flow, trap: TrapDraft) -> None:
    """Find where the vent of a drawn arm can rise, and make that its take-off; blocked where no wall stands over it."""
    plan = next(t for t in got.drawing.traps if t.tag == trap.tag)
    arm = _arm_before_drop(flow, plan.weir, trap.need.closet)
    size = _vent_size(work, trap)
    nodes = [got.nodes[flow.runs[i].end] for i in arm]
    done = _at_node(work, trap, nodes, size) or _at_crossing(work, trap, [got.edges[i] for i in arm], size)
    if not done:
        trap.method = VentMethod.NONE
        work.block(
            (trap.tag,),
            f"{trap.tag}: no free bay of a wall stands over its drawn trap arm, so its vent cannot rise from it",
            "draw the arm under a wall, or draw its vent by hand",
        )
        return
    trap.method = VentMethod.INDIVIDUAL
    at, board = trap.weir, work.board
    trap.arm = []
    while at != trap.takeoff:
        e = board.out(at)[0]
        e.role, e.tag = Role.TRAP_ARM, trap.tag
        trap.arm.append(e.id)
        at = e.down


def vent_at_drawn_point(work: Work, trap: TrapDraft) -> bool:
    """Vent a closet at the drawn point its drain comes to, if a wall bay stands over it; return whether it does."""
    board = work.board
    tail = [board.edges[i] for i in trap.closet_tail if i in board.edges]
    if not tail or not board.nodes[tail[-1].down].drawn or sum(board.plan(e) for e in tail) > work.arm_left(trap):
        return False
    end = board.nodes[tail[-1].down]
    if any(len(board.into(e.down)) > 1 for e in tail):
        return False
    spot = _bay_over(work, trap, end.xy, end.z or 0.0, trap.need.vent_in)
    if spot is None or work.taken(spot, work.gauge(trap.need.vent_in)):
        return False
    _settle(work, trap, end.id, spot, trap.need.vent_in)
    trap.arm, trap.method = [e.id for e in tail], VentMethod.INDIVIDUAL
    for e in tail:
        e.role = Role.TRAP_ARM
    return True


def _arm_before_drop(flow: Flow, weir: str, closet: bool) -> list[str]:
    """Return the runs from the weir to the first drop or the first joint; a closet's own drop belongs to its arm."""
    out: list[str] = []
    node, lying = weir, False
    while outs := flow.drains_out.get(node, ()):
        run = outs[0]
        if run in out or (out and len(flow.drains_in.get(node, ())) > 1):
            break
        if flow.vertical(run):
            if lying or not closet:
                break
        else:
            lying = True
        out.append(run)
        node = flow.runs[run].end
    return out


def _vent_size(work: Work, trap: TrapDraft) -> float:
    """Return the size of the vent to add [in]: a closet's is the building's main vent where none is drawn."""
    if not trap.need.closet:
        return trap.need.vent_in
    main = ask.building_vent_least(work.book, work.trunk_in)
    drawn = max((e.size_in for e in work.board.edges.values() if e.system == "vent"), default=0.0)
    others = any(t.spot is not None and t.need.closet for t in work.traps.values())
    return trap.need.vent_in if main is None or others or drawn >= main.number else max(trap.need.vent_in, main.number)


def _at_node(work: Work, trap: TrapDraft, nodes: list[int], size: float) -> bool:
    """Take the end of the arm, or a turn before it, if a wall bay stands over it."""
    for i in reversed(nodes):
        n = work.board.nodes[i]
        spot = _bay_over(work, trap, n.xy, n.z or 0.0, size)
        if spot is not None:
            _settle(work, trap, i, spot, size)
            return True
    return False


def _at_crossing(work: Work, trap: TrapDraft, edges: list[int], size: float) -> bool:
    """Take the place where a lying piece of the arm passes under a wall bay, the nearest to its end."""
    board = work.board
    level = work.house.level(trap.need.fixture.level_id)
    for eid in reversed(edges):
        e = board.edges[eid]
        if e.plumb:
            continue
        a, b = board.nodes[e.up], board.nodes[e.down]
        for w in work.cavity.walls_of(level):
            s = crossing_station(w, a.xy, b.xy)
            if s is None:
                continue
            p = w.point(s, 0.0)
            t = math.hypot(p.x - a.xy[0], p.y - a.xy[1]) / (board.plan(e) or 1.0)
            z = (a.z or 0.0) + ((b.z or 0.0) - (a.z or 0.0)) * t
            spot = _bay_over(work, trap, (p.x, p.y), z, size)
            if spot is None:
                continue
            joint = board.split(e, (p.x, p.y), PointKind.TAKEOFF)
            low = board.out(joint.id)[0]
            for layers in work.adopted.layers.values() if work.adopted is not None else ():
                if e.id in layers:
                    layers[low.id] = layers[e.id]
            _settle(work, trap, joint.id, spot, size)
            return True
    return False


def _settle(work: Work, trap: TrapDraft, node: int, spot: Spot, size: float) -> None:
    trap.takeoff, trap.spot, trap.need = node, spot, replace(trap.need, vent_in=size)
    work.risers.append((spot, work.gauge(size).hub_mm))


def _bay_over(work: Work, trap: TrapDraft, xy: XY, z: float, size: float) -> Spot | None:
    """Return the wall bay over a point in which a vent can rise above the flood rim, None if there is none."""
    f = trap.need.fixture
    g = work.gauge(size)
    rim = f.flood_rim_z_mm or f.finished_z_mm + 500.0
    p = Vec(xy[0], xy[1], 0.0)
    for w in work.cavity.walls_of(work.house.level(f.level_id)):
        station, off = w.station(p), w.offset(p)
        if w.knee or not 0.0 < station < w.length_mm or abs(off) > max(0.0, w.depth_mm / 2 - g.hub_r) + 0.5:
            continue
        bay = w.bay_at(station)
        if bay is None or not work.cavity.allowed(w, "vent"):
            continue
        top = min(rim + CLEAR_ABOVE_MM, w.top_at(station))
        if not work.cavity.clear(w, station, max(z, w.bottom_z_mm), top, g, off):
            return Spot(w, bay, station, off)
    return None


def lying_in_walls(work: Work) -> list[tuple[Vec, Vec, float]]:
    """Return the drawn vents that lie level in walls: a plumb pipe must keep clear of them."""
    out: list[tuple[Vec, Vec, float]] = []
    for e in _drawn_vents(work):
        if e.plumb or e.place.kind != "wall":
            continue
        a, b = work.board.nodes[e.up], work.board.nodes[e.down]
        out.append((Vec(*a.xy, a.z or 0.0), Vec(*b.xy, b.z or 0.0), work.gauge(e.size_in).r))
    return out


def _drawn_vents(work: Work) -> list[DEdge]:
    return [e for e in work.board.edges.values() if e.drawn and e.system == "vent"]


def adopt_vents(venting: Venting) -> None:
    """Let the vents that are drawn be tied into: risers in every wall that they stand in, headers in theirs."""
    work = venting.work
    if work.adopted is None:
        return
    board = work.board
    work.cavity.pipes += lying_in_walls(work)
    for e in _drawn_vents(work):
        a, b = board.nodes[e.up], board.nodes[e.down]
        if e.plumb:
            for w in _walls_of(work, e):
                level = work.house.level(w.level_id)
                venting.ways.drawn = True
                venting.ways.risers.append(Riser(w, w.station(_vec(a)), w.offset(_vec(a)), [e.id], level, e.size_in))
        elif e.place.kind == "wall":
            w = work.house.wall(e.place.ref)
            sa, sb = w.station(_vec(a)), w.station(_vec(b))
            venting.ways.headers.append(Header(w, e.id, min(sa, sb), max(sa, sb)))


def _walls_of(work: Work, e: DEdge) -> list[Wall]:
    """Return the walls that an upright vent stands in: an old stack vent is one run through all of its storeys."""
    a, b = (work.board.nodes[i] for i in (e.up, e.down))
    low, high = Vec(*a.xy, a.z or 0.0), Vec(*b.xy, b.z or 0.0)
    named = e.place.ref if e.place.kind == "wall" else ""
    return [w for w in work.house.walls if w.id == named or w.stands_in(low, high)]


def attic_riser(work: Work, level_id: str, size: float) -> DEdge | None:
    """Return the drawn vent that passes an attic upright and is large enough to take others in there."""
    layer = work.space.layers.get(f"attic:{level_id}")
    if layer is None or work.adopted is None:
        return None
    floor = layer.level.subfloor_z_mm + layer.level.wall_height_mm
    found = [
        e
        for e in _drawn_vents(work)
        if e.plumb
        and e.size_in >= size - 0.01
        and (work.board.nodes[e.up].z or 0.0) < floor + 300.0 < (work.board.nodes[e.down].z or 0.0)
        and work.space.inside(work.board.nodes[e.up].xy)
    ]
    return max(found, key=lambda e: (e.size_in, -e.id), default=None)


def tie_in_attic(venting: Venting, riser: DEdge, root: DNode) -> None:
    """Let vents gathered in the attic enter a drawn riser at the height they came out at."""
    board = venting.work.board
    a, b = board.nodes[riser.up], board.nodes[riser.down]
    z, u = root.z or 0.0, venting.work.house.job.units
    if not (a.z or 0.0) + TIE_CLEAR_MM < z < (b.z or 0.0) - TIE_CLEAR_MM:
        venting.work.block(
            ("vent",),
            f"the vents in the attic come out at z {units.length(z, u)}, where the drawn riser at "
            f"{units.on_plan(*a.xy, u)} cannot take them in",
            "draw a higher riser, or draw these vents by hand",
        )
        return
    joint = board.split(riser, root.xy, PointKind.TIE_IN)
    joint.z = z
    for e in board.edges.values():
        if e.down == root.id:
            e.down = joint.id
    board.nodes.pop(root.id, None)


def _vec(n: DNode) -> Vec:
    return Vec(n.xy[0], n.xy[1], 0.0)
