"""FIT002 quarter-bend-at-stack-foot."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import misused
from stubout.problems import Level
from stubout.rulebooks.tables import TURN_WORDS


@check("FIT002", "quarter-bend-at-stack-foot", Level.FIX)
def rule(on: Review) -> Findings:
    """A short bend turns the water from upright to lying.

    ## What it checks
    Bends at the foot of an upright pipe, by the table of fittings of the book.

    ## Why it matters
    The water jumps at the short turn: paper hangs there and suds and air are pressed back.

    ## Fails
    A quarter bend at the foot of a 3 in stack.

    ## Passes
    Two eighth bends or a long-turn bend.

    ## Does not check
    Patterns the book's table does not list: they are reported as not checked.
    """
    for turn, cell in misused(on, lambda t: "bend" in t.use.pattern and t.kind == "v-h"):
        yield on.finding(
            about=(turn.use.id, turn.into.id, turn.out.id),
            found=f"{turn.use.pattern} {turn.use.id} turns {turn.into.id}, {TURN_WORDS[turn.kind]}",
            wanted="a fitting that the book allows for this turn",
            do="set two eighth bends or a long-turn bend at the foot",
            why="Paper hangs in the turn, and suds and air are pressed back up.",
            bases=(cell,),
            at=turn.use.at,
        )
