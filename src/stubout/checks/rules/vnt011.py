"""VNT011 building-vent-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import drains_at
from stubout.checks.waiting import behind_blocked
from stubout.layout.model import PointKind, Role
from stubout.problems import Level
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell


@check("VNT011", "building-vent-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """No single vent to the open air is as large as the book asks for the building drain.

    ## What it checks
    The largest way from a drain through vents to a terminal, by its narrowest pipe, against the one vent every building
    drain must have.

    ## Why it matters
    This vent lets the air of the sewer out and in; without it the traps take the pressure.

    ## Fails
    Two 2 in stack vents where one vent of 3 in is asked.

    ## Passes
    One 3 in stack through the roof, undiminished.

    ## Does not check
    Books that ask for a total area of vents (VNT012).
    """
    wanted = _wanted(on)
    if wanted is None:
        return
    least_in = wanted.number
    best = 0.0
    for vent in on.net.vents():
        if not drains_at(on.net, on.net.node(vent.start)):
            continue
        way = (vent, *on.net.downstream(vent))
        if on.net.node(way[-1].end).kind == PointKind.TERMINAL:
            best = max(best, min(p.size_in for p in way))
    if 0.0 < best < least_in - 1e-6:
        yield on.finding(
            about=("system",),
            found=f"the largest vent to the open air is {on.size(best)}",
            wanted=f"one vent of at least {on.size(least_in)} from drain to open air",
            do=behind_blocked(on, f"carry one stack vent in {on.size(least_in)} through the roof"),
            why="The traps take the pressure of the sewer.",
            bases=(wanted,),
        )


def _wanted(on: Review) -> Cell | None:
    """Return the least size of the one vent."""
    drains = [p.size_in for p in on.net.drains() if p.role == Role.BUILDING_DRAIN]
    if not drains:
        on.skip("the design has no building drain")
        return None
    return on.ask(queries.building_vent_least, on.book, min(drains))
