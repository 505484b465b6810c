"""CLO004 sewer-without-cleanout."""

import math

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.openings import down_from, nearest_mm, up_from
from stubout.checks.surroundings import crossing
from stubout.problems import Level

NEAR_MM = 3048.0  # 10 ft, where the book says "near": common practice, no source


OPEN = (
    "{} is installed: open it just inside or outside the wall and set a cleanout into it, or let the authority having "
    "jurisdiction leave it as it is"
)


@check("CLO004", "sewer-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """No cleanout stands near where the building drain leaves the house.

    ## What it checks
    The distance along the drain from the place where it passes the footprint to the nearest cleanout that opens into
    it, or into what drains into it, and is large enough.

    ## Why it matters
    Roots and settlement block the sewer outside; without a cleanout there a closet is lifted to rod it.

    ## Fails
    The nearest cleanout 5 m inside.

    ## Passes
    A two-way cleanout 900 mm outside the wall.

    ## Does not check
    Cleanouts along the sewer farther out (CLO005).
    """
    asked = on.value("cleanout.sewer_junction")
    if asked is None or asked.value is not True:
        return
    within = on.book.find("cleanout.sewer_junction_within")
    reach_mm = max(within.number, NEAR_MM) if within is not None else NEAR_MM
    for pipe, here in crossing(on):
        in_mm = pipe.a.to(here)
        up = {node: mm + in_mm for node, mm in up_from(on, pipe.start, math.inf).items()}
        near_mm = nearest_mm(on, pipe.size_in, up, down_from(on, pipe, math.inf, in_mm))
        if near_mm is None or near_mm - reach_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(pipe.id,),
                found=f"the nearest cleanout is {on.mm(near_mm)} along the drain from where {pipe.id} leaves the house"
                if near_mm is not None
                else f"{pipe.id} leaves the house without a cleanout",
                wanted=f"a cleanout within {on.mm(reach_mm)}",
                do=OPEN.format(pipe.id)
                if pipe.said == "installed"
                else "set a cleanout just inside or outside the wall",
                why="The sewer cannot be rodded from the house.",
                bases=(asked, within),
                at=here,
            )
