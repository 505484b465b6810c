"""DRN012 joint-near-stack-foot."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import fixture, incoming
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("DRN012", "joint-near-stack-foot", Level.FIX)
def rule(on: Review) -> Findings:
    """Another drain joins too near to the foot of a stack.

    ## What it checks
    The way from every stack foot down stream, along the pipe: no other drain joins within the book's distance, where
    the stack is loaded or tall enough for the rule.

    ## Why it matters
    At the foot the falling water piles up; air is pressed back through whatever joins there.

    ## Fails
    A laundry branch 1200 mm from the foot of a stack that drains two storeys, where 1500 mm are asked.

    ## Passes
    The same branch 1500 mm away.

    ## Does not check
    Offsets half way up a stack; suds zones.
    """
    for foot in on.net.drains():
        below = on.net.downstream(foot)
        if foot.role != Role.STACK or not foot.vertical or not below or below[0].vertical:
            continue
        storeys = len({f.level_id for f in (fixture(on, t) for t in foot.tags) if f is not None})
        rule_cell = on.ask(queries.stack_foot_clear, on.book, foot.size_in)
        if rule_cell is None or not queries.stack_foot_applies(on.book, foot.load, storeys):
            continue
        run_mm = 0.0
        for pipe in below:
            run_mm += pipe.length_mm
            if pipe.vertical or run_mm > rule_cell.number - LENGTH_TOL_MM:
                break
            guests = [
                p
                for p in incoming(on.net, on.net.node(pipe.end), "drain")
                if p.id != pipe.id and p.role != Role.CLEANOUT_EXT and p.tags
            ]
            for guest in guests:
                yield on.finding(
                    about=(guest.id, foot.id),
                    found=f"{guest.id} joins {on.mm(run_mm)} from the foot of {foot.id}",
                    wanted=f"nothing joins within {on.mm(rule_cell.number)}",
                    do=f"move the joint {on.mm(rule_cell.number - run_mm)} down stream",
                    why="The falling water piles up there and presses air and suds back into the branch.",
                    bases=(rule_cell,),
                    at=pipe.b,
                )
