"""STB005 trap-meets-drawer."""

from stubout.catalog import queries as catalog
from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import fixture, hub_mm
from stubout.checks.surroundings import boxes_at
from stubout.problems import Level


@check("STB005", "trap-meets-drawer", Level.STOP)
def rule(on: Review) -> Findings:
    """A trap hangs where a drawer slides.

    ## What it checks
    The trap and tailpiece of every stub-out behind a cabinet, from the bottom of the trap to the outlet, against each
    drawer there, its cut-out, and the gap behind it.

    ## Why it matters
    The drawer does not close.

    ## Fails
    A trap reaching down to 543 mm in front of a drawer that reaches up to 565 mm.

    ## Passes
    A drawer with a cut-out wide and deep enough for the tailpiece, or one that ends below the trap.

    ## Does not check
    The slides and the faucet's lines.
    """
    for mark in on.design.stubs:
        body = fixture(on, mark.tag)
        hang = on.ask(catalog.trap_drop_mm, mark.size_in)
        hub = hub_mm(on, mark.size_in)
        if body is None or hang is None or hub is None:
            continue
        lo_mm = mark.mark_z_mm - hang
        hi_mm = max(mark.mark_z_mm + hub / 2, body.outlet_z_mm or 0.0)
        deep_mm = (body.from_wall_mm or 0.0) + body.outlet_in * 25.4 / 2
        for box in boxes_at(on, mark.wall_id, mark.side, mark.station_mm):
            for drawer in box.drawers:
                meet_mm = min(hi_mm, drawer.hi_z_mm) - max(lo_mm, drawer.lo_z_mm)
                if meet_mm <= TOUCH_TOL_MM or drawer.back_gap_mm >= deep_mm:
                    continue
                centre_mm = (box.from_station_mm + box.to_station_mm) / 2
                wide = drawer.cut_width_mm / 2 - abs(mark.station_mm - centre_mm) >= hub / 2
                if wide and drawer.cut_depth_mm + drawer.back_gap_mm >= deep_mm - TOUCH_TOL_MM:
                    continue
                yield on.finding(
                    about=(mark.tag, box.id),
                    found=f"trap of {mark.tag} hangs {on.mm(meet_mm)} into the drawer of {box.id} between "
                    f"{on.mm(drawer.lo_z_mm - mark.finished_z_mm)} and {on.mm(drawer.hi_z_mm - mark.finished_z_mm)} "
                    "above finished floor",
                    wanted=f"no drawer in front of it, or a cut-out {on.mm(hub)} wide and {on.mm(deep_mm)} deep",
                    do=f"have the cabinet maker lower the drawer by {on.mm(meet_mm)} or cut it out, "
                    "or move the stub-out below it",
                    why="The drawer does not close.",
                    bases=(trade("drawer", "clear of the trap"),),
                    owner="cabinet maker",
                )
