"""CMB002 combination-drain-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import said_drains
from stubout.layout.model import Role, VentMethod
from stubout.network.model import Pipe
from stubout.problems import Finding, Level
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell


@check("CMB002", "combination-drain-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """A combination drain and vent is too small to carry air above its water.

    ## What it checks
    Every pipe of a combination drain by its load, in the book's own table for it or so many sizes above what the load
    alone needs; the traps and arms on it likewise.

    ## Why it matters
    Only a pipe much too large for its water has room for the air.

    ## Fails
    A 2 in combination branch with 5 fixture units where 3 are allowed.

    ## Passes
    3 in on the same load.

    ## Does not check
    The vent (CMB005).
    """
    for drain in said_drains(on, VentMethod.COMBINATION):
        for pipe in drain.pipes:
            if pipe.load <= 0.0:
                continue
            main = pipe.role in (Role.BUILDING_DRAIN, Role.SEWER)
            least = on.ask(queries.combination_least, on.book, pipe.load, main)
            if least is not None and pipe.size_in < least.number - 1e-6:
                yield _finding(on, pipe, least, f"carries {pipe.load:g} {on.book.load_unit}", drain.tags)
        for arm in drain.arms:
            larger = on.maybe(queries.combination_trap_least, on.book, arm.fixture.kind, arm.fixture.heads or 1)
            if larger is not None and min(arm.trap.trap_in, arm.size_in) < larger.number - 1e-6:
                yield _finding(on, arm.pipes[0], larger, f"is the arm of {arm.trap.tag}", (arm.trap.tag,))


def _finding(on: Review, pipe: Pipe, least: Cell, what: str, tags: tuple[str, ...]) -> Finding:
    """Return that a pipe of a combination drain is too small."""
    return on.finding(
        about=(pipe.id, *tags),
        found=f"{on.size(pipe.size_in)} {pipe.id} of a combination drain and vent {what}",
        wanted=f"at least {on.size(least.number)}",
        do=f"lay {pipe.id} in {on.size(least.number)}",
        why="Only a pipe much too large for its water has room for the air.",
        bases=(least,),
        at=pipe.a,
    )
