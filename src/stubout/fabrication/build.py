"""From the sized network to everything that is cut, bored, fixed and bought.

Works on the network's pipes and nodes alone, so that a hand-drawn system is fabricated like a designed one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from stubout.catalog.model import Catalog
from stubout.catalog.shipped import SHIPPED
from stubout.fabrication.bores import bores_in
from stubout.fabrication.in_place import noted, pipes_in_place, to_cut, to_hang, to_set, to_shield
from stubout.fabrication.insert import put_in, wall_orders
from stubout.fabrication.joined import Joined, joined
from stubout.fabrication.materials import materials, pipe_lines
from stubout.fabrication.measure import measure_first
from stubout.fabrication.model import Fabrication
from stubout.fabrication.protect import plates
from stubout.fabrication.stock import Yard, improved, plan, sums
from stubout.fabrication.stock_exact import better
from stubout.fabrication.supports import hangers
from stubout.fabrication.testing import closures
from stubout.fabrication.tolerance import run_tolerances
from stubout.house.model import House
from stubout.layout.model import CleanoutPlan, Layout, StubMark
from stubout.network.model import Network
from stubout.rulebooks.model import RuleBook

AT_THE_END = ("trap adapter", "closet flange")  # fittings that stand where the pipe comes out, not at its node
TURNS: dict[str, Literal["h-v", "v-h", "h-h"]] = {"h-v": "h-v", "v-h": "v-h", "h-h": "h-h"}


def fabricate(
    network: Network,
    layout: Layout,
    house: House,
    book: RuleBook,
    framing: RuleBook,
    *,
    catalog: Catalog = SHIPPED,
) -> Fabrication:
    """Return what a network asks of saw, drill and yard; of the layout only stub-outs and cleanouts are read.

    Args:
        network: The sized network.
        layout: Where stub-outs end and cleanouts open.
        house: The house.
        book: The plumbing rule book.
        framing: The framing rules.
        catalog: The catalogue without the job's measurements.
    """
    return fabricate_network(network, house, book, framing, layout.stubs, cleanouts=layout.cleanouts, catalog=catalog)


def fabricate_network(
    network: Network,
    house: House,
    book: RuleBook,
    framing: RuleBook,
    stubs: tuple[StubMark, ...] = (),
    *,
    cleanouts: tuple[CleanoutPlan, ...] = (),
    catalog: Catalog = SHIPPED,
) -> Fabrication:
    """Return fittings, cut pieces, bores, plates, supports, test closures, stock plan and material list.

    Args:
        network: The sized network.
        house: The house; its own measurements of fittings overrule the catalogue.
        book: The plumbing rule book.
        framing: The framing rules.
        stubs: Where each wall stub-out ends.
        cleanouts: Access openings planned on nodes of the network.
        catalog: The catalogue without the job's measurements.
    """
    parts = catalog.with_measured(house.measured)
    whole = joined(network, house, book, stubs, cleanouts=cleanouts, catalog=catalog)
    made = _bored(whole, network, house, book, framing)
    caps = closures(network, made.fittings, house, book)
    yard = yard_of(house, parts)
    there = pipes_in_place(network)
    pieces, fittings = to_cut(made.pieces, there), to_set(made.fittings, network)
    cut = {p.id for p in pieces}
    threaded = tuple(t for t in put_in(whole) if t.piece in cut)
    sticks = plan(pieces, yard)
    needed = materials(
        house,
        network,
        fittings=fittings,
        pieces=pieces,
        plates=to_shield(made.plates, made.bores, there),
        hangers=to_hang(made.hangers, there),
        caps=caps,
        sticks=sticks,
        catalog=parts,
    )
    stock = sums(pieces, sticks, yard)
    return replace(
        made,
        caps=caps,
        sticks=sticks,
        materials=needed,
        stock=stock,
        measure_first=measure_first(pieces, made.fittings, parts),
        tolerances=run_tolerances(made.pieces, made.fittings, parts),
        put_in=threaded,
        orders=wall_orders(pieces, network, house, threaded, whole.runs),
    )


def cut_and_bored(
    network: Network,
    house: House,
    book: RuleBook,
    framing: RuleBook,
    stubs: tuple[StubMark, ...] = (),
    *,
    cleanouts: tuple[CleanoutPlan, ...] = (),
    catalog: Catalog = SHIPPED,
) -> Fabrication:
    """Return what `fabricate_network` does without test closures, stock plan and material list."""
    made = joined(network, house, book, stubs, cleanouts=cleanouts, catalog=catalog)
    return _bored(made, network, house, book, framing)


def _bored(made: Joined, network: Network, house: House, book: RuleBook, framing: RuleBook) -> Fabrication:
    parts = made.framing.catalog
    holes = bores_in(made.framing.members, made.runs, house, framing, parts)
    return Fabrication(
        fittings=made.fittings,
        pieces=noted(made.pieces, pipes_in_place(network)),
        bores=holes,
        plates=plates(holes, network, house, book, parts),
        hangers=hangers(made.runs, holes, house, book, parts),
        caps=(),
        sticks=(),
        materials=(),
    )


def with_solver(
    fabrication: Fabrication, house: House, *, there: frozenset[str] = frozenset(), catalog: Catalog = SHIPPED
) -> Fabrication:
    """Return a fabrication in which the sticks are planned anew by columns and, where installed, the exact solver.

    Sizes whose plan is at its proven least stay as they are; where all are, the fabrication comes back as it is.

    Args:
        fabrication: What was made by `fabricate`, or by this.
        house: The house it was made for.
        there: Pipes that are in place, and not cut.
        catalog: The catalogue without the job's measurements.
    """
    if all(s.proven or s.by != "arithmetic" for s in fabrication.stock):
        return fabrication
    pieces = to_cut(fabrication.pieces, there)
    sticks, stock = improved(pieces, fabrication.sticks, fabrication.stock, yard_of(house, catalog), better)
    rest = tuple(m for m in fabrication.materials if m.group != "pipe")
    return replace(fabrication, sticks=sticks, stock=stock, materials=(*pipe_lines(house, pieces, sticks), *rest))


def yard_of(house: House, catalog: Catalog) -> Yard:
    """Return what pipe the job is cut from."""
    return Yard(house.job.stock_mm, catalog.figure("saw kerf").value, house.job.offcuts)
