"""Drains of one floor zone: the tree, its targets, and how a found path becomes pipe. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

from stubout.layout.draft import Board, DEdge, DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.route import (
    Ask,
    Lattice,
    Lying,
    Part,
    Path,
    Post,
    Step,
    Target,
    Traffic,
    crosses_itself,
    direction_index,
    find_path,
    layer_over,
    turn_between,
)
from stubout.layout.space import XY, Gauge, Layer, Space
from stubout.layout.weights import least_leg_mm

OWN_MM = 60.0  # a plumb pipe this near to the asked place is its own: a closet may have been moved aside
LEAST_DIAGONAL_MM = 90.0
MOST_DIAGONAL_MM = 4000.0
LANE_MM = 95.0
ROUND_MM = 400.0  # so far beside what lies there a drain goes round it
APART_MM = 30.0
MOST_ROUND_STATES = 1_500  # a way round that is not found soon is not looked for
FOOTING_LANE_MM = 450.0  # so far beside a footing a drain may want to run
LANE_EDGE_MM = 37.0


class ZoneRouter:
    """Searches and draws in the layers of one floor zone."""

    def __init__(self, space: Space, board: Board, layers: tuple[Layer, ...], gauges: dict[float, Gauge]) -> None:
        self.space, self.board, self.gauges = space, board, gauges
        self.layers = {layer.key: layer for layer in layers}
        self.keys: set[XY] = set()  # plan positions that matter: fixtures, drops, stacks
        self.edge_layer: dict[int, str] = {}
        self.system = "drain"
        self.shy: dict[str, tuple[XY, XY]] = {}  # by tag: the stretch of wall where a fixture will want its drop
        self.planned: list[Post] = []  # outlets and vents that will stand in this zone
        # one house gives one answer to one question, whichever way of drawing it is being tried
        self._known = space.memory("/".join(self.layers))

    # --- lattice ----------------------------------------------------------------------------------------------

    def lattice(self, extra: Iterable[XY] = (), diagonals: bool = True) -> Lattice:
        """Return the lines through all places that matter, the gaps beside obstacles, and the corners of diagonals."""
        extra = tuple(extra)
        pts = sorted({*self.keys, *extra})
        lines = self._lines() if diagonals and extra else ()
        known = (tuple(pts), diagonals, lines)
        if known in self._known.lattices:
            found: Lattice = self._known.lattices[known]
            return found
        xs = {p[0] for p in pts}
        ys = {p[1] for p in pts}
        fp = self.space.house.footprint
        lows = [layer for layer in self.layers.values() if layer.lowest]
        if lows:
            sewer = self.space.house.sewer.at
            xs |= {sewer.x}
            ys |= {sewer.y}
            for v, lo, hi, into in ((sewer.x, fp.lo.x, fp.hi.x, xs), (sewer.y, fp.lo.y, fp.hi.y, ys)):
                if v < lo:
                    into |= {lo - 300, lo + 600}
                if v > hi:
                    into |= {hi + 300, hi - 600}
            for o in self.space.house.obstacles:
                if o.kind in ("pad", "duct", "beam"):
                    for m in (150.0,):
                        if o.box.hi.x - o.box.lo.x < 2000:
                            xs |= {o.box.lo.x - m, o.box.hi.x + m}
                        if o.box.hi.y - o.box.lo.y < 2000:
                            ys |= {o.box.lo.y - m, o.box.hi.y + m}
                if o.kind == "footing":  # beside it, outside its load plane
                    wide_x, wide_y = o.box.hi.x - o.box.lo.x, o.box.hi.y - o.box.lo.y
                    if wide_x < wide_y:
                        xs |= {o.box.lo.x - FOOTING_LANE_MM, o.box.hi.x + FOOTING_LANE_MM}
                    else:
                        ys |= {o.box.lo.y - FOOTING_LANE_MM, o.box.hi.y + FOOTING_LANE_MM}
        for layer in self.layers.values():
            for r in layer.regions:
                if r.kind != "soffit":
                    continue
                for into, lo, hi in ((xs, r.x0, r.x1), (ys, r.y0, r.y1)):
                    if hi - lo < 900:  # lanes along a bulkhead
                        n = max(1, int((hi - lo - 2 * LANE_EDGE_MM) / LANE_MM))
                        into |= {lo + LANE_EDGE_MM + (hi - lo - 2 * LANE_EDGE_MM) * i / n for i in range(n + 1)}
        if diagonals and lows:
            sewer_xy = (self.space.house.sewer.at.x, self.space.house.sewer.at.y)
            for p in pts:
                dx, dy = abs(sewer_xy[0] - p[0]), abs(sewer_xy[1] - p[1])
                sx, sy = math.copysign(1, sewer_xy[0] - p[0]), math.copysign(1, sewer_xy[1] - p[1])
                if dx < dy:
                    ys |= {p[1] + sy * dx, sewer_xy[1] - sy * dx}
                else:
                    xs |= {p[0] + sx * dy, sewer_xy[0] - sx * dy}
        if lines:  # where a diagonal from the asked place meets the drains that lie there
            px, py = extra[0]
            for a, b in lines:
                if abs(a[0] - b[0]) < 0.5 and LEAST_DIAGONAL_MM < abs(a[0] - px) < MOST_DIAGONAL_MM:
                    ys |= {
                        y for y in (py - abs(a[0] - px), py + abs(a[0] - px)) if min(a[1], b[1]) < y < max(a[1], b[1])
                    }
                elif abs(a[1] - b[1]) < 0.5 and LEAST_DIAGONAL_MM < abs(a[1] - py) < MOST_DIAGONAL_MM:
                    xs |= {
                        x for x in (px - abs(a[1] - py), px + abs(a[1] - py)) if min(a[0], b[0]) < x < max(a[0], b[0])
                    }
        lat = Lattice(xs, ys)
        self._known.lattices[known] = lat
        return lat

    def _lines(self) -> tuple[tuple[XY, XY], ...]:
        """Return the level drains of this zone as plan segments."""
        board = self.board
        edges = (board.edges.get(i) for i in sorted(self.edge_layer))
        return tuple((board.nodes[e.up].xy, board.nodes[e.down].xy) for e in edges if e is not None and not e.plumb)

    # --- targets ----------------------------------------------------------------------------------------------

    def targets(self, lat: Lattice, edges: Iterable[DEdge], *, gap: float = 0.0, size_in: float = 0.0) -> list[Target]:
        """Return every lattice point on the given horizontal drains where a branch may join."""
        out: list[Target] = []
        for e in edges:
            layer = self.edge_layer.get(e.id)
            if layer is None or e.plumb:
                continue
            a, b = self.board.nodes[e.up], self.board.nodes[e.down]
            k = direction_index(b.xy[0] - a.xy[0], b.xy[1] - a.xy[1])
            if k is None:
                continue
            total = self.board.plan(e)
            if size_in > e.size_in and not self._may_grow(e, size_in):
                continue
            rooms, dear_at = self._rooms(e, size_in or e.size_in, k)
            near = gap or least_leg_mm(e.size_in)
            # a branch flows with the drain: its upstream direction is across it or at 45 degrees against its flow
            allowed = {(k + d) % 8 for d in (2, 3, -2, -3)}
            blocked = frozenset(set(range(8)) - allowed)
            for p in self._points_on(lat, a.xy, b.xy):
                t = math.hypot(p[0] - a.xy[0], p[1] - a.xy[1])
                if t < near or total - t < near:
                    continue
                z = None
                if a.z is not None and b.z is not None:
                    z = a.z + (b.z - a.z) * t / total
                dear = frozenset() if gap else dear_at(t, total - t)
                out.append(Target(p, layer, z, blocked, 0.0, f"e{e.id}", rooms, dear))
        return out

    def _may_grow(self, e: DEdge, size_in: float) -> bool:
        """Return whether a drain and what it flows into have room to be as large as a branch that would join."""
        board, g = self.board, self.gauges[size_in]
        at: DEdge | None = e
        while at is not None and at.size_in < size_in:
            if at.drawn:
                return False
            layer = self.edge_layer.get(at.id)
            a, b = board.nodes[at.up], board.nodes[at.down]
            if layer is not None:
                if self.space.leg(self.layers[layer], a.xy, b.xy, g) is None:
                    return False
                apart = {at.up, at.down}
                others = [
                    Lying(board.nodes[d.up].xy, board.nodes[d.down].xy, board.nodes[d.up].z, board.nodes[d.down].z,
                          self.gauges[d.size_in].r)
                    for i, k in self.edge_layer.items()
                    if k == layer and (d := board.edges.get(i)) is not None and not apart & {d.up, d.down}
                ]  # fmt: skip
                strict = self.layers[layer].kind in ("bay", "attic")
                posts = [p for p in self._posts() if min(math.dist(p.xy, a.xy), math.dist(p.xy, b.xy)) > 2.0]
                if Traffic(others, g.r, posts, strict).cost(a.xy, b.xy, a.z, b.z, False) is None:
                    return False
            at = next(iter(board.out(at.down, self.system)), None)
        return True

    def _rooms(
        self, e: DEdge, size_in: float, k: int
    ) -> tuple[tuple[float, ...], Callable[[float, float], frozenset[int]]]:
        """Return the room a joint on a drain takes of its branch in each direction, and where on it which is too near.

        The second takes the distances from the drain's upper and lower end and returns the directions to avoid.
        """
        fits = self.board.fits
        up, down = self.end_room(e, False), self.end_room(e, True)
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

    def end_room(self, e: DEdge, at_down: bool) -> float:
        """Return the room that the fitting at one end of a level drain takes of it [mm]."""
        board, fits, size = self.board, self.board.fits, e.size_in
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
            return fits.bend(size, min(2, self._turn(e, level[0], n)))
        run = max(d.size_in for d in (e, *level))
        least = min(d.size_in for d in (e, *level))
        turns = [self._turn(e, d, n) for d in level]
        if at_down and 0 not in turns:  # it is the branch itself
            return fits.joint(run, size, 2 in turns, "branch")
        return fits.joint(run, least, 2 in turns, "inlet" if at_down else "outlet")

    def _turn(self, e: DEdge, other: DEdge, n: DNode) -> int:
        """Return the turn between two drains that meet at a node in steps of 45 degrees."""
        ways: list[int] = []
        for d in (e, other):
            far = self.board.nodes[d.up if d.down == n.id else d.down]
            k = direction_index(far.xy[0] - n.xy[0], far.xy[1] - n.xy[1])
            if k is None:
                return 1
            ways.append(k)
        return 4 - turn_between(*ways)

    def node_targets(self, edges: Iterable[DEdge], root: int) -> list[Target]:
        """Return the turns of the given runs where another may join across."""
        out: list[Target] = []
        for e in edges:
            n = self.board.nodes[e.down]
            layer = self.edge_layer.get(e.id)
            if n.id == root or layer is None:
                continue
            busy = [d for d in self.board.edges.values() if not d.plumb and n.id in (d.up, d.down)]
            if len(busy) > 2:
                continue
            blocked: set[int] = set()
            for d in busy:
                other = self.board.nodes[d.up if d.down == n.id else d.down]
                k = direction_index(other.xy[0] - n.xy[0], other.xy[1] - n.xy[1])
                if k is not None:
                    blocked |= {k, (k + 1) % 8, (k - 1) % 8}
            out.append(Target(n.xy, layer, None, frozenset(blocked), 100.0, f"n{n.id}"))
        return out

    def _points_on(self, lat: Lattice, a: XY, b: XY) -> list[XY]:
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

    # --- search and draw --------------------------------------------------------------------------------------

    def search(self, ask: Ask, g: Gauge, slope: float, targets: Iterable[Target], lat: Lattice) -> Path | None:
        """Return the cheapest path for a pipe from a position to any target, clear of the pipes that lie there."""
        lying: dict[str, list[Lying]] = {k: [] for k in self.layers}
        for i, layer in self.edge_layer.items():
            e = self.board.edges.get(i)
            if e is None or e.plumb or layer not in lying:
                continue
            a, b = self.board.nodes[e.up], self.board.nodes[e.down]
            lying[layer].append(Lying(a.xy, b.xy, a.z, b.z, self.gauges[e.size_in].r))
        posts = [p for p in self._posts() if math.hypot(p.xy[0] - ask.xy[0], p.xy[1] - ask.xy[1]) > OWN_MM]
        shallow = {k for k, v in self.layers.items() if v.kind in ("bay", "attic")}
        shy = [s for s in self.shy.values() if _off_line(ask.xy, s) > OWN_MM]
        traffic = {k: Traffic(v, g.r, posts, strict=k in shallow, shy=shy) for k, v in lying.items()}
        aims = tuple(targets)
        key = (
            lat,
            g.size_in,
            slope,
            ask,
            aims,
            tuple((k, tuple(v)) for k, v in lying.items()),
            tuple(posts),
            tuple(shy),
        )
        if key not in self._known.paths:
            self._known.paths[key] = self._search(ask, g, slope, aims, lat, traffic)
        path: Path | None = self._known.paths[key]
        return path

    def _search(
        self, ask: Ask, g: Gauge, slope: float, aims: tuple[Target, ...], lat: Lattice, traffic: dict[str, Traffic]
    ) -> Path | None:
        path = find_path(self.space, lat, self.layers, g, slope, ask, aims, traffic)
        if path is not None and crosses_itself(path):  # it went round to make room for its bends: go straight instead
            plain = replace(ask, half_45=0.0, half_90=0.0, half_start=0.0)
            path = find_path(self.space, lat, self.layers, g, slope, plain, aims, traffic)
            if path is not None and crosses_itself(path):
                path = None
        if path is None and ask.max_length is None and self.system == "drain":  # round what lies there, then
            wide = self._wider(lat, ask.xy)
            path = find_path(self.space, wide, self.layers, g, slope, ask, aims, traffic, MOST_ROUND_STATES)
            if path is not None and crosses_itself(path):
                path = None
        if ask.swivel:
            shot = self._straight(ask, g, aims, traffic)
            if shot is not None and (path is None or shot.cost < path.cost - 1e-6):
                return shot
        return path

    def _wider(self, lat: Lattice, start: XY) -> Lattice:
        """Return a lattice with lanes beside the drains that lie there and beside the start."""
        xs, ys = {start[0] - ROUND_MM, start[0] + ROUND_MM}, {start[1] - ROUND_MM, start[1] + ROUND_MM}
        for a, b in self._lines():
            if abs(a[0] - b[0]) < 0.5:
                xs |= {a[0] - ROUND_MM, a[0] + ROUND_MM}
            elif abs(a[1] - b[1]) < 0.5:
                ys |= {a[1] - ROUND_MM, a[1] + ROUND_MM}
        more_x = [x for x in xs if min(abs(x - v) for v in lat.xs) > APART_MM]
        more_y = [y for y in ys if min(abs(y - v) for v in lat.ys) > APART_MM]
        return Lattice((*lat.xs, *more_x), (*lat.ys, *more_y))

    def _straight(self, ask: Ask, g: Gauge, aims: Iterable[Target], traffic: dict[str, Traffic]) -> Path | None:
        """Return the cheapest straight shot at a stack at whatever angle it lies: both ends can be turned to it."""
        best: Path | None = None
        for t in aims:
            if t.z is not None or t.layer not in ask.layers or not t.ref.startswith(("s", "new")):
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
                met = traffic[t.layer].cost(t.xy, ask.xy, None, None, True)
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

    def _posts(self) -> list[Post]:
        """Return the plumb pipes that stand in the layers of this zone."""
        out: list[Post] = list(self.planned)
        if self.system == "vent":
            return out
        layers = list(self.layers.values())
        floor = layers[0].level.subfloor_z_mm
        for e in self.board.edges.values():
            if not e.plumb or e.system != self.system:
                continue
            up, down = self.board.nodes[e.up], self.board.nodes[e.down]
            if up.z is not None and up.z < floor - 1200.0:
                continue
            if down.z is not None and down.z > floor:
                continue
            if math.hypot(up.xy[0] - down.xy[0], up.xy[1] - down.xy[1]) < 1.0:
                out.append(Post(up.xy, down.z, self.gauges[e.size_in].r))
        if self.system == "drain":
            for s in self.board.stacks:
                z = self.board.nodes[s.foot].z
                deep = s.places[-1][0]
                if deep < floor + 1.0:
                    out.append(Post(s.xy, z, self.gauges[s.size_in].r))
        return out

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
            nxt = joint if last else board.node(s.b, PointKind.TURN)
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


def _off_line(p: XY, line: tuple[XY, XY]) -> float:
    """Return how far a plan point is from a plan segment [mm]."""
    (ax, ay), (bx, by) = line
    dx, dy = bx - ax, by - ay
    ll = dx * dx + dy * dy
    t = 0.0 if ll < 1.0 else max(0.0, min(1.0, ((p[0] - ax) * dx + (p[1] - ay) * dy) / ll))
    return math.hypot(ax + dx * t - p[0], ay + dy * t - p[1])


def _same(a: XY, b: XY) -> bool:
    return abs(a[0] - b[0]) < 0.5 and abs(a[1] - b[1]) < 0.5
