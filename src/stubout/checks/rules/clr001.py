"""CLR001 closet-too-near-side."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.surroundings import side_gaps
from stubout.house.model import FixtureKind
from stubout.problems import Level
from stubout.rulebooks import queries


@check("CLR001", "closet-too-near-side", Level.FIX)
def rule(on: Review) -> Findings:
    """A closet or bidet stands too near to what is beside it.

    ## What it checks
    The distance from the centre of every closet and bidet, along its wall, to the finished side wall, vanity, tub or
    obstacle on either side.

    ## Why it matters
    Nobody sits there comfortably, and the inspector measures it.

    ## Fails
    A closet 375 mm from the vanity where 381 mm are asked.

    ## Passes
    A closet 400 mm from it.

    ## Does not check
    Closets without a wall or an outlet in the job; books that give no distance.
    """
    for body in on.house.fixtures:
        if body.kind not in (FixtureKind.WATER_CLOSET, FixtureKind.BIDET) or body.outlet is None or not body.wall_id:
            continue
        least = on.ask(queries.closet_side_clear, on.book)
        if least is None:
            return
        for gap_mm, name in side_gaps(on, body):
            if least.number - gap_mm > LENGTH_TOL_MM:
                yield on.finding(
                    about=(body.tag, name),
                    found=f"{body.tag} is {on.mm(gap_mm)} from {name}, centre to finished face",
                    wanted=f"at least {on.mm(least.number)}",
                    do=f"move the closet {on.mm(least.number - gap_mm)} away from {name}",
                    why="There is no room to sit.",
                    bases=(least,),
                    at=body.outlet,
                )
