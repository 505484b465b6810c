"""CMB004 combination-branch-too-long."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import outgoing
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.network.model import Pipe
from stubout.problems import Level


@check("CMB004", "combination-branch-too-long", Level.FIX)
def rule(on: Review) -> Findings:
    """A branch of a combination drain is longer than the book allows without a vent of its own.

    ## What it checks
    The way from the end of every fixture drain along the combination drain to the next vent on it.

    ## Why it matters
    The air has to come that far above the water.

    ## Fails
    A branch of 5 m to the vent where 4.57 m are allowed.

    ## Passes
    4.5 m, or another vent half way.

    ## Does not check
    Books without such a limit.
    """
    for drain in said_drains(on, VentMethod.COMBINATION):
        most = on.value("combination.branch_max")
        for arm in drain.arms:
            path = _to_vent(on, arm.pipes[-1], drain.pipes)
            run_mm = sum(p.length_mm for p in path)
            if most is None or run_mm - most.number <= LENGTH_TOL_MM:
                continue
            yield on.finding(
                about=(arm.trap.tag, *(p.id for p in path)),
                found=f"{on.mm(run_mm)} of combination drain between {arm.trap.tag} and the next vent",
                wanted=f"at most {on.mm(most.number)}",
                do=f"bring a vent {on.mm(run_mm - most.number)} nearer to {arm.trap.tag}",
                why="The air has to come that far above the water.",
                bases=(most,),
                at=arm.end,
            )


def _to_vent(on: Review, arm_end: Pipe, pipes: tuple[Pipe, ...]) -> tuple[Pipe, ...]:
    """Return the combination pipes from the end of an arm to the nearest vent, up or down stream."""
    front: list[tuple[str, tuple[Pipe, ...]]] = [(arm_end.end, ())]
    seen = {arm_end.end}
    while front:
        front.sort(key=lambda f: sum(p.length_mm for p in f[1]))
        here, path = front.pop(0)
        if outgoing(on.net, on.net.node(here), "vent"):
            return path
        for p in pipes:
            far = p.end if p.start == here else p.start if p.end == here else ""
            if far and far not in seen:
                seen.add(far)
                front.append((far, (*path, p)))
    return ()
