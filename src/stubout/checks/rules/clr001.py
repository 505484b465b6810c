"""CLR001 closet-too-near-side."""

from collections.abc import Sequence
from itertools import combinations

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.surroundings import side_gaps
from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.problems import Level
from stubout.rulebooks import queries

SEATS = (FixtureKind.WATER_CLOSET, FixtureKind.BIDET)


@check("CLR001", "closet-too-near-side", Level.FIX)
def rule(on: Review) -> Findings:
    """A closet or bidet stands too near to what is beside it, or two of them to each other.

    ## What it checks
    The distance from the centre of every closet and bidet, along its wall, to the finished side wall, vanity, tub or
    obstacle on either side; between two of them on one side of a wall, centre to centre.

    ## Why it matters
    Nobody sits there comfortably, and the inspector measures it.

    ## Fails
    A closet 375 mm from the vanity where 381 mm are asked.

    ## Passes
    A closet 400 mm from it.

    ## Does not check
    Closets without a wall or an outlet in the job; books that give no distance.
    """
    seats = [f for f in on.house.fixtures if f.kind in SEATS and f.outlet is not None and f.wall_id]
    yield from _too_near_each_other(on, seats)
    for body in seats:
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


def _too_near_each_other(on: Review, seats: Sequence[HouseFixture]) -> Findings:
    """Yield the pairs on one side of a wall whose centres are nearer than the book allows."""
    least = queries.closet_between(on.book)
    if least is None:
        return
    for a, b in combinations(seats, 2):
        if (a.wall_id, a.side) != (b.wall_id, b.side) or a.outlet is None or b.outlet is None:
            continue
        apart_mm = a.outlet.to(b.outlet)
        if least.number - apart_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(a.tag, b.tag),
                found=f"{a.tag} and {b.tag} stand {on.mm(apart_mm)} apart, centre to centre",
                wanted=f"at least {on.mm(least.number)}",
                do=f"move one of them {on.mm(least.number - apart_mm)} away from the other",
                why="Two people sit there elbow to elbow.",
                bases=(least,),
                at=a.outlet,
            )
