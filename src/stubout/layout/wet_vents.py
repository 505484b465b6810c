"""Wet vents: what drains through them, their size, where they may be joined. Lengths [mm], sizes in nominal inches."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.draft import DEdge, DNode
from stubout.layout.drain_zone import MOST_STEPS, DrainZone
from stubout.layout.lattice import Lattice
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.route import Target
from stubout.layout.space_shapes import XY
from stubout.layout.work import TrapDraft
from stubout.layout.zone_targets import joint_targets
from stubout.rulebooks import queries as ask

WET_STEP_MM = 300.0  # between places on a drain where a wet vent is tried
MOST_WET_IN = 2.0  # a bath whose wet vent needs more is vented another way: nobody runs a lavatory in 3 in


def wet_size(zone: DrainZone, members: Sequence[HouseFixture], closets: int = 0) -> float:
    """Return the size of a wet vent that what these fixtures discharge runs through, nominal inches.

    Args:
        zone: The floor zone.
        members: What drains through it; closets among them do not count.
        closets: Closets that breathe through it: some books have a column of their own for them.
    """
    load = sum(zone.work.needs[f.tag].load for f in members if f.kind is not FixtureKind.WATER_CLOSET)
    try:
        return ask.wet_vent_size(zone.work.book, load=load, closets=closets, other_load=load).number
    except LookupError:
        return 2.0


def widen_wet_vents(zone: DrainZone) -> None:
    """Make every wet vent as large as what drains through it now asks: something may have joined it later."""
    board, traps, through = zone.work.board, zone.work.traps.values(), _through(zone)
    wet = [t for t in traps if t.method is VentMethod.WET and t.need.fixture.level_id == zone.level.id]
    for own in traps:
        if own.method is not VentMethod.INDIVIDUAL or own.takeoff not in board.nodes:
            continue
        run = list(_down_from(zone, own.takeoff))
        for t in wet:
            last = next((i for i, e in enumerate(run) if e.down == t.takeoff), -1)
            for e in run[: last + 1]:
                if not (e.drawn or e.plumb):
                    size = wet_size(zone, [n.fixture for n in through.get(e.id, ())], closets=int(t.need.closet))
                    e.size_in = max(e.size_in, size)


def narrow_dry_drains(zone: DrainZone) -> None:
    """Make drains that were laid for a wet vent, and vent nothing after all, as small as what drains through them asks.

    From the vent fitting, or from where the last that it vents joins, to the next stack or building drain.
    """
    work = zone.work
    board, traps, through = work.board, work.traps.values(), _through(zone)
    wet = {t.takeoff for t in traps if t.method is VentMethod.WET}
    feet = {s.foot for s in board.stacks}  # what comes down a stack is not on the board yet
    for own in traps:
        if own.need.fixture.level_id != zone.level.id or own.takeoff not in board.nodes or own.drawn:
            continue
        if own.method not in (VentMethod.INDIVIDUAL, VentMethod.COMMON):
            continue
        run = list(_down_from(zone, own.takeoff))
        for e in run[max((i + 1 for i, e in enumerate(run) if e.down in wet), default=0) :]:
            if e.drawn or e.role not in (Role.DRAIN, Role.BRANCH) or e.up in feet:
                break
            needs = through[e.id]
            others = max((n.joins_in for n in needs), default=0.0) if len(needs) > 1 else 0.0
            own_in = max(n.branch_in for n in needs)
            size = max(work.demands.branch_for(sum(n.load for n in needs), own_in), others)
            size = max(size, *(v.size_in for v in board.into(e.up)))
            if size < e.size_in and (e.plumb or work.demands.slope(size) <= e.slope):
                e.size_in = size


def _through(zone: DrainZone) -> dict[int, list[Need]]:
    """Return the needs of all that drains through each edge, down to the stack or the sewer."""
    out: dict[int, list[Need]] = {}
    for t in zone.work.traps.values():
        for e in _down_from(zone, t.weir):
            out.setdefault(e.id, []).append(t.need)
    return out


def _down_from(zone: DrainZone, node: int) -> Iterator[DEdge]:
    """Yield the drains from a point on, in flow order."""
    for _ in range(MOST_STEPS):
        e = next(iter(zone.work.board.out(node)), None)
        if e is None:
            return
        yield e
        node = e.down


def wet_edges(zone: DrainZone, group: str) -> set[int]:
    """Return the drains that vent another bath: nothing from outside that bath may join them."""
    out: set[int] = set()
    traps = zone.work.traps.values()
    ends = {t.takeoff for t in traps if t.method is VentMethod.WET}
    for t in traps:
        if t.method is not VentMethod.INDIVIDUAL or t.need.fixture.group in ("", group):
            continue
        run = list(_down_from(zone, t.takeoff))
        last = max((i + 1 for i, e in enumerate(run) if e.down in ends), default=0)
        out |= {e.id for e in run[:last]}
    return out


def wet_places(zone: DrainZone, closet: TrapDraft) -> list[XY]:
    """Return places every foot on a fixture's own drain, as far as what joins there may vent it."""
    return places_on(((a, b) for _, a, b in _own_drain(zone, closet)), zone.work.arm_left(closet))


