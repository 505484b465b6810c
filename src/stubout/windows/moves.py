"""A copy of a design in which some points stand elsewhere: pipes, stub-outs, holes and pieces follow. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from stubout.catalog.queries import measured_catalog
from stubout.design import Design
from stubout.fabrication.joining import SEAT_TOL_MM, room
from stubout.fabrication.model import CutPiece
from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import flow_of
from stubout.layout.model import PointKind, Role, Run, StubMark
from stubout.network.measure import measure_of
from stubout.network.model import Network, Pipe
from stubout.network.vents import developed_lengths

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


@dataclass(frozen=True, slots=True)
class Moved:
    """A design with points moved, and which of its pipes are touched."""

    design: Design
    pipes: frozenset[str]


def move(design: Design, nodes: frozenset[str], by: Vec) -> Moved:
    """Return the design with some nodes moved [mm].

    Holes stay as listed (`near.py` bores them anew), so do developed lengths of vents (`measured`).
    """
    net = design.network
    at = {n.id: n.at.plus(by) if n.id in nodes else n.at for n in net.nodes}
    pipes = tuple(
        replace(p, a=at[p.start], b=at[p.end]) if p.start in nodes or p.end in nodes else p for p in net.pipes
    )
    touched = frozenset(p.id for p in pipes if p.start in nodes or p.end in nodes)
    grown = {
        p.id: p.length_mm - q.length_mm
        for p, q in zip(pipes, net.pipes, strict=True)
        if p.id in touched and abs(p.length_mm - q.length_mm) > 1e-6
    }
    moved_nodes = tuple(replace(n, at=at[n.id]) if n.id in nodes else n for n in net.nodes)
    traps = tuple(replace(t, weir_z_mm=t.weir_z_mm + by.z) if t.weir in nodes else t for t in net.traps)
    weirs = {t.tag for t in traps if t.weir in nodes}
    fab = design.fabrication
    moved = replace(
        design,
        network=Network(moved_nodes, pipes, traps),
        stubs=tuple(_stub(design, s, by) if s.tag in weirs else s for s in design.stubs),
        fabrication=replace(
            fab,
            fittings=tuple(replace(f, at=f.at.plus(by)) if f.node in nodes else f for f in fab.fittings),
            pieces=_pieces(design, grown),
        ),
    )
    return Moved(moved, touched)


def _stub(design: Design, stub: StubMark, by: Vec) -> StubMark:
    wall = next((w for w in design.house.walls if w.id == stub.wall_id), None)
    if wall is None:
        return stub
    return replace(stub, mark_z_mm=stub.mark_z_mm + by.z, station_mm=stub.station_mm + by.dot(wall.along))


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


def _pieces(design: Design, grown: dict[str, float]) -> tuple[CutPiece, ...]:
    """Return the cut pieces with what their straight run has grown; the longest piece of a run takes it."""
    pieces = design.fabrication.pieces
    if not grown:
        return pieces
    parts = measured_catalog(design.house.measured)
    longest: dict[tuple[str, ...], str] = {}
    for p in sorted(pieces, key=lambda p: (-p.cut_mm, p.id)):
        longest.setdefault(p.pipes or (p.pipe,), p.id)

    def cut(p: CutPiece) -> CutPiece:
        run = p.pipes or (p.pipe,)
        by = sum(grown.get(i, 0.0) for i in run)
        if not by or longest[run] != p.id:
            return p
        fits = p.fits and _fits(p, p.cut_mm + by, by, parts.socket_mm(p.size_in))
        return replace(p, centre_mm=p.centre_mm + by, cut_mm=p.cut_mm + by, fits=fits)

    return tuple(cut(p) for p in pieces)


def _fits(piece: CutPiece, cut_mm: float, by_mm: float, socket_mm: float) -> bool:
    if piece.street:  # the spigot of a fitting: seated, give or take what both fittings may be out
        return abs(by_mm) <= SEAT_TOL_MM
    ends = (piece.start_fitting, piece.end_fitting)
    return room(cut_mm, sum(e not in ("", "trap", "terminal") for e in ends), socket_mm)
