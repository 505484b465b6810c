"""Branches laid anew once the rest of their storey stands: what was drawn first did not know what came later. [mm].

Only the way of a fixture's drain from the foot of its drop to its joint is in question, and only where nothing joins it
on the way. The new way is kept if the storey is better for it by what the zone weighs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stubout.layout.baths import as_laid
from stubout.layout.draft import DEdge
from stubout.layout.drain_targets import path_from
from stubout.layout.drain_zone import MOST_STEPS, DrainZone
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.wet_vents import vent_wet
from stubout.layout.work import TrapDraft
from stubout.layout.zone_stacks import with_stack

LEAST_SAVED_MM = 50.0  # what a new way has to be better by
NEAREST = 0.9  # a drain hardly longer than the way to what lies nearest is left alone


@dataclass(frozen=True, slots=True)
class OwnWay:
    """A fixture's own drain from the foot of its drop to its joint."""

    tag: str
    foot: int  # node
    run: tuple[int, ...]  # edges, in flow order
    joint: int  # node
    airs: str = ""  # the fixture that breathes through it, "" for none


def lay_anew(zone: DrainZone) -> None:
    """Lay branches of a storey again, the longest first, where that is better."""
    zone.anew = True
    ways = [way for tag in sorted(zone.work.traps) if (way := _own_way(zone, tag)) is not None]
    for tag in [w.tag for w in sorted(ways, key=lambda w: (-_length(zone, w), w.tag))]:
        way = _own_way(zone, tag)  # what was laid anew before it may have changed it
        if way is not None:
            _try(zone, way)
    zone.anew = False


def _length(zone: DrainZone, way: OwnWay) -> float:
    return math.fsum(zone.work.board.plan(zone.work.board.edges[i]) for i in way.run)


def _own_way(zone: DrainZone, tag: str) -> OwnWay | None:
    """Return the way of a fixture's drain if it is its own from drop to joint, None if it is not to be touched."""
    board, trap = zone.work.board, zone.work.traps[tag]
    if trap.drawn or trap.method is not VentMethod.INDIVIDUAL or not trap.takeoff:
        return None
    drop = next((e for e in board.out(trap.takeoff) if e.plumb and e.tag == tag), None)
    if drop is None or board.nodes[drop.down].stack >= 0:
        return None
    run: list[int] = []
    at = drop.down
    while len(run) < MOST_STEPS:
        out = board.out(at)
        if len(out) != 1 or out[0].plumb or out[0].drawn or out[0].tag != tag or len(board.into(at)) != 1:
            break
        if out[0].id not in zone.router.edge_layer:
            return None
        run.append(out[0].id)
        at = out[0].down
    joint = board.nodes[at]
    if not run or joint.drawn or joint.kind is PointKind.SEWER:
        return None
    if joint.stack >= 0:
        return OwnWay(tag, drop.down, tuple(run), at) if len(board.stacks[joint.stack].nodes) > 1 else None
    into, out = board.into(at), board.out(at)
    if len(into) != 2 or len(out) != 1 or out[0].tag == tag or out[0].plumb or any(e.plumb or e.drawn for e in into):
        return None
    breathing = [t for t in zone.work.traps.values() if t.takeoff == at]
    if any(t.method is not VentMethod.WET or t.wet for t in breathing) or len(breathing) > 1:
        return None
    return OwnWay(tag, drop.down, tuple(run), at, breathing[0].tag if breathing else "")


def _try(zone: DrainZone, way: OwnWay) -> None:
    before, was, length = zone.snapshot(), _rank(zone), _length(zone, way)
    size = zone.work.board.edges[way.run[0]].size_in
    _take_up(zone, way)
    start = zone.work.board.nodes[way.foot].xy
    if zone.to_tree(start) > NEAREST * length or not _laid(zone, way, size) or not _rank(zone) < was:
        zone.restore(before)


def _rank(zone: DrainZone) -> tuple[float, float, float]:
    """Return how much a drawing leaves undone and weighs, to compare two."""
    short, cost = zone.standing()
    return (short, float(len(zone.work.questions)), round(cost / LEAST_SAVED_MM))


def _take_up(zone: DrainZone, way: OwnWay) -> None:
    """Take a fixture's drain off the board and mend the drain it joined."""
    board, router = zone.work.board, zone.router
    for i in way.run:
        e = board.edges.pop(i)
        router.edge_layer.pop(i, None)
        if e.down != way.joint:
            board.nodes.pop(e.down, None)
    board.nodes[way.foot].z = None
    joint = board.nodes[way.joint]
    if joint.stack >= 0:
        board.stacks[joint.stack].nodes.remove(joint.id)
        board.nodes.pop(joint.id)
        return
    if way.airs:
        _breathes_no_more(zone, way.airs)
    up, low = board.into(joint.id)[0], board.out(joint.id)[0]
    if _straight(zone, up, low):
        _joined(zone, up, low)
    else:
        joint.kind = PointKind.TURN


def _breathes_no_more(zone: DrainZone, tag: str) -> None:
    trap = zone.work.traps[tag]
    for i in trap.arm:
        zone.work.board.edges[i].role = Role.BRANCH
    trap.closet_tail = list(dict.fromkeys([*trap.closet_tail, *trap.arm]))
    trap.arm, trap.takeoff, trap.method = [], 0, VentMethod.NONE


def _straight(zone: DrainZone, up: DEdge, low: DEdge) -> bool:
    nodes = zone.work.board.nodes
    a, m, b = nodes[up.up].xy, nodes[up.down].xy, nodes[low.down].xy
    across = (m[0] - a[0]) * (b[1] - a[1]) - (m[1] - a[1]) * (b[0] - a[0])
    return abs(across) <= math.dist(a, b) and abs(up.slope - low.slope) < 1e-9 and up.place == low.place


def _joined(zone: DrainZone, up: DEdge, low: DEdge) -> None:
    """Make one drain of two that a joint had parted, in the lists of the traps too."""
    zone.work.board.rejoin(up, low)
    zone.router.edge_layer.pop(low.id, None)
    for t in zone.work.traps.values():
        for ids in (t.arm, t.wet, t.closet_tail):
            if low.id in ids:
                ids[:] = [i for i in ids if i != low.id]


def _laid(zone: DrainZone, way: OwnWay, size: float) -> bool:
    """Lay a fixture's drain again from the foot of its drop; return whether it could be, and airs what it aired."""
    work = zone.work
    need, foot = work.needs[way.tag], work.board.nodes[way.foot]
    probe: TrapDraft | None = None
    if way.airs:
        aired = work.traps[way.airs]
        laid = work.board.out(aired.weir)[0].size_in
        probe = replace(aired, need=as_laid(zone, aired.need, laid), closet_tail=list(aired.closet_tail), arm=[])
    path, wet = path_from(zone, foot.xy, size, need, probe)
    if path is None or not path.steps or wet != (probe is not None) or path.target.ref.startswith("new"):
        return False
    path = with_stack(zone, path, size)
    _, joint = zone.router.draw(path, foot, size_in=size, slope=work.demands.slope(size), role=Role.BRANCH, tag=way.tag)
    if probe is not None:
        vent_wet(zone, probe, joint)
        trap = work.traps[way.airs]
        trap.arm, trap.takeoff, trap.method = probe.arm, probe.takeoff, VentMethod.WET
    return True
