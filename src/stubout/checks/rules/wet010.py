"""WET010 wet-vent-too-flat."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import wet_vents
from stubout.problems import Level

SLOPE_TOL = 0.0005  # half a millimetre in a metre: what a level shows


@check("WET010", "wet-vent-too-flat", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying wet vent falls less than the book asks of a wet vent.

    ## What it checks
    The slope of every lying pipe through which a trap gets its air, where the book has a slope of its own for that.

    ## Why it matters
    What settles in a wet vent closes the air before it closes the drain.

    ## Fails
    A 4 in wet vent at 1 in 100 where 1 in 50 is asked.

    ## Passes
    1 in 50.

    ## Does not check
    Pipes that only drain (DRN007).
    """
    for vent in wet_vents(on):
        for pipe in vent.pipes:
            if pipe.vertical or not any(pipe.id in ids for ids in vent.through.values()):
                continue
            least = on.value("wet_vent.slope")
            if least is not None and least.number - pipe.slope > SLOPE_TOL:
                yield on.finding(
                    about=(pipe.id,),
                    found=f"wet vent {pipe.id} falls {on.slope(pipe.slope)}",
                    wanted=f"at least {on.slope(least.number)}",
                    do=f"lower the end of {pipe.id} by {on.mm((least.number - pipe.slope) * pipe.plan_mm)}",
                    why="What settles in a wet vent closes the air before it closes the drain.",
                    bases=(least,),
                    at=pipe.a,
                )
