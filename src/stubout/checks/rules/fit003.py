"""FIT003 quarter-bend-lying-flat."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import misused
from stubout.problems import Level
from stubout.rulebooks.tables import TURN_WORDS


@check("FIT003", "quarter-bend-lying-flat", Level.FIX)
def rule(on: Review) -> Findings:
    """A short bend turns the water from lying to lying.

    ## What it checks
    Bends between two lying pipes, by the table of fittings of the book; the arm of a small fixture is
    excepted where the book does.

    ## Why it matters
    Solids stop in a short flat turn and no rod passes it.

    ## Fails
    A quarter bend in a lying 3 in drain.

    ## Passes
    Two eighth bends, or a long-turn bend.

    ## Does not check
    Patterns the book's table does not list: they are reported as not checked.
    """
    for turn, cell in misused(on, lambda t: "bend" in t.use.pattern and t.kind == "h-h"):
        yield on.finding(
            about=(turn.use.id, turn.into.id, turn.out.id),
            found=f"{turn.use.pattern} {turn.use.id} turns {turn.into.id}, {TURN_WORDS[turn.kind]}",
            wanted="a fitting that the book allows for this turn",
            do="set two eighth bends or a long-turn bend",
            why="Solids stop in the turn and no rod passes it.",
            bases=(cell,),
            at=turn.use.at,
        )
