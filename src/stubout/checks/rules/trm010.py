"""TRM010 tall-terminal-unbraced."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import terminals
from stubout.problems import Level


@check("TRM010", "tall-terminal-unbraced", Level.NOTE)
def rule(on: Review) -> Findings:
    """A vent stands so high above the roof that it must be braced.

    ## What it checks
    The height of every terminal above the roof against the height from which the book asks for a brace.

    ## Why it matters
    Wind and sliding snow bend it and tear the flashing.

    ## Fails
    A terminal 2.2 m above the roof where a brace is asked from 2 m: a note to brace it.

    ## Passes
    A terminal 1.5 m above the roof.

    ## Does not check
    The brace itself: nothing of it is in the job.
    """
    for node in terminals(on):
        limit, roof = on.value("terminal.brace_above"), on.house.roof_over(node.at)
        if limit is None:
            return
        if roof is None:
            continue
        have_mm = node.at.z - roof.z_at(node.at.x, node.at.y)
        if have_mm - limit.number >= -LEVEL_TOL_MM:
            yield on.finding(
                about=(node.id, roof.id),
                found=f"{node.id} stands {on.mm(have_mm)} above the roof",
                wanted=f"a brace from {on.mm(limit.number)} up",
                do="brace it to the roof, or find a lower place for it",
                why="Wind and sliding snow bend it and tear the flashing.",
                bases=(limit,),
                at=node.at,
            )
