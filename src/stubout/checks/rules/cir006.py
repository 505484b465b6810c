"""CIR006 circuit-branch-turns-too-much."""

from itertools import pairwise

from stubout.checks.base import ANGLE_TOL_DEG, Findings, Review, check
from stubout.checks.methods import place_of, said_drains
from stubout.geometry.vec import angle_deg
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("CIR006", "circuit-branch-turns-too-much", Level.FIX)
def rule(on: Review) -> Findings:
    """A circuit-vented branch turns by more than the book allows without another vent.

    ## What it checks
    The sum of the turns of every circuit-vented branch, seen from above, from one vent to the next.

    ## Why it matters
    At each turn the water piles up, and beyond it the traps are without air.

    ## Fails
    A branch with a 90 between its vent and its last fixture, where 45 degrees are allowed.

    ## Passes
    One 45, or a second vent after it.

    ## Does not check
    Turns up stream of the first vent's fixtures; books without such a limit.
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        most = on.value("circuit_vent.turn")
        if most is None:
            continue
        vents = {i for i in (place_of(on, drain, v.start) for v in drain.vents) if i is not None}
        joints = [i for i in (place_of(on, drain, a.pipes[-1].end) for a in drain.arms) if i is not None]
        turned = 0.0
        for i, (into, out) in enumerate(pairwise(drain.trunk), start=1):
            if joints and i >= max(joints):
                break
            if i in vents:
                turned = 0.0  # a turn at the vent has its air there
                continue
            turned += angle_deg(into.b.minus(into.a).at_z(0.0), out.b.minus(out.a).at_z(0.0))
            if turned - most.number > ANGLE_TOL_DEG:
                yield on.finding(
                    about=(out.id, *drain.tags),
                    found=f"the circuit-vented branch has turned {turned:.0f} degrees at {out.id} since its vent",
                    wanted=f"at most {most.number:g} degrees",
                    do="set another circuit vent below the turn, or lay the branch straight",
                    why="Water piles up at each turn and beyond it the traps are without air.",
                    bases=(most,),
                    at=out.a,
                )
                break
