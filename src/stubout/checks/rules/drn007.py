"""DRN007 drain-too-flat."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import closets
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("DRN007", "drain-too-flat", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying drain falls less than the book's least slope for its size.

    ## What it checks
    Every lying drain on its as-drawn end levels, closet arms included; 1:50 and 1/4 in per ft are kept apart as the
    book has them.

    ## Why it matters
    Solids settle where the water is too slow to carry them.

    ## Fails
    A 2 in branch of 2000 mm that falls 30 mm where the book asks for 1:50.

    ## Passes
    The same branch falling 40 mm.

    ## Does not check
    Trap arms other than closets' (ARM004); pipes that climb (DRN008).
    """
    for pipe in on.net.drains():
        closet_arm = pipe.role == Role.TRAP_ARM and bool(closets(on, pipe.tags or (pipe.tag,)))
        if pipe.vertical or pipe.fall_mm < -LEVEL_TOL_MM or (pipe.role == Role.TRAP_ARM and not closet_arm):
            continue
        least = on.ask(queries.min_slope, on.book, pipe.size_in)
        if least is None:
            continue
        short_mm = least.number * pipe.plan_mm - pipe.fall_mm
        if short_mm > LEVEL_TOL_MM:
            leave = on.maybe(queries.slope_by_approval, on.book, pipe.size_in)
            leave = leave if leave is not None and pipe.slope >= leave.number - 1e-6 else None
            yield on.finding(
                about=(pipe.id,),
                found=f"{on.size(pipe.size_in)} {pipe.id} falls {on.mm(pipe.fall_mm)} over {on.mm(pipe.plan_mm)}, "
                f"{on.slope(pipe.slope)}",
                wanted=f"at least {on.slope(least.number)}, {on.mm(least.number * pipe.plan_mm)}",
                do=f"lower the down-stream end by {on.mm(short_mm)}, or raise the up-stream end"
                + (f"; or get leave for {on.slope(leave.number)}" if leave is not None else ""),
                why="Solids settle and the drain blocks.",
                bases=(least, leave, on.book.find("slope.approval") if leave is not None else None),
                at=pipe.b,
            )
