"""CIR003 circuit-branch-too-steep."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level

SLOPE_TOL = 0.0005  # half a millimetre in a metre: what a level shows


@check("CIR003", "circuit-branch-too-steep", Level.FIX)
def rule(on: Review) -> Findings:
    """A circuit-vented branch falls more steeply than the book allows.

    ## What it checks
    The slope of every lying pipe of a circuit-vented branch between its first fixture and its last.

    ## Why it matters
    Fast water fills the pipe at the next joint and takes the air with it.

    ## Fails
    A branch that falls 100 mm in a metre where 1 in 12 is allowed.

    ## Passes
    80 mm in a metre.

    ## Does not check
    The least slope (DRN007).
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        most = on.value("circuit_vent.slope_max")
        for pipe in drain.pipes:
            if most is None or not (pipe.vertical or pipe.slope - most.number > SLOPE_TOL):
                continue
            yield on.finding(
                about=(pipe.id, *drain.tags),
                found=f"circuit-vented {pipe.id} "
                + ("stands upright" if pipe.vertical else f"falls {on.slope(pipe.slope)}"),
                wanted=f"at most {most.printed}",
                do=f"lay {pipe.id} flatter and drop below the last fixture instead",
                why="Fast water fills the pipe at the next joint and takes the air with it.",
                bases=(most,),
                at=pipe.a,
            )
