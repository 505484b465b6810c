"""STB007 stub-out-without-height."""

from stubout.checks.base import Findings, Review, check
from stubout.problems import Level


@check("STB007", "stub-out-without-height", Level.STOP)
def rule(on: Review) -> Findings:
    """No height suits both ends of a stub-out's band.

    ## What it checks
    Whether the highest height the outlet allows is above the lowest height the cabinet, the drawer or the trap allows.

    ## Why it matters
    The fixture cannot be connected as drawn; cabinet, bowl or disposer must change.

    ## Fails
    An outlet that allows at most 400 mm over a drawer that asks for at least 430 mm.

    ## Passes
    A band of 239 to 433 mm.

    ## Does not check
    Which of the two should give way.
    """
    for mark in on.design.stubs:
        if mark.feasible:
            continue
        yield on.finding(
            about=(mark.tag, mark.wall_id),
            found=f"{mark.tag}: at most {on.mm(mark.hi_z_mm - mark.finished_z_mm)} ({mark.hi_governs}), "
            f"at least {on.mm(mark.lo_z_mm - mark.finished_z_mm)} ({mark.lo_governs}) above finished floor",
            wanted="a height between both ends",
            do=f"gain {on.mm(max(mark.lo_z_mm - mark.hi_z_mm, 0.0))}: another cabinet, bowl or trap",
            why="The fixture cannot be connected as drawn.",
            bases=mark.derivation.bases,
        )
