"""ARM001 trap-arm-too-long."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries


@check("ARM001", "trap-arm-too-long", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap arm is longer than the book allows for its size.

    ## What it checks
    The developed length of every trap arm along the pipe, from the trap weir to the vent fitting, around every turn,
    against the limit for the smallest size on the way.

    ## Why it matters
    A long arm fills at its far end before air can follow, and the running water sucks the trap dry.

    ## Fails
    A 1-1/2 in arm of 1868 mm where the book allows 1800 mm.

    ## Passes
    The same arm in 2 in where the book allows 2400 mm, or 1800 mm exactly.

    ## Does not check
    Water closets (ARM008), fixtures the book lets drain without a vent (FLD001), those on a single stack (SGL002).
    """
    for arm in arms(on):
        if arm.closet or not arm.trap.takeoff or arm.trap.method is VentMethod.SINGLE_STACK:
            continue
        limit = on.ask(queries.arm_max_length, on.book, arm.size_in)
        if limit is None:
            continue
        over_mm = arm.length_mm - limit.number
        if over_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"{on.size(arm.size_in)} trap arm of {arm.trap.tag} is {on.mm(arm.length_mm)} from weir to vent",
                wanted=f"at most {on.mm(limit.number)} in {on.size(arm.size_in)}",
                do=f"bring the vent fitting {on.mm(over_mm)} nearer to the trap, or lay the arm one size larger",
                why="The arm runs full before air can follow and siphons the trap.",
                bases=(limit,),
                at=arm.end,
            )
