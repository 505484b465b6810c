"""TRP001 s-trap."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import air_reaches, arms, node_of, outgoing
from stubout.checks.waiting import behind_blocked
from stubout.kinds import FixtureKind
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("TRP001", "s-trap", Level.STOP)
def rule(on: Review) -> Findings:
    """A trap arm drops upright before air reaches it: an S-trap.

    ## What it checks
    Every trap but a closet's: an upright piece between weir and vent fitting, or an arm without a vent that goes on
    straight down.

    ## Why it matters
    The falling water pulls the seal after it and sewer gas comes into the room.

    ## Fails
    A lavatory arm that turns down into the floor and is vented, if at all, below.

    ## Passes
    An arm that stays flat until the vent fitting, where the drain turns down and the vent goes up.

    ## Does not check
    Closets; floor drains the book lets go without a vent; drops on a combination drain and vent (CMB003).
    """
    for arm in arms(on):
        bare = arm.fixture.kind == FixtureKind.FLOOR_DRAIN and arm.trap.method == VentMethod.NONE
        if arm.closet or bare or arm.trap.method is VentMethod.COMBINATION:
            continue
        drops = [p for p in arm.plumb if p.fall_mm > LEVEL_TOL_MM]
        if not drops and not air_reaches(on.net, arm):
            node = node_of(on.net, arm.pipes[-1].end)
            after = outgoing(on.net, node, "drain") if node else ()
            drops = [p for p in after if p.vertical]
        for pipe in drops[:1]:
            yield on.finding(
                about=(arm.trap.tag, pipe.id),
                found=f"{pipe.id} drops {on.mm(pipe.fall_mm)} behind the trap of {arm.trap.tag} with no vent before it",
                wanted="a flat arm from the weir to the vent fitting",
                do=behind_blocked(on, "set a vent fitting in the arm before it turns down"),
                why="The falling water pulls the trap dry and sewer gas enters the room.",
                bases=(on.book.find("trap.s_trap_barred") or trade("S-trap", "not allowed"),),
                at=pipe.a,
            )
