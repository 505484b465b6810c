"""DRN010 drain-goes-nowhere."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.layout.model import PointKind
from stubout.problems import Level


@check("DRN010", "drain-goes-nowhere", Level.STOP)
def rule(on: Review) -> Findings:
    """A drain does not lead to the sewer.

    ## What it checks
    The way of every drain to its end, which must be the sewer connection.

    ## Why it matters
    The system cannot be built as it is drawn.

    ## Fails
    A hand-drawn branch that ends 20 mm beside the drain it should join.

    ## Passes
    Branches that end on a point of another drain.

    ## Does not check
    What lies beyond the sewer connection.
    """
    told: set[str] = set()
    for pipe in on.net.drains():
        way = on.net.downstream(pipe)
        end = on.net.node((way[-1] if way else pipe).end)
        if end.kind == PointKind.SEWER or end.id in told:
            continue
        told.add(end.id)
        yield on.finding(
            about=(end.id, (way[-1] if way else pipe).id),
            found=f"the drain ends at {end.id}, a {end.kind.value}",
            wanted="an end at the sewer connection",
            do="join the drain to the system, on a point of the pipe it should flow into",
            why="The system cannot be built as drawn.",
            bases=(trade("drains", "lead to the sewer"),),
            at=end.at,
        )
