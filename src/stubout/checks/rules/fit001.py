"""FIT001 sanitary-tee-lying-down."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import misused
from stubout.problems import Level
from stubout.rulebooks.tables import TURN_WORDS


@check("FIT001", "sanitary-tee-lying-down", Level.FIX)
def rule(on: Review) -> Findings:
    """A sanitary tee turns the water where the pipe goes on lying.

    ## What it checks
    Sanitary tees whose branch runs into a lying pipe, by the table of fittings of the book.

    ## Why it matters
    Its short sweep throws the water against the flow and up the pipe; solids lie there.

    ## Fails
    A sanitary tee on its back in a branch.

    ## Passes
    A wye or a combination in its place; a sanitary tee on an upright pipe.

    ## Does not check
    Patterns the book's table does not list: they are reported as not checked.
    """
    for turn, cell in misused(on, lambda t: "sanitary tee" in t.use.pattern and t.kind in ("h-h", "v-h")):
        yield on.finding(
            about=(turn.use.id, turn.into.id, turn.out.id),
            found=f"{turn.use.pattern} {turn.use.id} turns {turn.into.id}, {TURN_WORDS[turn.kind]}",
            wanted="a fitting that the book allows for this turn",
            do="set a wye or a combination instead",
            why="Solids are thrown up stream and lie there.",
            bases=(cell,),
            at=turn.use.at,
        )
