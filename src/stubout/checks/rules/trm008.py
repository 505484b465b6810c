"""TRM008 terminal-near-vertical-surface."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import incoming, od_mm, terminals
from stubout.problems import Level


@check("TRM008", "terminal-near-vertical-surface", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent terminal stands close to a wall that goes on above the roof.

    ## What it checks
    The distance from every terminal, outside of the pipe, to each wall that stands higher than the roof there, where
    the book sets one.

    ## Why it matters
    Wind eddies at the wall press the air back into the vent.

    ## Fails
    A terminal 200 mm from the wall of the storey above where 305 mm are asked.

    ## Passes
    350 mm.

    ## Does not check
    Chimneys, parapets and other bodies that are not walls of the job.
    """
    for node in terminals(on):
        roof = on.house.roof_over(node.at)
        if roof is None:
            continue
        roof_z = roof.z_at(node.at.x, node.at.y)
        vents = incoming(on.net, node, "vent")
        half_mm = (od_mm(on, vents[0].size_in) or 0.0) / 2 if vents else 0.0
        for wall in on.house.walls:
            if wall.top_at(wall.station(node.at)) <= roof_z + LENGTH_TOL_MM:
                continue
            least = on.value("terminal.vertical_surface")
            past_mm = max(-wall.station(node.at), wall.station(node.at) - wall.length_mm, 0.0)
            aside_mm = max(abs(wall.offset(node.at)) - wall.depth_mm / 2, 0.0)
            gap_mm = max((past_mm**2 + aside_mm**2) ** 0.5 - half_mm, 0.0)
            if least is not None and least.number - gap_mm > LENGTH_TOL_MM:
                yield on.finding(
                    about=(node.id, wall.id),
                    found=f"{node.id} ends {on.mm(gap_mm)} from wall {wall.id}, which goes on above the roof",
                    wanted=f"at least {on.mm(least.number)}",
                    do=f"move the terminal {on.mm(least.number - gap_mm)} away from the wall",
                    why="Wind eddies at the wall press the air back into the vent.",
                    bases=(least,),
                    at=node.at,
                )
