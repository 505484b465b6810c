"""The building drain of the lowest zone, with the stacks and closets it is drawn from.

Lengths [mm], slopes [m/m], sizes in nominal inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.model import HouseFixture
from stubout.layout.closets import closet_start_cap
from stubout.layout.draft import DNode, DStack
from stubout.layout.drain_targets import tree_targets
from stubout.layout.drain_zone import MOST_STEPS, DrainZone
from stubout.layout.jogs import manhattan
from stubout.layout.lattice import DIRECTIONS, Lattice
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.route import Ask, Path, Target
from stubout.layout.space_shapes import XY
from stubout.layout.work import TrapDraft, joint_key

MOST_OUTSIDE_MM = 60_000  # a connection farther off is not looked for along its own line
STACK_IN = 3.0  # of a stack that takes closets
STRAIGHT_STEPS = 2  # a drain from the foot of a stack with more legs is tried farther down as well
LANES_MM = (300.0, 600.0, 1000.0)  # so far beside the foot it may run
RISE_INSIDE_MM = (450.0, 700.0, 1000.0, 1500.0)  # so far inside the house its drain may rise


def draw_trunk(zone: DrainZone, closets: Sequence[HouseFixture]) -> None:
    """Draw the building drain of the lowest zone: the farthest stacks and closets first, the rest onto it."""
    work = zone.work
    board = work.board
    sewer = work.house.sewer
    g = work.gauge(work.trunk_in)
    z_root = sewer.at.z + g.id_mm / 2 + sewer.valve_drop_mm
    root = board.node((sewer.at.x, sewer.at.y), PointKind.SEWER, z_root)
    root.fixed = True
    if work.adopted is not None and work.adopted.root:
        root = board.nodes[work.adopted.root]
    flow = {"south": 6, "north": 2, "west": 4, "east": 0}[sewer.runs]
    up = (flow + 4) % 8
    blocked = frozenset(k for k in range(8) if min(abs(k - up), 8 - abs(k - up)) > 1)
    layer = work.space.lowest_layer
    rooms = (zone.fits.room("coupling", (g.size_in, g.size_in), "inlet"),) * 8
    first = Target(root.xy, layer.key, z_root, blocked, 0.0, f"n{root.id}", rooms)
    if work.lift_mm and not (work.adopted is not None and work.adopted.root):
        first = _risen(zone, root, first, up)
    zone.trunk_target = first
    sources: list[tuple[float, str, XY, DStack | HouseFixture]] = []
    sources += [(-10_000.0 - manhattan(s.xy, root.xy), "", s.xy, s) for s in board.stacks if not s.drawn]
    sources += [(-manhattan(work.xy(f), root.xy), f.tag, work.xy(f), f) for f in closets if f.tag not in work.traps]
    if not sources:
        far = list(work.of_level(zone.level))
        far.sort(key=lambda f: -manhattan(work.xy(f), root.xy))
        zone.first_target = first
        return
    sources.sort(key=lambda s: (s[0], s[1]), reverse=work.order.near_first)
    zone.first_target = None
    for _, tag, xy, what in sources:
        lat = zone.router.lattice((xy,), branch_in=STACK_IN if work.order.short else 0.0)
        targets = [first] if first.ref and not zone.edges() else tree_targets(zone, lat, g.size_in)
        is_first = not zone.edges()
        if isinstance(what, DStack):
            _grow(what, _stack_size(zone, what))
            size = work.trunk_in if is_first else what.size_in
            slope = work.trunk_slope if is_first else max(work.trunk_slope, work.demands.slope(size))
            clear = zone.foot_clear
            path = None
            for least in dict.fromkeys((clear, 0.0)):
                limits = Ask(xy, (layer.key,), None, least_length=least, **zone.bends(size))
                path = path or zone.router.search(limits, work.gauge(size), slope, targets, lat)
                if path is not None and least > 0.0 and _winds(path):  # rather straight to a joint farther down
                    wide = zone.router.lattice((xy, *_lanes(zone, xy)), branch_in=STACK_IN if work.order.short else 0.0)
                    joints = [first] if is_first else tree_targets(zone, wide, g.size_in)
                    other = zone.router.search(limits, work.gauge(size), slope, joints, wide)
                    path = other if other is not None and other.cost < path.cost else path
            for least in dict.fromkeys((clear, 0.0)):
                limits = Ask(xy, (layer.key,), None, least_length=least, **zone.bends(size))
                path = path or _past_what_stands(zone, limits, size, slope, is_first, tag)
            if path is None:
                at = units.on_plan(*xy, work.house.job.units)
                work.block(
                    (tag or "stack",),
                    f"no way with fall for the building drain from the stack at {at} on the plan to the sewer",
                    "more fall, another stack place, or a flatter slope the book allows",
                )
                continue
            foot = board.nodes[what.foot]
            zone.router.draw(
                path,
                foot,
                size_in=size,
                slope=slope,
                role=Role.BUILDING_DRAIN if is_first else Role.BRANCH,
            )
            foot.kind = PointKind.STACK_FOOT
        else:
            closet_to_drain(zone, what, lat, targets, is_first)
    _open_inside(zone)


def _open_inside(zone: DrainZone) -> None:
    """Part the drain that leaves over a basement at the outline of the house: it is open inside, buried outside."""
    work, board, below = zone.work, zone.work.board, zone.work.space.undrained
    if below is None:
        return
    for e in [board.edges[i] for i in sorted(zone.router.edge_layer) if i in board.edges]:
        a, b = board.nodes[e.up].xy, board.nodes[e.down].xy
        if e.place.kind != "buried" or e.drawn or not work.space.inside(a) or work.space.inside(b):
            continue
        layer, at = zone.router.edge_layer[e.id], work.house.leaves(Vec(*a), Vec(*b))
        joint = board.split(e, (at.x, at.y), PointKind.TURN)
        zone.router.edge_layer[board.out(joint.id)[0].id] = layer
        e.place = Place("room", below.id)


def _past_what_stands(zone: DrainZone, limits: Ask, size: float, slope: float, first: bool, tag: str) -> Path | None:
    """Return the way past drops that stand in the way: by lanes beside it, to any drain wherever it lies.

    Args:
        zone: The lowest zone.
        limits: What is looked for.
        size: Size of the drain [in].
        slope: Its slope.
        first: Whether it is the building drain itself.
        tag: Whose drain it is, "" for that of a stack.
    """
    board, work = zone.work.board, zone.work
    ends = {board.nodes[n].xy for e in zone.edges() if not e.plumb for n in (e.up, e.down)}
    places = (limits.xy, *_lanes(zone, limits.xy), *sorted(ends))
    lat = zone.router.lattice(places, branch_in=size if work.order.short else 0.0)
    if first:
        targets = [] if zone.trunk_target is None else [zone.trunk_target]
    else:
        targets = [t for t in tree_targets(zone, lat, size) if (tag, joint_key(t.xy)) not in work.bans]
    return zone.router.search(limits, work.gauge(size), slope, targets, lat) if targets else None


def _winds(path: Path) -> bool:
    """Return whether a path turns more often than it would have to."""
    return len(path.steps) > STRAIGHT_STEPS


def _lanes(zone: DrainZone, xy: XY) -> list[XY]:
    """Return places beside the foot of a stack whose lines its drain may take, and where these meet leaning drains."""
    out: list[XY] = []
    for mm in LANES_MM:
        for by in (mm, -mm):
            out.append((xy[0] + by, xy[1] + by))
            for e in zone.edges():
                a, b = zone.work.board.nodes[e.up].xy, zone.work.board.nodes[e.down].xy
                out += _met(a, b, xy[0] + by) + [(x, y) for y, x in _met(a[::-1], b[::-1], xy[1] + by)]
    return out


def _met(a: XY, b: XY, x: float) -> list[XY]:
    """Return where a leaning line meets the line across at a coordinate, if it does."""
    if min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1.0 or not min(a[0], b[0]) < x < max(a[0], b[0]):
        return []
    return [(x, a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]))]


def _grow(stack: DStack, size_in: float) -> None:
    """Make a stack as large as what drains into it wants; above that it stays as it was where no larger vent can rise.

    The wall that it was placed in was asked for the room of the smaller pipe only.
    """
    if stack.vent_in < size_in:
        stack.top_in = stack.size_in
    stack.size_in = size_in


def _stack_size(zone: DrainZone, stack: DStack) -> float:
    """Return the size of a stack and its drain: by what drains into it; closets want 3 in at least."""
    work, board = zone.work, zone.work.board
    load, closet = 0.0, False
    for t in work.traps.values():
        at = t.weir
        for _ in range(MOST_STEPS):
            nxt = next(iter(board.out(at)), None)
            if board.nodes[at].stack >= 0 or nxt is None:
                break
            at = nxt.down
        if at in stack.nodes:
            load, closet = load + t.need.load, closet or t.need.closet
    return max(stack.size_in, STACK_IN if closet else min(STACK_IN, work.demands.branch_for(load, stack.size_in)))


def _risen(zone: DrainZone, root: DNode, first: Target, up: int) -> Target:
    """Let the building drain rise before it goes on: the connection lies so deep that traps would sink with it.

    It comes in at the depth of the connection and rises just inside the house; at the connection itself only where
    nothing else can be.
    """
    work, board = zone.work, zone.work.board
    layer, g = work.space.lowest_layer, work.gauge(work.trunk_in)
    rooms = (zone.fits.quarter(g.size_in),) * 8
    below = work.space.undrained
    open_room = None if below is None else Place("room", below.id)
    ux, uy = DIRECTIONS[up]

    def on(t: float) -> XY:
        return (root.xy[0] + ux * t, root.xy[1] + uy * t)

    way_in = next((t for t in range(0, MOST_OUTSIDE_MM, 50) if work.space.inside(on(t))), 0)
    for xy in (on(way_in + inside) for inside in RISE_INSIDE_MM):
        if not way_in or not work.space.inside(xy):
            continue
        lat = zone.router.lattice((xy,))
        limits = Ask(xy, (layer.key,), None, **zone.bends(g.size_in))
        path = zone.router.search(limits, g, work.trunk_slope, [first], lat)
        if path is None or path.steps[0].place is None:
            continue
        foot = board.node(xy, PointKind.TURN)
        edges, _ = zone.router.draw(path, foot, size_in=work.trunk_in, slope=work.trunk_slope, role=Role.BUILDING_DRAIN)
        for e in edges:
            e.apart = True  # whatever drains joins above the riser
        if foot.z is None:
            continue
        foot.fixed = True
        return _riser(zone, foot, work.lift_mm, path.steps[0].place if open_room is None else open_room, rooms)
    at_root = open_room if open_room is not None and work.space.inside(root.xy) else Place("buried", zone.level.id)
    return _riser(zone, root, work.lift_mm, at_root, rooms, first.blocked)


def _riser(
    zone: DrainZone,
    foot: DNode,
    lift: float,
    place: Place,
    rooms: tuple[float, ...],
    blocked: frozenset[int] = frozenset(),
) -> Target:
    """Draw the plumb piece of a building drain that rises; return its upper end as what all else drains to."""
    board = zone.work.board
    top = board.node(foot.xy, PointKind.TURN, (foot.z or 0.0) + lift)
    top.fixed = True
    board.edge(top, foot, "drain", Role.BUILDING_DRAIN, place, zone.work.trunk_in, plumb=True)
    return Target(top.xy, zone.work.space.lowest_layer.key, top.z, blocked, 0.0, f"n{top.id}", rooms)


def closet_to_drain(zone: DrainZone, f: HouseFixture, lat: Lattice, targets: list[Target], is_first: bool) -> None:
    """Draw a closet's drain onto the tree; the first of the zone is the building drain itself."""
    work, board = zone.work, zone.work.board
    need = work.needs[f.tag]
    xy = work.xy(f)
    size = work.trunk_in if is_first else need.arm_in
    g = work.gauge(size)
    slope = work.trunk_slope if is_first else max(work.demands.slope(size), work.trunk_slope if size >= 3 else 0)
    cap = closet_start_cap(work, f)
    targets = [t for t in targets if (f.tag, joint_key(t.xy)) not in work.bans]
    low = Ask(xy, zone.start_layers, cap, **zone.bends(g.size_in, zone.fits.closet(g.size_in)))
    near = replace(low, z_floor=need.z_floor)  # a vent of its own reaches it, if the book wants it near the flange
    asks = (low,) if near == low else (near, low)
    found = (zone.router.search(ask, g, slope, targets, lat) for ask in asks)
    path = next((path for path in found if path is not None), None)
    if path is None:
        path = _past_what_stands(zone, low, size, slope, is_first, f.tag)
    if path is None:
        work.block(
            (f.tag,),
            f"no way with fall from {f.tag} to the building drain in {size:g} in at {slope * 100:.2f} %",
            "move the closet, lower the connection, or allow a flatter slope",
        )
        return
    weir = board.node(xy, PointKind.FLANGE, None, f.tag)
    weir.cap = cap
    edges, _ = zone.router.draw(
        path, weir, size_in=size, slope=slope, role=Role.BUILDING_DRAIN if is_first else Role.BRANCH, tag=f.tag
    )
    trap = TrapDraft(need, weir.id, 0, begins_z=path.steps[0].z_a if path.steps else None)
    trap.closet_tail = [e.id for e in edges]
    work.traps[f.tag] = trap


def late_closet(zone: DrainZone, f: HouseFixture) -> None:
    """Draw a closet that has no drain yet onto what is there."""
    lat = zone.router.lattice()
    closet_to_drain(zone, f, lat, tree_targets(zone, lat, zone.work.needs[f.tag].arm_in), False)
