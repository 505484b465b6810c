"""FIT007 vent-fitting-below-rim."""

from stubout.catalog.shipped import SHIPPED
from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import highest_rim, node_of, vents_at
from stubout.problems import Level
from stubout.rulebooks import queries

TURNS = ("bend", "tee")  # a flashing is a vent fitting too, and nothing stands in it


@check("FIT007", "vent-fitting-below-rim", Level.FIX)
def rule(on: Review) -> Findings:
    """A short-radius vent fitting stands where waste may rise.

    ## What it checks
    Bends and tees made for vents only, against the flood rims of the fixtures on them plus the book's margin.

    ## Why it matters
    Below the rim a vent is a drain when the drain blocks; a vent bend then holds what rises into it.

    ## Fails
    A vent quarter bend 300 mm below the rim of its sink.

    ## Passes
    A drainage bend in its place, or the vent bend above rim and margin.

    ## Does not check
    Fittings whose pattern name does not say that they are for vents. The program takes drainage bends in vents, and a
    job file names no bends: the check guards the list of fittings against a change of that.
    """
    for use in on.design.fabrication.fittings:
        node = node_of(on.net, use.node)
        pattern = SHIPPED.patterns.get(use.pattern)
        if pattern is None or pattern.kind not in TURNS or not use.pattern.startswith("vent ") or node is None:
            continue
        margin = on.ask(queries.vent_pattern_above_rim, on.book)
        rim = highest_rim(on, [t for p in vents_at(on.net, node) for t in p.tags])
        if margin is None or rim is None:
            continue
        low_mm = rim[0] + margin.number - node.at.z
        if low_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(use.id, rim[1]),
                found=f"{use.pattern} {use.id} is {on.mm(low_mm)} too low for the rim of {rim[1]}",
                wanted=f"vent fittings only {on.at_least_above(margin.number)} the flood rim",
                do="use a drainage fitting here, or raise the turn",
                why="When the drain blocks, waste rises into the short bend and stays.",
                bases=(margin, rim[2]),
                at=use.at,
            )
