"""Where a branch may join the drains of a floor zone, and how near to their ends its fitting goes. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from stubout.layout.draft import DEdge, DNode
from stubout.layout.lattice import Lattice, direction_index, turn_between
from stubout.layout.model import PointKind
from stubout.layout.route import Target
from stubout.layout.space_shapes import XY
from stubout.layout.traffic import Lying, Traffic
from stubout.layout.weights import WEIGHTS, least_leg_mm
from stubout.layout.zone_pipes import ZonePipes

LEAST_TIE_IN_MM = 60.0  # so far from the end of a vent another is still tried


def joint_targets(
    zone: ZonePipes,
    lat: Lattice,
    edges: Iterable[DEdge],
    *,
    size_in: float = 0.0,
    apart: Callable[[float], float] | None = None,
) -> list[Target]:
    """Return every lattice point on the given horizontal pipes where a branch may join.

    Args:
        zone: The pipes of the zone.
        lat: The lattice.
        edges: The pipes.
        size_in: Size of the branch.
        apart: For vents: how far from its ends a joint on a pipe of a size should be [mm]; nearer ones are dear.
    """
    out: list[Target] = []
    for e in edges:
        layer = zone.edge_layer.get(e.id)
        if layer is None or e.plumb:
            continue
        a, b = zone.board.nodes[e.up], zone.board.nodes[e.down]
        k = direction_index(b.xy[0] - a.xy[0], b.xy[1] - a.xy[1])
        if k is None:
            continue
        total = zone.board.plan(e)
        if size_in > e.size_in and not _may_grow(zone, e, size_in):
            continue
        rooms, dear_at = _rooms(zone, e, size_in or e.size_in, k)
        near = LEAST_TIE_IN_MM if apart else least_leg_mm(e.size_in)
        room = apart(e.size_in) if apart else 0.0
        # a branch flows with the drain: its upstream direction is across it or at 45 degrees against its flow
        allowed = {(k + d) % 8 for d in (2, 3, -2, -3)}
        blocked = frozenset(set(range(8)) - allowed)
        for p in _points_on(lat, a.xy, b.xy):
            t = math.hypot(p[0] - a.xy[0], p[1] - a.xy[1])
            if t < near or total - t < near:
                continue
            z = None
            if a.z is not None and b.z is not None:
                z = a.z + (b.z - a.z) * t / total
            dear = frozenset() if apart else dear_at(t, total - t)
            cost = WEIGHTS.short_leg if min(t, total - t) < room else 0.0
            out.append(Target(p, layer, z, blocked, cost, f"e{e.id}", rooms, dear))
    return out


def node_targets(zone: ZonePipes, edges: Iterable[DEdge], root: int) -> list[Target]:
    """Return the turns of the given runs where another may join across."""
    out: list[Target] = []
    for e in edges:
        n = zone.board.nodes[e.down]
        layer = zone.edge_layer.get(e.id)
        if n.id == root or layer is None:
            continue
        busy = [d for d in zone.board.edges.values() if not d.plumb and n.id in (d.up, d.down)]
        if len(busy) > 2:
            continue
        blocked: set[int] = set()
        for d in busy:
            other = zone.board.nodes[d.up if d.down == n.id else d.down]
            k = direction_index(other.xy[0] - n.xy[0], other.xy[1] - n.xy[1])
            if k is not None:
                blocked |= {k, (k + 1) % 8, (k - 1) % 8}
        out.append(Target(n.xy, layer, None, frozenset(blocked), 100.0, f"n{n.id}"))
    return out


def root_target(zone: ZonePipes, root: DNode, layer: str) -> list[Target]:
    """Return the foot of a vent's way out as a target: one run turns up there; two that face each other are dear."""
    ways = [
        direction_index(zone.board.nodes[e.up].xy[0] - root.xy[0], zone.board.nodes[e.up].xy[1] - root.xy[1])
        for e in zone.board.into(root.id, "vent")
    ]
    if len(ways) > 1 or None in ways:
        return []
    blocked = frozenset(k for k in range(8) if ways and k != ((ways[0] or 0) + 4) % 8)
    return [Target(root.xy, layer, None, blocked, WEIGHTS.short_leg * len(ways), f"n{root.id}")]


