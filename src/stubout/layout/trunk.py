"""Drains of one floor zone: the tree, its targets, and how a found path becomes pipe. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from stubout.layout.draft import Board, DEdge, DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.route import (
    Ask,
    Lattice,
    Lying,
    Path,
    Post,
    Target,
    Traffic,
    crosses_itself,
    direction_index,
    find_path,
)
from stubout.layout.space import XY, Gauge, Layer, Space
from stubout.layout.weights import least_leg_mm

OWN_MM = 60.0  # a plumb pipe this near to the asked place is its own: a closet may have been moved aside
LEAST_DIAGONAL_MM = 250.0
MOST_DIAGONAL_MM = 4000.0
LANE_MM = 95.0
LANE_EDGE_MM = 55.0


class ZoneRouter:
    """Searches and draws in the layers of one floor zone."""

    def __init__(self, space: Space, board: Board, layers: tuple[Layer, ...], gauges: dict[float, Gauge]) -> None:
        self.space, self.board, self.gauges = space, board, gauges
        self.layers = {layer.key: layer for layer in layers}
        self.keys: set[XY] = set()  # plan positions that matter: fixtures, drops, stacks
        self.edge_layer: dict[int, str] = {}
        self.system = "drain"
        self.planned: list[Post] = []  # outlets and vents that will stand in this zone
        self._lattices: dict[tuple[object, ...], Lattice] = {}

    # --- lattice ----------------------------------------------------------------------------------------------

    def lattice(self, extra: Iterable[XY] = (), diagonals: bool = True) -> Lattice:
        """Return the lines through all places that matter, the gaps beside obstacles, and the corners of diagonals."""
        extra = tuple(extra)
        pts = sorted({*self.keys, *extra})
        lines = self._lines() if diagonals and extra else ()
        known = (tuple(pts), diagonals, lines)
        if known in self._lattices:
            return self._lattices[known]
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
        self._lattices[known] = lat
        return lat

    def _lines(self) -> tuple[tuple[XY, XY], ...]:
        """Return the level drains of this zone as plan segments."""
        board = self.board
        edges = (board.edges.get(i) for i in sorted(self.edge_layer))
        return tuple((board.nodes[e.up].xy, board.nodes[e.down].xy) for e in edges if e is not None and not e.plumb)

    # --- targets ----------------------------------------------------------------------------------------------

    def targets(self, lat: Lattice, edges: Iterable[DEdge], *, gap: float = 0.0) -> list[Target]:
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
                out.append(Target(p, layer, z, blocked, 0.0, f"e{e.id}"))
        return out

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
        traffic = {k: Traffic(v, g.r, posts, k in shallow) for k, v in lying.items() if v or posts}
        aims = tuple(targets)
        path = find_path(self.space, lat, self.layers, g, slope, ask, aims, traffic)
        if path is not None and crosses_itself(path):  # it went round to make room for its bends: go straight instead
            plain = replace(ask, half_45=0.0, half_90=0.0, half_start=0.0)
            path = find_path(self.space, lat, self.layers, g, slope, plain, aims, traffic) or path
        return path

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
                if deep < floor:
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


def _same(a: XY, b: XY) -> bool:
    return abs(a[0] - b[0]) < 0.5 and abs(a[1] - b[1]) < 0.5
