"""The drawing board: nodes and edges that grow while the engine works, and the heights that follow. Lengths [mm].

Edges go in flow direction in a drain and towards the open air in a vent. Horizontal edges fall by their slope; plumb
edges take up what height is left over. Heights are solved once all drains are drawn: from the sewer up where the fall
is fixed, as high as the frame allows where a drain ends in a stack.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields, replace
from operator import attrgetter

from stubout.layout.model import Place, PointKind, Role
from stubout.layout.route import Part
from stubout.layout.space_shapes import XY
from stubout.layout.stack_joints import StackJoint, spread
from stubout.layout.street_drops import Drop, lifts
from stubout.layout.takeup import TakeUp

FIXTURE_ROLES = (Role.FIXTURE_DRAIN, Role.TRAP_ARM)  # what serves one fixture only
NOWHERE = "drains into nothing"  # said of a drain whose way on was not found
CLASH_MM = 160.0  # two pipes farther apart than twice this are never one in the other


@dataclass(slots=True)
class DNode:
    """One point on the board."""

    id: int
    xy: XY
    kind: PointKind
    z: float | None = None
    tag: str = ""
    note: str = ""
    cap: float = math.inf  # highest centre line here
    stack: int = -1  # index of the stack whose plumb line it is on
    fixed: bool = False  # height said by the sewer or by a stub-out, not solved
    drawn: bool = False  # drawn by hand: never moved
    name: str = ""  # id of the drawn point
    on_top: bool = False  # what joins a stack here breathes through its vent: strangers join below it

    def copy(self) -> DNode:
        """Return a node of its own with the same fields."""
        return DNode(*_NODE_FIELDS(self))

    def __deepcopy__(self, _memo: dict[int, object]) -> DNode:
        return self.copy()


@dataclass(slots=True)
class DEdge:
    """One run on the board."""

    id: int
    up: int
    down: int
    system: str
    role: Role
    place: Place
    size_in: float
    tag: str = ""
    plumb: bool = False
    slope: float = 0.0
    parts: tuple[Part, ...] = ()  # heights it may have, stretch by stretch from its downstream end
    sleeve: str = ""
    drawn: bool = False
    leg: str = ""  # id of the drawn route
    apart: bool = False  # drawn, and nothing else may join it

    def copy(self) -> DEdge:
        """Return a run of its own with the same fields."""
        return DEdge(*_EDGE_FIELDS(self))

    def __deepcopy__(self, _memo: dict[int, object]) -> DEdge:
        return self.copy()


@dataclass(slots=True)
class DStack:
    """A plumb line that several zones drain into."""

    xy: XY
    foot: int  # node at its foot
    size_in: float
    zone: str  # level id whose floor zone is the uppermost that drains into it
    places: tuple[tuple[float, float, Place], ...]  # (lo, hi, place) from the top down
    nodes: list[int] = field(default_factory=list)  # attach nodes
    vent_ok: bool = True
    vent_in: float = 0.0  # largest vent that can rise from its top
    top: int = -1
    drawn: bool = False  # its pipe is on the board already
    vented: bool = False  # and its vent is drawn or found
    top_in: float = 0.0  # how large it is down to where something larger drains into it, 0 = as large as at its foot

    def copy(self) -> DStack:
        """Return a stack of its own with the same fields and a list of nodes of its own."""
        return replace(self, nodes=list(self.nodes))


# the board is copied so often that the general way of copying a record is too slow
_NODE_FIELDS = attrgetter(*(f.name for f in fields(DNode)))
_EDGE_FIELDS = attrgetter(*(f.name for f in fields(DEdge)))


@dataclass(frozen=True, slots=True)
class Trouble:
    """Heights that cannot be had."""

    node: int
    want: float
    have: float
    what: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A state of the board."""

    nodes: list[DNode]
    edges: list[DEdge]
    stacks: list[DStack]
    next_id: int


Tree = tuple[dict[int, float], list[DEdge], float, float]
"""A level tree: each node's rise over its root, its edges, the root's highest and lowest place."""


