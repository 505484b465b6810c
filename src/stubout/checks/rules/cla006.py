"""CLA006 pipe-seen-in-room."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import FIXTURE_PIPES, od_mm
from stubout.checks.surroundings import level_of
from stubout.house.model import HouseLevel, Room
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Finding, Level

HUNG = "below frame"  # under the joists, where a ceiling would be
OVER_BOX_MM = 300.0  # so far a vent goes on in the box around its drain, into the wall: common practice, no source
HIDDEN = trade("pipes in finished rooms", "hidden")


@check("CLA006", "pipe-seen-in-room", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe runs openly through a finished room, or where nobody has said what the space is.

    ## What it checks
    Pipes outside walls, floors, soffits and cabinets, in rooms where the job does not let pipes be seen. Pipes that
    hang under the joists of a room whose ceiling the job neither leaves open nor lowers so far, and pipes in a part of
    a level that no room of the job names, are a question: one for each such space. A drop for which a box is being
    asked of the builder is not told again.

    ## Why it matters
    Nobody agreed to a pipe across the room.

    ## Fails
    A stack standing free in the kitchen. A drain under the joists of a basement in which the job names no room: what is
    this space, and may the pipe be seen there?

    ## Passes
    A stack in a wall; a pipe in a laundry where pipes may be seen; a drain above a lowered ceiling.

    ## Does not check
    Trap arms and tailpieces at their fixtures.
    """
    boxed = _boxed(on)
    unsaid: dict[str, tuple[HouseLevel, Room | None, list[Pipe]]] = {}
    for pipe in on.net.pipes:
        hung = pipe.place.kind == HUNG
        at_fixture = pipe.role in FIXTURE_PIPES and not hung
        if not (hung or pipe.place.kind == "room") or at_fixture or pipe.role == Role.CLEANOUT_EXT:
            continue
        level, room = _space(on, pipe)
        if level is None or level.ceiling_open or (room is not None and (room.exposed_pipe_ok or room.ceiling_open)):
            continue
        if pipe.id in boxed:
            continue  # ASK001 asks whether the box around it is agreed
        if room is not None and not hung:
            yield _seen(on, pipe, room)
        elif room is None or not _above_ceiling(on, pipe, room):
            unsaid.setdefault(room.id if room else level.id, (level, room, []))[2].append(pipe)
    for level, room, pipes in unsaid.values():
        yield _unsaid(on, level, room, pipes)


def _boxed(on: Review) -> set[str]:
    """Return the pipes around which a box is asked for: those of its fixture, and the vent until it is in the wall."""
    asked = [set(q.about) for q in on.design.questions if q.id.endswith("-box")]
    own = [p for p in on.net.pipes if p.tags and any(set(p.tags) <= about for about in asked)]
    boxed = {p.id for p in own}
    over_mm = {n: 0.0 for p in own for n in (p.start, p.end)}
    left = [v for v in on.net.vents() if v.place.kind == "room" and v.id not in boxed]
    while grown := [v for v in left if v.start in over_mm and over_mm[v.start] + v.length_mm <= OVER_BOX_MM]:
        boxed |= {v.id for v in grown}
        over_mm |= {v.end: over_mm[v.start] + v.length_mm for v in grown if v.end not in over_mm}
        left = [v for v in left if v.id not in boxed]
    return boxed


def _space(on: Review, pipe: Pipe) -> tuple[HouseLevel | None, Room | None]:
    """Return the storey a pipe is seen from, None outside or in a crawl space, and the room, None if it has no name."""
    middle = pipe.a.plus(pipe.b).times(0.5)
    room = next((r for r in on.house.rooms if r.id == pipe.place.ref), None)
    named = room.level_id if room else pipe.place.ref
    level = level_of(on, middle.z) if pipe.place.kind == HUNG else None
    level = level or next((v for v in on.house.levels if v.id == named), None)
    if level is None or level.kind == "ground":
        return None, None
    return level, room or next((r for r in on.house.rooms if r.level_id == level.id and r.holds(middle)), None)


def _above_ceiling(on: Review, pipe: Pipe, room: Room) -> bool:
    """Return whether a pipe lies wholly above the lowered ceiling that the owner accepts in a room."""
    size_mm = od_mm(on, pipe.size_in)
    if room.drop_ceiling_z_mm is None or size_mm is None:
        return False
    return min(pipe.a.z, pipe.b.z) - size_mm / 2 >= room.drop_ceiling_z_mm - TOUCH_TOL_MM


def _seen(on: Review, pipe: Pipe, room: Room) -> Finding:
    """Return that a pipe is seen in a finished room."""
    return on.finding(
        about=(pipe.id, room.id),
        found=f"{pipe.system} {pipe.id} runs openly through {room.title or room.id}",
        wanted="a pipe in wall, floor, soffit or cabinet",
        do="bring it into a wall, or have a soffit agreed and written in the job",
        why="Nobody agreed to a pipe across the room.",
        bases=(HIDDEN,),
        at=pipe.a,
    )


def _unsaid(on: Review, level: HouseLevel, room: Room | None, pipes: list[Pipe]) -> Finding:
    """Return the question about all pipes of one space of which the job does not say whether they may be seen."""
    names = ", ".join(sorted(p.id for p in pipes))
    if room is None:
        where = f"in a part of {level.title or level.id} that no room of the job names"
        say = "say in the job what this space is: a room with `ceiling open`, `pipe may show` or `ceiling may drop to`"
    else:
        where = (
            f"below the joists of {room.title or room.id}, whose ceiling the job neither leaves open nor lowers so far"
        )
        say = "write `ceiling open`, `pipe may show` or `ceiling may drop to` in the room, or have a soffit agreed"
    return on.finding(
        about=(room.id if room else level.id, *sorted(p.id for p in pipes)),
        found=f"{names} {'lies' if len(pipes) == 1 else 'lie'} {where}",
        wanted="what the space is to be, and whether pipes may be seen there",
        do=say,
        why="Nobody agreed to pipes in sight, and a ceiling that comes later has no room above it.",
        bases=(HIDDEN,),
        at=pipes[0].a,
        level=Level.ASK,
        owner="owner",
    )
