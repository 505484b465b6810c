"""TRM002 terminal-near-opening."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import terminals
from stubout.checks.space import point_box_mm
from stubout.checks.surroundings import air_openings
from stubout.geometry.vec import Box
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TRM002", "terminal-near-opening", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent terminal stands close to an opening of the house and not high enough above it.

    ## What it checks
    The distance in plan from every terminal to every window, door and skylight that opens, and the height
    above its top.

    ## Why it matters
    Sewer gas drifts in through the opening.

    ## Fails
    A terminal 1035 mm from an opening skylight and 300 mm above its top edge, where 3.5 m or 1 m are asked.

    ## Passes
    The same terminal 1 m above the top edge, or 3.5 m away.

    ## Does not check
    Air inlets of machines and openings of neighbouring houses: the job file does not hold them.
    """
    for node in terminals(on):
        for name, box in air_openings(on):
            rules = on.ask(queries.terminal_from_opening, on.book)
            if rules is None:
                return
            away, above = rules
            flat = Box(box.lo.at_z(0.0), box.hi.at_z(0.0))
            plan_mm = point_box_mm(node.at.at_z(0.0), flat)
            high_mm = node.at.z - box.hi.z
            if away.number - plan_mm > LENGTH_TOL_MM and above.number - high_mm > LENGTH_TOL_MM:
                yield on.finding(
                    about=(node.id, name),
                    found=f"{node.id} stands {on.mm(plan_mm)} from {name} and {on.mm(max(high_mm, 0.0))} above its top",
                    wanted=f"{on.mm(away.number)} away, or {on.mm(above.number)} above its top",
                    do=f"move the terminal {on.mm(away.number - plan_mm)} away, "
                    f"or make it {on.mm(above.number - high_mm)} longer",
                    why="Sewer gas drifts in through the opening.",
                    bases=(away, above),
                    at=node.at,
                )
