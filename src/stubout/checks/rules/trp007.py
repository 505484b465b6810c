"""TRP007 trap-weir-off-its-height."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, said, trade
from stubout.checks.facts import arms, id_mm
from stubout.problems import Level

OFF_MM = 10.0  # a trap is set so far off the height on its sheet: common practice, no source


@check("TRP007", "trap-weir-off-its-height", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap weir does not lie at the height that the job file fixes.

    ## What it checks
    Where the job writes a `trap weir`: the invert of the arm at the trap against it. A weir more than 10 mm above it
    (common practice, no source) is to be put right; one that lies so much below it is a question, since the outlet pipe
    grows by as much.

    ## Why it matters
    A drain set and its trap are made as one: higher, the trap stands in the tub, the shower pan or the finished slab;
    lower, the tailpiece of the set may not reach it.

    ## Fails
    A shower trap whose weir is laid 30 mm above the weir of its drain set.

    ## Passes
    8 mm above it.

    ## Does not check
    Traps whose weir the job leaves open; closets. Whether the drop from the outlet is too long (TRP002).
    """
    for arm in arms(on):
        body = arm.fixture
        fixed_z_mm, bore_mm = body.trap_weir_z_mm, id_mm(on, arm.pipes[0].size_in)
        if arm.closet or fixed_z_mm is None or bore_mm is None:
            continue
        weir_z_mm = arm.start.z - bore_mm / 2
        high_mm = weir_z_mm - fixed_z_mm
        if abs(high_mm) <= OFF_MM + LEVEL_TOL_MM:
            continue
        laid, fixed = (on.above_floor(z, body.finished_z_mm, body.subfloor_z_mm) for z in (weir_z_mm, fixed_z_mm))
        by, higher = on.mm(abs(high_mm)), high_mm > 0.0
        yield on.finding(
            about=(body.tag, arm.pipes[0].id),
            found=f"trap weir of {body.tag}: {laid}, {on.above(high_mm)} the one that the job fixes",
            wanted=f"{fixed}, within {on.mm(OFF_MM)}",
            do=f"lower the trap and its arm by {by}"
            if higher
            else f"ask whether the outlet pipe of this drain set may be {by} longer, and write the `trap weir` so; "
            f"where it may not, raise the trap and its arm by {by}",
            why="The trap stands in the fixture or in the finished floor."
            if higher
            else "The outlet pipe of the drain set does not reach the trap.",
            bases=(said(f"`trap weir` of {body.tag}", fixed), trade("trap off the height on its sheet", on.mm(OFF_MM))),
            at=arm.start,
            level=None if higher else Level.ASK,
            owner="" if higher else "owner",
        )
