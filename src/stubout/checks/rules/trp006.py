"""TRP006 outlet-too-low-above-trap."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms
from stubout.kinds import FixtureKind
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TRP006", "outlet-too-low-above-trap", Level.FIX)
def rule(on: Review) -> Findings:
    """The trap of a floor outlet finds no room between the outlet and its own weir.

    ## What it checks
    Tubs, showers and floor drains: how far the centre line of the arm at the trap weir lies below the fixture's outlet,
    against the drop into a trap (common practice, no source). Of a tub or shower whose sheet is not at hand the outlet
    is taken as high as it may stand; where there is room below that, and none below the lowest it may stand, it is a
    question. Of a floor drain the outlet is taken at the floor.

    ## Why it matters
    Shoe, tailpiece and trap do not go in one above the other; the pipe under the floor is opened again.

    ## Fails
    A tub whose outlet is 30 mm above the centre line of its trap arm.

    ## Passes
    50 mm (2 in).

    ## Does not check
    Closets, whose trap is in the bowl, standpipes (STP001) and what hangs on a wall (STB001). How deep the body of a
    floor drain is.
    """
    drop = queries.trap_entry_drop(on.house.job.units)
    for arm in arms(on):
        body = arm.fixture
        outlet_z_mm = body.drop_from_z_mm
        if arm.closet or body.kind == FixtureKind.CLOTHES_WASHER or not body.floor_outlet or outlet_z_mm is None:
            continue
        room_mm, doubt_mm = outlet_z_mm - arm.start.z, body.outlet_doubt_mm
        short_mm = drop.number - (room_mm - doubt_mm)
        if short_mm <= LEVEL_TOL_MM:
            continue
        asked = short_mm - doubt_mm <= LEVEL_TOL_MM
        taken = queries.tub_outlet_height(body.kind, on.house.job.units) if doubt_mm else None
        heights = on.above_floor(outlet_z_mm, body.finished_z_mm, body.subfloor_z_mm)
        where = f"taken as {heights} and perhaps {on.mm(doubt_mm)} lower" if doubt_mm else heights
        lowered = f"lower the trap and its arm by {on.mm(short_mm)}"
        yield on.finding(
            about=(body.tag, arm.pipes[0].id),
            found=f"outlet of {body.tag}, {where}, is {on.above(room_mm)} the centre line of its arm at the trap weir",
            wanted=f"at least {on.mm(drop.number)} above it",
            do=f"write the `outlet height` of {body.tag} as its sheet has it, or {lowered}" if asked else lowered,
            why="The trap does not fit between the outlet and the pipe.",
            bases=(drop, taken),
            at=arm.start,
            level=Level.ASK if asked else None,
            owner="owner" if asked else "",
        )
