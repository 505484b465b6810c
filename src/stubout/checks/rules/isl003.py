"""ISL003 island-foot-vent-too-flat."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.islands import loops
from stubout.problems import Level

SLOPE_TOL = 0.0005  # half a millimetre in a metre: what a level shows


@check("ISL003", "island-foot-vent-too-flat", Level.FIX)
def rule(on: Review) -> Findings:
    """The foot vent of an island loop lies flatter than a drain.

    ## What it checks
    The slope of every lying foot vent, back towards the island's drain, where the book asks for one.

    ## Why it matters
    It lies below the floor, gets wet and must drain itself.

    ## Fails
    A foot vent that rises 10 mm in a metre where 1/4 in per foot is asked.

    ## Passes
    21 mm in a metre.

    ## Does not check
    Books that ask only for drainage fittings there.
    """
    for loop in loops(on):
        least = on.value("island.foot_slope")
        for pipe in loop.foot:
            if least is None or pipe.vertical:
                continue
            rise = (pipe.b.z - pipe.a.z) / pipe.plan_mm
            if least.number - rise > SLOPE_TOL:
                yield on.finding(
                    about=(pipe.id, loop.fixture.tag),
                    found=f"foot vent {pipe.id} of {loop.fixture.tag} rises {on.slope(rise)}",
                    wanted=f"at least {on.slope(least.number)}",
                    do=f"raise the far end of {pipe.id} by {on.mm((least.number - rise) * pipe.plan_mm)}",
                    why="It lies below the floor, gets wet and must drain itself.",
                    bases=(least, on.book.find("island.foot_vent_rule")),
                    at=pipe.a,
                )
