"""WET012 closets-at-two-levels-on-wet-vent."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms, closets, wet_vents
from stubout.problems import Level


@check("WET012", "closets-at-two-levels-on-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """Two closets join a wet vent at two levels.

    ## What it checks
    Where the closets of every wet vent join it: in one double fitting, where the book asks for it.

    ## Why it matters
    The flush of the upper closet shuts the pipe for the lower.

    ## Fails
    Two closets on an upright wet vent, one 240 mm below the other.

    ## Passes
    Both in one double fitting.

    ## Does not check
    How many closets may share the vent (WET005).
    """
    for vent in wet_vents(on):
        tags = closets(on, vent.through)
        if len(tags) < 2:
            continue
        level = on.value("wet_vent.closets_level")
        ends = {a.trap.tag: a.end for a in arms(on) if a.trap.tag in tags}
        apart_mm = max(p.to(q) for p in ends.values() for q in ends.values()) if ends else 0.0
        if level is not None and apart_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(vent.pipes[0].id, *tags),
                found=f"{' and '.join(tags)} join the wet vent {on.mm(apart_mm)} apart",
                wanted=level.printed,
                do=f"let {' and '.join(tags)} join in one double fitting",
                why="The flush of the one closet shuts the pipe for the other.",
                bases=(level,),
                at=vent.pipes[0].b,
            )
