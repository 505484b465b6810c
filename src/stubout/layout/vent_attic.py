"""Vents in an attic: which of them go out together, how they are gathered, and at what heights. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stubout.layout.attic_spine import best_spine, draw_spine
from stubout.layout.draft import Board, DEdge, DNode
from stubout.layout.lattice import Lattice
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.roof import BORED_TOO, AtticEnd, Roof
from stubout.layout.route import Ask, Path
from stubout.layout.space_shapes import XY
from stubout.layout.vent_upward import VENT_SLOPE
from stubout.layout.vent_ways import VentWays
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import Work
from stubout.layout.zone_router import ZoneRouter
from stubout.layout.zone_targets import joint_targets, node_targets, root_target

AROUND_MM = 200.0  # so far beside an appliance or a closed zone a header goes round it
LEAST_RISE_MM = 130.0  # from where a vent comes up to its header: a bend and a tee find room
GROWN_IN = 3.0  # the largest a gathered vent of a house grows to before the roof


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
    away = {e.node.id: round(math.dist(e.xy, spot), 1) for e in ends}
    orders = (  # the farthest first: those on the way come up right under its header; or the main vent straight out
        sorted(ends, key=lambda e: (-away[e.node.id], -e.size_in, e.node.id)),
        sorted(ends, key=lambda e: (-e.size_in, -away[e.node.id], e.node.id)),
        sorted(ends, key=lambda e: (-e.size_in, away[e.node.id], e.node.id)),
    )
    unlike = list({tuple(e.node.id for e in order): order for order in orders}.values())
    tries = [_Attic(work, board.copy(), level_id, spot).headers(order) for order in unlike]
    best = min(range(len(unlike)), key=lambda i: (len(tries[i].failed), round(tries[i].cost, 1)))
    layer = work.space.layers[f"attic:{level_id}"]
    spine = best_spine(work, ways.roof, layer, ends) if drawn_riser is None else None
    single = tries[best].cost + ways.roof.terminal_cost(spot)
    if spine is not None and (tries[best].failed or not spine.crowded or spine.cost < single):
        root = board.nodes[draw_spine(work, board, level_id, layer, ends, spine)]
        _attic_heights(board, root)
        return root
    done = _Attic(work, board, level_id, spot).headers(unlike[best])
    for tag in done.failed:
        work.block((tag or "vent",), "no way through the attic to the terminal", "draw the vent by hand")
    _attic_heights(board, done.root)
    return done.root


@dataclass(frozen=True, slots=True)
class _Gathered:
    """Vents brought together in an attic: under the terminal, what that costs, and those that found no way."""

    root: DNode
    cost: float
    failed: tuple[str, ...]


class _Attic:
    """Draws the headers of one attic, one vent after the other."""

    def __init__(self, work: Work, board: Board, level_id: str, spot: XY) -> None:
        self.work, self.board, self.level_id, self.spot = work, board, level_id, spot
        layer = work.space.layers[f"attic:{level_id}"]
        self.key = layer.key
        self.router = ZoneRouter(work.space, board, (layer,), work.demands.gauges)
        self.router.system = "vent"
        shy = [o.box for o in work.house.obstacles if o.kind in ("appliance", "zone")]
        self.gaps = [(b.lo.x - AROUND_MM, b.lo.y - AROUND_MM) for b in shy]
        self.gaps += [(b.hi.x + AROUND_MM, b.hi.y + AROUND_MM) for b in shy]

    def headers(self, order: Sequence[AtticEnd]) -> _Gathered:
        """Draw the vents in an order."""
        board = self.board
        root = board.node(self.spot, PointKind.TURN)
        self.router.keys |= {e.xy for e in order} | {self.spot}
        cost, failed = 0.0, []
        for end in order:
            n, s = end.node, end.size_in
            if math.dist(n.xy, self.spot) < 1:
                place = Place("attic", self.level_id)
                board.edge(board.nodes[n.id], root, "vent", Role.STACK_VENT, place, s, tag=n.tag, plumb=True)
                continue
            path = self._way(end, root)
            if path is None:
                failed.append(n.tag)
                continue
            cost += path.cost * (1 + s / 3)
            self._drawn(path, end, root)
        cost += sum(self._grows(end, root) for end in order)
        return _Gathered(root, cost, tuple(failed))

    def _grows(self, end: AtticEnd, root: DNode) -> float:
        """Return what it costs that a vent runs level farther than it may at its size, on its way to the terminal."""
        away, at = 0.0, end.node.id
        while at != root.id and (out := self.board.out(at, "vent")):
            away += 0.0 if out[0].plumb else self.board.plan(out[0])
            at = out[0].down
        return WEIGHTS.grown_vent * (BORED_TOO if end.bored else 1.0) if away > end.left else 0.0

    def _way(self, end: AtticEnd, root: DNode) -> Path | None:
        """Return the cheapest way of a vent to the terminal or into a header, at 45 degrees if square is too near."""
        path = self._found(end, root, self.router.lattice(self.gaps, diagonals=False))
        if path is not None and path.cost - path.length < WEIGHTS.short_leg:
            return path
        other = self._found(end, root, self.router.lattice((end.xy, *self.gaps)))
        if path is None or (other is not None and other.cost < path.cost):
            return other
        return path

    def _found(self, end: AtticEnd, root: DNode, lat: Lattice) -> Path | None:
        router, fits, s = self.router, self.board.fits, end.size_in
        drawn = [self.board.edges[i] for i in router.edge_layer if i in self.board.edges]
        targets = [
            *root_target(router, root, self.key),
            *joint_targets(router, lat, drawn, apart=fits.vent_apart),
            *node_targets(router, drawn, root.id),
        ]
        limits = Ask(
            end.xy, (self.key,), None, half_45=fits.eighth(s), half_90=fits.quarter(s), half_start=fits.quarter(s)
        )
        # what gathers many may have to grow: it had better lie where a larger one has room
        girths = (self.work.gauge(max(s, GROWN_IN)), self.work.gauge(s))
        return next((p for g in girths if (p := router.search(limits, g, VENT_SLOPE, targets, lat))), None)

    def _drawn(self, path: Path, end: AtticEnd, root: DNode) -> None:
        board, n, s = self.board, end.node, end.size_in
        base = board.node(n.xy, PointKind.TURN, None, n.tag)
        edges, joint = self.router.draw(path, base, size_in=s, slope=VENT_SLOPE, role=Role.HEADER, tag=n.tag)
        base = base if edges else joint
        if joint.id != root.id:
            joint.kind = PointKind.TIE_IN
        up = board.nodes[n.id]
        board.edge(up, base, "vent", Role.BRANCH_VENT, Place("attic", self.level_id), s, tag=n.tag, plumb=True)


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
                z0 = max(z0, (board.nodes[e.up].z or 0.0) + LEAST_RISE_MM + r)
    if math.isinf(z0):  # nothing has come up to it: said where the way through the attic was not found
        return
    for i, r in rise.items():
        board.nodes[i].z = z0 - r
