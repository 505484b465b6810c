"""ARM005 trap-arm-climbs."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import arms
from stubout.problems import Level


@check("ARM005", "trap-arm-climbs", Level.STOP)
def rule(on: Review) -> Findings:
    """A trap arm falls the wrong way, back to the trap.

    ## What it checks
    Every piece of every trap arm: its down-stream end must not lie higher than its trap end.

    ## Why it matters
    Waste stands in the arm, and the trap never empties.

    ## Fails
    An arm whose vent fitting sits 12 mm higher than the weir.

    ## Passes
    An arm that falls from the weir to the vent fitting.

    ## Does not check
    Whether the fall is enough (ARM004).
    """
    for arm in arms(on):
        for pipe in arm.pipes:
            if pipe.fall_mm < -LEVEL_TOL_MM:
                yield on.finding(
                    about=(arm.trap.tag, pipe.id),
                    found=f"{pipe.id} of the trap arm climbs {on.mm(-pipe.fall_mm)} over {on.mm(pipe.plan_mm)}",
                    wanted="a fall from the trap to the vent fitting",
                    do=f"lower the down-stream end by {on.mm(-pipe.fall_mm)} and by the fall the slope needs",
                    why="Waste stands in the arm and the fixture does not empty.",
                    bases=(trade("drain by gravity", "falls in flow direction"),),
                    at=pipe.b,
                )
