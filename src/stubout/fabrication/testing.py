"""What closes the open ends for the water test, the level the water stands at, and what the pipes hold."""

from __future__ import annotations

from typing import Literal

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.ends import ask
from stubout.fabrication.model import FittingUse, TestCap
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.network.model import Network, PointKind
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

What = Literal["cap", "plug", "inflatable plug", "test tee"]
CLOSURES: dict[PointKind, What] = {
    PointKind.TRAP: "cap",
    PointKind.FLANGE: "plug",
    PointKind.AAV: "cap",
    PointKind.SEWER: "inflatable plug",
}


def open_ends(network: Network, fittings: tuple[FittingUse, ...]) -> tuple[tuple[str, float, Vec, What], ...]:
    """Return node, size [in], place and closure of every end that must be closed; terminals stay open for filling.

    A stub-out is capped where it ends, not at the weir it will serve. A trap that is roughed in is closed at its inlet.
    """
    stub_at = {f.node: f.at for f in fittings if f.pattern in ("trap adapter", "closet flange")}
    out: list[tuple[str, float, Vec, What]] = []
    for node in network.nodes:
        what = CLOSURES.get(node.kind)
        pipes = [network.pipe(i) for i in (*node.inflow, *node.outflow)]
        if what is None or not pipes:
            continue
        if node.kind is PointKind.TRAP and node.inflow:  # closed at the top of the fixture drain above it
            continue
        out.append((node.id, max(p.size_in for p in pipes), stub_at.get(node.id, node.at), what))
    heads = [n for n in network.nodes if n.kind not in CLOSURES and not n.inflow and len(n.outflow) == 1]
    for node in heads:  # standpipes, floor outlets without a flange: where a drain simply begins
        pipe = network.pipe(node.outflow[0])
        if pipe.system == "drain" and node.kind not in (PointKind.CAP, PointKind.CLEANOUT, PointKind.TERMINAL):
            out.append((node.id, pipe.size_in, node.at, "cap"))
    return tuple(out)


def water_level_mm(network: Network, house: House, book: RuleBook) -> float:
    """Return the level the water stands at in the test, house z [mm].

    The system is filled until it overflows at its lowest vent terminal; where that leaves less than the head of the job
    or the book over the lowest end, a filling pipe is taken as far up as that head asks.
    """
    cell = ask(queries.test_head, book)
    head = house.job.test.head_mm or (cell.number if cell else 0.0)
    tops = [n.at.z for n in network.nodes if n.kind is PointKind.TERMINAL]
    zs = [n.at.z for n in network.nodes]
    lowest = min(zs, default=0.0)
    return max(min(tops, default=max(zs, default=0.0)), lowest + head)


def closures(network: Network, fittings: tuple[FittingUse, ...], house: House, book: RuleBook) -> tuple[TestCap, ...]:
    """Return the caps and plugs of the water test, numbered, with the head that stands over each [mm]."""
    level = water_level_mm(network, house, book)
    return tuple(
        TestCap(id=f"T{k + 1}", node=node, size_in=size, at=at, what=what, head_mm=max(level - at.z, 0.0))
        for k, (node, size, at, what) in enumerate(open_ends(network, fittings))
    )


def volume_l(network: Network, material: str, catalog: Catalog | None = None) -> dict[str, float]:
    """Return what each pipe holds when full [L], by pipe id, on its average bore, fittings not counted apart.

    Args:
        network: The sized network.
        material: "abs" or "pvc".
        catalog: The catalogue, the shipped one if None.
    """
    out: dict[str, float] = {}
    for pipe in network.pipes:
        data = catalogue.pipe(material, pipe.size_in) if catalog is None else catalog.pipe(material, pipe.size_in)
        out[pipe.id] = data.litres_per_m * pipe.length_mm / 1000
    return out
