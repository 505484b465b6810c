"""ISL001 island-vent-on-other-fixture."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.islands import loops
from stubout.problems import Level
from stubout.rulebooks.members import takes


@check("ISL001", "island-vent-on-other-fixture", Level.FIX)
def rule(on: Review) -> Findings:
    """An island loop vents a fixture that the book does not let on one.

    ## What it checks
    The kind of every fixture that is vented by an island loop.

    ## Why it matters
    The loop lies below the flood rim; only what drains gently keeps it clean.

    ## Fails
    A clothes washer on an island loop.

    ## Passes
    A kitchen sink.

    ## Does not check
    Books that do not name the fixtures.
    """
    for loop in loops(on):
        who = on.value("island.fixtures")
        if who is not None and not takes(who, loop.fixture.kind):
            yield on.finding(
                about=(loop.fixture.tag,),
                found=f"{loop.fixture.kind.value} {loop.fixture.tag} is vented by an island loop",
                wanted=who.printed,
                do=f"give {loop.fixture.tag} a vent in a wall, or ask the inspector for a valve",
                why="The loop lies below the flood rim; only what drains gently keeps it clean.",
                bases=(who,),
                at=loop.top.b,
            )
