"""CLO007 cleanout-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import drains_at
from stubout.layout.model import CleanoutPlan, Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("CLO007", "cleanout-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """A cleanout is smaller than the book asks for its pipe.

    ## What it checks
    Every cleanout against the size of the drain it opens.

    ## Why it matters
    The cutter that cleans the pipe does not go through the plug.

    ## Fails
    A 2 in cleanout on a 3 in drain where 3 in is asked.

    ## Passes
    A 3 in cleanout.

    ## Does not check
    Removable traps that serve as cleanouts.
    """
    for plan in on.design.cleanouts:
        pipe_in = _serves(on, plan)
        least = on.ask(queries.cleanout_size, on.book, pipe_in) if pipe_in > 0.0 else None
        if least is not None and plan.size_in < least.number - 1e-6:
            yield on.finding(
                about=(plan.id,),
                found=f"cleanout {plan.id} is {on.size(plan.size_in)} on a {on.size(pipe_in)} drain",
                wanted=f"at least {on.size(least.number)}",
                do=f"set a {on.size(least.number)} cleanout",
                why="The cutter that cleans the pipe does not go through the plug.",
                bases=(least,),
                at=on.net.node(plan.point).at,
            )


def _serves(on: Review, plan: CleanoutPlan) -> float:
    """Return the size of the drain a cleanout opens, looking through its extension."""
    node, seen = plan.point, set[str]()
    served: list[float] = []
    front = [node]
    while front:
        node = front.pop()
        for pipe in drains_at(on.net, on.net.node(node)):
            if pipe.id in seen:
                continue
            seen.add(pipe.id)
            if pipe.role is Role.CLEANOUT_EXT:
                front.append(pipe.end if pipe.start == node else pipe.start)
            else:
                served.append(pipe.size_in)
    return max(served, default=0.0)
