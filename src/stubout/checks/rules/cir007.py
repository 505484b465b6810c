"""CIR007 circuit-branch-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import SaidDrain, said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("CIR007", "circuit-branch-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """A circuit-vented branch is too small for its traps, or takes small and large traps together.

    ## What it checks
    The size of every pipe of a circuit-vented branch against the book's least for its traps; and, where the book keeps
    small outlets apart, that they are not mixed with larger ones.

    ## Why it matters
    The branch is drain and vent at once; the smallest traps lose their seal first.

    ## Fails
    A 2 in branch for showers with 2 in traps, where 3 in is asked.

    ## Passes
    The same branch in 3 in.

    ## Does not check
    The load (DRN001); books that set no size.
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        yield from _sizes(on, drain)
        yield from _mixed(on, drain)


def _sizes(on: Review, drain: SaidDrain) -> Findings:
    """Yield the pipes smaller than the book's least for the traps on the branch."""
    small = on.book.find("circuit_vent.small_below")
    large = small is not None and any(a.trap.trap_in >= small.number - 1e-6 for a in drain.arms)
    least = on.value("circuit_vent.branch_large" if large else "circuit_vent.branch_small")
    for pipe in drain.pipes:
        if least is not None and pipe.size_in < least.number - 1e-6:
            yield on.finding(
                about=(pipe.id, *drain.tags),
                found=f"circuit-vented {pipe.id} is {on.size(pipe.size_in)}",
                wanted=f"at least {on.size(least.number)}",
                do=f"lay {pipe.id} in {on.size(least.number)}",
                why="The branch is drain and vent at once.",
                bases=(least,),
                at=pipe.a,
            )


def _mixed(on: Review, drain: SaidDrain) -> Findings:
    """Yield that small outlets are on the branch together with larger ones."""
    apart, below = on.book.find("circuit_vent.small_outlets"), on.book.find("circuit_vent.small_below")
    if apart is None or below is None:
        return
    small = [a.trap.tag for a in drain.arms if a.trap.trap_in < below.number - 1e-6]
    if small and len(small) < len(drain.arms):
        yield on.finding(
            about=(drain.trunk[0].id, *small),
            found=f"{', '.join(small)} with traps below {on.size(below.number)} on a circuit vent with larger ones",
            wanted=apart.printed,
            do=f"give {', '.join(small)} a vent of their own",
            why="The smallest traps lose their seal first.",
            bases=(apart, below),
            at=drain.trunk[0].a,
        )
