"""CLD002 drain-in-cold-space."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.surroundings import freezes
from stubout.problems import Level


@check("CLD002", "drain-in-cold-space", Level.FIX)
def rule(on: Review) -> Findings:
    """A drain runs through a space that freezes.

    ## What it checks
    Every drain in a place that the job lists as a cold space, one finding a space.

    ## Why it matters
    Water that drips at night freezes layer on layer until the drain is shut.

    ## Fails
    A branch under the floor of a vented crawl space at -8 F.

    ## Passes
    The same branch in a heated crawl space.

    ## Does not check
    Spaces the job does not call cold; vents, which may pass an attic.
    """
    cold = set(on.house.wishes.cold_spaces)
    if not cold or not freezes(on):
        return
    for space in sorted(cold):
        pipes = [p for p in on.net.drains() if space in (p.place.ref, p.place.kind)]
        if pipes:
            yield on.finding(
                about=(space, *sorted(p.id for p in pipes)),
                found=f"{'a drain lies' if len(pipes) == 1 else f'{len(pipes)} drains lie'} in the cold space {space}",
                wanted="a heated space, or protection from freezing",
                do="have the space heated, or insulate and heat-trace the drains as the inspector accepts",
                why="The drain freezes shut.",
                bases=(on.book.find("protect.freezing") or trade("pipes", "not where they freeze"),),
                at=pipes[0].a,
            )
