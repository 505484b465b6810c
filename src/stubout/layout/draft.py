"""The drawing board: nodes and edges that grow while the engine works, and the heights that follow. Lengths [mm].

Edges go in flow direction in a drain and towards the open air in a vent. Horizontal edges fall by their slope; plumb
edges take up what height is left over. Heights are solved once all drains are drawn: from the sewer up where the fall
is fixed, as high as the frame allows where a drain ends in a stack.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from stubout.layout.model import Place, PointKind, Role
from stubout.layout.space import XY
from stubout.layout.weights import LEAST_DROP_MM


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
    lo: float = -math.inf
    hi: float = math.inf
    sleeve: str = ""
    drawn: bool = False


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
    top: int = -1


@dataclass(frozen=True, slots=True)
class Trouble:
    """Heights that cannot be had."""

    node: int
    want: float
    have: float
    what: str


class Board:
    """All nodes, edges and stacks."""

    def __init__(self) -> None:
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
        self, up: DNode, down: DNode, system: str, role: Role, place: Place, size_in: float, *, tag: str = "",
        plumb: bool = False, slope: float = 0.0, lo: float = -math.inf, hi: float = math.inf, sleeve: str = "",
    ) -> DEdge:
        self._next += 1
        e = DEdge(self._next, up.id, down.id, system, role, place, size_in, tag, plumb, slope, lo, hi, sleeve)
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
        n = self.node(xy, kind)
        low = self.edge(n, self.nodes[e.down], e.system, e.role, e.place, e.size_in, tag=e.tag, plumb=e.plumb,
                        slope=e.slope, lo=e.lo, hi=e.hi, sleeve=e.sleeve)
        low.drawn = e.drawn
        e.down = n.id
        return n

    def undo_mark(self) -> tuple[dict[int, tuple[object, ...]], dict[int, tuple[object, ...]], int, list[list[int]], int]:
        """Return a mark to go back to."""
        nodes: dict[int, tuple[object, ...]] = {
            k: (n.xy, n.kind, n.z, n.tag, n.note, n.cap, n.stack) for k, n in self.nodes.items()
        }
        edges: dict[int, tuple[object, ...]] = {
            k: (e.up, e.down, e.system, e.role, e.place, e.size_in, e.tag, e.plumb, e.slope, e.lo, e.hi, e.sleeve, e.drawn)
            for k, e in self.edges.items()
        }
        return nodes, edges, len(self.stacks), [list(s.nodes) for s in self.stacks], self._next

    def undo(
        self, mark: tuple[dict[int, tuple[object, ...]], dict[int, tuple[object, ...]], int, list[list[int]], int]
    ) -> None:
        """Go back to a mark."""
        nodes, edges, stacks, lists, nxt = mark
        self.nodes = {k: DNode(k, *v) for k, v in nodes.items()}  # type: ignore[arg-type]  # stored in field order
        self.edges = {k: DEdge(k, *v) for k, v in edges.items()}  # type: ignore[arg-type]  # stored in field order
        del self.stacks[stacks:]
        for s, keep in zip(self.stacks, lists, strict=True):
            s.nodes[:] = keep
        self._next = nxt

    # --- heights of drains ------------------------------------------------------------------------------------

    def solve_drains(self) -> list[Trouble]:
        """Give every drain node its height; return where the heights do not work out."""
        troubles: list[Trouble] = []
        flat_up: dict[int, list[DEdge]] = {}
        has_flat_out: set[int] = set()
        for e in self.edges.values():
            if e.system == "drain" and not e.plumb:
                flat_up.setdefault(e.down, []).append(e)
                has_flat_out.add(e.up)
        done: set[int] = set()
        ids = sorted({n for e in self.edges.values() if e.system == "drain" for n in (e.up, e.down)})
        roots = [n for n in ids if n not in has_flat_out]

        def rises(root: int) -> tuple[dict[int, float], list[DEdge]]:
            rise = {root: 0.0}
            stack, used = [root], []
            while stack:
                at = stack.pop()
                for e in flat_up.get(at, ()):
                    if e.up in rise:
                        continue
                    rise[e.up] = rise[at] + e.slope * self.plan(e)
                    used.append(e)
                    stack.append(e.up)
            return rise, used

        def floor_of(root: int) -> float:
            """Return the lowest height the root may have: above whatever it drops into."""
            low = -math.inf
            for e in self.edges.values():
                if e.system == "drain" and e.plumb and e.up == root:
                    below = self.nodes[e.down]
                    if below.z is not None:
                        low = max(low, below.z + LEAST_DROP_MM)
            return low

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
                rise, used = rises(root)
                fixed = [self.nodes[i].z - r for i, r in rise.items() if self.nodes[i].z is not None]  # type: ignore[operator]
                top = math.inf
                for e in used:
                    top = min(top, e.hi - rise[e.up], e.hi - rise[e.down])
                for i, r in rise.items():
                    top = min(top, self.nodes[i].cap - r)
                low = floor_of(root)
                for e in used:
                    low = max(low, e.lo - rise[e.down])
                if fixed:
                    z0 = min(fixed)
                elif math.isinf(top):
                    z0 = low if not math.isinf(low) else 0.0
                else:
                    z0 = top
                if z0 < low - 0.6:
                    troubles.append(Trouble(root, low, z0, "lower than what it drains into"))
                if z0 > top + 0.6:
                    troubles.append(Trouble(root, top, z0, "higher than the frame leaves"))
                for i, r in rise.items():
                    self.nodes[i].z = z0 + r
                    done.add(i)
                pending.remove(root)
                progress = True
            if not progress:
                for root in pending:
                    troubles.append(Trouble(root, 0.0, 0.0, "drains into nothing"))
                break
        return troubles
