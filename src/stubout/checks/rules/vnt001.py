"""VNT001 trap-unvented."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import air_reaches, arms
from stubout.checks.waiting import behind_blocked
from stubout.kinds import FixtureKind
from stubout.layout.model import VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries


@check("VNT001", "trap-unvented", Level.STOP)
def rule(on: Review) -> Findings:
    """No vent reaches a trap.

    ## What it checks
    Every trap arm: at its end, or through the wet vent or stack it joins, there must be a vent. What the plan calls the
    trap does not count, only pipes do.

    ## Why it matters
    The next discharge siphons the trap and sewer gas comes into the room.

    ## Fails
    A sink whose arm runs straight into a drain that no vent touches.

    ## Passes
    A sink whose arm ends in a sanitary tee with a vent above.

    ## Does not check
    Floor drains the book lets go without a vent (FLD001); whether the vent reaches outdoor air (VNT009).
    """
    for arm in arms(on):
        bare = arm.fixture.kind == FixtureKind.FLOOR_DRAIN and arm.trap.method == VentMethod.NONE
        if bare and queries.floor_drain_unvented_min(on.book) is not None:
            continue
        if not air_reaches(on.net, arm):
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[-1].id),
                found=f"no vent opens at the end of the trap arm of {arm.trap.tag}",
                wanted="a vent at the end of the arm, or a wet vent or stack that has one",
                do=behind_blocked(on, "set a vent fitting at the end of the arm and carry its vent up"),
                why="The next discharge siphons the trap and sewer gas enters the room.",
                bases=(trade("a vent for every trap", "asked by every book"),),
                at=arm.end,
            )
