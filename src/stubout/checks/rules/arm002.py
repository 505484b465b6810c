"""ARM002 trap-arm-too-short."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms
from stubout.problems import Level
from stubout.rulebooks import queries


@check("ARM002", "trap-arm-too-short", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent opens too close to the crown of its trap.

    ## What it checks
    The developed length of every trap arm from weir to vent fitting against the book's least length for its size.

    ## Why it matters
    A vent at the crown is washed over by the discharge, fouls and closes.

    ## Fails
    A 2 in arm of 80 mm where the book asks for two diameters, 102 mm.

    ## Passes
    The same arm at 102 mm.

    ## Does not check
    Water closets, and fixtures the book lets drain without a vent.
    """
    for arm in arms(on):
        if arm.closet or not arm.trap.takeoff:
            continue
        least = on.ask(queries.arm_min_length, on.book, arm.size_in)
        if least is None:
            continue
        short_mm = least.number - arm.length_mm
        if short_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"{on.size(arm.size_in)} trap arm of {arm.trap.tag} is {on.mm(arm.length_mm)} from weir to vent",
                wanted=f"at least {on.mm(least.number)} in {on.size(arm.size_in)}",
                do=f"move the vent fitting {on.mm(short_mm)} away from the trap",
                why="The vent opening is washed over by the discharge, fouls and closes.",
                bases=(least,),
                at=arm.end,
            )
