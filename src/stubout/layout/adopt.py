"""Routes drawn by hand, put on the drawing board before the engine starts: kept as drawn, joined by the rest.

Every point keeps its place and every run its name. Drains that come to the sewer may be joined where they are large
enough for what is still to be drawn; the others are only kept clear of. Lengths [mm].
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stubout import units
from stubout.geometry.vec import Vec
from stubout.layout.adopt_vents import lying_in_walls, open_vent
from stubout.layout.adopted import Adopted
from stubout.layout.cavity_shapes import Spot
from stubout.layout.complete import unserved
from stubout.layout.draft import DEdge, DStack
from stubout.layout.drawn import Drawing
from stubout.layout.flowgraph import Flow, Upstream, chain_down, flow_of
from stubout.layout.lattice import direction_index
from stubout.layout.model import PointKind, Role, Run, VentMethod
from stubout.layout.places import level_under
from stubout.layout.route import Target
from stubout.layout.work import TrapDraft, Work
from stubout.layout.zone_router import ZoneRouter
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask

FLOOR_ZONE_MM = 400.0  # a stack may end so far below the floor of the level it serves
IN_WALL_MM = 100.0  # a plumb pipe stands in a wall if so much of it lies between its plates
NEAR_FRAME_MM = 600.0
LYING_ROLES = frozenset({Role.BRANCH, Role.BUILDING_DRAIN, Role.SEWER, Role.DRAIN})


def adopt_drawn(work: Work, drawing: Drawing) -> None:
    """Put the drawing on the board and let the engine know what it takes over and what is left to do."""
    if not drawing.runs:
        return
    got = work.adopted = Adopted(drawing, unserved(work.house, work.book, drawing))
    flow = flow_of(drawing.runs, {p.id: p.at for p in drawing.points})
    board = work.board
    for p in drawing.points:
        n = board.node((p.at.x, p.at.y), p.kind, p.at.z, p.tag, p.note)
        n.fixed = n.drawn = True
        n.name = p.id
        got.nodes[p.id] = n.id
    for r in drawing.runs:
        got.edges[r.id] = _edge(work, got, flow, r).id
    got.root = min((got.nodes[i] for i in drawing.sewer), default=0)
    for r in drawing.runs:
        if flow.vertical(r.id):
            work.risers += [
                (s, work.gauge(r.size_in).hub_mm) for s in _stands_in(work, flow.at[r.start], flow.at[r.end])
            ]
    work.cavity.pipes += lying_in_walls(work)
    _traps(work, got)
    _joints(work, got, flow)
    _stacks(work, got, flow)
    for t in drawing.traps:
        if got.open.get(t.tag) == "vent" and t.tag in work.traps:
            open_vent(work, got, flow, work.traps[t.tag])
    takeoffs = {t.takeoff for t in work.traps.values() if t.spot is not None}
    for s in board.stacks:
        s.vented = s.vented or s.nodes[0] in takeoffs


def _edge(work: Work, got: Adopted, flow: Flow, r: Run) -> DEdge:
    board = work.board
    up, down = board.nodes[got.nodes[r.start]], board.nodes[got.nodes[r.end]]
    plan = math.hypot(up.xy[0] - down.xy[0], up.xy[1] - down.xy[1])
    plumb = flow.vertical(r.id)
    slope = 0.0 if plumb or plan < 1.0 else ((up.z or 0.0) - (down.z or 0.0)) / plan
    e = board.edge(up, down, r.system, r.role, r.place, r.size_in, tag=r.tag, plumb=plumb, slope=slope)
    e.drawn, e.leg = True, got.drawing.leg[r.id]
    return e


def _stands_in(work: Work, a: Vec, b: Vec) -> Iterator[Spot]:
    """Yield where a plumb pipe stands in walls."""
    lo, hi = sorted((a.z, b.z))
    for w in work.house.walls:
        bay = w.bay_at(w.station(a))
        if bay is None or abs(w.offset(a)) > w.depth_mm / 2:
            continue
        if min(hi, w.top_at(w.station(a))) - max(lo, w.bottom_z_mm) >= IN_WALL_MM:
            yield Spot(w, bay, w.station(a), w.offset(a))


def _traps(work: Work, got: Adopted) -> None:
    """Take over the traps that are drawn."""
    board = work.board
    for t in got.drawing.traps:
        if t.tag not in work.needs:
            continue
        takeoff = got.nodes[t.takeoff] if t.takeoff else 0
        draft = TrapDraft(work.needs[t.tag], got.nodes[t.weir], takeoff, [got.edges[i] for i in t.arm_runs], t.method)
        draft.drawn = True
        work.traps[t.tag] = draft
    arms = {i for t in work.traps.values() if t.method is not VentMethod.NONE for i in t.arm}
    for e in board.edges.values():
        if e.role is Role.TRAP_ARM and e.id not in arms:  # as long as nothing vents it, nobody knows where the arm ends
            e.role = Role.DRAIN if e.plumb else Role.BRANCH


def _joints(work: Work, got: Adopted, flow: Flow) -> None:
    """Say which drawn drains the engine may join, and in which layer each of them lies."""
    todo = [work.needs[tag] for tag, what in got.open.items() if what == "all"]
    load = sum(n.load for n in todo)
    size = max((n.branch_in for n in todo), default=0.0)
    up = Upstream(flow)
    ends = {i for i in flow.runs if flow.runs[i].end in got.drawing.sewer}
    loads = {t.weir: work.needs[t.tag].load for t in got.drawing.traps if t.tag in work.needs}
    large: list[DEdge] = []
    lying: list[DEdge] = []
    for r in got.drawing.runs:
        e = work.board.edges[got.edges[r.id]]
        if r.system != "drain":
            continue
        e.apart = True
        key = _layer(work, e)
        if e.plumb or not key:
            continue
        level_id = key.split(":", 1)[1]
        got.layers.setdefault(level_id, {})[e.id] = key
        nodes = work.board.nodes
        got.keys.setdefault(level_id, set()).update((nodes[e.up].xy, nodes[e.down].xy))
        if e.role not in LYING_ROLES or not (r.id in ends or ends & set(chain_down(flow, r.id))):
            continue
        lying.append(e)
        carried = sum(loads.get(p, 0.0) for p in {flow.runs[i].start for i in up.runs(r.id)})
        if r.size_in >= size - 1e-6 and carried + load <= _capacity(work, r) + 1e-6:
            large.append(e)
    for e in large or lying:
        e.apart = False


def _capacity(work: Work, r: Run) -> float:
    """Return what a drawn drain may carry by the book [FU]."""
    try:
        branch = ask.branch_capacity(work.book, r.size_in).number
    except NotInBook:
        branch = 0.0
    if r.role not in (Role.BUILDING_DRAIN, Role.SEWER):
        return branch
    try:
        return max(branch, ask.building_drain_capacity(work.book, r.size_in, work.trunk_slope).number)
    except NotInBook:
        return branch


def _layer(work: Work, e: DEdge) -> str:
    """Return the layer in which a lying run lies, "" if it lies in none the engine uses."""
    a, b = work.board.nodes[e.up], work.board.nodes[e.down]
    z = ((a.z or 0.0) + (b.z or 0.0)) / 2
    lowest = work.space.lowest_layer
    if not (work.space.inside(a.xy) and work.space.inside(b.xy)):
        return lowest.key
    for layer in work.space.layers.values():
        if layer.kind == "bay" and layer.frame is not None:
            if layer.frame.bottom_z_mm <= z <= layer.frame.top_z_mm:
                return layer.key
        elif layer.kind == "under" and z < layer.level.subfloor_z_mm:
            return layer.key
        elif layer.kind == "below" and layer.frame is not None:
            deep = -math.inf if layer.lowest else layer.frame.bottom_z_mm - NEAR_FRAME_MM
            if deep < z < layer.frame.bottom_z_mm:
                return layer.key
    return ""


def _stacks(work: Work, got: Adopted, flow: Flow) -> None:
    """Register the plumb lines of drawn stacks, so that upper levels may drain into them."""
    board = work.board
    stacks = {r.id for r in got.drawing.runs if r.role is Role.STACK}
    for r in got.drawing.runs:
        if r.id not in stacks or any(i in stacks for i in flow.drains_in.get(r.start, ())):
            continue
        line = [r.id]
        for i in chain_down(flow, r.id):
            if i not in stacks:
                break
            line.append(i)
        runs = [flow.runs[i] for i in line]
        top = flow.at[r.start]
        level = level_under(work.house, top.z + FLOOR_ZONE_MM) or work.space.levels[0]
        places = tuple((flow.at[v.end].z, flow.at[v.start].z, v.place) for v in runs)
        foot = got.nodes[runs[-1].end]
        s = DStack((top.x, top.y), foot, max(v.size_in for v in runs), level.id, places)
        s.nodes = [got.nodes[v.start] for v in runs]
        s.drawn = True
        s.vented = bool(flow.vents_out.get(r.start))
        s.vent_in = max((flow.runs[i].size_in for i in flow.vents_out.get(r.start, ())), default=0.0)
        board.stacks.append(s)


def zone_of(work: Work, level_id: str, router: ZoneRouter) -> None:
    """Let a zone know the drawn runs that lie in it."""
    if work.adopted is not None:
        router.edge_layer.update(work.adopted.layers.get(level_id, {}))
        router.keys |= work.adopted.keys.get(level_id, set())


def point_targets(work: Work, edges: list[DEdge], layers: dict[int, str]) -> list[Target]:
    """Return the points of drawn drains where a drain may go on or join: free upper ends, points on a straight."""
    board = work.board
    out: list[Target] = []
    ends = {t.weir for t in work.traps.values()}
    for e in edges:
        n, low = board.nodes[e.up], board.nodes[e.down]
        if not e.drawn or e.id not in layers or n.id in ends or n.kind is PointKind.CLEANOUT:
            continue
        k = direction_index(n.xy[0] - low.xy[0], n.xy[1] - low.xy[1])
        come = board.into(n.id)
        if k is None or len(come) > 1:
            continue
        ways: tuple[int, ...] = (-2, -1, 0, 1, 2)
        if come:
            above = board.nodes[come[0].up]
            if come[0].role is Role.STACK:
                continue
            if come[0].plumb:  # the foot of a drop: a lying drain may come in straight under it
                ways = (-1, 0, 1)
            elif direction_index(above.xy[0] - n.xy[0], above.xy[1] - n.xy[1]) != k:
                continue
            else:
                ways = (-2, -1, 1, 2)
        blocked = frozenset(range(8)) - {(k + d) % 8 for d in ways}
        out.append(Target(n.xy, layers[e.id], n.z, blocked, 0.0, f"n{n.id}"))
    return out


def join_drawn_stack(work: Work, s: DStack) -> None:
    """Let what the engine drains into a drawn stack meet it at its own height."""
    board = work.board
    for i in list(s.nodes):
        n = board.nodes[i]
        if n.drawn or n.z is None:
            continue
        at = _on_stack(work, s, n.z)
        if at == 0:
            work.block(
                (n.tag or "stack",),
                f"a drain meets the drawn stack at {units.on_plan(*s.xy, work.house.job.units)} above its top",
                "draw the stack up to there, or draw this drain by hand",
            )
            continue
        for e in board.edges.values():
            if e.down == i:
                e.down = at
            if e.up == i:
                e.up = at
        for t in work.traps.values():
            if t.takeoff == i:
                t.takeoff = at
        s.nodes[s.nodes.index(i)] = at


def _on_stack(work: Work, s: DStack, z: float) -> int:
    """Return the node of a drawn stack at a height, made by splitting it; 0 if it does not reach there."""
    board = work.board
    for e in [v for v in board.edges.values() if v.drawn and v.role is Role.STACK and v.system == "drain"]:
        up, down = board.nodes[e.up], board.nodes[e.down]
        if math.hypot(up.xy[0] - s.xy[0], up.xy[1] - s.xy[1]) > 1.0 or up.z is None or down.z is None:
            continue
        for n in (up, down):
            if abs((n.z or 0.0) - z) < 1.0:
                return n.id
        if down.z < z < up.z:
            joint = board.split(e, up.xy, PointKind.JUNCTION)
            joint.z = z
            return joint.id
    return 0
