"""A copy of a design in which some points stand elsewhere: pipes, stub-outs, holes and pieces follow. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from stubout.catalog.model import Catalog
from stubout.catalog.queries import measured_catalog
from stubout.design import Design
from stubout.fabrication.joining import SEAT_TOL_MM, room
from stubout.fabrication.model import CutPiece, FittingUse
from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import flow_of
from stubout.layout.model import PointKind, Role, Run, StubMark
from stubout.network.measure import measure_of
from stubout.network.model import Network, Node, Pipe
from stubout.network.vents import developed_lengths

T = TypeVar("T")

ALONG = 0.95  # cosine from which a pipe counts as lying in the direction of the move: it grows or shrinks


def carried(net: Network, seeds: Iterable[str], way: Vec) -> frozenset[str]:
    """Return the nodes that go along when some are moved in a direction; empty if the sewer would.

    A pipe in the direction of the move is cut longer or shorter. Moved sideways, a plumb pipe goes along whole, and so
    does a trap arm. Moved up or down, an arm goes along whole from the trap on. Any other pipe is laid anew between
    its ends, one of which moved.

    Args:
        net: The network.
        seeds: The nodes of the mark itself.
        way: Direction of the move, length one.
    """
    moved = set(seeds)
    front = list(moved)
    while front:
        node = net.node(front.pop())
        for pipe in (net.pipe(i) for i in (*node.inflow, *node.outflow)):
            far = pipe.end if pipe.start == node.id else pipe.start
            if far not in moved and _rigid(pipe, node.id, way):
                moved.add(far)
                front.append(far)
    fixed = any(net.node(i).kind is PointKind.SEWER for i in moved)
    return frozenset() if fixed else frozenset(moved)


def _rigid(pipe: Pipe, from_node: str, way: Vec) -> bool:
    if pipe.length_mm < 1.0:
        return True
    if abs(pipe.b.minus(pipe.a).unit().dot(way)) > ALONG:
        return False
    if way.z:  # an arm keeps its fall when its trap is moved; its vent fitting alone changes it
        return pipe.role is Role.TRAP_ARM and pipe.start == from_node
    return pipe.vertical or pipe.role in (Role.TRAP_ARM, Role.FIXTURE_DRAIN)


def marked_nodes(design: Design) -> dict[str, str]:
    """Return the node that the mark of each stub-out goes along with: its trap, or its riser that is clear of the wall.

    Args:
        design: The design, or a part of it.
    """
    ends = {p.id: p.end for p in design.network.pipes}
    clear = {s.tag for s in design.stubs if s.place.clear}
    return {
        t.tag: ends.get(t.arm_runs[-1], t.weir) if t.tag in clear and t.arm_runs else t.weir
        for t in design.network.traps
    }


@dataclass(frozen=True, slots=True)
class Moved:
    """A design with points moved, and which of its pipes are touched."""

    design: Design
    pipes: frozenset[str]


def move(design: Design, nodes: frozenset[str], by: Vec) -> Moved:
    """Return the design with some nodes moved [mm].

    Holes stay as listed (`near.py` bores them anew), so do developed lengths of vents (`measured`).
    """
    return Mover(design, nodes).move(by)


@dataclass(frozen=True, slots=True)
class _Places:
    """Where in a design that stands what a move changes: a move then passes over all the rest."""

    nodes: tuple[int, ...]
    pipes: tuple[int, ...]
    traps: tuple[int, ...]
    stubs: tuple[int, ...]
    fittings: tuple[int, ...]
    pieces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """Some nodes of a network moved, and their pipes, by id."""

    by: Vec
    nodes: dict[str, Node]
    pipes: dict[str, Pipe]
    grown: dict[str, float]  # pipe -> what it is longer [mm]
    turned: bool  # a pipe stands now that lay, or lies now that stood
    each: Mapping[str, Vec] = field(default_factory=dict)  # nodes that are moved otherwise than `by`

    def of(self, node_id: str) -> Vec:
        """Return by how much a node is moved [mm]."""
        return self.each.get(node_id, self.by)


def _where(items: tuple[T, ...], holds: Callable[[T], bool]) -> tuple[int, ...]:
    return tuple(i for i, one in enumerate(items) if holds(one))


def _changed(items: tuple[T, ...], places: tuple[int, ...], change: Callable[[T], T]) -> tuple[T, ...]:
    out = list(items)
    for i in places:
        out[i] = change(items[i])
    return tuple(out)


@dataclass(slots=True)
class Mover:
    """Some nodes of a design, and all that goes along with them, found once for many moves."""

    design: Design
    nodes: frozenset[str]
    pipes: frozenset[str] = field(init=False)
    _parts: Catalog = field(init=False)
    _at: _Places = field(init=False)
    _marked: dict[str, str] = field(init=False)  # tag -> node, of the stub-outs that go along

    def __post_init__(self) -> None:
        net, nodes = self.design.network, self.nodes
        self.pipes = frozenset(p.id for p in net.pipes if p.start in nodes or p.end in nodes)
        self._parts = measured_catalog(self.design.house.measured)
        tags = self._marked = {tag: node for tag, node in marked_nodes(self.design).items() if node in nodes}
        fab = self.design.fabrication
        longest: dict[tuple[str, ...], int] = {}  # straight run -> the piece that takes its growth
        for i, p in sorted(enumerate(fab.pieces), key=lambda pair: (-pair[1].cut_mm, pair[1].id)):
            longest.setdefault(p.pipes or (p.pipe,), i)
        self._at = _Places(
            nodes=_where(net.nodes, lambda n: n.id in nodes),
            pipes=_where(net.pipes, lambda p: p.id in self.pipes),
            traps=_where(net.traps, lambda t: t.weir in nodes),
            stubs=_where(self.design.stubs, lambda s: s.tag in tags),
            fittings=_where(fab.fittings, lambda f: f.node in nodes or (f.in_run and f.pipes[0] in self.pipes)),
            pieces=tuple(i for run, i in longest.items() if self.pipes.intersection(run)),
        )

    def move(self, by: Vec) -> Moved:
        """Return the design with the nodes moved, as the function `move` does [mm]."""
        return Moved(self.put(self.shift(by)), self.pipes)

    def shift(self, by: Vec, each: Mapping[str, Vec] | None = None) -> Shift:
        """Return the nodes moved, and their pipes [mm].

        Args:
            by: How far all are moved.
            each: How far some are moved instead, by node.
        """
        net = self.design.network
        own = each or {}
        nodes = {n.id: replace(n, at=n.at.plus(own.get(n.id, by))) for n in (net.nodes[i] for i in self._at.nodes)}
        pipes: dict[str, Pipe] = {}
        grown: dict[str, float] = {}
        turned = False
        for old in (net.pipes[i] for i in self._at.pipes):
            a, b = ((nodes.get(i) or net.node(i)).at for i in (old.start, old.end))
            new = pipes[old.id] = replace(old, a=a, b=b)
            longer_mm = new.length_mm - old.length_mm
            if abs(longer_mm) > 1e-6:
                grown[old.id] = longer_mm
            turned = turned or new.vertical != old.vertical
        return Shift(by, nodes, pipes, grown, turned, own)

    def put(self, shift: Shift) -> Design:
        """Return the design with a shift of its nodes; the shift may come from a larger part of the same design."""
        design, grown = self.design, shift.grown
        net, fab = design.network, design.fabrication
        pieces = _changed(fab.pieces, self._at.pieces, lambda p: self._piece(p, grown)) if grown else fab.pieces
        if self._at.fittings or pieces is not fab.pieces:
            fittings = _changed(fab.fittings, self._at.fittings, lambda f: replace(f, at=self._fitting_at(f, shift)))
            fab = replace(fab, fittings=fittings, pieces=pieces)
        return replace(
            design,
            network=Network(
                _changed(net.nodes, self._at.nodes, lambda n: shift.nodes[n.id]),
                _changed(net.pipes, self._at.pipes, lambda p: shift.pipes[p.id]),
                _changed(net.traps, self._at.traps, lambda t: replace(t, weir_z_mm=t.weir_z_mm + shift.of(t.weir).z)),
            ),
            stubs=_changed(design.stubs, self._at.stubs, lambda s: _stub(design, s, shift.of(self._marked[s.tag]))),
            fabrication=fab,
        )

    def _fitting_at(self, f: FittingUse, shift: Shift) -> Vec:
        """Return where a fitting stands; a coupling in a run goes along with its pipe, in the same share of it."""
        if not f.in_run:
            return f.at.plus(shift.of(f.node))
        old, new = self.design.network.pipe(f.pipes[0]), shift.pipes[f.pipes[0]]
        share = old.a.to(f.at) / max(old.length_mm, 1e-9)
        return new.a.plus(new.b.minus(new.a).times(share))

    def _piece(self, p: CutPiece, grown: dict[str, float]) -> CutPiece:
        """Return the longest piece of a straight run with what the run has grown."""
        by = sum(grown.get(i, 0.0) for i in p.pipes or (p.pipe,))
        if not by:
            return p
        fits = p.fits and _fits(p, p.cut_mm + by, by, self._parts.socket_mm(p.size_in))
        return replace(p, centre_mm=p.centre_mm + by, cut_mm=p.cut_mm + by, fits=fits)


def _stub(design: Design, stub: StubMark, by: Vec) -> StubMark:
    wall = next((w for w in design.house.walls if w.id == stub.wall_id), None)
    if wall is None:
        return stub
    out = by.dot(wall.leftward) * (1.0 if stub.side == "left" else -1.0) if stub.place.clear else 0.0
    return replace(
        stub,
        mark_z_mm=stub.mark_z_mm + by.z,
        station_mm=stub.station_mm + by.dot(wall.along),
        place=replace(stub.place, from_face_mm=stub.place.from_face_mm + out) if out else stub.place,
    )


def measured(design: Design) -> Design:
    """Return a moved design with the developed lengths of its vents measured anew."""
    net = design.network
    runs = [
        Run(p.id, "drain" if p.system == "drain" else "vent", p.role, p.start, p.end, p.place, p.size_in)
        for p in net.pipes
    ]
    flow = flow_of(runs, {n.id: n.at for n in net.nodes})
    lengths = developed_lengths(flow, {p.id: p.role for p in net.pipes}, measure_of(design.book.family))
    pipes = tuple(replace(p, vent_length_mm=lengths[p.id]) if p.id in lengths else p for p in net.pipes)
    return replace(design, network=Network(net.nodes, pipes, net.traps))


def _fits(piece: CutPiece, cut_mm: float, by_mm: float, socket_mm: float) -> bool:
    if piece.street:  # the spigot of a fitting: seated, give or take what both fittings may be out
        return abs(by_mm) <= SEAT_TOL_MM
    ends = (piece.start_fitting, piece.end_fitting)
    return room(cut_mm, sum(e not in ("", "trap", "terminal") for e in ends), socket_mm)
