"""VNT012 vent-area-too-small."""

import math

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets, incoming, terminals
from stubout.layout.model import PointKind
from stubout.problems import Level, NotInBook
from stubout.rulebooks import queries

SIZES_IN = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)


@check("VNT012", "vent-area-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """All vents to the open air together are smaller than the building sewer the load requires.

    ## What it checks
    Where the book asks for it: the sum of the areas of all terminals against the area of the required sewer, which is
    the smallest size the book allows for load, slope and closets, not the size that is laid. Nominal diameters.

    ## Why it matters
    Air must leave the sewer as fast as water enters it.

    ## Fails
    Two 2 in vents, 6.28 sq in, for a required 3 in sewer, 7.07 sq in.

    ## Passes
    Vents of 2, 2 and 1-1/2 in, 8.05 sq in.

    ## Does not check
    Several buildings on one sewer.
    """
    rule_cell = on.value("vent.area_rule")
    if rule_cell is None or rule_cell.text != "sewer area":
        return
    required = _required(on)
    if required is None:
        on.skip("the required size of the sewer is not known")
        return
    sizes = [max(p.size_in for p in incoming(on.net, n, "vent")) for n in terminals(on) if incoming(on.net, n, "vent")]
    have = sum(_area(s) for s in sizes)
    need = _area(required)
    if have < need - 1e-6:
        yield on.finding(
            about=("system",),
            found=f"{' + '.join(on.size(s) for s in sizes) or 'no vents'}: {have:.2f} sq in to the open air",
            wanted=f"at least {need:.2f} sq in, the area of the required {on.size(required)} sewer",
            do="enlarge a vent from drain to terminal, or add one",
            why="Air cannot leave the sewer as fast as water enters it.",
            bases=(rule_cell,),
        )


def _area(size_in: float) -> float:
    """Return the area of a nominal size [sq in]."""
    return math.pi / 4 * size_in**2


def _required(on: Review) -> float | None:
    """Return the smallest sewer the book allows for this house [in]."""
    last = [p for n in on.net.nodes if n.kind == PointKind.SEWER for p in incoming(on.net, n, "drain")]
    if not last:
        return None
    pipe = max(last, key=lambda p: (p.load, p.id))
    tags = closets(on, pipe.tags)
    for size in SIZES_IN:
        try:
            if queries.building_drain_least_size(on.book, len(tags)).number > size:
                continue
            if tags and queries.closet_drain_least_size(on.book).number > size:
                continue
            most = queries.max_closets(on.book, size, "horizontal")
            if most is not None and len(tags) > most.number:
                continue
            if queries.building_drain_capacity(on.book, size, pipe.slope).number >= pipe.load:
                return size
        except NotInBook:
            continue
    return None
