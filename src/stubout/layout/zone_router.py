"""Drains of one floor zone: how a way is searched, and how a found path becomes pipe. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from stubout.layout.charted import Holes, holes_of
from stubout.layout.doglegs import dogleg_points
from stubout.layout.draft import Board, DEdge, DNode
from stubout.layout.lattice import Lattice, octile
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.route import (
    MOST_STATES,
    Ask,
    Part,
    Path,
    Step,
    Target,
    crosses_itself,
    find_path,
    layer_over,
)
from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge, Layer, off_line
from stubout.layout.stack_joints import across_deg
from stubout.layout.traffic import Lying, Post, Traffic
from stubout.layout.wall_drops import drop_places
from stubout.layout.zone_lattice import wider_lattice, zone_lattice
from stubout.layout.zone_pipes import ZonePipes

DROP_IN = 2.0  # the largest drain that comes down in a wall and out of its side
OWN_MM = 60.0  # a plumb pipe this near to the asked place is its own: a closet may have been moved aside
FAR_ROUND = 2.0  # times the straight way: nobody lays a drain so far round without need
ROUND_FREE_MM = 600.0  # round a post or a duct nobody minds
MOST_ROUND_STATES = 1_500  # a way round that is not found soon is not looked for


class ZoneRouter(ZonePipes):
    """Searches and draws in the layers of one floor zone."""

    def __init__(self, space: Space, board: Board, layers: tuple[Layer, ...], gauges: dict[float, Gauge]) -> None:
        super().__init__(space, board, layers, gauges)
        self.keys: set[XY] = set()  # plan positions that matter: fixtures, drops, stacks
        self.shy: dict[str, tuple[XY, XY]] = {}  # by tag: the stretch of wall where a fixture will want its drop
        self.open = any(layer.lowest for layer in layers)  # no joists to either side of a pipe
        self.bulkheads = any(r.kind == "soffit" for layer in layers for r in layer.regions)
        # one house gives one answer to one question, whichever way of drawing it is being tried
        self._known = space.memory("/".join(self.layers))

    def lattice(self, extra: Iterable[XY] = (), diagonals: bool = True, branch_in: float = 0.0) -> Lattice:
        """Return the lines through all places that matter, the gaps beside obstacles, and the corners of diagonals.

        Args:
            extra: More places that matter; the first is where the pipe that is looked for begins.
            diagonals: Whether lines that only diagonals want are wanted.
            branch_in: Size of that pipe if it is a branch of a drain: where it may turn and join then matters too.
        """
        extra = tuple(extra)
        pts = sorted({*self.keys, *extra})
        lines = self.lines() if diagonals and extra else ()
        drops = drop_places(self.space, self.layers.values(), extra[0], self.gauges[DROP_IN]) if extra else ()
        edge = extra[:1] if self.bulkheads else ()  # where a pipe comes into a bulkhead hangs on where it comes from
        spots = dogleg_points(self, extra[0], branch_in) if branch_in and extra and self.open else ()
        known = (tuple(pts), diagonals, lines, drops, edge, extra[1:] if edge else (), spots)
        if known in self._known.lattices:
            found: Lattice = self._known.lattices[known]
            return found
        lat = zone_lattice(
            self.space.house,
            self.layers.values(),
            pts,
            diagonals=diagonals,
            start=extra[0] if lines else None,
            lines=lines,
            drops=drops,
            corners=set(extra[1:]) - {*extra[:1], *self.keys},
            spots=spots,
        )
        self._known.lattices[known] = lat
        return lat

    def search(self, ask: Ask, g: Gauge, slope: float, targets: Iterable[Target], lat: Lattice) -> Path | None:
        """Return the cheapest path for a pipe from a position to any target, clear of the pipes that lie there."""
        lying: dict[str, list[Lying]] = {k: [] for k in self.layers}
        holes: dict[str, tuple[Holes, ...]] = {}  # by layer: those that what lies there cuts in I-joists
        for i, layer in self.edge_layer.items():
            e = self.board.edges.get(i)
            if e is None or e.plumb or layer not in lying:
                continue
            a, b = self.board.nodes[e.up], self.board.nodes[e.down]
            mine = self.gauges[e.size_in]
            lying[layer].append(Lying(a.xy, b.xy, a.z, b.z, mine.r))
            of = self.layers[layer]
            if of.kind == "bay" and (cut := holes_of(of.frame, a.xy, b.xy, mine, g)) is not None:
                holes[layer] = (*holes.get(layer, ()), cut)
        posts = [p for p in self.posts() if math.hypot(p.xy[0] - ask.xy[0], p.xy[1] - ask.xy[1]) > OWN_MM]
        shallow = {k for k, v in self.layers.items() if v.kind in ("bay", "attic")}
        shy = [s for s in self.shy.values() if off_line(ask.xy, *s) > OWN_MM]
        aims = tuple(targets)
        lies = tuple((k, tuple(v)) for k, v in lying.items())
        key = (lat, g.size_in, slope, ask, aims, lies, tuple(posts), tuple(shy))
        if key not in self._known.paths:
            traffic = {
                k: self._traffic(v, g.r, tuple(posts), k in shallow, tuple(shy), holes.get(k, ())) for k, v in lies
            }
            self._known.paths[key] = self._search(ask, g, slope, aims, lat, traffic)
        path: Path | None = self._known.paths[key]
        return path

    def _traffic(
        self,
        lying: tuple[Lying, ...],
        r: float,
        posts: tuple[Post, ...],
        strict: bool,
        shy: tuple[tuple[XY, XY], ...],
        holes: tuple[Holes, ...],
    ) -> Traffic:
        """Return what lies and stands in a layer, with what legs were already found to meet of it."""
        key = (lying, r, posts, strict, shy, holes)
        if key not in self._known.traffic:
            self._known.traffic[key] = Traffic(lying, r, posts, strict, shy, self._known.meetings, holes)
        known: Traffic = self._known.traffic[key]
        return known

    def _search(
        self, ask: Ask, g: Gauge, slope: float, aims: tuple[Target, ...], lat: Lattice, traffic: dict[str, Traffic]
    ) -> Path | None:
        most = MOST_STATES if ask.arrive is None else MOST_ROUND_STATES
        path = find_path(self.space, lat, self.layers, g, slope, ask, aims, traffic, most)
        if path is not None and crosses_itself(path):  # it went round to make room for its bends: go straight instead
            plain = replace(ask, half_45=0.0, half_90=0.0, half_start=0.0)
            path = find_path(self.space, lat, self.layers, g, slope, plain, aims, traffic)
            if path is not None and crosses_itself(path):
                path = None
        free = ask.max_length is None and ask.arrive is None
        lacking = ask.most_cost == math.inf if path is None else far_round(path, ask)
        if self.system == "drain" and free and lacking:
            wide = wider_lattice(lat, ask.xy, self.lines())  # round what lies there, then
            other = find_path(self.space, wide, self.layers, g, slope, ask, aims, traffic, MOST_ROUND_STATES)
            if other is not None and not crosses_itself(other) and (path is None or other.cost < path.cost):
                path = other
        if ask.swivel:
            shot = self._straight(ask, g, aims, traffic)
            if shot is not None and (path is None or shot.cost < path.cost - 1e-6):
                return shot
        return path

    def _straight(self, ask: Ask, g: Gauge, aims: Iterable[Target], traffic: dict[str, Traffic]) -> Path | None:
        """Return the cheapest straight shot at an upright tee at whatever angle it lies: both ends turn to it."""
        best: Path | None = None
        for t in aims:
            upright = t.upright or t.ref.startswith(("s", "new"))
            if t.z is not None or t.layer not in ask.layers or not upright:
                continue
            if t.blocked and not (t.opposite and self.board.fits.opposite(across_deg(t.xy, t.opposite, ask.xy))):
                continue
            d = math.hypot(t.xy[0] - ask.xy[0], t.xy[1] - ask.xy[1])
            cost = t.cost + d
            room = ask.half_start + (t.rooms[0] if t.rooms else ask.half_90)
            if d < max(room, ask.least_length) or (best is not None and cost >= best.cost):
                continue
            if ask.max_length is not None and d > ask.max_length:
                continue
            leg = self.space.leg(self.layers[t.layer], ask.xy, t.xy, g)
            if leg is None or leg.bores:
                continue
            if t.layer in traffic:
                met = traffic[t.layer].cost(t.xy, ask.xy, None, None, t.xy)
                if met is None:
                    continue
                cost += met
            if any(
                v.stands_on(ask.xy) for k, v in traffic.items() if k == t.layer or layer_over(self.layers, k, t.layer)
            ):
                continue
            part = Part(0.0, d, leg.spans[0].lo, leg.spans[0].hi)
            step = Step(ask.xy, t.xy, t.layer, t.layer, leg.place, 0, None, None, "", (part,))
            if best is None or cost < best.cost:
                best = Path((step,), cost, d, t, 0.0)
        return best

    def draw(
        self,
        path: Path,
        start: DNode,
        *,
        size_in: float,
        slope: float,
        role: Role,
        tag: str = "",
    ) -> tuple[list[DEdge], DNode]:
        """Draw a path from an existing start node to its target; return the edges in flow order and the joint."""
        board = self.board
        ref = path.target.ref
        if ref.startswith("e"):
            end = board.edges[int(ref[1:])]
            joint = board.split(end, path.target.xy, PointKind.JUNCTION)
            low = next(e for e in board.edges.values() if e.up == joint.id and e.system == self.system)
            self.edge_layer[low.id] = self.edge_layer[end.id]
        elif ref.startswith("s"):
            stack = board.stacks[int(ref[1:])]
            joint = board.node(stack.xy, PointKind.JUNCTION)
            joint.stack = int(ref[1:])
            stack.nodes.append(joint.id)
        else:
            joint = board.nodes[int(ref[1:])]
        edges: list[DEdge] = []
        foot = self._turned_up(path.target, joint, role, size_in, tag) if path.target.rise else joint
        self.keys.add(start.xy)
        if not path.steps and start.id != joint.id:  # a drop that comes down right on the drain
            for e in board.edges.values():
                if e.down == start.id:
                    e.down = joint.id
            for stood in board.stacks:
                if stood.foot == start.id:
                    stood.foot = joint.id
            board.nodes.pop(start.id, None)
            return edges, joint
        at = start
        if path.steps and not _same(path.steps[0].a, start.xy):
            start.xy = path.steps[0].a
        for i, s in enumerate(path.steps):
            last = i == len(path.steps) - 1
            nxt = foot if last else board.node(s.b, PointKind.TURN)
            if s.place is None:
                e = board.edge(
                    at,
                    nxt,
                    self.system,
                    role,
                    Place("joist bay" if s.layer_a.startswith("bay") else "below frame", self._ref(s.layer_a)),
                    size_in,
                    tag=tag,
                    plumb=True,
                )
            else:
                e = board.edge(
                    at, nxt, self.system, role, s.place, size_in, tag=tag, slope=slope, parts=s.parts, sleeve=s.note
                )
                self.edge_layer[e.id] = s.layer_a
            if s.z_a is not None and at.z is None:
                at.z = s.z_a
            if s.z_b is not None and nxt.z is None:
                nxt.z = s.z_b
            edges.append(e)
            at = nxt
        self._widen(joint)
        return edges, joint

    def _turned_up(self, target: Target, joint: DNode, role: Role, size_in: float, tag: str) -> DNode:
        """Draw the plumb piece by which a branch drops into a drain from above; return its upper end."""
        board = self.board
        top = board.node(joint.xy, PointKind.TURN, target.z, tag)
        top.fixed = True
        place = board.out(joint.id, self.system)[0].place
        board.edge(top, joint, self.system, role, place, size_in, tag=tag, plumb=True)
        self._widen(joint)
        return top

    def _widen(self, joint: DNode) -> None:
        """Make every drain down stream at least as large as what flows into it."""
        board = self.board
        at, size = joint.id, max((e.size_in for e in board.into(joint.id, self.system)), default=0.0)
        for _ in range(200):
            nxt = board.out(at, self.system)
            if not nxt or nxt[0].size_in >= size:
                return
            nxt[0].size_in = size
            at = nxt[0].down

    def _ref(self, key: str) -> str:
        layer = self.layers[key]
        return layer.frame.id if layer.frame is not None else layer.level.id


def far_round(path: Path, ask: Ask) -> bool:
    """Return whether a path goes a long way round to where it ends."""
    return path.length > FAR_ROUND * octile(ask.xy, path.target.xy) + ROUND_FREE_MM


def _same(a: XY, b: XY) -> bool:
    return abs(a[0] - b[0]) < 0.5 and abs(a[1] - b[1]) < 0.5
