"""VNT005 vent-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms
from stubout.problems import Level
from stubout.rulebooks import queries


@check("VNT005", "vent-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent is smaller than the book's least size for a trap it serves.

    ## What it checks
    Every vent against the least vent for each trap on it, by trap size, drain size and kind of fixture.

    ## Why it matters
    Too little air comes through, and the seals of the traps on it are pulled down.

    ## Fails
    A 1-1/4 in vent on a 2 in trap where 1-1/2 in is asked.

    ## Passes
    A 1-1/2 in vent on a 2 in trap.

    ## Does not check
    Load and length (VNT006).
    """
    by_tag = {a.trap.tag: a for a in arms(on)}
    for vent in on.net.vents():
        worst = None
        for tag in vent.tags:
            arm = by_tag.get(tag)
            if arm is None:
                continue
            least = on.ask(
                queries.vent_least_size,
                on.book,
                trap_in=arm.trap.trap_in,
                drain_in=arm.size_in,
                kind=arm.fixture.kind,
            )
            if least is not None and (worst is None or least.number > worst[0].number):
                worst = (least, tag)
        if worst is not None and vent.size_in < worst[0].number - 1e-6:
            least, tag = worst
            yield on.finding(
                about=(vent.id, tag),
                found=f"{vent.id} is {on.size(vent.size_in)} and vents {tag}",
                wanted=f"at least {on.size(least.number)}",
                do=f"lay {vent.id} in {on.size(least.number)}",
                why="Too little air comes through and the traps on it lose their seals.",
                bases=(least,),
                at=vent.a,
            )
