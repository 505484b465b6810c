"""From the drawing board to the layout: stacks become pipe, everything gets its name in flow order. Lengths [mm]."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from stubout import units
from stubout.geometry.vec import Vec
from stubout.layout.adopt import join_drawn_stack
from stubout.layout.breathing import breathes_through, vent_mate
from stubout.layout.draft import DEdge, DNode
from stubout.layout.finish import drawn_names, free_names
from stubout.layout.flowgraph import upstream_first
from stubout.layout.model import Layout, Point, Role, Run, StubMark, TrapPlan, VentMethod
from stubout.layout.stack_joints import StackJoint, spread
from stubout.layout.street_drops import lifts
from stubout.layout.stubs import marked_at
from stubout.layout.work import TrapDraft, Work

SAME_HEIGHT_MM = 0.5


def raise_stacks(work: Work) -> None:
    """Draw the plumb pipe of every stack through the points that drain into it, highest first."""
    board = work.board
    for s in board.stacks:
        if s.drawn:
            join_drawn_stack(work, s)
            continue
        nodes = [board.nodes[i] for i in s.nodes if board.nodes[i].z is not None]
        foot = board.nodes[s.foot]
        if not nodes or foot.z is None:
            continue
        _spread(work, nodes)
        nodes.sort(key=lambda n: (-(n.z or 0.0), n.id))
        merged: list[DNode] = []
        for n in nodes:
            if merged and abs((merged[-1].z or 0.0) - (n.z or 0.0)) < 1.0:
                keep = merged[-1]
                for e in board.edges.values():
                    if e.down == n.id:
                        e.down = keep.id
                    if e.up == n.id:
                        e.up = keep.id
                for t in work.traps.values():
                    if t.takeoff == n.id:
                        t.takeoff = keep.id
                continue
            merged.append(n)
        chain = [*merged, foot]
        size = s.top_in or s.size_in
        for up, down in itertools.pairwise(chain):
            mid = ((up.z or 0.0) + (down.z or 0.0)) / 2  # one pipe from joint to joint lies where its middle does
            place = next((p for lo, hi, p in s.places if lo <= mid <= hi), s.places[-1][2])
            size = max(size, *(e.size_in for e in board.into(up.id)))
            board.edge(up, down, "drain", Role.STACK, place, s.size_in if down is foot else size, plumb=True)


def _spread(work: Work, nodes: list[DNode]) -> None:
    """Keep joints on one stack either on one level or a fitting apart."""
    joints = [StackJoint(n, n.z or 0.0, (n.z or 0.0) - _slack(work, n), _lifts(work, n)) for n in nodes]
    spread(work.board, joints)
    for j in joints:
        by = j.z - (j.node.z or 0.0)
        if by:
            for n in _flat_above(work, j.node)[0]:
                n.z = (n.z or 0.0) + by


def _flat_above(work: Work, root: DNode) -> tuple[list[DNode], list[DEdge]]:
    """Return the points and runs of the level tree that ends at a point."""
    board = work.board
    out, runs, stack = [root], list[DEdge](), [root.id]
    while stack:
        for e in board.into(stack.pop()):
            if e.plumb or e.role is Role.STACK:
                continue
            runs.append(e)
            out.append(board.nodes[e.up])
            stack.append(e.up)
    return out, runs


def _slack(work: Work, root: DNode) -> float:
    """Return how much lower a level tree may lie [mm]."""
    runs = _flat_above(work, root)[1]
    if any(work.board.nodes[e.up].fixed for e in runs):
        return 0.0
    z = {e.id: work.board.nodes[e.down].z or 0.0 for e in runs}
    return min((z[e.id] + e.slope * q.near - q.lo for e in runs for q in e.parts), default=math.inf)


def _lifts(work: Work, root: DNode) -> tuple[tuple[float, float], ...]:
    """Return how much higher a level tree may lie where street fittings join the drops into it [mm]."""
    board, drops = work.board, work.board.drops()
    tree, runs = _flat_above(work, root)
    if any(n.fixed for n in tree):
        return ()
    room = min((n.cap - (n.z or 0.0) for n in tree), default=math.inf)
    for e in runs:
        z = board.nodes[e.down].z or 0.0
        room = min([room, *(q.hi - z - e.slope * q.far for q in e.parts)])
    over = [board.drop(e, (board.nodes[e.up].z or 0.0) - (n.z or 0.0)) for n in tree for e in drops.get(n.id, ())]
    return lifts(board.fits, over, room)


def placed_marks(work: Work, marks: tuple[StubMark, ...]) -> tuple[StubMark, ...]:
    """Return the stub marks at the stations where the arms really enter their walls."""
    out: list[StubMark] = []
    for m in marks:
        t = work.traps.get(m.tag)
        if t is None or t.stub_station is None:
            out.append(m)
            continue
        aside = t.stub_station - m.station_mm
        u, steps = work.house.job.units, m.derivation.steps
        if abs(aside) > 1.0:
            by = units.both(abs(aside), u)
            steps = (*steps, f"moved {by} along the wall from the fixture's centre; the trap swings over")
        placed = replace(m, station_mm=t.stub_station, derivation=replace(m.derivation, steps=steps))
        if t.stub_z is not None:
            placed = marked_at(placed, t.stub_z, u, _other_height(t, t.stub_z - m.mark_z_mm))
        out.append(placed)
    return tuple(out)


def _other_height(t: TrapDraft, by_mm: float) -> str:
    """Return why a stub-out stands at the height of its arm; nothing where that is the height of its mark."""
    if t.partner:
        return f"set to the height at which its arm meets that of {t.partner} in one fitting"
    if abs(by_mm) < SAME_HEIGHT_MM:
        return ""
    return f"set {'higher' if by_mm > 0 else 'lower'} so that its arm passes clear of another in the wall"


def assemble(work: Work, marks: tuple[StubMark, ...], trap_runs: dict[str, list[int]]) -> Layout:
    """Return the layout with points and runs named in flow order."""
    board = work.board
    live = [e for e in board.edges.values() if board.nodes[e.up].z is not None and board.nodes[e.down].z is not None]
    point_id: dict[int, str] = {}
    points: list[Point] = []

    def point(n_id: int) -> str:
        if n_id not in point_id:
            n = board.nodes[n_id]
            point_id[n_id] = n.name or f"N{len(points) + 1}"
            points.append(
                Point(
                    point_id[n_id],
                    Vec(round(n.xy[0], 3), round(n.xy[1], 3), round(n.z or 0.0, 3)),
                    n.kind,
                    n.tag,
                    n.note,
                )
            )
        return point_id[n_id]

    drains = {e.id: (e.up, e.down) for e in sorted(live, key=lambda e: e.id) if e.system == "drain"}
    order = [i for some in upstream_first(drains) for i in some]
    vents = [e.id for e in live if e.system == "vent"]
    run_id: dict[int, str] = {}
    names = drawn_names(work)
    legs = {leg.id: leg for leg in work.house.routes}
    runs: list[Run] = []
    for letter, ids in (("D", order), ("V", vents)):
        free = free_names(work, letter)
        for eid in ids:
            e = board.edges[eid]
            run_id[eid] = names.get(eid) or next(free)
            leg = legs.get(e.leg) if e.drawn else None
            runs.append(
                Run(
                    run_id[eid],
                    "drain" if letter == "D" else "vent",
                    e.role,
                    point(e.up),
                    point(e.down),
                    e.place,
                    e.size_in,
                    e.tag,
                    e.drawn,
                    VentMethod(leg.vents_by) if leg is not None and leg.vents_by else None,
                    leg.said if leg is not None else "",
                    leg.material if leg is not None else "",
                )
            )
    traps: list[TrapPlan] = []
    for t in sorted(work.traps.values(), key=lambda t: t.tag):
        if t.weir not in point_id:
            continue
        traps.append(_trap(work, t, point_id, run_id, trap_runs))
    for e in live:
        if e.sleeve:
            work.notes.append(f"{run_id.get(e.id, e.id)}: {e.sleeve}")
    return Layout(
        tuple(points),
        tuple(runs),
        tuple(traps),
        marks,
        (),
        tuple(work.blocked),
        tuple(work.questions),
        tuple(work.derivations),
        tuple(dict.fromkeys(work.notes)),
    )


def _trap(
    work: Work, t: TrapDraft, point_id: dict[int, str], run_id: dict[int, str], trap_runs: dict[str, list[int]]
) -> TrapPlan:
    weir = work.board.nodes[t.weir]
    g, mate = work.gauge(t.need.arm_in), vent_mate(work, t)
    return TrapPlan(
        t.tag,
        t.need.trap_in,
        point_id[t.weir],
        point_id.get(t.takeoff, ""),
        tuple(run_id[i] for i in t.arm if i in run_id),
        _method(t, mate),
        tuple(
            run_id[i] for i in trap_runs.get(t.partner if t.method is VentMethod.COMMON else t.tag, []) if i in run_id
        ),
        mate,
        tuple(run_id[i] for i in breathes_through(work, t) if i in run_id),
        (weir.z or 0.0) - g.id_mm / 2,
    )


def _method(t: TrapDraft, mate: str) -> VentMethod:
    """Return how a trap is vented; of two that share a fitting, or a stack of their own, both by a common vent."""
    if not t.takeoff:
        return VentMethod.NONE
    shares = mate and t.method in (VentMethod.INDIVIDUAL, VentMethod.STACK)
    return VentMethod.COMMON if shares else t.method