class Board:
    """All nodes, edges and stacks."""

    def __init__(self, fits: TakeUp | None = None, short_in: frozenset[float] = frozenset()) -> None:
        self.fits = fits or TakeUp()
        self.short_in = short_in  # sizes in which the book lets a short bend lay a fixture's own drain level
        self.nodes: dict[int, DNode] = {}
        self.edges: dict[int, DEdge] = {}
        self.stacks: list[DStack] = []
        self._next = 0

    def node(self, xy: XY, kind: PointKind, z: float | None = None, tag: str = "", note: str = "") -> DNode:
        """Add a node."""
        self._next += 1
        n = DNode(self._next, xy, kind, z, tag, note)
        self.nodes[n.id] = n
        return n

    def edge(  # noqa: D102
        self,
        up: DNode,
        down: DNode,
        system: str,
        role: Role,
        place: Place,
        size_in: float,
        *,
        tag: str = "",
        plumb: bool = False,
        slope: float = 0.0,
        parts: tuple[Part, ...] = (),
        sleeve: str = "",
    ) -> DEdge:
        self._next += 1
        e = DEdge(self._next, up.id, down.id, system, role, place, size_in, tag, plumb, slope, parts, sleeve)
        self.edges[e.id] = e
        return e

    def into(self, node_id: int, system: str = "drain") -> list[DEdge]:
        """Return the edges that end at a node."""
        return [e for e in self.edges.values() if e.down == node_id and e.system == system]

    def out(self, node_id: int, system: str = "drain") -> list[DEdge]:
        """Return the edges that start at a node."""
        return [e for e in self.edges.values() if e.up == node_id and e.system == system]

    def plan(self, e: DEdge) -> float:
        """Return the plan length of an edge."""
        a, b = self.nodes[e.up].xy, self.nodes[e.down].xy
        return math.hypot(a[0] - b[0], a[1] - b[1])

    def split(self, e: DEdge, xy: XY, kind: PointKind) -> DNode:
        """Put a node on an edge; the edge keeps its upper half, a new one takes the lower."""
        if e.drawn:
            xy = self._on_line(e, xy)
        n = self.node(xy, kind)
        end = self.nodes[e.down]
        cut = math.hypot(end.xy[0] - xy[0], end.xy[1] - xy[1])
        near = tuple(Part(p.near, min(p.far, cut), p.lo, p.hi) for p in e.parts if p.near < cut - 0.5)
        far = tuple(Part(max(0.0, p.near - cut), p.far - cut, p.lo, p.hi) for p in e.parts if p.far > cut + 0.5)
        low = self.edge(
            n,
            end,
            e.system,
            e.role,
            e.place,
            e.size_in,
            tag=e.tag,
            plumb=e.plumb,
            slope=e.slope,
            parts=near,
            sleeve=e.sleeve,
        )
        low.drawn, low.leg, low.apart = e.drawn, e.leg, e.apart
        n.fixed = n.drawn = e.drawn
        top = self.nodes[e.up]
        if top.z is not None and end.z is not None:
            whole = math.hypot(end.xy[0] - top.xy[0], end.xy[1] - top.xy[1])
            n.z = end.z + (top.z - end.z) * (cut / whole if whole > 1 else 0.0)
        e.down, e.parts = n.id, far
        return n

    def rejoin(self, up: DEdge, low: DEdge) -> None:
        """Undo a split: the upper edge takes the lower one's end, as large as the larger; their node goes."""
        far = self.plan(low)
        up.parts = (*low.parts, *(Part(p.near + far, p.far + far, p.lo, p.hi) for p in up.parts))
        self.nodes.pop(up.down)
        up.down, up.size_in = low.down, max(up.size_in, low.size_in)
        self.edges.pop(low.id)

    def _on_line(self, e: DEdge, xy: XY) -> XY:
        """Return the foot of a plan position on an edge."""
        a, b = self.nodes[e.up].xy, self.nodes[e.down].xy
        ll = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
        if ll < 1.0:
            return a
        t = ((xy[0] - a[0]) * (b[0] - a[0]) + (xy[1] - a[1]) * (b[1] - a[1])) / ll
        return (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)

    def mark(self) -> Mark:
        """Return a mark to go back to."""
        return Mark(
            [n.copy() for n in self.nodes.values()],
            [e.copy() for e in self.edges.values()],
            [s.copy() for s in self.stacks],
            self._next,
        )

    def copy(self) -> Board:
        """Return a board of its own with the same pipes, to try something on."""
        other = Board(self.fits, self.short_in)
        other.undo(self.mark())
        return other

    def undo(self, mark: Mark) -> None:
        """Go back to a mark."""
        self.nodes = {n.id: n.copy() for n in mark.nodes}
        self.edges = {e.id: e.copy() for e in mark.edges}
        self.stacks[:] = [s.copy() for s in mark.stacks]
        self._next = mark.next_id

    # --- heights of drains ------------------------------------------------------------------------------------

    def _comp(self, root: int, flat_up: dict[int, list[DEdge]]) -> Tree:
        """Return each node's rise over its level tree's root, the edges, and the root's highest and lowest place."""
        rise = {root: 0.0}
        stack, used = [root], []
        top, low = self.nodes[root].cap, -math.inf
        while stack:
            at = stack.pop()
            for e in flat_up.get(at, ()):
                if e.up in rise:
                    continue
                rise[e.up] = rise[at] + e.slope * self.plan(e)
                up = self.nodes[e.up]
                top = min(top, up.cap - rise[e.up])
                if up.fixed and up.z is not None:  # an arm at the height of its stub-out
                    low = max(low, up.z - rise[e.up])
                for q in e.parts:
                    top = min(top, q.hi - rise[at] - e.slope * q.far)
                    low = max(low, q.lo - rise[at] - e.slope * q.near)
                used.append(e)
                stack.append(e.up)
        return rise, used, top, low

    def _ceilings(self, flat_up: dict[int, list[DEdge]], trees: dict[int, Tree] | None = None) -> dict[int, float]:
        """Return for every level tree the highest its root may be, so that what drops into it still has its drop.

        The trees looked at on the way are put into `trees`, by their roots.
        """
        trees = {} if trees is None else trees
        drops = self.drops()
        has_flat_out = {e.up for e in self.edges.values() if e.system == "drain" and not e.plumb}
        known: dict[int, float] = {}

        def ceiling(root: int, depth: int = 0) -> float:
            if root in known or depth > 60:
                return known.get(root, math.inf)
            known[root] = math.inf
            trees[root] = self._comp(root, flat_up)
            rise, _, top, _ = trees[root]
            for i, r in rise.items():
                if self.nodes[i].fixed and self.nodes[i].z is not None:
                    top = min(top, (self.nodes[i].z or 0.0) - r)
                for e in drops.get(i, ()):
                    top = min(top, ceiling(e.up, depth + 1) - self.fits.drop(e.size_in) - r)
            known[root] = top
            return top

        for e in self.edges.values():
            if e.system == "drain":
                for i in (e.up, e.down):
                    if i not in has_flat_out:
                        ceiling(i)
        for s in self.stacks:
            for i in s.nodes:
                ceiling(i)
        return known

    def drops(self) -> dict[int, list[DEdge]]:
        """Return the plumb drains but for stacks, by the point they come down to."""
        out: dict[int, list[DEdge]] = {}
        for e in self.edges.values():
            if e.plumb and e.system == "drain" and e.role is not Role.STACK:
                out.setdefault(e.down, []).append(e)
        return out

    def drop(self, e: DEdge, height: float) -> Drop:
        """Return a plumb drain as a drop of a height."""
        return Drop(e.size_in, e.role in FIXTURE_ROLES and e.size_in in self.short_in, height)

    def short_of_room(self) -> tuple[int, int]:
        """Return how many level trees that end in a stack want more height than there is, and how many joints do."""
        flat_up: dict[int, list[DEdge]] = {}
        for e in self.edges.values():
            if e.system == "drain" and not e.plumb:
                flat_up.setdefault(e.down, []).append(e)
        count = 0
        trees: dict[int, Tree] = {}
        tops = self._ceilings(flat_up, trees)
        drops = self.drops()
        lying: list[tuple[DEdge, float, float]] = []
        tight = 0
        for s in self.stacks:
            joints: list[StackJoint] = []
            for i in s.nodes:
                rise, used, own, low = trees[i]
                count += tops[i] < low - 0.5
                if not math.isinf(tops[i]):
                    lying += [(e, tops[i] + rise[e.up], tops[i] + rise[e.down]) for e in used]
                    over = [self.drop(e, tops[e.up] - tops[i] - r) for n, r in rise.items() for e in drops.get(n, ())]
                    room = 0.0 if any(self.nodes[n].fixed for n in rise) else own - tops[i]
                    joints.append(StackJoint(self.nodes[i], tops[i], min(low, tops[i]), lifts(self.fits, over, room)))
            tight += spread(self, joints)
        around = [self._around(one[0]) for one in lying]
        for k, one in enumerate(lying):
            x0, y0, x1, y1 = around[k]
            for two, (u0, v0, u1, v1) in zip(lying[k + 1 :], around[k + 1 :], strict=True):
                if x0 <= u1 and u0 <= x1 and y0 <= v1 and v0 <= y1:
                    count += self._clash(one, two)
        return count, tight

    def _around(self, e: DEdge) -> tuple[float, float, float, float]:
        """Return a plan rectangle about an edge so wide that two which clash overlap: x and y from, x and y to."""
        (ax, ay), (bx, by) = self.nodes[e.up].xy, self.nodes[e.down].xy
        wide = CLASH_MM + 0.05 * (abs(ax - bx) + abs(ay - by))  # nearly parallel ones spread, crossings reach past ends
        return min(ax, bx) - wide, min(ay, by) - wide, max(ax, bx) + wide, max(ay, by) + wide

    def _clash(self, one: tuple[DEdge, float, float], two: tuple[DEdge, float, float]) -> bool:
        """Return whether two level pipes of upper floors would cross in one another at their highest places."""
        e, f = one[0], two[0]
        if {e.up, e.down} & {f.up, f.down}:
            return False
        if self.nodes[e.down].stack >= 0 and self.nodes[e.down].stack == self.nodes[f.down].stack:
            return False  # joints of one stack are spread along it afterwards
        a, b, c, d = (self.nodes[n].xy for n in (e.up, e.down, f.up, f.down))
        ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
        cross = ux * vy - uy * vx
        lu, lv = math.hypot(ux, uy), math.hypot(vx, vy)
        if lu < 1.0 or lv < 1.0:
            return False
        near = (e.size_in + f.size_in + 1.0) * 25.4 / 2  # nominal sizes and a wall each
        if abs(cross) < 0.02 * lu * lv:  # side by side
            if abs((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / lu > near:
                return False
            s0, s1 = sorted(((v[0] - a[0]) * ux + (v[1] - a[1]) * uy) / lu for v in (c, d))
            return min(s1, lu) - max(s0, 0.0) > 30.0 and abs((one[1] + one[2] - two[1] - two[2]) / 2) < near
        t = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / cross
        w = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / cross
        if not (-0.02 < t < 1.02 and -0.02 < w < 1.02):
            return False
        apart = abs(one[1] + (one[2] - one[1]) * t - (two[1] + (two[2] - two[1]) * w))
        return apart < near

    def solve_drains(self) -> list[Trouble]:
        """Give every drain node its height; return where the heights do not work out."""
        troubles: list[Trouble] = []
        for e in self.edges.values():
            if e.system == "drain":
                for i in (e.up, e.down):
                    if not self.nodes[i].fixed:
                        self.nodes[i].z = None
        flat_up: dict[int, list[DEdge]] = {}
        has_flat_out: set[int] = set()
        for e in self.edges.values():
            if e.system == "drain" and not e.plumb:
                flat_up.setdefault(e.down, []).append(e)
                has_flat_out.add(e.up)
        ids = sorted({n for e in self.edges.values() if e.system == "drain" for n in (e.up, e.down)})
        roots = [n for n in ids if n not in has_flat_out]

        def floor_of(root: int) -> float:
            """Return the lowest height the root may have: above whatever it drops into."""
            low = -math.inf
            for e in self.edges.values():
                if e.system == "drain" and e.plumb and e.up == root:
                    below = self.nodes[e.down]
                    if below.z is not None:
                        low = max(low, below.z + self.fits.drop(e.size_in))
            return low

        ceilings = self._ceilings(flat_up)
        pending = list(roots)
        while pending:
            progress = False
            for root in list(pending):
                n = self.nodes[root]
                plumb_out = [e for e in self.edges.values() if e.system == "drain" and e.plumb and e.up == root]
                if any(self.nodes[e.down].z is None for e in plumb_out):
                    continue
                if n.stack >= 0 and self.nodes[self.stacks[n.stack].foot].z is None:
                    continue
                rise, _, top, span_low = self._comp(root, flat_up)
                top = min(top, ceilings.get(root, top))
                fixed = [(self.nodes[i].z or 0.0) - r for i, r in rise.items() if self.nodes[i].fixed]
                low = floor_of(root)
                # from the connection up the search has already held every leg against its heights
                held = n.kind is PointKind.SEWER or n.fixed
                if not held:
                    low = max(low, span_low)
                if fixed:
                    z0 = min(fixed)
                elif math.isinf(top):
                    z0 = low if not math.isinf(low) else 0.0
                else:
                    z0 = top
                if z0 < low - 0.6 and not n.drawn:
                    troubles.append(Trouble(root, low, z0, "lower than what it drains into"))
                if z0 > top + 0.6 and not held and not n.drawn:
                    troubles.append(Trouble(root, top, z0, "higher than the frame leaves"))
                for i, r in rise.items():
                    if not self.nodes[i].drawn:
                        self.nodes[i].z = z0 + r
                pending.remove(root)
                progress = True
            if not progress:
                troubles += [Trouble(root, 0.0, 0.0, NOWHERE) for root in pending]
                break
        return troubles
