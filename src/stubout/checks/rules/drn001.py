"""DRN001 drain-overloaded."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell


@check("DRN001", "drain-overloaded", Level.FIX)
def rule(on: Review) -> Findings:
    """A drain carries more fixture units than its size allows.

    ## What it checks
    Every branch, stack, building drain and sewer by its load, its way (upright or lying) and, for the building drain,
    its slope.

    ## Why it matters
    An overloaded drain runs full, backs up into the lowest fixture and sucks the others dry.

    ## Fails
    A 2 in branch with 7 fixture units where 6 are allowed.

    ## Passes
    6 fixture units on the same branch.

    ## Does not check
    Trap arms, which are sized with their trap (ARM007); the load from one storey (DRN002).
    """
    for pipe in on.net.drains():
        if pipe.role in (Role.TRAP_ARM, Role.FIXTURE_DRAIN, Role.CLEANOUT_EXT) or pipe.load <= 0.0:
            continue
        limit = _limit(on, pipe)
        if limit is not None and pipe.load - limit.number > 1e-6:
            yield on.finding(
                about=(pipe.id,),
                found=f"{on.size(pipe.size_in)} {pipe.role.value} {pipe.id} carries {pipe.load:g} {on.book.load_unit}",
                wanted=f"at most {limit.number:g} {on.book.load_unit} in {on.size(pipe.size_in)}",
                do=f"lay {pipe.id} and what follows one size larger, or take "
                f"{pipe.load - limit.number:g} {on.book.load_unit} off it",
                why="The drain runs full, backs up into the lowest fixture and siphons the others.",
                bases=(limit,),
                at=pipe.a,
            )


def _limit(on: Review, pipe: Pipe) -> Cell | None:
    """Return the load the book allows.

    An offset of a stack goes by the book's rule for it; a size without a row in the branch table by the slope table.
    """
    offset = _offset(on, pipe)
    if offset is not None:
        return offset
    if pipe.vertical:
        return on.ask(queries.stack_capacity, on.book, pipe.size_in)
    if pipe.role in (Role.BUILDING_DRAIN, Role.SEWER):
        return on.ask(queries.building_drain_capacity, on.book, pipe.size_in, pipe.slope)
    branch = on.maybe(queries.branch_capacity, on.book, pipe.size_in)
    return branch or on.ask(queries.building_drain_capacity, on.book, pipe.size_in, pipe.slope)


def _offset(on: Review, pipe: Pipe) -> Cell | None:
    """Return the load a lying piece in the middle of a stack may carry, by the book's rule; None for other pipes."""
    above = [p for p in on.net.drains() if p.end == pipe.start and p.role is Role.STACK and p.load > 0.0]
    below = [p for p in on.net.downstream(pipe) if p.vertical]
    if pipe.vertical or not above or not any(p.role is Role.STACK for p in below):
        return None
    rule, from_ = on.book.find("stack.offset_rule"), on.book.find("stack.offset_from")
    if rule is None:
        return None
    if from_ is not None and pipe.length_mm < from_.number - LENGTH_TOL_MM:
        return on.ask(queries.stack_capacity, on.book, pipe.size_in)
    return on.ask(queries.building_drain_capacity, on.book, pipe.size_in, pipe.slope)
