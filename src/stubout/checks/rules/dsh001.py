"""DSH001 dishwasher-without-air-gap."""

from stubout.checks.base import Findings, Review, check
from stubout.problems import Level


@check("DSH001", "dishwasher-without-air-gap", Level.FIX)
def rule(on: Review) -> Findings:
    """A dishwasher drains without an air-gap fitting where the book asks for one.

    ## What it checks
    How the job says that the dishwasher at every sink is joined.

    ## Why it matters
    Without the gap a blocked sink drains back into the machine.

    ## Fails
    A dishwasher on the sink tailpiece where the book has no high loop.

    ## Passes
    The same with an air gap on the counter.

    ## Does not check
    The height of the fitting; how high the hose is looped where a loop will do.
    """
    for body in on.house.fixtures:
        if body.dishwasher not in ("tailpiece", "disposer"):
            continue
        gap = on.value("dishwasher.air_gap")
        if gap is not None and gap.value is True:
            yield on.finding(
                about=(body.tag,),
                found=f"the dishwasher at {body.tag} joins the {body.dishwasher} without an air gap",
                wanted=gap.printed,
                do=f"set an air-gap fitting at {body.tag}, and write `dishwasher: air gap`",
                why="A blocked sink drains back into the machine.",
                bases=(gap, on.book.find("dishwasher.joins")),
                at=body.outlet,
                line=body.line,
            )
