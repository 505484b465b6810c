"""ISL006 island-trap-below-floor."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.islands import loops
from stubout.problems import Level


@check("ISL006", "island-trap-below-floor", Level.FIX)
def rule(on: Review) -> Findings:
    """The trap of an island fixture with a loop lies below the floor.

    ## What it checks
    The weir of every trap on an island loop against the finished floor of its room, where the book asks for it.

    ## Why it matters
    A trap in the floor cannot be reached, and its arm can no longer come up to the loop.

    ## Fails
    An island sink whose trap lies in the crawl space.

    ## Passes
    The trap in the cabinet.

    ## Does not check
    Traps vented in other ways.
    """
    for loop in loops(on):
        asked = on.value("island.trap_above_floor")
        low_mm = loop.fixture.finished_z_mm - loop.weir_z_mm
        if asked is None or asked.value is not True or low_mm <= LEVEL_TOL_MM:
            continue
        yield on.finding(
            about=(loop.fixture.tag,),
            found=f"the trap of {loop.fixture.tag} lies {on.mm(low_mm)} below the finished floor",
            wanted="a trap above the floor",
            do="set the trap inside the cabinet",
            why="A trap in the floor cannot be reached and its arm cannot come up to the loop.",
            bases=(asked,),
            at=loop.top.a,
        )
