"""TRM009 terminal-near-ground."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import terminals
from stubout.problems import Level


@check("TRM009", "terminal-near-ground", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent terminal ends too near to the ground.

    ## What it checks
    The height of every terminal above the ground at the house, where the book sets one.

    ## Why it matters
    People walk there, and snow and leaves lie there.

    ## Fails
    A terminal 1.8 m above the ground at a house dug into a slope, where 2 m are asked.

    ## Passes
    2.1 m.

    ## Does not check
    Ground that rises elsewhere around the house: the job has one height for it.
    """
    for node in terminals(on):
        least = on.value("terminal.above_ground")
        if least is None:
            return
        short_mm = on.house.ground.at_house_z_mm + least.number - node.at.z
        if short_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(node.id,),
                found=f"{node.id} ends {on.mm(least.number - short_mm)} above the ground",
                wanted=f"at least {on.mm(least.number)}",
                do=f"make the terminal {on.mm(short_mm)} longer",
                why="People walk there, and snow and leaves lie there.",
                bases=(least,),
                at=node.at,
            )
