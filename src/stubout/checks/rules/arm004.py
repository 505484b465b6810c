"""ARM004 trap-arm-too-flat."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms
from stubout.problems import Level
from stubout.rulebooks import queries


@check("ARM004", "trap-arm-too-flat", Level.FIX)
def rule(on: Review) -> Findings:
    """A piece of a trap arm falls less than the book's slope for its size.

    ## What it checks
    Every lying piece of every trap arm, on its as-drawn end levels. A piece that climbs is ARM005.

    ## Why it matters
    Grease and hair settle where the water is too slow to carry them.

    ## Fails
    A 1-1/2 in arm of 1000 mm that falls 10 mm where the book asks for 1:50.

    ## Passes
    The same arm falling 20 mm.

    ## Does not check
    Water closets: their arm is a drain and is judged by DRN007.
    """
    for arm in arms(on):
        if arm.closet:
            continue
        for pipe in arm.pipes:
            if pipe.vertical or pipe.fall_mm < -LEVEL_TOL_MM:
                continue
            least = on.ask(queries.arm_slope, on.book, pipe.size_in)
            if least is None:
                continue
            short_mm = least.number * pipe.plan_mm - pipe.fall_mm
            if short_mm > LEVEL_TOL_MM:
                yield on.finding(
                    about=(arm.trap.tag, pipe.id),
                    found=f"{pipe.id} of the trap arm falls {on.mm(pipe.fall_mm)} over {on.mm(pipe.plan_mm)}",
                    wanted=f"at least {on.slope(least.number)}, {on.mm(least.number * pipe.plan_mm)}",
                    do=f"lower the down-stream end by {on.mm(short_mm)}, or raise the trap end by as much",
                    why="What the water cannot carry settles in the arm and blocks it.",
                    bases=(least,),
                    at=pipe.b,
                )
