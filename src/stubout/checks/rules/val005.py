"""VAL005 valve-below-rim-or-insulation."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import highest_rim, incoming
from stubout.layout.model import PointKind, Role
from stubout.problems import Level


@check("VAL005", "valve-below-rim-or-insulation", Level.FIX)
def rule(on: Review) -> Findings:
    """A valve on a stack vent stands too low above the flood rims, or a valve stands in an attic.

    ## What it checks
    The height of every valve on a stack vent above the highest flood rim it serves, where the book gives one. A valve
    in an attic is not judged: how thick the insulation lies is not in the job.

    ## Why it matters
    What backs up the stack fouls the valve; loose insulation closes it.

    ## Fails
    A stack valve 100 mm above the rim of the upper lavatory where 152 mm are asked.

    ## Passes
    160 mm.

    ## Does not check
    Valves on other vents (VAL002); the depth of insulation.
    """
    for node in on.net.nodes:
        vents = incoming(on.net, node, "vent") if node.kind is PointKind.AAV else ()
        for vent in vents:
            clear = on.book.find("aav.above_insulation")
            if vent.place.kind == "attic" and clear is not None:
                on.skip(f"{node.id}: the job does not say how thick the insulation is ({clear.printed} above it)")
            if vent.role is not Role.STACK_VENT:
                continue
            least, rim = on.value("aav.above_rim"), highest_rim(on, vent.tags)
            if least is None or rim is None:
                continue
            short_mm = rim[0] + least.number - node.at.z
            if short_mm > LEVEL_TOL_MM:
                yield on.finding(
                    about=(node.id, rim[1]),
                    found=f"stack valve {node.id} is {on.mm(node.at.z - rim[0])} above the rim of {rim[1]}",
                    wanted=f"at least {on.mm(least.number)}",
                    do=f"raise the valve by {on.mm(short_mm)}",
                    why="What backs up the stack fouls the valve.",
                    bases=(least, rim[2]),
                    at=node.at,
                )
