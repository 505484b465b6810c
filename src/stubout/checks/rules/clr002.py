"""CLR002 closet-front-blocked."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.surroundings import front_gap
from stubout.kinds import FixtureKind
from stubout.problems import Level
from stubout.rulebooks import queries


@check("CLR002", "closet-front-blocked", Level.FIX)
def rule(on: Review) -> Findings:
    """A closet has too little free floor in front of it.

    ## What it checks
    The distance from the front of every closet whose body the job gives to the wall, cabinet or fixture before it.

    ## Why it matters
    Knees meet the wall, and the inspector measures it.

    ## Fails
    500 mm in front of a closet where 533 mm are asked.

    ## Passes
    600 mm.

    ## Does not check
    Closets whose body is not in the job: their front is not known.
    """
    for body in on.house.fixtures:
        if body.kind != FixtureKind.WATER_CLOSET or body.outlet is None or not body.wall_id:
            continue
        if body.extent is None:
            on.skip("the body of the closet is not known", body.tag)
            continue
        least = on.ask(queries.closet_front_clear, on.book)
        gap = front_gap(on, body)
        if least is None or gap is None:
            continue
        gap_mm, name = gap
        if least.number - gap_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(body.tag, name),
                found=f"{on.mm(gap_mm)} of free floor between {body.tag} and {name}",
                wanted=f"at least {on.mm(least.number)}",
                do=f"gain {on.mm(least.number - gap_mm)} in front of the closet",
                why="There is no room for the knees.",
                bases=(least,),
                at=body.outlet,
            )
