"""WST002 waste-stack-misused."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import fixture
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks.members import takes


@check("WST002", "waste-stack-misused", Level.FIX)
def rule(on: Review) -> Findings:
    """A waste stack takes a fixture it may not take, does not stand upright, or its vent is smaller than itself.

    ## What it checks
    The kind of every fixture that drains into a waste stack, that no piece of it lies, and the size of the vent that
    goes on from its top.

    ## Why it matters
    A flush, or water that lies in an offset, closes the only vent of all that joins.

    ## Fails
    A closet on a waste stack.

    ## Passes
    Lavatories and a shower on an upright stack whose vent goes up in the same size.

    ## Does not check
    Its load (WST001).
    """
    for stack in said_drains(on, VentMethod.WASTE_STACK):
        who, words = on.value("waste_stack.fixtures"), on.value("waste_stack.rule")
        foot = min(stack.pipes, key=lambda p: (p.b.z, p.id))  # all that drains into the stack runs through it
        for tag in foot.tags:
            body = fixture(on, tag)
            if who is not None and body is not None and not takes(who, body.kind):
                yield on.finding(
                    about=(tag, foot.id),
                    found=f"{body.kind.value} {tag} drains into the waste stack {foot.id}",
                    wanted=who.printed,
                    do=f"take {tag} to a stack of its own",
                    why="A flush closes the only vent of all that joins.",
                    bases=(who,),
                    at=foot.a,
                )
        for pipe in stack.pipes:
            if words is not None and not pipe.vertical and pipe.length_mm > LENGTH_TOL_MM:
                yield on.finding(
                    about=(pipe.id,),
                    found=f"{pipe.id} of a waste stack lies for {on.mm(pipe.length_mm)}",
                    wanted="a stack that stands upright",
                    do="bring the stack down in one line, or end it above the offset",
                    why="Water that lies in an offset closes the only vent of all that joins.",
                    bases=(words,),
                    at=pipe.a,
                )
        top = max(stack.pipes, key=lambda p: (p.a.z, p.id))
        for vent in stack.vents:
            if words is not None and vent.start == top.start and vent.size_in < top.size_in - 1e-6:
                yield on.finding(
                    about=(vent.id, top.id),
                    found=f"{on.size(vent.size_in)} vent {vent.id} on a {on.size(top.size_in)} waste stack",
                    wanted=f"a stack vent of the full {on.size(top.size_in)}",
                    do=f"carry {vent.id} up in {on.size(top.size_in)}",
                    why="The stack vent is the only vent of all that joins.",
                    bases=(words,),
                    at=vent.a,
                )
