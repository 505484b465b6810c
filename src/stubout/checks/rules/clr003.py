"""CLR003 lavatory-front-blocked."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.surroundings import front_gap
from stubout.kinds import FixtureKind
from stubout.problems import Level


@check("CLR003", "lavatory-front-blocked", Level.FIX)
def rule(on: Review) -> Findings:
    """A lavatory has too little free floor in front of it.

    ## What it checks
    The distance from the front of every lavatory whose body the job gives to what stands before it, where the book asks
    for one.

    ## Why it matters
    Nobody can stand at the bowl, and the inspector measures it.

    ## Fails
    500 mm in front of a lavatory where 610 mm are asked.

    ## Passes
    650 mm.

    ## Does not check
    Lavatories whose body is not in the job; books that ask for none.
    """
    for body in on.house.fixtures:
        if body.kind is not FixtureKind.LAVATORY or not body.wall_id:
            continue
        least = on.value("lavatory.front_clear")
        if least is None:
            return
        gap = front_gap(on, body)
        if gap is None:
            on.skip(f"{body.tag}: the body of the lavatory is not known")
            continue
        short_mm = least.number - gap[0]
        if short_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(body.tag, gap[1]),
                found=f"{on.mm(gap[0])} of free floor between {body.tag} and {gap[1]}",
                wanted=f"at least {on.mm(least.number)}",
                do=f"gain {on.mm(short_mm)} in front of the lavatory",
                why="Nobody can stand at the bowl.",
                bases=(least,),
                at=body.outlet,
            )
