"""DRN013 fixture-not-drained."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import arms, fixture
from stubout.problems import Level


@check("DRN013", "fixture-not-drained", Level.STOP)
def rule(on: Review) -> Findings:
    """A fixture of the job has no trap or no trap arm in the design.

    ## What it checks
    That every fixture has its trap and its arm, and every trap its fixture. What the layout gave up on is BLK001.

    ## Why it matters
    A fixture that is forgotten in the rough-in opens the wall again.

    ## Fails
    A bar sink that no hand-drawn route serves.

    ## Passes
    A design with an arm for every fixture, capped provisions included.

    ## Does not check
    Appliances that drain through another fixture.
    """
    blocked = {tag for b in on.design.blocked for tag in b.about}
    drained = {a.trap.tag for a in arms(on)}
    for body in on.house.fixtures:
        if body.tag in drained or body.tag in blocked:
            continue
        yield on.finding(
            about=(body.tag,),
            found=f"{body.title or body.kind.value} {body.tag} has no trap arm in the design",
            wanted="a trap and an arm for every fixture",
            do="draw its arm, or take the fixture out of the job",
            why="A fixture that is forgotten in the rough-in opens the wall again.",
            bases=(trade("fixtures", "every one is drained"),),
            at=body.outlet,
            line=body.line,
        )
    for trap in on.net.traps:
        if fixture(on, trap.tag) is None:
            yield on.finding(
                about=(trap.tag, trap.weir),
                found=f"a trap for {trap.tag}, which is no fixture of the job",
                wanted="a trap for every fixture and no other",
                do="correct the name, or add the fixture",
                why="Nobody knows what it drains.",
                bases=(trade("traps", "one for a fixture"),),
            )
