"""DRN004 closet-drain-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets
from stubout.problems import Level
from stubout.rulebooks import queries


@check("DRN004", "closet-drain-too-small", Level.STOP)
def rule(on: Review) -> Findings:
    """A pipe that a closet drains through is smaller than the book allows.

    ## What it checks
    Every drain with a closet up stream, its own pipe included.

    ## Why it matters
    The pipe blocks at once.

    ## Fails
    A closet on a 2 in branch.

    ## Passes
    A closet on a 3 in branch.

    ## Does not check
    The flange and the bend themselves.
    """
    for pipe in on.net.drains():
        tags = closets(on, pipe.tags)
        if not tags:
            continue
        least = on.ask(queries.closet_drain_least_size, on.book)
        if least is not None and pipe.size_in < least.number - 1e-6:
            yield on.finding(
                about=(pipe.id, *tags),
                found=f"{pipe.id} is {on.size(pipe.size_in)} and carries {', '.join(tags)}",
                wanted=f"at least {on.size(least.number)} below a closet",
                do=f"lay {pipe.id} and what follows in {on.size(least.number)}",
                why="The pipe blocks at once.",
                bases=(least,),
                at=pipe.a,
            )
