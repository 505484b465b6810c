"""ARM003 trap-arm-falls-too-much."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms
from stubout.problems import Level
from stubout.rulebooks import queries


@check("ARM003", "trap-arm-falls-too-much", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap arm falls by more than the book allows between weir and vent.

    ## What it checks
    The fall of every lying trap arm from the weir to the vent fitting against the book's limit, mostly
    one diameter.

    ## Why it matters
    An arm that falls more than its bore puts the vent opening below the weir: the arm is a siphon.

    ## Fails
    A 1-1/2 in arm of 1500 mm that falls 45 mm.

    ## Passes
    The same arm falling 30 mm, 1:50.

    ## Does not check
    Arms with an upright piece (TRP001) and water closets (ARM008).
    """
    for arm in arms(on):
        if arm.closet or arm.plumb or not arm.trap.takeoff:
            continue
        limit = on.ask(queries.arm_max_fall, on.book, arm.size_in)
        if limit is None:
            continue
        over_mm = arm.fall_mm - limit.number
        if over_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"trap arm of {arm.trap.tag} falls {on.mm(arm.fall_mm)} over {on.mm(arm.plan_mm)}",
                wanted=f"a fall of at most {on.mm(limit.number)} in {on.size(arm.size_in)}",
                do=f"raise the vent fitting by {on.mm(over_mm)}, or bring it nearer at the same slope",
                why="The vent opening comes to lie below the trap weir and the arm siphons the trap.",
                bases=(limit,),
                at=arm.end,
            )
