"""Where a drain may end, and the way there from a drop or from a vent fitting.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.layout.adopt import point_targets
from stubout.layout.draft import DStack
from stubout.layout.drain_zone import DrainZone
from stubout.layout.jogs import near
from stubout.layout.lattice import Lattice
from stubout.layout.model import Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.route import JOG_MM, Ask, Path, Target
from stubout.layout.space_shapes import XY
from stubout.layout.vent_loops import LONG_MM, under_cabinet
from stubout.layout.weights import WEIGHTS
from stubout.layout.wet_vents import roomy, wet_edges, wet_places, wet_targets
from stubout.layout.work import THROUGH, TrapDraft, joint_key
from stubout.layout.zone_router import far_round
from stubout.layout.zone_stacks import side_inlets, stack_corners, stack_targets
from stubout.layout.zone_targets import joint_targets

FROM_ABOVE_MM = 1000.0  # what a drop into a drain weighs: two bends, and a trench or hangers at two heights
EASE_MM = 4.0  # more than two fittings face to face: the drain falls on from where it is measured


def tree_targets(zone: DrainZone, lat: Lattice, size_in: float, group: str = "") -> list[Target]:
    """Return every place where a drain of a size may join what this zone has drawn so far."""
    wet = wet_edges(zone, group)
    edges = [e for e in zone.edges() if e.role is not Role.TRAP_ARM and e.id not in wet]
    returns = _returns(zone)
    out = [
        t
        for t in joint_targets(zone.router, lat, edges, size_in=size_in)
        if t.ref not in returns or math.dist(t.xy, returns[t.ref]) >= LONG_MM
    ]
    out += point_targets(zone.work, zone.edges(), zone.router.edge_layer)
    if zone.lowest:
        out = [t for t in out if not _near_foot(zone, t)]
    else:
        out += stack_targets(zone, False, size_in)
    return out


def _returns(zone: DrainZone) -> dict[str, XY]:
    """Return where the drops of islands come down, by the reference of the drain that takes the return of the loop."""
    board = zone.work.board
    looped = (t for t in zone.work.traps.values() if t.method is VentMethod.LOOP and not t.drawn)
    first = (e for t in looped if (e := under_cabinet(board, t)) is not None)
    return {f"e{e.id}": board.nodes[e.up].xy for e in first}


def _near_foot(zone: DrainZone, t: Target) -> bool:
    """Return whether a place lies so near below the foot of a stack that nothing may join there."""
    return any(
        near(t.xy, s.xy, zone.foot_clear) and not near(t.xy, s.xy, 0.0)
        for s in zone.work.board.stacks
        if zone.work.board.nodes[s.foot].z is not None and t.z is not None and _downstream_of(zone, t, s)
    )


def _downstream_of(zone: DrainZone, t: Target, s: DStack) -> bool:
    """Return whether a place lies on the drain from the foot of a stack, within the distance to keep."""
    board = zone.work.board
    at = s.foot
    walked = 0.0
    for _ in range(50):
        outs = board.out(at)
        if not outs or walked > zone.foot_clear + 100.0:
            return False
        e = outs[0]
        if t.ref == f"e{e.id}":
            a = board.nodes[e.up].xy
            return walked + math.hypot(t.xy[0] - a[0], t.xy[1] - a[1]) < zone.foot_clear
        walked += board.plan(e)
        at = e.down
    return False


def _from_above(zone: DrainZone, targets: list[Target], size_in: float) -> list[Target]:
    """Return the same places for a branch that comes over the drain and drops plumb into a wye turned up."""
    out: list[Target] = []
    for t in targets:
        if t.z is None or not t.ref.startswith("e"):
            continue
        run_in = zone.work.board.edges[int(t.ref[1:])].size_in
        rise = zone.fits.joint(run_in, size_in, True, "branch") + zone.fits.quarter(size_in) + EASE_MM
        rooms = (zone.fits.quarter(size_in),) * 8
        ways = set(range(8)) - t.blocked  # a wye turned up takes the room of one square to the drain
        near_end = any(d in t.dear for d in ways if (d + 4) % 8 in ways)
        cost = t.cost + FROM_ABOVE_MM + (WEIGHTS.short_leg if near_end else 0.0)
        out.append(Target(t.xy, t.layer, t.z + rise, frozenset(), cost, t.ref, rooms, rise=rise))
    return out


def _searched(zone: DrainZone, limits: Ask, size_in: float, targets: list[Target], lat: Lattice) -> Path | None:
    """Return the cheapest way to any of the places; instead of a way far round one that drops into the drain."""
    g, slope = zone.work.gauge(size_in), zone.work.demands.slope(size_in)
    path = zone.router.search(limits, g, slope, targets, lat)
    if path is None and limits.most_cost < math.inf:
        return None  # dearer than another that is there: not worth a closer look
    if zone.lowest and (path is None or zone.anew or far_round(path, limits)):
        over = zone.router.search(limits, g, slope, _from_above(zone, targets, size_in), lat)
        if over is not None and (path is None or over.cost < path.cost):
            return over
    return path


def path_from(
    zone: DrainZone,
    xy: XY,
    size: float,
    need: Need,
    wet_closet: TrapDraft | None = None,
    start: tuple[str, ...] = (),
    vent_in: float = 0.0,
    stacks: bool = True,
    straight: int | None = None,
    most_cost: float = math.inf,
) -> tuple[Path | None, bool]:
    """Return the way on from the foot of a drop, or (with the size of its vent) from a vent fitting in the drain.

    With `straight` it leaves a vent fitting in that direction of flow. What costs more than `most_cost` is not looked
    for. What it joins is as large as the book asks for this fixture, and not where it was found to be bad. The second
    says whether the way vents the closet it was to vent.
    """
    work = zone.work
    start = start or zone.start_layers
    g = work.gauge(size)
    slope = work.demands.slope(size)
    lat = zone.router.lattice((xy, *stack_corners(zone, xy)), branch_in=size if zone.fine else 0.0)
    if wet_closet is not None:
        path = _wet_path(zone, xy, size, need, wet_closet, start)
        if path is not None:
            return path, True
    if zone.lowest and not zone.edges() and zone.first_target is not None:
        g = work.gauge(work.trunk_in)
        return zone.router.search(
            Ask(xy, start, None, **zone.bends(g.size_in)),
            g,
            work.trunk_slope,
            [zone.first_target],
            lat,
        ), False
    targets = [t for t in fit_targets(zone, lat, size, need) if stacks or not t.ref.startswith("s")]
    limits = Ask(xy, start, None, most_cost=most_cost, jog=JOG_MM, turn_free=zone.turn_free, **zone.bends(g.size_in))
    if vent_in:
        limits = _from_vent_fitting(zone, limits, size, vent_in)
    if straight is not None:
        limits = replace(limits, arrive=(straight + 4) % 8)
        return zone.router.search(limits, g, slope, targets, lat), False
    path = _searched(zone, limits, size, targets, lat)
    if path is None and stacks and not zone.lowest:  # a stack of its own only where none that stands can be reached
        fresh = [t for t in let_through(zone, need, stack_targets(zone, True, size)) if t.ref.startswith("new")]
        path = zone.router.search(limits, g, slope, fresh, lat)
    return path, False


def _wet_path(
    zone: DrainZone, xy: XY, size: float, need: Need, closet: TrapDraft, start: tuple[str, ...]
) -> Path | None:
    """Return the way onto a fixture's own drain, near enough to vent it; looked for closely when it is laid anew."""
    limits = Ask(xy, start, None, turn_free=zone.turn_free, **zone.bends(size))
    corners, branch_in = stack_corners(zone, xy), size if zone.fine else 0.0
    best: Path | None = None
    for places in ((), wet_places(zone, closet)):
        if places and best is not None and not zone.anew:
            break
        lat = zone.router.lattice((xy, *corners, *places), branch_in=branch_in)
        targets = let_through(zone, need, wet_targets(zone, lat, closet, size))
        if places and not zone.anew:
            targets = roomy(targets)
        path = _searched(zone, limits, size, targets, lat) if targets else None
        if path is not None and (best is None or path.cost < best.cost):
            best = path
    return best


