"""DRN006 building-drain-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("DRN006", "building-drain-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """The building drain or sewer is smaller than the book's least size.

    ## What it checks
    Every pipe that the design calls building drain or building sewer, by the number of closets in the house.

    ## Why it matters
    The whole house hangs on this one pipe.

    ## Fails
    A 3 in building drain where the book asks for 4 in.

    ## Passes
    A 4 in building drain.

    ## Does not check
    Its load (DRN001); whether the authority counts a part up stream of the main cleanout otherwise.
    """
    everyone = closets(on, [f.tag for f in on.house.fixtures])
    for pipe in on.net.drains():
        if pipe.role not in (Role.BUILDING_DRAIN, Role.SEWER):
            continue
        least = on.ask(queries.building_drain_least_size, on.book, len(everyone))
        if least is not None and pipe.size_in < least.number - 1e-6:
            yield on.finding(
                about=(pipe.id,),
                found=f"{pipe.role.value} {pipe.id} is {on.size(pipe.size_in)}",
                wanted=f"at least {on.size(least.number)}",
                do=f"lay {pipe.id} in {on.size(least.number)}",
                why="The whole house hangs on this one pipe.",
                bases=(least,),
                at=pipe.a,
            )
