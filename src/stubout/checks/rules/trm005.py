"""TRM005 more-terminals-than-wished."""

from stubout.checks.base import Findings, Review, check, said
from stubout.checks.facts import terminals
from stubout.problems import Level


@check("TRM005", "more-terminals-than-wished", Level.ASK)
def rule(on: Review) -> Findings:
    """More pipes go through the roof than the owner wished.

    ## What it checks
    The number of terminals against `at most terminals` of the job.

    ## Why it matters
    Each hole in the roof is a future leak and the owner said how many he accepts.

    ## Fails
    Three terminals where the owner accepts two.

    ## Passes
    Two terminals.

    ## Does not check
    Whether the vents could be joined: the layout and its cost say that.
    """
    most = on.house.wishes.max_terminals
    ends = terminals(on)
    if most is not None and len(ends) > most:
        yield on.finding(
            about=tuple(n.id for n in ends),
            found=f"{len(ends)} {'vent goes' if len(ends) == 1 else 'vents go'} through the roof",
            wanted=f"at most {most}",
            do=f"join vents above the flood rims, or ask the owner for {len(ends) - most} more",
            why="Each hole in the roof is a future leak.",
            bases=(said("wish of the owner", f"at most {most} through the roof"),),
            at=ends[-1].at,
            owner="owner",
        )
