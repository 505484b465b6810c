"""WET004 wet-vent-across-storeys."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import fixture, wet_vents
from stubout.problems import Level


@check("WET004", "wet-vent-across-storeys", Level.FIX)
def rule(on: Review) -> Findings:
    """Fixtures of several storeys share a wet vent where the book asks for one floor.

    ## What it checks
    The levels of everyone on a wet vent.

    ## Why it matters
    Water from the floor above falls past the openings and drags the air along.

    ## Fails
    An upstairs lavatory draining into the wet vent of the bath below.

    ## Passes
    All fixtures on one floor.

    ## Does not check
    Books that allow more than one storey.
    """
    for vent in wet_vents(on):
        upright = on.book.find("wet_vent.vertical_same_floor") if all(p.vertical for p in vent.pipes) else None
        same = upright or on.value("wet_vent.same_floor")
        if same is None or same.value is not True:
            continue
        levels = sorted({b.level_id for b in (fixture(on, t) for t in vent.tags) if b is not None})
        if len(levels) > 1:
            yield on.finding(
                about=(*vent.tags, vent.pipes[0].id),
                found=f"fixtures of {' and '.join(levels)} share a wet vent",
                wanted="fixtures of one floor",
                do="vent the fixtures of one floor by themselves",
                why="Water from above drags the air of the wet vent along.",
                bases=(same,),
                at=vent.pipes[0].a,
            )
