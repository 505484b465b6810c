"""CIR002 circuit-vent-in-wrong-place."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import place_of, said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("CIR002", "circuit-vent-in-wrong-place", Level.FIX)
def rule(on: Review) -> Findings:
    """A circuit vent does not leave its branch between the two most upstream fixtures.

    ## What it checks
    Where the first vent of every circuit-vented branch leaves it: below the joint of the most upstream fixture and not
    below that of the next.

    ## Why it matters
    Up stream of all fixtures the vent is not washed and closes; farther down the first traps are without air.

    ## Fails
    A vent that leaves the branch below the second of three floor drains.

    ## Passes
    The vent between the first and the second.

    ## Does not check
    Further vents of the same branch; books that do not say where the vent leaves.
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        place = on.value("circuit_vent.place")
        joints = sorted(
            (at, a.trap.tag) for a in drain.arms if (at := place_of(on, drain, a.pipes[-1].end)) is not None
        )
        vents = sorted((at, v.id) for v in drain.vents if (at := place_of(on, drain, v.start)) is not None)
        if place is None or len(joints) < 2 or not vents:
            continue
        (first, top), (second, _), (vent, vent_id) = joints[0], joints[1], vents[0]
        if not first < vent <= second:
            yield on.finding(
                about=(vent_id, top),
                found=f"{vent_id} leaves the branch {'up' if vent <= first else 'down'} stream of "
                f"{top if vent <= first else joints[1][1]}",
                wanted=place.printed,
                do=f"move the vent to between {top} and {joints[1][1]}",
                why="The vent must be washed by the first fixture and give air to the second.",
                bases=(place,),
                at=on.net.pipe(vent_id).a,
            )