def _may_grow(zone: ZonePipes, e: DEdge, size_in: float) -> bool:
    """Return whether a drain and what it flows into have room to be as large as a branch that would join."""
    board, g = zone.board, zone.gauges[size_in]
    at: DEdge | None = e
    while at is not None and at.size_in < size_in:
        if at.drawn:
            return False
        layer = zone.edge_layer.get(at.id)
        a, b = board.nodes[at.up], board.nodes[at.down]
        if layer is not None:
            if zone.space.leg(zone.layers[layer], a.xy, b.xy, g) is None:
                return False
            apart = {at.up, at.down}
            others = [
                Lying(board.nodes[d.up].xy, board.nodes[d.down].xy, board.nodes[d.up].z, board.nodes[d.down].z,
                      zone.gauges[d.size_in].r)
                for i, k in zone.edge_layer.items()
                if k == layer and (d := board.edges.get(i)) is not None and not apart & {d.up, d.down}
            ]  # fmt: skip
            strict = zone.layers[layer].kind in ("bay", "attic")
            posts = [p for p in zone.posts() if min(math.dist(p.xy, a.xy), math.dist(p.xy, b.xy)) > 2.0]
            if Traffic(others, g.r, posts, strict).cost(a.xy, b.xy, a.z, b.z, None) is None:
                return False
        at = next(iter(board.out(at.down, zone.system)), None)
    return True


def _rooms(
    zone: ZonePipes, e: DEdge, size_in: float, k: int
) -> tuple[tuple[float, ...], Callable[[float, float], frozenset[int]]]:
    """Return the room a joint on a drain takes of its branch in each direction, and where on it which is too near.

    The second takes the distances from the drain's upper and lower end and returns the directions to avoid.
    """
    fits = zone.board.fits
    up, down = end_room(zone, e, False), end_room(zone, e, True)
    by_turn = {
        square: [fits.joint(e.size_in, size_in, square, port) for port in ("branch", "inlet", "outlet")]
        for square in (True, False)
    }
    rooms = tuple(by_turn[turn_between(j, k) == 2][0] for j in range(8))
    squares = frozenset({(k + 2) % 8, (k - 2) % 8})
    wyes = frozenset({(k + 3) % 8, (k - 3) % 8})

    def dear(above: float, below: float) -> frozenset[int]:
        out: frozenset[int] = frozenset()
        for square, ways in ((True, squares), (False, wyes)):
            _, inlet, outlet = by_turn[square]
            if above < up + inlet - 0.5 or below < down + outlet - 0.5:
                out |= ways
        return out

    return rooms, dear


def end_room(zone: ZonePipes, e: DEdge, at_down: bool) -> float:
    """Return the room that the fitting at one end of a level drain takes of it [mm]."""
    board, fits, size = zone.board, zone.board.fits, e.size_in
    n = board.nodes[e.down if at_down else e.up]
    if n.stack >= 0:
        return fits.tee(board.stacks[n.stack].size_in, size)
    if n.kind is PointKind.SEWER:
        return fits.room("coupling", (size, size), "inlet")
    meets = [d for d in (*board.into(n.id), *board.out(n.id)) if d.id != e.id]
    if n.kind is PointKind.FLANGE:
        return fits.closet(size)
    if not meets:
        return fits.trap(size)
    level = [d for d in meets if not d.plumb]
    if len(meets) > len(level):  # a drop or a stack comes down here, or the drain drops here
        return fits.quarter(size) if at_down and not level else fits.sweep(size)
    if n.kind is PointKind.TAKEOFF:
        return fits.room("combination", (size, size, min(size, 2.0)), "inlet" if at_down else "outlet")
    if len(level) == 1:
        return fits.bend(size, min(2, _turn(zone, e, level[0], n)))
    run = max(d.size_in for d in (e, *level))
    least = min(d.size_in for d in (e, *level))
    turns = [_turn(zone, e, d, n) for d in level]
    if at_down and 0 not in turns:  # it is the branch itself
        return fits.joint(run, size, 2 in turns, "branch")
    return fits.joint(run, least, 2 in turns, "inlet" if at_down else "outlet")


def _turn(zone: ZonePipes, e: DEdge, other: DEdge, n: DNode) -> int:
    """Return the turn between two drains that meet at a node in steps of 45 degrees."""
    ways: list[int] = []
    for d in (e, other):
        far = zone.board.nodes[d.up if d.down == n.id else d.down]
        k = direction_index(far.xy[0] - n.xy[0], far.xy[1] - n.xy[1])
        if k is None:
            return 1
        ways.append(k)
    return 4 - turn_between(*ways)


def _points_on(lat: Lattice, a: XY, b: XY) -> list[XY]:
    x0, x1 = min(a[0], b[0]) - 0.3, max(a[0], b[0]) + 0.3
    y0, y1 = min(a[1], b[1]) - 0.3, max(a[1], b[1]) + 0.3
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    out = []
    for x in lat.xs:
        if not x0 <= x <= x1:
            continue
        for y in lat.ys:
            if y0 <= y <= y1:
                off = abs((x - a[0]) * (b[1] - a[1]) - (y - a[1]) * (b[0] - a[0])) / length
                if off < 0.5:
                    out.append((x, y))
    return out
