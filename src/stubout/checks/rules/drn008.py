"""DRN008 drain-climbs."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.layout.model import Role
from stubout.problems import Level


@check("DRN008", "drain-climbs", Level.STOP)
def rule(on: Review) -> Findings:
    """A drain rises in flow direction and holds water below the rise.

    ## What it checks
    Every drain other than a trap arm on its end levels.

    ## Why it matters
    The low point before the rise fills with waste and blocks.

    ## Fails
    A branch whose down-stream end is 15 mm higher than its start.

    ## Passes
    A branch that falls all the way.

    ## Does not check
    Trap arms (ARM005); pumped pipes, which this program does not lay out.
    """
    for pipe in on.net.drains():
        if pipe.role == Role.TRAP_ARM or pipe.fall_mm >= -LEVEL_TOL_MM:
            continue
        yield on.finding(
            about=(pipe.id,),
            found=f"{pipe.id} climbs {on.mm(-pipe.fall_mm)} over {on.mm(pipe.plan_mm)}",
            wanted="a fall in flow direction",
            do=f"lower the down-stream end by {on.mm(-pipe.fall_mm)} and by the fall the slope needs",
            why="The low point before the rise holds waste and blocks.",
            bases=(trade("drain by gravity", "falls in flow direction"),),
            at=pipe.a,
        )
