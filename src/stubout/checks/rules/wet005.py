"""WET005 too-many-closets-on-wet-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets, wet_vents
from stubout.problems import Level


@check("WET005", "too-many-closets-on-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """More closets get their air through one wet vent than the book allows.

    ## What it checks
    The closets vented by each wet vent.

    ## Why it matters
    Two flushes at once leave no room for air.

    ## Fails
    Three closets on one wet vent where two are allowed.

    ## Passes
    Two closets.

    ## Does not check
    Whether two closets join at one level: the fitting checks see to their fitting.
    """
    vents = wet_vents(on)
    most = on.value("wet_vent.max_closets") if vents else None
    if most is None:
        return
    for vent in vents:
        served = closets(on, vent.through)
        if len(served) > most.number:
            yield on.finding(
                about=(*served, vent.pipes[0].id),
                found=f"{len(served)} closets on one wet vent: {', '.join(served)}",
                wanted=f"at most {most.number:g}",
                do=f"vent {served[-1]} by itself",
                why="Flushes at once leave no room for air.",
                bases=(most,),
                at=vent.pipes[0].a,
            )
