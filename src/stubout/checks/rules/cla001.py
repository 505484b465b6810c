"""CLA001 pipe-meets-obstacle."""

from stubout.checks.base import Findings, Review, check, said
from stubout.checks.surroundings import meets, room_of
from stubout.problems import Level

GROUND = ("footing", "pad")  # judged by GRD002 and GRD003
SHELLS = ("zone", "soffit")  # spaces a pipe may lie in


@check("CLA001", "pipe-meets-obstacle", Level.STOP)
def rule(on: Review) -> Findings:
    """A pipe or a hub runs into something that is there first.

    ## What it checks
    Every pipe with its outside diameter, and the hub of every fitting, against every duct, box, beam, post, valve,
    appliance, header and line of the job, in three dimensions.

    ## Why it matters
    Both cannot be in one place: one trade opens the other's work.

    ## Fails
    A vent through a recessed medicine cabinet; a hub 6 mm into a duct.

    ## Passes
    The vent moved to the next bay.

    ## Does not check
    Obstacles the job does not describe; footings and pads (GRD002, GRD003); studs and joists (FRM007).
    """
    things = [t for t in on.house.obstacles if t.kind not in GROUND and t.kind not in SHELLS]
    for pipe in on.net.pipes:
        room = room_of(on, pipe)
        for thing in things if room is not None else ():
            hit = meets(on, pipe, thing.box, room)
            if hit is None:
                continue
            deep_mm, at, what = hit
            yield on.finding(
                about=(pipe.id, thing.id),
                found=f"the {what} of {on.size(pipe.size_in)} {pipe.system} {pipe.id} goes {on.mm(deep_mm)} into "
                f"{thing.what or thing.kind} {thing.id}",
                wanted="pipe and hub clear of it",
                do=f"move the pipe by {on.mm(deep_mm)} or more, or have {thing.id} moved",
                why="Both cannot be in one place.",
                bases=(said("obstacle", f"{thing.kind} as the job file says"),),
                at=at,
            )
