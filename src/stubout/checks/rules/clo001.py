"""CLO001 stack-without-cleanout."""

import math

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.openings import down_from, nearest_mm, up_from
from stubout.layout.model import Role
from stubout.problems import Level

NEAR_MM = 1000.0  # where the book says "at the base" and no distance: common practice, no source


@check("CLO001", "stack-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """No cleanout stands at the foot of a stack.

    ## What it checks
    Every stack where the book asks for a cleanout at its base, within the distance the book gives along the pipe, up
    the stack or down the drain it stands on, and large enough for the stack.

    ## Why it matters
    Stoppages sit at the foot; without an opening the stack is cut to reach them.

    ## Fails
    A stack whose nearest cleanout is 6 m down stream.

    ## Passes
    A cleanout tee 300 mm above the foot.

    ## Does not check
    Books that do not ask for one.
    """
    stacks = [p for p in on.net.drains() if p.role == Role.STACK and p.vertical]
    asked = on.value("cleanout.stack_base") if stacks else None
    if asked is None or asked.value is not True:
        return
    within = on.book.find("cleanout.stack_base_within")
    reach_mm = within.number if within is not None else NEAR_MM
    for foot in stacks:
        below_foot = on.net.downstream(foot)
        if not below_foot or below_foot[0].vertical:
            continue
        up, down = up_from(on, foot.end, math.inf), down_from(on, below_foot[0], math.inf)
        near_mm = nearest_mm(on, foot.size_in, up, down)
        if near_mm is None or near_mm - reach_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(foot.id,),
                found=f"the nearest cleanout is {on.mm(near_mm)} along the pipe from the foot of {foot.id}"
                if near_mm is not None
                else f"{foot.id} has no cleanout",
                wanted=f"a cleanout within {on.mm(reach_mm)} of the foot",
                do="set a cleanout tee above the foot, facing a place that stays free",
                why="A stoppage at the foot cannot be reached without cutting the stack.",
                bases=(asked, within),
                at=foot.b,
            )
