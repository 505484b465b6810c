"""Vents in an attic: which of them go out together, how they are gathered, and at what heights. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stubout.layout.draft import Board, DEdge, DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.roof import AtticEnd, Roof
from stubout.layout.route import Ask, Target
from stubout.layout.space_shapes import XY
from stubout.layout.vent_upward import VENT_SLOPE
from stubout.layout.vent_ways import VentWays
from stubout.layout.zone_router import ZoneRouter
from stubout.layout.zone_targets import joint_targets, node_targets


def attic_ends(ways: VentWays, level_id: str) -> list[AtticEnd]:
    """Return the vents that have come up into the attic over a level."""
    board, roof = ways.work.board, ways.roof
    return [AtticEnd(n, s, _left(board, roof, n), _bored(board, n)) for n, s in ways.attic_ends[level_id]]


def _left(board: Board, roof: Roof, node: DNode) -> float:
    """Return how far the vents that come up at a node may yet run level before one of them has to grow [mm]."""
    left = math.inf
    for e in board.into(node.id, "vent"):
        most = min(_left(board, roof, board.nodes[e.up]), roof.most_flat(e.size_in))
        left = min(left, most - board.plan(e))
    return left


def _bored(board: Board, node: DNode) -> bool:
    """Return whether the vent that comes up at a node has run level in a wall."""
    return any(
        (not e.plumb and e.place.kind == "wall") or _bored(board, board.nodes[e.up])
        for e in board.into(node.id, "vent")
    )


def gather(ways: VentWays, level_id: str, ends: Sequence[AtticEnd], drawn_riser: DEdge | None) -> DNode | None:
    """Bring vents together in the attic, under a place for the terminal or at a drawn riser; None if there is none."""
    work, board = ways.work, ways.work.board
    layer = work.space.layers[f"attic:{level_id}"]
    router = ZoneRouter(work.space, board, (layer,), work.demands.gauges)
    router.system = "vent"
    if drawn_riser is not None:
        spot: XY | None = board.nodes[drawn_riser.up].xy
    else:
        found = ways.roof.placed(ends)
        spot = found[1] if found is not None else None
    if spot is None:
        work.block(
            ("roof",), "no place on the roof where a vent may come out", "allow another slope or ask the authority"
        )
        return None
    root = board.node(spot, PointKind.TURN)
    router.keys |= {e.xy for e in ends} | {spot}
    gaps = [(o.box.lo.x - 200, o.box.lo.y - 200) for o in work.house.obstacles if o.kind in ("appliance", "zone")]
    gaps += [(o.box.hi.x + 200, o.box.hi.y + 200) for o in work.house.obstacles if o.kind in ("appliance", "zone")]
    order = sorted(ends, key=lambda e: (-e.size_in, math.hypot(e.xy[0] - spot[0], e.xy[1] - spot[1]), e.node.id))
    drawn: list[DEdge] = []
    fits = board.fits
    for end in order:
        n, s = end.node, end.size_in
        g = work.gauge(s)
        if math.hypot(n.xy[0] - spot[0], n.xy[1] - spot[1]) < 1:
            board.edge(n, root, "vent", Role.STACK_VENT, Place("attic", level_id), s, tag=n.tag, plumb=True)
            continue
        lat = router.lattice((*gaps,), diagonals=False)
        targets = [
            Target(spot, layer.key, None, frozenset(), 0.0, f"n{root.id}"),
            *joint_targets(router, lat, drawn, gap=60.0),
        ]
        targets += node_targets(router, drawn, root.id)
        path = router.search(
            Ask(n.xy, (layer.key,), None, half_45=fits.eighth(s), half_90=fits.quarter(s), half_start=fits.quarter(s)),
            g,
            VENT_SLOPE,
            targets,
            lat,
        )
        if path is None:
            work.block((n.tag or "vent",), "no way through the attic to the terminal", "draw the vent by hand")
            continue
        base = board.node(n.xy, PointKind.TURN, None, n.tag)
        edges, joint = router.draw(path, base, size_in=s, slope=VENT_SLOPE, role=Role.HEADER, tag=n.tag)
        base = base if edges else joint
        if joint.id != root.id:
            joint.kind = PointKind.TIE_IN
        board.edge(n, base, "vent", Role.BRANCH_VENT, Place("attic", level_id), s, tag=n.tag, plumb=True)
        drawn = [board.edges[i] for i in router.edge_layer if i in board.edges]
    _attic_heights(board, root)
    return root


def _attic_heights(board: Board, root: DNode) -> None:
    rise = {root.id: 0.0}
    stack, z0 = [root.id], -math.inf
    flat: list[DEdge] = []
    while stack:
        at = stack.pop()
        for e in board.into(at, "vent"):
            if e.plumb:
                continue
            rise[e.up] = rise[at] + VENT_SLOPE * board.plan(e)
            flat.append(e)
            stack.append(e.up)
    for e in flat:
        z0 = max([z0, *(q.lo + rise[e.up] for q in e.parts)])
    for i, r in rise.items():
        for e in board.into(i, "vent"):
            if e.plumb and board.nodes[e.up].z is not None:
                z0 = max(z0, (board.nodes[e.up].z or 0.0) + 60.0 + r)
    if math.isinf(z0):  # nothing has come up to it: said where the way through the attic was not found
        return
    for i, r in rise.items():
        board.nodes[i].z = z0 - r
