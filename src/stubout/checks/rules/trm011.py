"""TRM011 terminal-at-roof-in-use."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import terminals
from stubout.problems import Level


@check("TRM011", "terminal-at-roof-in-use", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent ends too low over a roof that people use, or too near to it.

    ## What it checks
    Every terminal on or near a part of the roof that the job says is in use, against the height the book asks there.

    ## Why it matters
    People sit beside it.

    ## Fails
    A terminal 0.5 m above a roof deck where 2.1 m are asked.

    ## Passes
    A terminal 2.2 m above the deck, or one farther from it than the book's distance.

    ## Does not check
    Roofs of which the job does not say that they are used.
    """
    for roof in on.house.roof:
        if not roof.in_use:
            continue
        least, near = on.value("terminal.used_roof_height"), on.book.find("terminal.used_roof_distance")
        for node in terminals(on) if least is not None else ():
            x = min(max(node.at.x, roof.x0_mm), roof.x1_mm)
            y = min(max(node.at.y, roof.y0_mm), roof.y1_mm)
            away_mm = ((node.at.x - x) ** 2 + (node.at.y - y) ** 2) ** 0.5
            reach_mm = near.number if near is not None else 0.0
            up_mm = node.at.z - roof.z_at(x, y)
            if least is None or away_mm > reach_mm or least.number - up_mm <= LEVEL_TOL_MM:
                continue
            yield on.finding(
                about=(node.id, roof.id),
                found=f"{node.id} ends {on.mm(up_mm)} above the roof in use {roof.id}",
                wanted=f"at least {on.mm(least.number)}",
                do=f"make the terminal {on.mm(least.number - up_mm)} longer"
                + (f", or move it {on.mm(reach_mm - away_mm)} away from {roof.id}" if near is not None else ""),
                why="People sit beside it.",
                bases=(least, near),
                at=node.at,
            )
