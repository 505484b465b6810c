"""WET009 wet-vent-from-wrong-fixture."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms, wet_vents
from stubout.problems import Level
from stubout.rulebooks.members import takes


@check("WET009", "wet-vent-from-wrong-fixture", Level.FIX)
def rule(on: Review) -> Findings:
    """The dry vent of a wet vent rises from a fixture that the book does not let give it.

    ## What it checks
    The fixture at the upper end of every wet vent, from whose vent the others get their air, where the book names the
    kinds.

    ## Why it matters
    What washes the wet pipe must be clean enough not to foul it.

    ## Fails
    A wet vent that begins at a closet.

    ## Passes
    A wet vent that begins at a lavatory.

    ## Does not check
    Books that let any fixture of the bathroom begin it.
    """
    for vent in wet_vents(on):
        who = on.value("wet_vent.dry_vent_of")
        heads = {p.start for p in vent.pipes}
        for arm in arms(on):
            mine = arm.trap.tag not in vent.through and arm.pipes[-1].end in heads
            if who is None or not mine or takes(who, arm.fixture.kind):
                continue
            yield on.finding(
                about=(arm.trap.tag, vent.pipes[0].id),
                found=f"the wet vent {vent.pipes[0].id} begins at {arm.fixture.kind.value} {arm.trap.tag}",
                wanted=who.printed,
                do=f"let the wet vent begin at another fixture, and {arm.trap.tag} join below it",
                why="What washes the wet pipe must be clean enough not to foul it.",
                bases=(who,),
                at=arm.end,
            )
