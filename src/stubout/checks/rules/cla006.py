"""CLA006 pipe-seen-in-room."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import FIXTURE_PIPES
from stubout.layout.model import Role
from stubout.problems import Level


@check("CLA006", "pipe-seen-in-room", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe runs openly through a finished room.

    ## What it checks
    Pipes outside walls, floors, soffits and cabinets, in rooms where the job does not let pipes be seen. A drop for
    which a box is being asked of the builder is not told again.

    ## Why it matters
    Nobody agreed to a pipe across the room.

    ## Fails
    A stack standing free in the kitchen.

    ## Passes
    A stack in a wall; a pipe in a laundry where pipes may be seen.

    ## Does not check
    Trap arms and tailpieces at their fixtures.
    """
    rooms = {r.id: r for r in on.house.rooms}
    levels = {v.id: v for v in on.house.levels}
    for pipe in on.net.pipes:
        if pipe.place.kind != "room" or pipe.role in FIXTURE_PIPES or pipe.role == Role.CLEANOUT_EXT:
            continue
        room = rooms.get(pipe.place.ref)
        level = levels.get(room.level_id if room else pipe.place.ref)
        if room is None or room.exposed_pipe_ok or room.ceiling_open or (level is not None and level.ceiling_open):
            continue
        asked = [set(q.about) for q in on.design.questions if q.id.endswith("-box")]
        if pipe.tags and any(set(pipe.tags) <= about for about in asked):
            continue  # ASK001 asks whether the box around it is agreed
        yield on.finding(
            about=(pipe.id, room.id),
            found=f"{pipe.system} {pipe.id} runs openly through {room.title or room.id}",
            wanted="a pipe in wall, floor, soffit or cabinet",
            do="bring it into a wall, or have a soffit agreed and written in the job",
            why="Nobody agreed to a pipe across the room.",
            bases=(trade("pipes in finished rooms", "hidden"),),
            at=pipe.a,
        )
