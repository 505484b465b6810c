"""WET006 large-arm-on-wet-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms, wet_vents
from stubout.kinds import FixtureKind
from stubout.problems import Level


@check("WET006", "large-arm-on-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap arm larger than the book allows joins a wet vent.

    ## What it checks
    The arms of all fixtures but closets and floor drains that get their air through a wet vent.

    ## Why it matters
    A large discharge fills the wet vent.

    ## Fails
    A 3 in shower drain on a wet vent where 2 in is the most.

    ## Passes
    A 2 in shower drain.

    ## Does not check
    Books that set no such size.
    """
    vents = wet_vents(on)
    most = on.value("wet_vent.arm_max_size") if vents else None
    if most is None:
        return
    served = {t for v in vents for t in v.through}
    for arm in arms(on):
        if arm.trap.tag not in served or arm.closet or arm.fixture.kind == FixtureKind.FLOOR_DRAIN:
            continue
        if arm.size_in > most.number + 1e-6:
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[-1].id),
                found=f"{on.size(arm.size_in)} arm of {arm.trap.tag} joins a wet vent",
                wanted=f"at most {on.size(most.number)}",
                do=f"vent {arm.trap.tag} by itself",
                why="A large discharge fills the wet vent.",
                bases=(most,),
                at=arm.end,
            )
