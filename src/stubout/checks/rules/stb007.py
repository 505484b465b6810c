"""STB007 stub-out-without-height."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.drawers import closed_by_drawer
from stubout.problems import Level


@check("STB007", "stub-out-without-height", Level.STOP)
def rule(on: Review) -> Findings:
    """No height suits both ends of a stub-out's band.

    ## What it checks
    Whether the highest height the outlet allows is above the lowest height the cabinet, the drawer or the trap allows,
    both at the trap: the fall of the arm to the wall is not counted twice.

    ## Why it matters
    The fixture cannot be connected as drawn; cabinet, bowl or disposer must change.

    ## Fails
    An outlet that allows at most 400 mm over a drawer that asks for at least 430 mm.

    ## Passes
    A band of 239 to 433 mm.

    ## Does not check
    Which of the two should give way; a height that a drawer in front of the trap takes (STB005 tells it).
    """
    for mark in on.design.stubs:
        if mark.feasible or on.waits(mark.derivation.bases) or closed_by_drawer(on, mark):
            continue
        hi_mm = mark.hi_z_mm + mark.arm_fall_mm - mark.finished_z_mm  # both ends at the trap
        lo_mm = mark.lo_z_mm - mark.finished_z_mm
        yield on.finding(
            about=(mark.tag, mark.wall_id),
            found=f"the arm of {mark.tag} may lie at most {on.mm(hi_mm)} above finished floor at the trap "
            f"({mark.hi_governs}) and must lie at least {on.mm(lo_mm)} above it ({mark.lo_governs})",
            wanted="a height between both ends",
            do=f"gain {on.mm(max(lo_mm - hi_mm, 0.0))}: another cabinet, bowl or trap",
            why="The fixture cannot be connected as drawn.",
            bases=mark.derivation.bases,
        )
