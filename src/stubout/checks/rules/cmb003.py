"""CMB003 combination-drain-too-steep."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.network.model import Pipe
from stubout.problems import Level

SLOPE_TOL = 0.0005  # half a millimetre in a metre: what a level shows


@check("CMB003", "combination-drain-too-steep", Level.FIX)
def rule(on: Review) -> Findings:
    """A combination drain and vent falls more steeply, or drops farther, than the book allows.

    ## What it checks
    The slope of every lying pipe of a combination drain, and the height of every upright piece of it and of the
    fixture drains on it.

    ## Why it matters
    Steep or falling water closes the pipe and there is no air above it.

    ## Fails
    A lying pipe that falls 60 mm in a metre where 1/2 in per foot is allowed.

    ## Passes
    40 mm in a metre.

    ## Does not check
    Books that set no limit for one of the two.
    """
    for drain in said_drains(on, VentMethod.COMBINATION):
        yield from _steep(on, drain.pipes)
        yield from _tall(on, (*drain.pipes, *(p for a in drain.arms if not a.closet for p in a.pipes)))


def _steep(on: Review, pipes: tuple[Pipe, ...]) -> Findings:
    most = on.value("combination.slope_max")
    for pipe in pipes:
        if most is None or pipe.vertical or pipe.slope - most.number <= SLOPE_TOL:
            continue
        yield on.finding(
            about=(pipe.id,),
            found=f"combination drain {pipe.id} falls {on.slope(pipe.slope)}",
            wanted=f"at most {on.slope(most.number)}",
            do=f"lay {pipe.id} flatter",
            why="Steep water closes the pipe and there is no air above it.",
            bases=(most,),
            at=pipe.a,
        )


def _tall(on: Review, pipes: tuple[Pipe, ...]) -> Findings:
    most = on.value("combination.vertical_max")
    for pipe in pipes:
        if most is None or not pipe.vertical or pipe.length_mm - most.number <= LENGTH_TOL_MM:
            continue
        yield on.finding(
            about=(pipe.id,),
            found=f"upright {pipe.id} of a combination drain is {on.mm(pipe.length_mm)} tall",
            wanted=f"at most {on.mm(most.number)}",
            do=f"shorten the drop by {on.mm(pipe.length_mm - most.number)}, or vent its fixture by itself",
            why="Falling water closes the pipe and pulls the trap above it.",
            bases=(most,),
            at=pipe.a,
        )
