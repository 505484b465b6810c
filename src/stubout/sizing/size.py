"""Network and book to final sizes, with a derivation for the load, size and fall of every pipe."""

from __future__ import annotations

from dataclasses import replace

from stubout import units
from stubout.house.model import House
from stubout.layout.model import Layout
from stubout.network.loads import load_of
from stubout.network.measure import measure_of
from stubout.network.model import Network, Pipe
from stubout.problems import Basis, Derivation
from stubout.rulebooks.model import RuleBook
from stubout.sizing.cleanouts import raise_extensions
from stubout.sizing.drains import size_drain
from stubout.sizing.flow import flow_derivation
from stubout.sizing.levels import fall_derivation
from stubout.sizing.need import Need, Sizes, size_derivation
from stubout.sizing.openair import building_vent, frost, total_area
from stubout.sizing.vents import size_vent
from stubout.sizing.wet import wet_needs


def size(
    network: Network, layout: Layout, house: House, book: RuleBook, framing: RuleBook
) -> tuple[Network, tuple[Derivation, ...]]:
    """Return the network with final sizes and how every load, size and fall came about.

    A size the layout reckoned with or the user drew is kept where it is the larger one; the derivation says which.

    Args:
        network: The network with loads and vent lengths, sizes as reckoned.
        layout: Not read: what it reckoned is in the network.
        house: The house.
        book: The rule book, amendments applied.
        framing: Not read: sizes do not bend to the frame.
    """
    del layout, framing
    sizes = Sizes(network, house, book, traps_in={t.tag: t.trap_in for t in network.traps})
    _settle_drains(sizes)
    _settle_vents(sizes)
    while _drains_under_vents(sizes):  # drains and vents raise each other; sizes only grow, so it ends
        _settle_drains(sizes)
        _settle_vents(sizes)
    raise_extensions(sizes)
    pipes = tuple(replace(p, size_in=sizes.final[p.id]) for p in network.pipes)
    final = Network(network.nodes, pipes, network.traps)
    return final, _derivations(sizes, final)


_KEPT = ("one open vent", "vent area", "not smaller than the vent")  # frost and wet vents are reckoned anew


def _settle(sizes: Sizes, pipe: Pipe) -> None:
    """Settle a pipe anew and keep the needs that it got as one of many."""
    extra = [n for n in sizes.needs.get(pipe.id, []) if n.words.startswith(_KEPT)]
    (size_drain if pipe.system == "drain" else size_vent)(sizes, pipe)
    for n in extra:
        sizes.raise_to(pipe, n)


def _settle_drains(sizes: Sizes) -> None:
    """Settle every drain upstream first, wet vents with what they need as vents."""
    for p in sizes.network.drains():
        _settle(sizes, p)
    wet = wet_needs(sizes)
    for p in sizes.network.drains():
        _settle(sizes, p)
        if p.id in wet:
            sizes.raise_to(p, wet[p.id])


def _settle_vents(sizes: Sizes) -> None:
    """Settle every vent from the take-offs up, then raise what they need together, and last against frost."""
    for p in sizes.network.vents():
        _settle(sizes, p)
    while building_vent(sizes) or total_area(sizes):
        for p in sizes.network.vents():
            _settle(sizes, p)
    frost(sizes)


def _drains_under_vents(sizes: Sizes) -> bool:
    """Raise drains that are smaller than a vent connected to them, where the book forbids it."""
    rule = sizes.book.find("drain.not_below_vent")
    if rule is None or rule.value is not True:
        return False
    grew = False
    for v in sizes.network.vents():
        node = sizes.network.node(v.start)
        for i in node.outflow:
            p = sizes.network.pipe(i)
            if p.system == "drain" and sizes.final[p.id] < sizes.needed[v.id] - 1e-9:
                words = f"not smaller than the vent {v.id} on it: {units.size(sizes.needed[v.id])} in"
                grew = sizes.raise_to(p, Need(sizes.needed[v.id], words, (rule.basis,))) or grew
    return grew


def _derivations(sizes: Sizes, final: Network) -> tuple[Derivation, ...]:
    """Return load, size, and fall and flow or developed length of every pipe, in flow order."""
    out: list[Derivation] = []
    u, unit = sizes.house.job.units, sizes.book.load_unit
    measure = measure_of(sizes.book.family)
    for p in final.pipes:
        load = load_of(sizes.book, sizes.fixtures(p.tags), sizes.traps_in)
        word = "drained" if p.system == "drain" else "vented"
        out.append(Derivation(p.id, "load", f"{p.load:g} {unit} {word}", load.steps, load.bases))
        out.append(size_derivation(sizes, sizes.network.pipe(p.id)))
        if p.system == "drain":
            out.append(fall_derivation(p, sizes.house, sizes.book))
            flow = flow_derivation(p, sizes.house, sizes.book)
            if flow is not None:
                out.append(flow)
        else:
            text = units.named(p.vent_length_mm, u)
            basis: tuple[Basis, ...] = (measure.basis(sizes.book.id),)
            out.append(Derivation(p.id, "developed length", text, (measure.words,), basis))
    return tuple(out)
