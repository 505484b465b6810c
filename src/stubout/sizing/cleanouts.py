"""Cleanouts and their extensions after sizing: as large as the book asks for the drain they open, grown or not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stubout import units
from stubout.layout.model import CleanoutPlan, Role
from stubout.network.model import Network, Pipe
from stubout.problems import NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook
from stubout.sizing.need import Need, Sizes


def raise_extensions(sizes: Sizes) -> None:
    """Make the extension of a cleanout as large as its cleanout; all drains must be settled.

    Args:
        sizes: Sizes so far.
    """
    for p in sizes.network.drains():
        if p.role is not Role.CLEANOUT_EXT:
            continue
        served = max((sizes.final[d.id] for d in _served(sizes.network, p.start)), default=0.0)
        least = _least(sizes.book, served)
        if least is not None:
            words = f"cleanout of a {units.size(served)} in drain: {least.printed} at least"
            sizes.raise_to(p, Need(least.number, words, (least.basis,)))


def sized_cleanouts(plans: Sequence[CleanoutPlan], network: Network, book: RuleBook) -> tuple[CleanoutPlan, ...]:
    """Return the cleanouts as large, and with as much free space, as the drains they open now ask for.

    Args:
        plans: As planned with the sizes the layout reckoned with; drawn ones are kept as drawn.
        network: The network with final sizes.
        book: The rule book.
    """
    return tuple(_sized(p, network, book) for p in plans)


def _sized(plan: CleanoutPlan, network: Network, book: RuleBook) -> CleanoutPlan:
    meets = _served(network, plan.point)
    served = max((p.size_in for p in meets), default=0.0)
    least = _least(book, served)
    if least is None or least.number <= plan.size_in + 1e-9 or any(p.drawn for p in meets):
        return plan
    cells = [least]
    clear = plan.clearance_mm
    try:
        space = queries.cleanout_clearance(book, served)
        cells.append(space)
        clear = max(clear, space.number)
    except NotInBook:
        pass
    basis = tuple(dict.fromkeys((*plan.basis, *(c.basis for c in cells))))
    return replace(plan, size_in=least.number, clearance_mm=clear, basis=basis)


def _served(network: Network, node: str, seen: frozenset[str] = frozenset()) -> list[Pipe]:
    """Return the drains that a cleanout at a node opens, looking through its extension."""
    out: list[Pipe] = []
    here = network.node(node)
    for i in (*here.inflow, *here.outflow):
        pipe = network.pipe(i)
        if pipe.system != "drain" or pipe.id in seen:
            continue
        if pipe.role is Role.CLEANOUT_EXT:
            out += _served(network, pipe.end if pipe.start == node else pipe.start, seen | {pipe.id})
        else:
            out.append(pipe)
    return out


def _least(book: RuleBook, served_in: float) -> Cell | None:
    """Return the least cleanout of a drain, None where the book has none."""
    if not served_in:
        return None
    try:
        return queries.cleanout_size(book, served_in)
    except NotInBook:
        return None
