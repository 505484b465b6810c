"""CLA008 pipe-over-panel."""

from stubout.checks.base import Findings, Review, check, said
from stubout.checks.surroundings import level_of, meets
from stubout.geometry.vec import Box
from stubout.problems import Level


@check("CLA008", "pipe-over-panel", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe runs above or below an electrical panel.

    ## What it checks
    The space of an electrical panel from floor to ceiling of its storey, where the job says that it stays clear.

    ## Why it matters
    A leak runs into the panel; the electrical inspector refuses it.

    ## Fails
    A drain under the ceiling right above the panel.

    ## Passes
    The same drain 300 mm to the side.

    ## Does not check
    The working space in front of the panel.
    """
    for thing in on.house.obstacles:
        if not thing.keep_clear_above_below:
            continue
        level = level_of(on, thing.box.lo.z)
        if level is None:
            on.skip(f"the storey of {thing.id} is not known")
            continue
        top = level.ceiling_z_mm if level.ceiling_z_mm is not None else level.subfloor_z_mm + level.wall_height_mm
        column = Box(thing.box.lo.at_z(level.subfloor_z_mm), thing.box.hi.at_z(max(top, thing.box.hi.z)))
        for pipe in on.net.pipes:
            if meets(on, pipe, thing.box) is not None:
                continue  # CLA001 says it
            hit = meets(on, pipe, column)
            if hit is not None:
                yield on.finding(
                    about=(pipe.id, thing.id),
                    found=f"{pipe.system} {pipe.id} runs above or below {thing.what or thing.id}",
                    wanted="no pipe above or below it",
                    do="lead the pipe round the panel",
                    why="A leak runs into the panel.",
                    bases=(said("space above and below an electrical panel", "kept clear, job file"),),
                    at=hit[1],
                )
