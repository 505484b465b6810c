"""STP001 standpipe-too-short-or-tall."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms, id_mm
from stubout.problems import Level
from stubout.rulebooks import queries


@check("STP001", "standpipe-too-short-or-tall", Level.FIX)
def rule(on: Review) -> Findings:
    """A washer standpipe is shorter or taller above its trap weir than the book allows.

    ## What it checks
    The height from the trap weir to the top of the standpipe, against both ends of the book's range.

    ## Why it matters
    A short one spills over when the pump runs; a tall one lets the water fall so fast that it takes the seal along.

    ## Fails
    A standpipe of 550 mm where at least 600 mm are asked.

    ## Passes
    600 mm.

    ## Does not check
    Whether the washer's own sheet asks for another height.
    """
    for arm in arms(on):
        top_mm = arm.fixture.standpipe_top_z_mm
        if top_mm is None:
            continue
        span = on.ask(queries.standpipe_height, on.book)
        bore_mm = id_mm(on, arm.pipes[0].size_in)
        if span is None or bore_mm is None:
            continue
        weir_mm = arm.start.z - bore_mm / 2
        have_mm = top_mm - weir_mm
        lo, hi = span
        if lo is not None and lo.number - have_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[0].id),
                found=f"standpipe of {arm.trap.tag} stands {on.mm(have_mm)} above its weir",
                wanted=f"at least {on.mm(lo.number)}",
                do=f"lower the trap by {on.mm(lo.number - have_mm)}",
                why="The washer's pump spills over the top.",
                bases=(lo,),
                at=arm.start,
            )
        if hi is not None and have_mm - hi.number > LEVEL_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[0].id),
                found=f"standpipe of {arm.trap.tag} stands {on.mm(have_mm)} above its weir",
                wanted=f"at most {on.mm(hi.number)}",
                do=f"raise the trap by {on.mm(have_mm - hi.number)}",
                why="The water falls so fast that it takes the seal along.",
                bases=(hi,),
                at=arm.start,
            )
