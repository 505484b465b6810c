"""BLK001 layout-blocked."""

from stubout.checks.base import Findings, Review, check, said
from stubout.problems import Level


@check("BLK001", "layout-blocked", Level.STOP)
def rule(on: Review) -> Findings:
    """A part of the system could not be laid out.

    ## What it checks
    Everything the layout gave up on, with the constraint that blocks it and what would free it.

    ## Why it matters
    That part cannot be built as the job stands.

    ## Fails
    An island sink whose trap arm reaches no wall and for which no other vent is allowed.

    ## Passes
    A job whose fixtures are all trapped, drained and vented.

    ## Does not check
    Whether another layout would be cheaper.
    """
    for b in on.design.blocked:
        yield on.finding(
            about=b.about,
            found=b.constraint,
            wanted="a way for this part of the system",
            do=b.free,
            why="This part cannot be built as the job stands.",
            bases=b.bases or (said("layout", "blocked"),),
        )
