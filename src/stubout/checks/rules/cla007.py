"""CLA007 pipe-in-refused-wall."""

from stubout.checks.base import Findings, Review, check, said
from stubout.network.standing import in_wall
from stubout.problems import Level


@check("CLA007", "pipe-in-refused-wall", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe runs in a wall that the job closes to it.

    ## What it checks
    Vents against the walls closed to vents, drains against the walls closed to drains; an upright pipe in every wall
    that it comes through.

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
        for wall_id in (w.id for w in on.house.walls if w.id in closed and in_wall(pipe, w)):
            yield on.finding(
                about=(pipe.id, wall_id),
                found=f"{pipe.system} {pipe.id} runs in wall {wall_id}",
                wanted=f"no {pipe.system}s in {', '.join(closed)}",
                do="lay it in another wall, or have the wish changed",
                why="The job closes this wall.",
                bases=(said("walls closed by the job", "job file"),),
                at=pipe.a,
            )
