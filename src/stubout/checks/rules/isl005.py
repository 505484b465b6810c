"""ISL005 island-foot-vent-without-cleanout."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.islands import loops
from stubout.problems import Level


@check("ISL005", "island-foot-vent-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """The foot vent of an island loop has no cleanout.

    ## What it checks
    That a cleanout stands in the upright part of the vent that rises from the foot vent, where the book asks for it.

    ## Why it matters
    The foot vent lies below the floor and is the first to close.

    ## Fails
    A foot vent that rises in a wall behind tile, with no cover.

    ## Passes
    The same riser with a cleanout inside the cabinet.

    ## Does not check
    Its size and the room before it (CLO006, CLO007).
    """
    for loop in loops(on):
        asked = on.value("island.cleanout")
        if asked is None or asked.value is not True or not loop.foot:
            continue
        nodes = {i for v in (*loop.foot, *loop.riser) for i in (v.start, v.end)}
        if any(c.point in nodes for c in on.design.cleanouts):
            continue
        yield on.finding(
            about=(loop.fixture.tag, loop.foot[-1].id),
            found=f"the foot vent of {loop.fixture.tag} has no cleanout",
            wanted="a cleanout in the upright foot vent",
            do="set a cleanout in the riser of the foot vent, where a hand can reach it",
            why="The foot vent lies below the floor and is the first to close.",
            bases=(asked,),
            at=loop.foot[-1].b,
        )
