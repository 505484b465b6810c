"""SGL001 single-stack-overloaded."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets
from stubout.checks.methods import overloaded, said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries


@check("SGL001", "single-stack-overloaded", Level.FIX)
def rule(on: Review) -> Findings:
    """A single stack carries more than its size allows while it must also give air.

    ## What it checks
    The load of every pipe of a single stack, and the closets on one of 3 in.

    ## Why it matters
    All its traps breathe through the water that falls in it.

    ## Fails
    A 3 in single stack with 25 fixture units where 24 are allowed.

    ## Passes
    24, with two closets.

    ## Does not check
    Stacks taller than a house.
    """
    for stack in said_drains(on, VentMethod.SINGLE_STACK):
        foot = stack.foot
        limit = on.ask(queries.single_stack_capacity, on.book, foot.size_in)
        yield from overloaded(on, stack, "single stack", limit)
        most = on.value("single_stack.closets_3in")
        who = closets(on, foot.tags)
        if most is not None and foot.size_in <= 3.0 and len(who) > most.number:
            yield on.finding(
                about=(foot.id, *who),
                found=f"{len(who)} closets on the {on.size(foot.size_in)} single stack {foot.id}",
                wanted=f"at most {most.number:g}",
                do="lay the stack one size larger",
                why="Two flushes at once close the pipe for all others.",
                bases=(most,),
                at=foot.a,
            )