def places_on(pipes: Iterable[tuple[XY, XY]], reach: float = math.inf) -> list[XY]:
    """Return places every foot on pipes that follow each other, so far from the first one's upper end at the most."""
    out: list[XY] = []
    walked = 0.0
    for a, b in pipes:
        length = math.dist(a, b)
        for i in range(1, int(length / WET_STEP_MM) + 1):
            t = i * WET_STEP_MM / length
            if walked + i * WET_STEP_MM <= reach and t < 1.0:
                out.append((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))
        walked += length
    return out


def wet_targets(zone: DrainZone, lat: Lattice, closet: TrapDraft, size_in: float) -> list[Target]:
    """Return the places on a closet's own drain near enough to its flange to vent it."""
    out: list[Target] = []
    walked, reach = 0.0, zone.work.arm_left(closet)
    for e, a, _ in _own_drain(zone, closet):
        joints = joint_targets(zone.router, lat, [e], size_in=size_in)
        out += [t for t in joints if walked + math.dist(t.xy, a) <= reach]
        walked += zone.work.board.plan(e)
    return out


def roomy(targets: Iterable[Target]) -> list[Target]:
    """Return places to join without the directions in which a fitting there has too little room."""
    return [t._replace(blocked=t.blocked | t.dear) for t in targets]


def _own_drain(zone: DrainZone, closet: TrapDraft) -> Iterator[tuple[DEdge, XY, XY]]:
    """Yield a fixture's own drain as far as it may be vented through what joins it: pipes with their ends, in flow."""
    board = zone.work.board
    walked, at = 0.0, closet.weir
    for _ in range(MOST_STEPS):
        e = next((e for e in board.out(at) if e.role is not Role.VENT), None)
        if e is None or e.id not in zone.router.edge_layer or e.tag != closet.tag:
            return
        yield e, board.nodes[e.up].xy, board.nodes[e.down].xy
        walked += board.plan(e)
        at = e.down
        if walked > zone.work.arm_left(closet) or len(board.into(at)) > 1:
            return


def vent_wet(zone: DrainZone, closet: TrapDraft, joint: DNode) -> None:
    """Name the closet's drain down to a joint its arm, vented through what joins there."""
    board = zone.work.board
    at, arm = closet.weir, []
    while at != joint.id:
        e = board.out(at)[0]
        arm.append(e.id)
        e.role = Role.TRAP_ARM
        at = e.down
    closet.arm, closet.takeoff, closet.method = arm, joint.id, VentMethod.WET
    joint.kind = PointKind.TAKEOFF


def spine_of(zone: DrainZone, lav: HouseFixture) -> list[int]:
    """Return the drains of a lavatory below its vent as far as they are its own, in flow order."""
    board = zone.work.board
    trap = zone.work.traps.get(lav.tag)
    edges: list[int] = []
    at = trap.takeoff if trap is not None and trap.method is VentMethod.INDIVIDUAL else 0
    while at and len(edges) < MOST_STEPS:
        out = next((e for e in board.out(at) if e.tag == lav.tag), None)
        if out is None:
            break
        edges.append(out.id)
        at = out.down
    return edges


def collected_size(zone: DrainZone, lav: HouseFixture, spine: Sequence[int], f: HouseFixture, at: Target) -> float:
    """Return the size of the wet vent if a fixture joins a lavatory's drain at a place, by what then drains there.

    The fixture farthest down stream counts or not, as the book has it.
    """
    board = zone.work.board
    joins = {t.takeoff: t.need.fixture for t in zone.work.traps.values() if t.method is VentMethod.WET}
    order: list[tuple[float, HouseFixture]] = []
    walked = 0.0
    for i in spine:
        e = board.edges[i]
        if at.ref == f"e{i}":
            a = board.nodes[e.up].xy
            order.append((walked + math.hypot(at.xy[0] - a[0], at.xy[1] - a[1]), f))
        walked += board.plan(e)
        if e.down in joins:
            order.append((walked, joins[e.down]))
    order.sort(key=lambda o: o[0])
    last = zone.work.book.find("wet_vent.last_left_out")
    if last is not None and last.value is True:
        order = order[:-1]
    return wet_size(zone, (lav, *(o for _, o in order)))
