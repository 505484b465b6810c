"""TRM001 terminal-too-low."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import terminals
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TRM001", "terminal-too-low", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent terminal ends too near to the roof.

    ## What it checks
    The height of every terminal above the roof surface below it, plumb, against the book as amended; where frost may
    close vents, against what the book asks there, if that is more.

    ## Why it matters
    Rain, snow and leaves close a low end, and the whole system is without air.

    ## Fails
    A terminal 400 mm above the roof where the town asks for 450 mm.

    ## Passes
    450 mm.

    ## Does not check
    The snow line, unless it is written as an amendment; roofs in use.
    """
    for node in terminals(on):
        roof = on.house.roof_over(node.at)
        if roof is None:
            on.skip(f"no roof is known above {node.id}")
            continue
        least = on.ask(queries.terminal_above_roof, on.book, on.house.climate.frost_prone_vents)
        if least is None:
            continue
        have_mm = node.at.z - roof.z_at(node.at.x, node.at.y)
        short_mm = least.number - have_mm
        if short_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(node.id, roof.id),
                found=f"{node.id} ends {on.mm(have_mm)} above the roof",
                wanted=f"at least {on.mm(least.number)}",
                do=f"make the terminal {on.mm(short_mm)} longer",
                why="Snow, rain and leaves close the end and the system is without air.",
                bases=(least,),
                at=node.at,
            )
