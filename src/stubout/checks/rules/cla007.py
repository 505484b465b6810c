"""CLA007 pipe-in-refused-wall."""

from stubout.checks.base import Findings, Review, check, said
from stubout.problems import Level


@check("CLA007", "pipe-in-refused-wall", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe runs in a wall that the job closes to it.

    ## What it checks
    Vents against the walls closed to vents, drains against the walls closed to drains.

    ## Why it matters
    The wall is cold, bearing or promised to somebody else.

    ## Fails
    A vent in an exterior wall that the job closes to vents.

    ## Passes
    A vent in an interior wall.

    ## Does not check
    Why the wall is closed.
    """
    wishes = on.house.wishes
    for pipe in on.net.pipes:
        closed = wishes.no_vent_in_walls if pipe.system == "vent" else wishes.no_drain_in_walls
        if pipe.place.kind == "wall" and pipe.place.ref in closed:
            yield on.finding(
                about=(pipe.id, pipe.place.ref),
                found=f"{pipe.system} {pipe.id} runs in wall {pipe.place.ref}",
                wanted=f"no {pipe.system}s in {', '.join(closed)}",
                do="lay it in another wall, or have the wish changed",
                why="The job closes this wall.",
                bases=(said("walls closed by the job", "job file"),),
                at=pipe.a,
            )
