"""STB001 stub-out-too-high."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms, stub_of, stub_words
from stubout.kinds import FixtureKind
from stubout.problems import Level
from stubout.rulebooks import queries


@check("STB001", "stub-out-too-high", Level.STOP)
def rule(on: Review) -> Findings:
    """A stub-out is higher than the fixture's outlet lets it be.

    ## What it checks
    The arm at the trap against the outlet of the bowl or disposer less the drop into the trap, and the mark at the
    wall against the upper end of its band.

    ## Why it matters
    The trap does not fit between the bowl and the pipe; the wall is opened again.

    ## Fails
    A stub-out at 500 mm under a disposer whose outlet is at 489 mm.

    ## Passes
    A stub-out at 430 mm, 50 mm for the trap and the fall of the arm below it.

    ## Does not check
    Floor outlets, standpipes, and fixtures whose outlet height is not known.
    """
    drop = queries.trap_entry_drop(on.house.job.units)
    for arm in arms(on):
        body = arm.fixture
        mark = stub_of(on, body.tag)
        if mark is not None and (not mark.feasible or on.waits(mark.derivation.bases)):
            continue  # STB007 says what is not feasible
        over_mm, bases = 0.0, [drop.basis]
        hung = not body.floor_outlet and not arm.closet and body.kind != FixtureKind.CLOTHES_WASHER
        if hung and body.outlet_z_mm is not None:
            over_mm = arm.start.z - (body.outlet_z_mm - drop.number)
        if mark is not None and mark.mark_z_mm - mark.hi_z_mm > max(over_mm, LEVEL_TOL_MM):
            over_mm, bases = mark.mark_z_mm - mark.hi_z_mm, list(mark.derivation.bases) or bases
        if over_mm > LEVEL_TOL_MM:
            z_mm = mark.mark_z_mm if mark is not None else arm.start.z
            what, whose = stub_words(mark, body.tag)
            yield on.finding(
                about=(body.tag, arm.pipes[0].id),
                found=f"{whose} at {on.above_floor(z_mm, body.finished_z_mm, body.subfloor_z_mm)}",
                wanted=f"at most {on.above_floor(z_mm - over_mm, body.finished_z_mm, body.subfloor_z_mm)}"
                + (f": {mark.hi_governs}" if mark is not None and mark.hi_governs else ""),
                do=f"lower the {what} by {on.mm(over_mm)}",
                why="The trap does not fit between the bowl and the pipe.",
                bases=bases,
                at=arm.start,
            )
