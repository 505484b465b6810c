"""VNT010 vent-takeoff-lies-flat."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import drains_at, loop_tags
from stubout.layout.model import Role
from stubout.problems import Level


@check("VNT010", "vent-takeoff-lies-flat", Level.FIX)
def rule(on: Review) -> Findings:
    """A dry vent leaves a lying drain sideways instead of rising from above its centre line.

    ## What it checks
    The first pipe of every vent at a drain that lies there: it must rise at 45 degrees or steeper.

    ## Why it matters
    Waste runs into an opening at the side of the pipe and closes it.

    ## Fails
    A vent that leaves a lying drain level with it.

    ## Passes
    A vent fitting rolled up 45 degrees or straight up.

    ## Does not check
    The foot vent of an island; vents off an upright drain.
    """
    looped = loop_tags(on)
    for vent in on.net.vents():
        if vent.vertical or vent.role == Role.FOOT_VENT or (vent.tags and set(vent.tags) <= looped):
            continue
        drains = drains_at(on.net, on.net.node(vent.start))
        if not drains or any(p.vertical for p in drains):
            continue
        yield on.finding(
            about=(vent.id, drains[0].id),
            found=f"{vent.id} leaves the lying drain {drains[0].id} sideways",
            wanted="a take-off above the drain's centre line, rising 45 degrees or steeper",
            do="roll the vent fitting up to 45 degrees or straight up",
            why="Waste runs into the opening and closes it.",
            bases=(on.book.find("vent.above_centre") or trade("dry vent take-off", "above the drain's centre line"),),
            at=vent.a,
        )
