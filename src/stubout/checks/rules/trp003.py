"""TRP003 outlet-too-far-from-trap."""

from stubout.catalog import queries as catalog
from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TRP003", "outlet-too-far-from-trap", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap stands farther from its fixture's outlet than the book allows.

    ## What it checks
    The distance in plan from the outlet to the trap, where the place of the outlet is known. The weir lies one trap
    swing behind the trap inlet, and this much is taken off.

    ## Why it matters
    The pipe before the trap has no seal behind it: it smells into the room, and the trap takes the rush of a long pipe.

    ## Fails
    A tub outlet 1400 mm from its trap where 1200 mm are allowed.

    ## Passes
    A trap straight below the outlet.

    ## Does not check
    Closets, and fixtures without a known outlet point; books that limit the whole outlet pipe (TRP002).
    """
    for arm in arms(on):
        body = arm.fixture
        if arm.closet or body.outlet is None:
            continue
        if on.book.find("trap.outlet_pipe_max") is not None:
            return  # the whole outlet pipe is limited: TRP002
        limit = on.ask(queries.outlet_to_trap_horizontal, on.book)
        swing_mm = on.ask(catalog.trap_reach_mm, arm.trap.trap_in)
        if limit is None or swing_mm is None:
            continue
        away_mm = arm.start.minus(body.outlet).plan_length - swing_mm
        if away_mm - limit.number > LENGTH_TOL_MM:
            yield on.finding(
                about=(body.tag, arm.pipes[0].id),
                found=f"trap of {body.tag} stands {on.mm(away_mm)} from the outlet",
                wanted=f"at most {on.mm(limit.number)}",
                do=f"set the trap {on.mm(away_mm - limit.number)} nearer to the outlet",
                why="The pipe before the trap is open to the room and fouls.",
                bases=(limit,),
                at=arm.start,
            )
