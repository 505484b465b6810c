"""MTH001 vent-method-not-in-book."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import wet_vents
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level

# The value that allows a method, and the one that tells where; the words of the job file stand in the book with _.
METHODS = (
    (VentMethod.CIRCUIT, "circuit_vent.allowed", "loop_vent.rule"),
    (VentMethod.COMBINATION, "combination.allowed", "combination.where"),
    (VentMethod.SINGLE_STACK, "single_stack.allowed", "single_stack.rule"),
    (VentMethod.WASTE_STACK, "waste_stack.allowed", "waste_stack.rule"),
)


@check("MTH001", "vent-method-not-in-book", Level.FIX)
def rule(on: Review) -> Findings:
    """A drain vents what joins it by a method that the book does not have, or only by leave.

    ## What it checks
    Every drain that the job says vents what joins it (`vents by: circuit`, `combination`, `single stack`, `waste
    stack`), against what the book says of the method: allowed, not allowed, to be asked. Wet vents likewise.

    ## Why it matters
    The inspector reads such a drain as one with unvented traps.

    ## Fails
    A single stack in a house under a residential code that has no such article.

    ## Passes
    The same stack under the plumbing code that has one.

    ## Does not check
    How the method is carried out: each has checks of its own.
    """
    wet = wet_vents(on)
    leave = on.value("wet_vent.allowed") if wet else None
    for vent in wet if leave is not None and leave.value is not True else ():
        yield on.finding(
            about=(vent.pipes[0].id, *vent.tags),
            found=f"{vent.pipes[0].id} is a wet vent",
            wanted="a vent of its own for each trap",
            do="vent each of its traps by itself",
            why="The inspector reads it as a drain with unvented traps.",
            bases=(leave,),
            at=vent.pipes[0].a,
            with_clause=False,
        )
    for way, allowed_id, where_id in METHODS:
        for drain in said_drains(on, way):
            allowed = on.value(allowed_id)
            if allowed is None or allowed.text == "yes":
                continue
            head = drain.pipes[0]
            refused = allowed.text == "no"
            yield on.finding(
                about=(head.id, *drain.tags),
                found=f"{head.id} is to vent what joins it as a {way.value}",
                wanted="a method of the book" if refused else "the inspector's leave in writing",
                do="give each of its traps a vent of its own, or a wet vent"
                if refused
                else "ask the inspector, then write the leave into the job as an amendment",
                why="The inspector reads it as a drain with unvented traps.",
                bases=(allowed, on.book.find(where_id)),
                at=head.a,
                level=Level.FIX if refused else Level.ASK,
                owner="" if refused else "inspector",
                with_clause=False,  # each method has a section of its own
            )
