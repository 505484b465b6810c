"""The layout as a graph with flow order and loads. Lengths [mm], slopes [m/m], loads in the book's fixture units."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from stubout.geometry.vec import Vec
from stubout.layout.model import Place, Point, PointKind, Role, Run, TrapPlan, VentMethod

__all__ = ["Network", "Node", "Pipe", "Place", "Point", "PointKind", "Role", "Run", "TrapPlan", "VentMethod"]


@dataclass(frozen=True, slots=True)
class Node:
    """One point, with the pipes that meet there."""

    id: str
    at: Vec
    kind: PointKind
    tag: str
    inflow: tuple[str, ...]  # pipe ids that end here
    outflow: tuple[str, ...]  # pipe ids that start here


@dataclass(frozen=True, slots=True)
class Pipe:
    """One straight pipe run. Drains go down stream, vents towards the open air."""

    id: str
    system: str  # "drain" | "vent"
    role: Role
    start: str  # node ids
    end: str
    a: Vec  # centre line at the start
    b: Vec
    place: Place
    tag: str
    size_in: float  # final after sizing
    load: float  # fixture units: drained through it, or vented by it
    tags: tuple[str, ...]  # fixtures upstream (drain) or vented (vent), sorted
    wet: bool = False  # a drain that also vents
    vent_length_mm: float = 0.0  # developed length by the book's measure, vents only
    drawn: bool = False
    vents_by: VentMethod | None = None  # the job says that what joins this drain gets its air through it, and how
    said: Literal["", "installed", "kept"] = ""  # of a drawn pipe: in place already, or laid out before and kept
    material: str = ""  # of an installed pipe, "" while nobody has said; all other is of the job's

    @property
    def length_mm(self) -> float:
        """Return the length along the pipe [mm]."""
        return self.a.to(self.b)

    @property
    def plan_mm(self) -> float:
        """Return the length seen from above [mm]."""
        return math.hypot(self.b[0] - self.a[0], self.b[1] - self.a[1])

    @property
    def fall_mm(self) -> float:
        """Return the drop from start to end [mm]; negative when it climbs."""
        return self.a.z - self.b.z

    @property
    def vertical(self) -> bool:
        """Return whether the pipe is within 45 degrees of plumb (common definition of the books)."""
        return abs(self.a.z - self.b.z) >= self.plan_mm - 1e-9

    @property
    def slope(self) -> float:
        """Return fall over plan length [m/m]; 0 for a vertical pipe."""
        return 0.0 if self.vertical else self.fall_mm / self.plan_mm


@dataclass(frozen=True, slots=True)
class Network:
    """Nodes and pipes in flow order (upstream first for drains, then vents)."""

    nodes: tuple[Node, ...]
    pipes: tuple[Pipe, ...]
    traps: tuple[TrapPlan, ...]
    _node: dict[str, Node] = field(default_factory=dict, repr=False, compare=False)
    _pipe: dict[str, Pipe] = field(default_factory=dict, repr=False, compare=False)
    _of: dict[str, tuple[Pipe, ...]] = field(default_factory=dict, repr=False, compare=False)  # by system

    def __post_init__(self) -> None:
        self._of.update({s: tuple(p for p in self.pipes if p.system == s) for s in ("drain", "vent")})
        self._node.update({n.id: n for n in self.nodes})
        self._pipe.update({p.id: p for p in self.pipes})

    def node(self, node_id: str) -> Node:
        """Return a node by id; KeyError if there is none."""
        return self._node[node_id]

    def pipe(self, pipe_id: str) -> Pipe:
        """Return a pipe by id; KeyError if there is none."""
        return self._pipe[pipe_id]

    def drains(self) -> tuple[Pipe, ...]:
        """Return the drains, upstream first."""
        return self._of["drain"]

    def vents(self) -> tuple[Pipe, ...]:
        """Return the vents, from the take-offs up."""
        return self._of["vent"]

    def downstream(self, pipe: Pipe) -> tuple[Pipe, ...]:
        """Return the pipes a pipe flows into, to the end, nearest first."""
        out: list[Pipe] = []
        seen = {pipe.id}
        node = self._node[pipe.end]
        while True:
            nxt = [self._pipe[i] for i in node.outflow if self._pipe[i].system == pipe.system and i not in seen]
            if not nxt:
                return tuple(out)
            out.append(nxt[0])
            seen.add(nxt[0].id)
            node = self._node[nxt[0].end]