def fit_targets(zone: DrainZone, lat: Lattice, size_in: float, need: Need) -> list[Target]:
    """Return the places where a fixture's drain may join: large enough by the book, and not found to be bad."""
    tag = need.fixture.tag
    return [
        t
        for t in let_through(zone, need, tree_targets(zone, lat, size_in, need.fixture.group))
        if _size_of(zone, t) >= need.joins_in and (tag, joint_key(t.xy)) not in zone.work.bans
    ]


def let_through(zone: DrainZone, need: Need, targets: list[Target]) -> list[Target]:
    """Return places to join without those in walls below the floor, where a fixture's drain is not to go on there."""
    if (need.fixture.tag, THROUGH) not in zone.work.bans:
        return targets
    return [t for t in targets if zone.router.layers[t.layer].kind != "walls"]


def _size_of(zone: DrainZone, t: Target) -> float:
    """Return the size of the drain or stack at a place to join; infinite at a point drawn by hand."""
    board = zone.work.board
    if t.ref.startswith("e"):
        return board.edges[int(t.ref[1:])].size_in
    return board.stacks[int(t.ref[1:])].size_in if t.ref.startswith("s") else math.inf


def path_square(
    zone: DrainZone, xy: XY, size: float, need: Need, start: tuple[str, ...] = (), vent_in: float = 0.0
) -> Path | None:
    """Return the way from a place into a side inlet, square to the one drain that enters a stack there.

    From the foot of a drop or (with the size of its vent) from a vent fitting in the drain.
    """
    targets, turns = side_inlets(zone, size)
    lat = zone.router.lattice((xy, *turns))
    start = start or zone.start_layers
    limits = Ask(xy, start, None, jog=JOG_MM, turn_free=zone.turn_free, **zone.bends(size))
    if vent_in:
        limits = _from_vent_fitting(zone, limits, size, vent_in)
    slope = zone.work.demands.slope(size)
    return zone.router.search(limits, zone.work.gauge(size), slope, let_through(zone, need, targets), lat)


def _from_vent_fitting(zone: DrainZone, limits: Ask, size: float, vent_in: float) -> Ask:
    """Return what is looked for where a way begins at a vent fitting: its own outlet, and nothing in it turns."""
    room = zone.fits.room("combination", (size, size, min(size, vent_in)), "outlet")
    return replace(limits, half_start=room, swivel=False)
