"""REC001 as-built-slope-too-flat."""

from stubout import units
from stubout.checks.base import Findings, Review, check
from stubout.problems import Level
from stubout.rulebooks import queries

SLOPE_TOL = 0.0005  # a digital level shows 0.05 degrees, or half a millimetre a metre


@check("REC001", "as-built-slope-too-flat", Level.FIX)
def rule(on: Review) -> Findings:
    """A slope measured on site is less than the book's least slope.

    ## What it checks
    Every as-built record whose subject is the slope of a pipe, in whatever way the level shows it.

    ## Why it matters
    What counts is the pipe that lies there, not the one that was drawn.

    ## Fails
    0.9 degrees (1.57 %) read on a 2 in branch that must fall 1:50.

    ## Passes
    1.2 degrees (2.09 %).

    ## Does not check
    Records of other things; records about ids the design does not know are named as not checked.
    """
    pipes = {p.id: p for p in on.net.pipes}
    for reading in on.house.readings:
        if reading.kind != "slope":
            continue
        pipe = pipes.get(reading.about)
        if pipe is None or pipe.system != "drain":
            on.skip(f"the record about {reading.about} is of no drain of the design")
            continue
        try:
            slope = units.parse_slope(reading.value)
        except ValueError:
            on.skip(f"the record about {reading.about} is no slope: {reading.value}")
            continue
        least = on.ask(queries.min_slope, on.book, pipe.size_in)
        if least is not None and least.number - slope > SLOPE_TOL:
            yield on.finding(
                about=(pipe.id,),
                found=f"{pipe.id} was measured at {reading.value}, {on.slope(slope)}",
                wanted=f"at least {on.slope(least.number)}",
                do="hang or bed it again and record the new slope",
                why="Solids settle in the pipe as it lies.",
                bases=(least,),
                at=pipe.a,
                line=reading.line,
            )
