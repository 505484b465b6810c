"""FRM004 strap-missing."""

from stubout.checks.base import Findings, Review, check
from stubout.problems import Level


@check("FRM004", "strap-missing", Level.FIX)
def rule(on: Review) -> Findings:
    """A top plate is cut by more than the framing book allows and no strap is planned.

    ## What it checks
    Every hole through a top plate that asks for a tie or reinforcement.

    ## Why it matters
    The plate ties the wall together; cut through, the wall opens there.

    ## Fails
    A 3 in pipe through a bearing 2x6 top plate without a strap.

    ## Passes
    The same hole with its strap on the list.

    ## Does not check
    Nails of the strap.
    """
    strapped = {p.bore for p in on.design.fabrication.plates if p.kind == "strap"}
    for bore in on.bores():
        if bore.verdict != "strap" or bore.id in strapped:
            continue
        yield on.finding(
            about=(bore.id, bore.member, bore.pipe),
            found=f"{on.mm(bore.hole_mm)} hole in {bore.member} without a strap",
            wanted="a metal tie over the cut, or reinforcement as the framing book says",
            do="put a strap over the plate past both sides of the hole",
            why="The cut plate no longer ties the wall together.",
            bases=bore.bases,
            at=bore.centre,
        )
