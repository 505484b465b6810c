"""FLD001 floor-drain-unvented-too-near."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import air_reaches, arms
from stubout.kinds import FixtureKind
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries


@check("FLD001", "floor-drain-unvented-too-near", Level.FIX)
def rule(on: Review) -> Findings:
    """A floor drain without its own vent joins too near to its trap, falls too far, or is too small.

    ## What it checks
    Floor drains that no vent reaches: trap size and length of the fixture drain as the book asks, and a fall within
    the pipe size.

    ## Why it matters
    The long, large, flat pipe is what lets air in over the water; without it the trap is siphoned.

    ## Fails
    A 3 in floor drain that joins the building drain after 300 mm where 450 mm are asked.

    ## Passes
    The same drain with 500 mm of pipe falling 10 mm.

    ## Does not check
    Floor drains with a vent: they are trap arms like all others.
    """
    for arm in arms(on):
        if arm.fixture.kind != FixtureKind.FLOOR_DRAIN:
            continue
        if arm.trap.method != VentMethod.NONE and air_reaches(on.net, arm):
            continue
        least = on.ask(queries.floor_drain_unvented_min, on.book)
        if least is None:
            on.skip("the book gives no length for a floor drain without a vent")
            continue
        trap = queries.floor_drain_unvented_trap(on.book)
        if trap is not None and arm.trap.trap_in < trap.number - 1e-6:
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"{arm.trap.tag} has no vent and a {on.size(arm.trap.trap_in)} trap",
                wanted=f"a trap of at least {on.size(trap.number)}, or a vent",
                do=f"set a floor drain with a {on.size(trap.number)} trap, say its `trap` in the job and lay "
                "its pipe as large, or vent it",
                why="A small trap without air is pulled dry by its own discharge.",
                bases=(trap,),
                at=arm.start,
            )
        short_mm = least.number - arm.length_mm
        if short_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"{arm.trap.tag} has no vent and {on.mm(arm.length_mm)} of pipe before it joins",
                wanted=f"at least {on.mm(least.number)} of pipe, or a vent",
                do=f"move the joint {on.mm(short_mm)} down stream, or vent the floor drain",
                why="The flow in the drain pulls the floor drain's seal.",
                bases=(least,),
                at=arm.end,
            )
        limit = on.ask(queries.floor_drain_unvented_fall, on.book, arm.size_in)
        if limit is not None and arm.fall_mm - limit.number > LENGTH_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in arm.pipes)),
                found=f"{arm.trap.tag} has no vent and falls {on.mm(arm.fall_mm)} before it joins",
                wanted=f"a fall of at most {on.mm(limit.number)}",
                do=f"take {on.mm(arm.fall_mm - limit.number)} of fall out of its pipe, or vent the floor drain",
                why="A pipe that falls more than its size runs full and siphons the trap.",
                bases=(least, limit),
                at=arm.end,
            )
