"""Small changes of a finished design, each a pure function. Lengths [mm], sizes nominal [in].

Every one leaves the pipes joined; developed lengths of vents are measured anew. What is cut, bored and fixed is made
anew by `relisted`, as it is for a new job: a check that reads those lists is asked after that only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stubout.design import Design
from stubout.fabrication.build import fabricate_network
from stubout.fabrication.model import Fabrication
from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import flow_of
from stubout.layout.model import Run, StubMark
from stubout.network.measure import measure_of
from stubout.network.model import Network, Pipe
from stubout.network.vents import developed_lengths
from stubout.sizing.cleanouts import sized_cleanouts


def made_anew(design: Design) -> Fabrication:
    """Return fittings, pieces, holes, plates and supports as the pipes of a design ask for them."""
    return fabricate_network(
        design.network, design.house, design.book, design.framing, design.stubs, cleanouts=design.cleanouts
    )


def relisted(design: Design) -> Design:
    """Return a design with everything that is cut, bored and fixed made anew."""
    return replace(design, fabrication=made_anew(design))


def counted_anew(design: Design) -> Design:
    """Return a design in which nothing was changed, lists made and vents measured anew: what any edit does besides."""
    return relisted(replace(design, network=_measured(design.network, design.book.family)))


def moved(design: Design, nodes: Iterable[str], by: Vec) -> Design:
    """Return a design with some nodes moved [mm]; stub-outs and trap weirs go along, lists stay as they were."""
    gone = frozenset(nodes)
    net = design.network
    at = {n.id: n.at.plus(by) if n.id in gone else n.at for n in net.nodes}
    traps = tuple(replace(t, weir_z_mm=t.weir_z_mm + by.z) if t.weir in gone else t for t in net.traps)
    tags = {t.tag for t in traps if t.weir in gone}
    network = Network(
        tuple(replace(n, at=at[n.id]) if n.id in gone else n for n in net.nodes),
        tuple(replace(p, a=at[p.start], b=at[p.end]) if {p.start, p.end} & gone else p for p in net.pipes),
        traps,
    )
    stubs = tuple(_stub(design, s, by) if s.tag in tags else s for s in design.stubs)
    if any(p.system == "vent" and {p.start, p.end} & gone for p in net.pipes):
        network = _measured(network, design.book.family)
    return replace(design, network=network, stubs=stubs)


def _stub(design: Design, stub: StubMark, by: Vec) -> StubMark:
    wall = next((w for w in design.house.walls if w.id == stub.wall_id), None)
    along = by.dot(wall.along) if wall is not None else 0.0
    return replace(stub, mark_z_mm=stub.mark_z_mm + by.z, station_mm=stub.station_mm + along)


def _measured(net: Network, family: str) -> Network:
    runs = [
        Run(p.id, "drain" if p.system == "drain" else "vent", p.role, p.start, p.end, p.place, p.size_in)
        for p in net.pipes
    ]
    flow = flow_of(runs, {n.id: n.at for n in net.nodes})
    lengths = developed_lengths(flow, {p.id: p.role for p in net.pipes}, measure_of(family))
    pipes = tuple(replace(p, vent_length_mm=lengths[p.id]) if p.id in lengths else p for p in net.pipes)
    return Network(net.nodes, pipes, net.traps)


def resized(design: Design, pipe_ids: Iterable[str], size_in: float) -> Design:
    """Return a design with some pipes laid in another size [in]: drawn sizes and cleanouts follow, lists do not."""
    ids = frozenset(pipe_ids)
    net = design.network
    pipes = tuple(replace(p, size_in=size_in) if p.id in ids else p for p in net.pipes)
    legs = {i.rpartition(".")[0] or i for i in ids} | ids
    routes = tuple(
        replace(g, size_in=size_in) if g.id in legs and g.size_in is not None else g for g in design.house.routes
    )
    network = Network(net.nodes, pipes, net.traps)
    openings = sized_cleanouts(design.cleanouts, network, design.book)
    return replace(design, network=network, cleanouts=openings, house=replace(design.house, routes=routes))


def legs_of(design: Design, pipe_ids: Iterable[str]) -> tuple[str, ...]:
    """Return all pipes of the routes that some pipes are part of: "S1.3" is one of those of "S1"."""
    legs = {i.rpartition(".")[0] or i for i in pipe_ids}
    return tuple(p.id for p in design.network.pipes if (p.id.rpartition(".")[0] or p.id) in legs)


def smaller_downstream(design: Design, pipe: Pipe, size_in: float) -> tuple[str, ...]:
    """Return the pipe and those after it that are smaller than a size [in]: no drain gets smaller on its way."""
    return (pipe.id, *(p.id for p in design.network.downstream(pipe) if p.size_in < size_in))


def opened(design: Design, cleanout_id: str, size_in: float) -> Design:
    """Return a design with a cleanout of another size [in]."""
    return _cleanouts(design, cleanout_id, size_in, None)


def turned(design: Design, cleanout_id: str, opens: Vec) -> Design:
    """Return a design with a cleanout that opens another way (direction, length one)."""
    return _cleanouts(design, cleanout_id, None, opens)


def _cleanouts(design: Design, cleanout_id: str, size_in: float | None, opens: Vec | None) -> Design:
    new = tuple(
        replace(c, size_in=size_in or c.size_in, opens=opens or c.opens) if c.id == cleanout_id else c
        for c in design.cleanouts
    )
    return replace(design, cleanouts=new)


def refitted(design: Design, node: str, anew: Fabrication) -> Design:
    """Return a design with the fittings of one node as its pipes ask for them."""
    fab = design.fabrication
    others = tuple(f for f in fab.fittings if f.node != node)
    new = tuple(f for f in anew.fittings if f.node == node)
    return replace(design, fabrication=replace(fab, fittings=(*others, *new)))


def plated(design: Design, anew: Fabrication) -> Design:
    """Return a design with the plates and straps that its holes ask for."""
    return replace(design, fabrication=replace(design.fabrication, plates=anew.plates))


def hung(design: Design, anew: Fabrication) -> Design:
    """Return a design with the supports that its pipes ask for."""
    return replace(design, fabrication=replace(design.fabrication, hangers=anew.hangers))


def bored(design: Design, anew: Fabrication) -> Design:
    """Return a design with all holes that its pipes ask for, and their plates."""
    return replace(design, fabrication=replace(design.fabrication, bores=anew.bores, plates=anew.plates))
