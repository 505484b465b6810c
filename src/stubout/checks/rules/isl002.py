"""ISL002 island-vent-too-low."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import hub_mm
from stubout.checks.islands import Loop, loops
from stubout.problems import Level

ROOM_MM = 25.0  # less than this above a fitting is no room to lift it: common practice, no source


@check("ISL002", "island-vent-too-low", Level.FIX)
def rule(on: Review) -> Findings:
    """The loop of an island vent turns down too low.

    ## What it checks
    The top of every island loop, centre line: against the fixture's outlet or its drainboard, as the book has it. Where
    the counter leaves no room to go as high as the drainboard, the inspector is to be asked.

    ## Why it matters
    The loop must stand as high as it can, so that what backs up does not run over into the vent.

    ## Fails
    A loop that turns down 200 mm below the drainboard with room above it.

    ## Passes
    A loop whose top is level with the drainboard.

    ## Does not check
    Fixtures whose rim or outlet is not known; books without a height.
    """
    for loop in loops(on):
        how = on.value("island.rise_rule")
        if how is None:
            continue
        drainboard = how.text == "to the drainboard"
        wanted_z = loop.fixture.flood_rim_z_mm if drainboard else loop.fixture.outlet_z_mm
        if wanted_z is None:
            on.skip(f"the {'rim' if drainboard else 'outlet'} of {loop.fixture.tag} is not known")
            continue
        top_z = max(loop.top.a.z, loop.top.b.z)
        low_mm = wanted_z - top_z
        if low_mm <= LEVEL_TOL_MM:
            continue
        full = drainboard and _no_room_above(on, loop, top_z)
        yield on.finding(
            about=(loop.fixture.tag, loop.top.id),
            found=f"the loop of {loop.fixture.tag} turns down {on.mm(low_mm)} below the "
            + ("drainboard" if drainboard else "outlet")
            + (", as high as the counter lets it" if full else ""),
            wanted=how.printed,
            do="ask the inspector whether the underside of the counter will do"
            if full
            else f"carry the loop {on.mm(low_mm)} higher",
            why="What backs up must not run over into the vent.",
            bases=(how, trade("loop under a counter", f"{on.mm(ROOM_MM)} above its bend is no room") if full else None),
            at=loop.top.b,
            level=Level.ASK if full else None,
            owner="inspector" if full else "",
        )


def _no_room_above(on: Review, loop: Loop, top_z: float) -> bool:
    """Return whether the bends of a loop stand right under the counter."""
    hub = hub_mm(on, loop.top.size_in)
    box = on.house.cabinet(loop.fixture.cabinet_id)
    under = box.box.hi.z if box is not None else None
    return hub is not None and under is not None and under - (top_z + hub / 2) < ROOM_MM
