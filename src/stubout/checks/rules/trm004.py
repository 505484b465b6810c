"""TRM004 terminal-where-roof-is-closed."""

from stubout.checks.base import Findings, Review, check, said
from stubout.checks.facts import terminals
from stubout.geometry.vec import Vec
from stubout.problems import Finding, Level


@check("TRM004", "terminal-where-roof-is-closed", Level.FIX)
def rule(on: Review) -> Findings:
    """A terminal pierces a part of the roof that must not be pierced.

    ## What it checks
    Every terminal in plan against the roof planes and roof zones the job closes.

    ## Why it matters
    The pipe meets a solar panel, a ridge board, sliding snow or the street front the owner refused.

    ## Fails
    A terminal on the south slope where only the north slope may be pierced.

    ## Passes
    A terminal on the north slope outside all closed zones.

    ## Does not check
    Rafters and trusses (FRM007).
    """
    for node in terminals(on):
        roof = on.house.roof_over(node.at)
        if roof is not None and not roof.may_pierce:
            yield _closed(on, node.id, roof.id, "this slope may not be pierced", node.at)
        for zone in on.house.roof_zones:
            if zone.x0_mm < node.at.x < zone.x1_mm and zone.y0_mm < node.at.y < zone.y1_mm:
                yield _closed(on, node.id, zone.id, zone.why, node.at)


def _closed(on: Review, node_id: str, place: str, reason: str, at: Vec) -> Finding:
    """Return the finding for one terminal in one closed place."""
    return on.finding(
        about=(node_id, place),
        found=f"{node_id} comes out in {place}: {reason}",
        wanted="a terminal where the job lets the roof be pierced",
        do="offset the vent in the attic and bring it out elsewhere",
        why="The pipe meets what the place was closed for.",
        bases=(said("places closed to terminals", "job file"),),
        at=at,
    )
