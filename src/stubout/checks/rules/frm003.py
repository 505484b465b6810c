"""FRM003 engineered-member-bored."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.problems import Level


@check("FRM003", "engineered-member-bored", Level.STOP)
def rule(on: Review) -> Findings:
    """A hole goes through a member that nobody but its maker or an engineer may cut.

    ## What it checks
    Bores through I-joists, trusses, beams and everything the framing book closes.

    ## Why it matters
    The member may fail, and its maker's warranty is gone.

    ## Fails
    A 3 in hole in an I-joist without the maker's hole chart.

    ## Passes
    A pipe in the bay along the I-joists.

    ## Does not check
    Whether the maker's chart allows the hole: with the chart at hand the job says so.
    """
    for bore in on.design.fabrication.bores:
        sawn = bore.member_kind in ("stud", "bottom plate", "top plate", "joist", "rafter")
        if bore.verdict not in ("engineer", "not allowed") or (sawn and bore.verdict == "not allowed"):
            continue  # a pipe that lies in a sawn member is FRM007
        closed = bore.verdict == "not allowed"
        yield on.finding(
            about=(bore.id, bore.member, bore.pipe),
            found=f"{on.mm(bore.hole_mm)} hole in {bore.member} ({bore.member_kind})",
            wanted="no hole" if closed else "the maker's hole chart, or the engineer's word",
            do="lead the pipe along the bay or below the members"
            + ("" if closed else ", or get the maker's chart before anything is cut"),
            why="The member may fail.",
            bases=bore.bases or (on.framing.find("member.engineered") or trade("engineered members", "not cut"),),
            at=bore.centre,
            level=Level.STOP if closed else Level.ASK,
            owner="" if closed else "builder",
        )
