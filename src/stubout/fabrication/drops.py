"""Upright pieces that no pipe of the network stands for: closet drops, standpipes, risers to floor outlets.

Lengths [mm]. Such a piece carries no pipe id in `pipes`; its number is 0, before the first piece of the pipe it leads
to.
"""

from __future__ import annotations

from stubout import units
from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog, fitting_key
from stubout.fabrication.model import CutPiece, FittingUse
from stubout.geometry.vec import Vec
from stubout.house.model import House, HouseFixture
from stubout.kinds import FixtureKind
from stubout.network.model import Network, Node, PointKind
from stubout.problems import Status, weakest

LEAST_RISER_MM = 50.0  # shorter, and the outlet stands on the trap itself


def closet_rings(network: Network, house: House) -> dict[str, Vec]:
    """Return where the ring of every flange lies, by node: on the finished floor where the node is its bend."""
    floors = {f.tag: f.finished_z_mm for f in house.fixtures}
    out: dict[str, Vec] = {}
    for node in network.nodes:
        if node.kind is PointKind.FLANGE:
            out[node.id] = node.at.at_z(max(floors.get(node.tag, node.at.z), node.at.z))
    return out


def drops(
    network: Network, house: House, fittings: tuple[FittingUse, ...], rings: dict[str, Vec], parts: Catalog
) -> tuple[CutPiece, ...]:
    """Return the upright pieces between flange and bend, and from a roughed-in trap up to its outlet or standpipe top.

    Args:
        network: The network.
        house: The house: floors, outlets, standpipe tops.
        fittings: What stands at the nodes.
        rings: Places of the flanges, from `closet_rings`.
        parts: The catalogue, measurements laid over it.
    """
    by_tag = {f.tag: f for f in house.fixtures}
    out: list[CutPiece] = []
    for node in network.nodes:
        here = [f for f in fittings if f.node == node.id]
        if node.id in rings:
            out += _closet(network, node, here, rings[node.id], parts=parts, unit=house.job.units)
        elif node.kind is PointKind.TRAP and not node.inflow and node.tag in by_tag:
            out += _riser(network, node, here, by_tag[node.tag], parts)
    return tuple(out)


def _closet(
    network: Network, node: Node, here: list[FittingUse], ring: Vec, *, parts: Catalog, unit: units.Units
) -> list[CutPiece]:
    flange = next((f for f in here if f.pattern == "closet flange"), None)
    bend = next((f for f in here if "bend" in f.pattern), None)
    if flange is None or bend is None:
        return []
    centre = ring.z - node.at.z
    top = catalogue.fitting(flange.pattern, flange.sizes_in, parts)
    low = catalogue.fitting(bend.pattern, bend.sizes_in, parts)
    low_mm = low.ports.get("inlet", low.ports.get("hub", 0.0))  # a street bend stands with its hub up
    length = centre - top.ports["outlet"] - low_mm
    fits = length >= -0.05
    short = units.both(-length, unit)
    pipe = network.pipe(flange.pipes[0])
    return [
        CutPiece(
            id=f"{pipe.id}-0",
            pipe="",
            system=pipe.system,
            size_in=flange.sizes_in[0],
            centre_mm=centre,
            takeoff_start_mm=top.ports["outlet"],
            takeoff_end_mm=low_mm,
            cut_mm=length,
            start_fitting=flange.id,
            end_fitting=bend.id,
            status=weakest((top.status, low.status)),
            make_ups=((top.key, "outlet"), (low.key, next(iter(low.ports)))),
            fits=fits,
            note="drop from flange to bend; a closet bend with a long leg is cut instead"
            if fits
            else f"the make-ups overlap by {short}",
            do="" if fits else f"lower the bend by {short}",
        )
    ]


def _riser(
    network: Network, node: Node, here: list[FittingUse], fixture: HouseFixture, parts: Catalog
) -> list[CutPiece]:
    trap = next((f for f in here if f.pattern == "P-trap"), None)
    if trap is None:
        return []
    if fixture.kind is FixtureKind.CLOTHES_WASHER and fixture.standpipe_top_z_mm is not None:
        top, what = fixture.standpipe_top_z_mm, "standpipe"
    elif fixture.floor_outlet:
        known = fixture.outlet_z_mm
        top = known if known is not None else fixture.finished_z_mm
        what = (
            "riser to the outlet, by the fixture sheet"
            if known is not None
            else "riser to the floor, cut at the finish"
        )
    else:
        return []
    centre = top - node.at.z
    pipe = network.pipe(node.outflow[0])
    take = catalogue.fitting(trap.pattern, trap.sizes_in, parts).ports["outlet"]
    if centre - take < LEAST_RISER_MM:
        return []
    return [
        CutPiece(
            id=f"{pipe.id}-0",
            pipe="",
            system=pipe.system,
            size_in=trap.sizes_in[0],
            centre_mm=centre,
            takeoff_start_mm=take,
            takeoff_end_mm=0.0,
            cut_mm=centre - take,
            start_fitting=trap.id,
            end_fitting="",
            status=Status.ESTIMATE,
            make_ups=((fitting_key(trap.pattern, trap.sizes_in), "outlet"),),
            note=what,
        )
    ]
