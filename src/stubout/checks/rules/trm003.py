"""TRM003 terminal-may-freeze-shut."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import incoming, terminals
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TRM003", "terminal-may-freeze-shut", Level.FIX)
def rule(on: Review) -> Findings:
    """A terminal in a cold climate is smaller than the book's frost size.

    ## What it checks
    The size of the last pipe of every vent where the job says that vents may freeze.

    ## Why it matters
    Moist air builds ice from the rim inwards until a small pipe is shut, in the week when nobody climbs the roof.

    ## Fails
    A 2 in terminal where 3 in is asked against frost.

    ## Passes
    A 2 in vent enlarged to 3 in before it goes through the roof.

    ## Does not check
    How far below the roof the pipe grows (TRM007). Where the job says nothing, vents count as frost-prone and the
    inspector is asked.
    """
    if not on.house.climate.frost_prone_vents:
        return
    for node in terminals(on):
        least = on.ask(queries.terminal_frost_size, on.book)
        if least is None:
            return
        for vent in incoming(on.net, node, "vent"):
            if vent.size_in < least.number - 1e-6:
                yield on.finding(
                    about=(node.id, vent.id),
                    found=f"{node.id} goes through the roof in {on.size(vent.size_in)}",
                    wanted=f"{on.size(least.number)} against frost",
                    do=f"enlarge the vent to {on.size(least.number)} inside the insulation and carry it through",
                    why="Ice closes a small terminal in the coldest weeks.",
                    bases=(least,),
                    at=node.at,
                )
