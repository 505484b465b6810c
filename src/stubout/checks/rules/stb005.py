"""STB005 trap-meets-drawer."""

from stubout.catalog import queries as catalog
from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import fixture, hub_mm
from stubout.checks.surroundings import boxes_at
from stubout.house.model import Drawer
from stubout.layout.model import StubMark
from stubout.problems import Level

PLAY_MM = 5.0  # air between trap and drawer: common practice, no source


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
        trap_z_mm = mark.mark_z_mm + mark.arm_fall_mm
        lo_mm = trap_z_mm - hang
        hi_mm = max(trap_z_mm + hub / 2, body.outlet_z_mm or 0.0)
        deep_mm = (body.from_wall_mm or 0.0) + body.outlet_in * 25.4 / 2
        for box in boxes_at(on, mark.wall_id, mark.side, mark.station_mm):
            for drawer in box.drawers:
                meet_mm = min(hi_mm, drawer.hi_z_mm) - max(lo_mm, drawer.lo_z_mm)
                if meet_mm <= TOUCH_TOL_MM or drawer.back_gap_mm >= deep_mm:
                    continue
                centre_mm = (box.from_station_mm + box.to_station_mm) / 2
                wide_mm = hub / 2 + abs(mark.station_mm - centre_mm) - drawer.cut_width_mm / 2
                short_mm = deep_mm - drawer.cut_depth_mm - drawer.back_gap_mm
                if wide_mm <= 0.0 and short_mm <= TOUCH_TOL_MM:
                    continue
                pipe_only = trap_z_mm + hub / 2 <= drawer.lo_z_mm
                what, stands = ("tailpiece", "stands") if pipe_only else ("trap and tailpiece", "stand")
                yield on.finding(
                    about=(mark.tag, box.id),
                    found=f"the {what} of {mark.tag} {stands} in the way of the drawer of {box.id}, "
                    f"{on.mm(drawer.lo_z_mm - mark.finished_z_mm)} to {on.mm(drawer.hi_z_mm - mark.finished_z_mm)} "
                    f"above finished floor, over {on.mm(meet_mm)} of its height",
                    wanted=f"no drawer in front of it, or a cut-out {on.mm(hub)} wide and {on.mm(deep_mm)} deep",
                    do=_cure(on, mark, drawer, hub, meet_mm, max(wide_mm, 0.0), max(short_mm, 0.0)),
                    why="The drawer does not close.",
                    bases=(trade("drawer", "clear of the trap"),),
                    owner="cabinet maker",
                )


def _cure(
    on: Review, mark: StubMark, drawer: Drawer, hub_mm: float, meet_mm: float, wide_mm: float, short_mm: float
) -> str:
    """Return what to ask of the cabinet maker, and another height where the band of the stub-out leaves one."""
    trap_z_mm = mark.mark_z_mm + mark.arm_fall_mm
    if drawer.hi_z_mm < trap_z_mm:
        up = mark.feasible and mark.mark_z_mm + meet_mm + PLAY_MM <= mark.hi_z_mm
        return f"have the drawer made {on.mm(meet_mm + PLAY_MM)} lower" + (", or move the stub-out up" if up else "")
    below_mm = drawer.lo_z_mm - hub_mm / 2
    down = mark.feasible and trap_z_mm > below_mm >= mark.lo_z_mm + mark.arm_fall_mm
    other = ", or bring the trap below the drawer" if down else ""
    if drawer.cut_width_mm > 0.0:
        wishes = [f"{on.mm(short_mm)} deeper"] if short_mm > TOUCH_TOL_MM else []
        wishes += [f"{on.mm(2 * wide_mm)} wider"] if wide_mm > 0.0 else []
        return f"have the cut-out of the drawer made {' and '.join(wishes)}{other}"
    return f"have the drawer cut out from the back{other}"
