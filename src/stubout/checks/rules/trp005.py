"""TRP005 trap-too-large."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms
from stubout.kinds import FixtureKind
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries
from stubout.rulebooks.tables import size_up


@check("TRP005", "trap-too-large", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap is larger than the fixture can scour.

    ## What it checks
    Every trap against the book's least size for its fixture and the sizes it may be larger, where the book sets them.

    ## Why it matters
    The discharge of a small fixture does not sweep a large trap, and it silts up.

    ## Fails
    A 3 in trap under a laundry tray where 1-1/2 in is the least and one size more is allowed.

    ## Passes
    A 2 in trap.

    ## Does not check
    Closets and floor drains, whose trap is part of them; traps of combination drains, which are laid larger on purpose.
    """
    for arm in arms(on):
        larger_by_make = arm.closet or arm.fixture.kind is FixtureKind.FLOOR_DRAIN
        if larger_by_make or arm.trap.method is VentMethod.COMBINATION or arm.fixture.heads is None:
            continue
        steps = on.value("trap.larger_steps")
        least = on.ask(queries.trap_size, on.book, arm.fixture.kind, arm.fixture.heads)
        if steps is None or least is None:
            continue
        most_in = size_up(least.number, int(steps.number))
        if arm.trap.trap_in > most_in + 1e-6:
            yield on.finding(
                about=(arm.trap.tag,),
                found=f"{on.size(arm.trap.trap_in)} trap for {arm.fixture.title or arm.fixture.kind.value}",
                wanted=f"at most {on.size(most_in)}, {steps.printed} over {least.printed}",
                do=f"set a trap of at most {on.size(most_in)}",
                why="The fixture does not sweep so large a trap, and it silts up.",
                bases=(steps, least),
                at=arm.start,
            )
