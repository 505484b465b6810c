"""ARM008 closet-too-far-from-vent."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries


@check("ARM008", "closet-too-far-from-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """A closet lies farther from its vent than the book allows, along the flat or along the drop.

    ## What it checks
    The flat and the upright length from the closet flange to the vent fitting, each against its own limit, or both
    together where the book counts along the pipe. The drop from the flange on the finished floor counts.

    ## Why it matters
    The slug of a flush fills the pipe; without air close behind it the closet trap is pulled down.

    ## Fails
    A closet with 3200 mm of flat pipe to its vent where 3000 mm are allowed.

    ## Passes
    2750 mm of flat pipe and a drop of 400 mm, within 3000 and 1000 mm. 1400 mm of flat pipe after a drop of 400 mm,
    within 6 ft along the pipe.

    ## Does not check
    Books that set no distance for closets; closets on a single stack (SGL002).
    """
    for arm in arms(on):
        if not arm.closet or not arm.trap.takeoff or arm.trap.method is VentMethod.SINGLE_STACK:
            continue
        reach = on.ask(queries.closet_vent_reach, on.book)
        if reach is None:
            continue
        flat_mm = sum(p.length_mm for p in arm.pipes if not p.vertical)
        drop_mm = arm.drop_mm + sum(p.length_mm for p in arm.pipes if p.vertical)
        for have_mm, limit, words in (
            (flat_mm, reach.flat, "of flat pipe"),
            (drop_mm, reach.upright, "of upright pipe"),
            (flat_mm + drop_mm, reach.along, "of pipe in all"),
        ):
            if limit is None or have_mm - limit.number <= LENGTH_TOL_MM:
                continue
            over = on.mm(have_mm - limit.number)
            lift = f"raise the pipe under the closet by {over}, up to its vent fitting"
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"{on.mm(have_mm)} {words} from the flange of {arm.trap.tag} to its vent",
                wanted=f"at most {on.mm(limit.number)} {words}",
                do=lift if limit is reach.upright else f"bring the vent {over} nearer to the closet",
                why="Each flush pulls down the water in the closet's trap.",
                bases=(limit,),
                at=arm.end,
            )
