"""FIT005 fitting-against-its-use."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import Turn, misused
from stubout.problems import Level
from stubout.rulebooks.tables import TURN_WORDS


@check("FIT005", "fitting-against-its-use", Level.FIX)
def rule(on: Review) -> Findings:
    """A fitting is used for a turn the book does not allow it for.

    ## What it checks
    All fittings by the table of fittings of the book, but for the cases that have a check of their own (FIT001 to
    FIT003).

    ## Why it matters
    A fitting that turns the water too sharply blocks.

    ## Fails
    A plain tee where a branch drains.

    ## Passes
    A wye in its place.

    ## Does not check
    Patterns the book's table does not list: they are reported as not checked.
    """
    for turn, cell in misused(on, _left):
        yield on.finding(
            about=(turn.use.id, turn.into.id, turn.out.id),
            found=f"{turn.use.pattern} {turn.use.id} turns {turn.into.id}, {TURN_WORDS[turn.kind]}",
            wanted="a fitting that the book allows for this turn",
            do="set a wye or a combination instead",
            why="The turn is too sharp for the water and blocks.",
            bases=(cell,),
            at=turn.use.at,
        )


def _left(turn: Turn) -> bool:
    """Return whether no other check is about this turn."""
    tee = "sanitary tee" in turn.use.pattern and turn.kind in ("h-h", "v-h")
    bend = "bend" in turn.use.pattern and turn.kind in ("v-h", "h-h")
    return not tee and not bend
