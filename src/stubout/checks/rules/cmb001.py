"""CMB001 fixture-barred-from-combination."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks.members import takes


@check("CMB001", "fixture-barred-from-combination", Level.FIX)
def rule(on: Review) -> Findings:
    """A fixture is on a combination drain and vent that the book does not let there.

    ## What it checks
    Every fixture that gets its air through a combination drain: its kind, and whether it has a disposer.

    ## Why it matters
    A flush or a disposer fills the pipe whose upper half is the vent of all others.

    ## Fails
    A closet on a combination drain.

    ## Passes
    Two floor drains on it.

    ## Does not check
    Fixtures with a vent of their own that drain into it farther down.
    """
    for drain in said_drains(on, VentMethod.COMBINATION):
        who, disposer = on.value("combination.fixtures"), on.book.find("combination.no_disposer")
        for arm in drain.arms:
            ground = who if who is not None and not takes(who, arm.fixture.kind) else None
            if ground is None and disposer is not None and disposer.value is True and arm.fixture.disposer:
                ground = disposer
            if ground is None:
                continue
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[-1].id),
                found=f"{arm.fixture.kind.value} {arm.trap.tag} is on a combination drain and vent",
                wanted=ground.printed if ground is who else "no disposer",
                do=f"give {arm.trap.tag} a vent of its own",
                why="It fills the pipe whose upper half is the vent of all others.",
                bases=(ground,),
                at=arm.end,
            )
