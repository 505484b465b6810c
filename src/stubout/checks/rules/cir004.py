"""CIR004 arm-drops-into-circuit-branch."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("CIR004", "arm-drops-into-circuit-branch", Level.FIX)
def rule(on: Review) -> Findings:
    """A fixture drain comes into a circuit-vented branch from above instead of lying.

    ## What it checks
    The last piece of every fixture drain on a circuit-vented branch.

    ## Why it matters
    What falls into the branch shuts it for the air of all others.

    ## Fails
    A closet bend that stands on the branch.

    ## Passes
    The bend turned out, with a lying piece to the branch.

    ## Does not check
    Drains of fixtures that have a vent of their own.
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        how = on.value("circuit_vent.connects")
        for arm in drain.arms:
            last = arm.pipes[-1]
            if how is None or not last.vertical or last.length_mm <= 1.0:
                continue
            yield on.finding(
                about=(arm.trap.tag, last.id),
                found=f"the drain of {arm.trap.tag} drops into the circuit-vented branch",
                wanted=how.printed,
                do=f"set the drop of {arm.trap.tag} beside the branch and join it lying",
                why="What falls into the branch shuts it for the air of all others.",
                bases=(how,),
                at=last.b,
            )
