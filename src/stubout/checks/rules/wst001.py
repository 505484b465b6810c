"""WST001 waste-stack-overloaded."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import fixture, fixture_load
from stubout.checks.methods import overloaded, said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries


@check("WST001", "waste-stack-overloaded", Level.FIX)
def rule(on: Review) -> Findings:
    """A waste stack carries more, in all or from one storey, than its size allows while it must also give air.

    ## What it checks
    The load of every waste stack, and what each storey drains into it.

    ## Why it matters
    All its traps breathe through the water that falls in it.

    ## Fails
    A 2 in waste stack with 5 fixture units where 4 are allowed.

    ## Passes
    4, two from each storey.

    ## Does not check
    What may join it at all (WST002).
    """
    for stack in said_drains(on, VentMethod.WASTE_STACK):
        foot = stack.foot
        whole = on.ask(queries.waste_stack_capacity, on.book, foot.size_in)
        yield from overloaded(on, stack, "waste stack", whole)
        each = on.maybe(queries.waste_stack_interval_capacity, on.book, foot.size_in)
        storeys: dict[str, float] = {}
        for tag in foot.tags:
            body, load = fixture(on, tag), fixture_load(on, tag)
            if body is not None and load is not None:
                storeys[body.level_id] = storeys.get(body.level_id, 0.0) + load
        for level_id, load in sorted(storeys.items()):
            if each is not None and load - each.number > 1e-6:
                yield on.finding(
                    about=(foot.id, level_id),
                    found=f"{level_id} drains {load:g} {on.book.load_unit} into the waste stack {foot.id}",
                    wanted=f"at most {each.number:g} {on.book.load_unit} from one storey",
                    do="lay the stack one size larger",
                    why="So much at once closes the pipe for the storey below.",
                    bases=(each,),
                    at=foot.a,
                )
