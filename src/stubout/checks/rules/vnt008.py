"""VNT008 vent-holds-water."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import drains_at, incoming, outgoing
from stubout.problems import Level


@check("VNT008", "vent-holds-water", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent has a low point that does not drain.

    ## What it checks
    Every point of the vents: if all vents that meet there rise away from it and no drain leaves it, water stands in it.

    ## Why it matters
    Condensed and rain water fills the low point and shuts the air off as a trap would.

    ## Fails
    A vent that goes down 100 mm to pass under a beam and then up again.

    ## Passes
    A vent that rises all the way, or an island loop that comes down into a drain.

    ## Does not check
    Sags between hangers (SUP001).
    """
    for node in on.net.nodes:
        into = incoming(on.net, node, "vent")
        out = outgoing(on.net, node, "vent")
        if not into or not out or drains_at(on.net, node):
            continue
        ends = [p.a.z for p in into] + [p.b.z for p in out]
        if all(z - node.at.z > -LEVEL_TOL_MM for z in ends) and min(p.a.z for p in into) - node.at.z > LEVEL_TOL_MM:
            yield on.finding(
                about=(node.id, *sorted(p.id for p in into)),
                found=f"{node.id} is a low point: the vents rise away from it on all sides and no drain leaves it",
                wanted="a vent that drains back to the drain by gravity",
                do="raise the low point so that the vent falls back to the drain all the way",
                why="Water stands in the low point and shuts the air off.",
                bases=(on.book.find("vent.graded") or trade("vent", "no dip that holds water"),),
                at=node.at,
            )
