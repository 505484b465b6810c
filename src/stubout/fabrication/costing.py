"""What a finished layout costs, from what is really cut, bored, fixed and opened, in minutes (`catalog.costs`).

Pipe is measured from centre to centre, through its fittings, as laid pipe is measured in the trade; a fitting costs
beyond the pipe it stands in, and every socket one joint. Test closures and cement tins cost the same however the house
is laid out, and are left out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from stubout.catalog.costs import BRANCHED, Costs, Price
from stubout.catalog.shipped import SHIPPED
from stubout.fabrication.model import Fabrication, FittingUse
from stubout.fabrication.set_in import REPAIR, TRANSITION
from stubout.layout.model import UNDERGROUND, CleanoutPlan, Place
from stubout.network.model import Network, Pipe
from stubout.problems import Status, weakest

VALVE, FLASHING = "air admittance valve", "vent flashing"
MEMBERS = {"stud": "bore stud", "bottom plate": "bore plate", "top plate": "bore plate"}
JOIST = "bore joist"  # every other member
SUPPORTS = {"hanger": "hanger", "strap": "pipe strap", "clamp": "riser clamp"}
ONE_MORE = ("bushing", "cleanout adapter", REPAIR)  # cemented to something else than the pieces of the list
KINDS = ("pipe", "trench", "fittings", "further branches", "joints", "bores", "plates", "supports", "hanger drops",
         "roof penetrations", "valves", "cleanouts")  # fmt: skip


@dataclass(frozen=True, slots=True)
class CostPart:
    """One kind of thing: how many, and what all of them cost [min]."""

    kind: str
    quantity: float
    unit: str  # "m" or "piece"
    work: float
    material: float
    status: Status

    @property
    def minutes(self) -> float:
        """Return work and material together [min]."""
        return self.work + self.material


@dataclass(frozen=True, slots=True)
class Costing:
    """The cost of one layout by kind [min]."""

    parts: tuple[CostPart, ...]

    @property
    def minutes(self) -> float:
        """Return the whole cost [min]."""
        return sum(p.minutes for p in self.parts)

    @property
    def work(self) -> float:
        """Return its working time [min]."""
        return sum(p.work for p in self.parts)


def costing(network: Network, fabrication: Fabrication, cleanouts: tuple[CleanoutPlan, ...], costs: Costs) -> Costing:
    """Return what a layout costs.

    Args:
        network: The sized network: the pipe, centre to centre.
        fabrication: Fittings, pieces, bores, plates, supports.
        cleanouts: The openings.
        costs: What one of each costs.

    Raises:
        CatalogError: If a size is larger than any the costs know.
    """
    lines: dict[str, list[tuple[float, Price]]] = defaultdict(list)
    for kind, quantity, price in _lines(network, fabrication, cleanouts, costs):
        lines[kind].append((quantity, price))
    return Costing(tuple(_part(kind, lines[kind]) for kind in KINDS if lines[kind]))


def _part(kind: str, lines: list[tuple[float, Price]]) -> CostPart:
    return CostPart(
        kind,
        round(sum(n for n, _ in lines), 3),
        "m" if kind in ("pipe", "trench", "hanger drops") else "piece",
        round(sum(n * p.work for n, p in lines), 3),
        round(sum(n * p.material for n, p in lines), 3),
        weakest(tuple(p.status for _, p in lines)),
    )


def _lines(
    network: Network, fab: Fabrication, cleanouts: tuple[CleanoutPlan, ...], costs: Costs
) -> Iterator[tuple[str, float, Price]]:
    """Yield (kind, quantity, price of one) for everything that costs."""
    for p in network.pipes:
        yield "pipe", p.length_mm / 1000, costs.pipe(p.size_in, p.place.kind)
        if in_trench(p.place):
            yield "trench", trench_m(p), costs.price("trench")
    for piece in fab.pieces:
        if not piece.pipe:  # down to a trap or the bend of a closet: no pipe of the network stands for it
            place = network.pipe(piece.id.rpartition("-")[0]).place
            yield "pipe", piece.centre_mm / 1000, costs.pipe(piece.size_in, place.kind)
    for f in fab.fittings:
        yield from _fitting(f, costs)
    for size in joints(fab):
        yield "joints", 1, costs.price("joint", size)
    sizes = {p.id: p.size_in for p in network.pipes}
    for b in fab.bores:
        yield "bores", 1, costs.price(MEMBERS.get(b.member_kind, JOIST), sizes[b.pipe])
    for plate in fab.plates:
        yield "plates", 2 if plate.face == "both" else 1, costs.price(plate.kind)
    for h in fab.hangers:
        if h.kind in SUPPORTS:  # what a pipe is bedded on is part of its trench
            yield "supports", 1, costs.price(SUPPORTS[h.kind])
        if h.reach_mm > 0.0:
            yield "hanger drops", h.reach_mm / 1000, costs.price("hanger drop")
    for c in cleanouts:
        yield "cleanouts", 1, costs.price("cleanout", c.size_in)


def _fitting(f: FittingUse, costs: Costs) -> Iterator[tuple[str, float, Price]]:
    size = max(f.sizes_in)
    if f.pattern == FLASHING:
        yield "roof penetrations", 1, costs.price("roof penetration", size)
        return
    if f.pattern == VALVE:
        yield "valves", 1, costs.price("valve", size)
        return
    if f.pattern == TRANSITION:
        yield "fittings", 1, costs.price(TRANSITION, size)
        return
    kind = SHIPPED.pattern(f.pattern).kind
    yield "fittings", 1, costs.price(f"fitting {kind}", size)
    if kind in BRANCHED:
        for branch in f.sizes_in[3:]:
            yield "further branches", 1, costs.price("extra branch", branch)


def joints(fab: Fabrication) -> Iterator[float]:
    """Yield the size of every cemented joint: one a socket, a street spigot one, bushings and adapters one more.

    A transition coupling is clamped. The hub beside a short piece set into installed pipe is counted with that pipe.
    """
    ids = {f.id for f in fab.fittings if f.pattern != TRANSITION}
    for p in fab.pieces:
        ends = (p.end_fitting,) if p.set_in == "short" else (p.start_fitting, p.end_fitting)
        for _ in range(1 if p.street else sum(e in ids for e in ends)):
            yield p.size_in
    for f in fab.fittings:
        if f.pattern in ONE_MORE:
            yield f.sizes_in[0]


def in_trench(place: Place) -> bool:
    """Return whether a pipe in a place is dug in."""
    return place.kind in UNDERGROUND


def trench_m(pipe: Pipe) -> float:
    """Return how much trench a pipe asks for [m]: its length as seen from above."""
    return pipe.plan_mm / 1000
