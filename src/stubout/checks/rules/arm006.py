"""ARM006 trap-arm-turns-too-much."""

from stubout.checks.base import ANGLE_TOL_DEG, Findings, Review, check
from stubout.checks.facts import arms
from stubout.problems import Level
from stubout.rulebooks import queries


@check("ARM006", "trap-arm-turns-too-much", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap arm changes direction by more than the book allows.

    ## What it checks
    The sum of all changes of direction between weir and vent fitting. The turn into the vent fitting
    itself is not counted.

    ## Why it matters
    Every turn slows the water, catches hair, and hides the pipe from the rod.

    ## Fails
    An arm with two quarter bends, 180 degrees, where 135 are allowed.

    ## Passes
    Three eighth bends, 135 degrees.

    ## Does not check
    Whether a cleanout in the arm would allow more turns; the finding says so where the book's note does.
    """
    for arm in arms(on):
        if not arm.trap.takeoff:
            continue
        limit = on.ask(queries.arm_max_turn, on.book, arm.fixture.kind, arm.size_in)
        if limit is None:
            continue
        over_deg = arm.turn_deg - limit.number
        if over_deg > ANGLE_TOL_DEG:
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"trap arm of {arm.trap.tag} turns {arm.turn_deg:.0f} degrees in all",
                wanted=f"at most {limit.number:.0f} degrees",
                do=f"take {over_deg:.0f} degrees of turn out of the arm, or set the vent fitting before the last turn",
                why="Each turn slows the water and catches what it carries.",
                bases=(limit,),
                at=arm.end,
            )
