"""DRN015 stack-reduced-too-far."""

from stubout.checks.base import Findings, Review, check
from stubout.layout.model import Role
from stubout.problems import Level


@check("DRN015", "stack-reduced-too-far", Level.FIX)
def rule(on: Review) -> Findings:
    """The upper part of a stack is less than the book's part of its largest size.

    ## What it checks
    Every piece of a stack against the largest piece below it in the same line.

    ## Why it matters
    The thin upper part chokes the air that the lower part needs.

    ## Fails
    A 1-1/4 in piece at the top of a 3 in stack where half the size is asked.

    ## Passes
    1-1/2 in.

    ## Does not check
    Sizes that get smaller down stream (DRN003).
    """
    for pipe in on.net.drains():
        below = [p for p in on.net.downstream(pipe) if p.role is Role.STACK]
        if pipe.role is not Role.STACK or not below:
            continue
        part = on.value("stack.reduce_fraction")
        foot = max(below, key=lambda p: (p.size_in, p.id))
        if part is not None and pipe.size_in < part.number * foot.size_in - 1e-6:
            yield on.finding(
                about=(pipe.id, foot.id),
                found=f"{on.size(pipe.size_in)} {pipe.id} at the top of a {on.size(foot.size_in)} stack",
                wanted=part.printed,
                do=f"lay {pipe.id} larger",
                why="The thin upper part chokes the air that the lower part needs.",
                bases=(part,),
                at=pipe.a,
            )
