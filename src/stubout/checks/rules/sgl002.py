"""SGL002 fixture-too-far-from-single-stack."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import Arm
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks.model import Cell

TEES = ("sanitary tee", "sanitary cross", "side inlet tee", "double tee")  # patterns that start with these are tees


@check("SGL002", "fixture-too-far-from-single-stack", Level.FIX)
def rule(on: Review) -> Findings:
    """A fixture lies farther from its single stack than the book allows.

    ## What it checks
    The lying part of every fixture drain on a single stack: closets by the fitting they join with, all others.

    ## Why it matters
    The stack is the only vent; the farther the trap, the longer it waits for air.

    ## Fails
    A lavatory 4 m from the stack where 3.66 m are allowed.

    ## Passes
    3.6 m.

    ## Does not check
    Trap arms of other methods (ARM001, ARM008).
    """
    for stack in said_drains(on, VentMethod.SINGLE_STACK):
        for arm in stack.arms:
            most = _limit(on, arm)
            run_mm = sum(p.length_mm for p in arm.pipes if not p.vertical)
            if most is None or run_mm - most.number <= LENGTH_TOL_MM:
                continue
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[-1].id),
                found=f"{on.mm(run_mm)} of lying drain from {arm.trap.tag} to its single stack",
                wanted=f"at most {on.mm(most.number)}",
                do=f"bring the fixture {on.mm(run_mm - most.number)} nearer, or give it a vent of its own",
                why="The stack is the only vent; the farther the trap, the longer it waits for air.",
                bases=(most,),
                at=arm.end,
            )


def _limit(on: Review, arm: Arm) -> Cell | None:
    """Return how far the fixture may lie from the stack."""
    if not arm.closet:
        return on.value("single_stack.other_arm")
    here = [f.pattern for f in on.design.fabrication.fittings if f.node == arm.pipes[-1].end]
    by_tee = any(p.startswith(TEES) for p in here)
    return on.value("single_stack.closet_arm_tee" if by_tee else "single_stack.closet_arm")
