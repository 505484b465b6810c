"""DRN002 stack-overloaded-from-one-storey."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import fixture, fixture_load
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("DRN002", "stack-overloaded-from-one-storey", Level.FIX)
def rule(on: Review) -> Findings:
    """A stack takes more fixture units from one storey than its size allows.

    ## What it checks
    The loads of all branches of one storey that join a stack, against the book's limit for one storey.

    ## Why it matters
    Water joining in one place fills the stack before it spreads along the wall, and blows the traps below.

    ## Fails
    19 fixture units from the upper storey on a 3 in stack where 18 are allowed.

    ## Passes
    15 fixture units.

    ## Does not check
    Branches that carry fixtures of several storeys at once.
    """
    stacks = [p for p in on.net.drains() if p.role == Role.STACK and p.vertical]
    for foot in stacks:
        below = on.net.downstream(foot)
        if below and below[0].role == Role.STACK and below[0].vertical:
            continue
        sums: dict[str, float] = {}
        for tag in foot.tags:
            body = fixture(on, tag)
            load = fixture_load(on, tag)
            if body is None or load is None:
                on.skip("the load is not known", tag)
                continue
            sums[body.level_id] = sums.get(body.level_id, 0.0) + load
        limit = on.ask(queries.stack_storey_capacity, on.book, foot.size_in) if sums else None
        if limit is None:
            continue
        for level_id in sorted(sums):
            if sums[level_id] > foot.load + 1e-6:  # group values count less than the single fixtures
                sums[level_id] = foot.load
            if sums[level_id] - limit.number > 1e-6:
                yield on.finding(
                    about=(foot.id, level_id),
                    found=f"{foot.id} takes {sums[level_id]:g} {on.book.load_unit} from {level_id}",
                    wanted=f"at most {limit.number:g} {on.book.load_unit} from one storey in {on.size(foot.size_in)}",
                    do="lay the stack one size larger, or bring part of the storey to another stack",
                    why="Water joining in one place fills the stack and blows the traps below.",
                    bases=(limit,),
                    at=foot.a,
                )
