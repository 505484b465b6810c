"""STP002 standpipe-trap-off-its-height."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms, id_mm
from stubout.problems import Level
from stubout.rulebooks import queries


@check("STP002", "standpipe-trap-off-its-height", Level.FIX)
def rule(on: Review) -> Findings:
    """The trap of a washer standpipe sits too low or too high above the finished floor.

    ## What it checks
    The weir of the standpipe's trap above the finished floor, where the book sets a range.

    ## Why it matters
    A trap below the floor cannot be reached, one too high leaves no room for the standpipe.

    ## Fails
    A trap 100 mm above the floor where 6 to 18 in (152 to 457 mm) are asked.

    ## Passes
    A trap 200 mm above the floor.

    ## Does not check
    Books that set no such height.
    """
    for arm in arms(on):
        if arm.fixture.standpipe_top_z_mm is None:
            continue
        span = on.ask(queries.standpipe_trap_height, on.book)
        bore_mm = id_mm(on, arm.pipes[0].size_in)
        if span is None or bore_mm is None:
            continue
        lo, hi = span
        have_mm = arm.start.z - bore_mm / 2 - arm.fixture.finished_z_mm
        off_mm = max(lo.number - have_mm, have_mm - hi.number)
        if off_mm > LEVEL_TOL_MM:
            word = "raise" if have_mm < lo.number else "lower"
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[0].id),
                found=f"trap weir of {arm.trap.tag} is {on.mm(have_mm)} above the finished floor",
                wanted=f"{on.mm(lo.number)} to {on.mm(hi.number)} above the finished floor",
                do=f"{word} the trap by {on.mm(off_mm)}",
                why="The trap cannot be reached or the standpipe does not fit above it.",
                bases=(lo, hi),
                at=arm.start,
            )
