"""FRM007 pipe-through-member."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.checks.space import boxes_meet, segment_box
from stubout.checks.surroundings import pipe_box
from stubout.geometry.vec import Box, Vec
from stubout.house.model import Frame, Wall
from stubout.problems import Level

NEAR_MM = 60.0  # a bore this near to the member's centre is the bore of this member


@check("FRM007", "pipe-through-member", Level.STOP)
def rule(on: Review) -> Findings:
    """A pipe lies in a joist, truss or stud and no bore for it is on the list.

    ## What it checks
    Every pipe in three dimensions against every joist and stud. Where it lies in one, the bore list must have a hole
    there (its size is FRM001), and a pipe that lies along a member is never right.

    ## Why it matters
    The pipe is drawn where wood is.

    ## Fails
    A 3 in branch drawn across the joists; a riser drawn in a stud.

    ## Passes
    A branch along the joist bay; an arm through studs, each with its bore.

    ## Does not check
    Wall plates and floor panels, which every riser passes and the bore list carries; obstacles (CLA001).
    """
    for pipe in on.net.pipes:
        size_mm = od_mm(on, pipe.size_in)
        if size_mm is None or pipe.length_mm <= 1.0:
            continue
        around_pipe = pipe_box(pipe, size_mm / 2)
        for owner, name, centre_mm, box, way in _members(on, around_pipe):
            away_mm, at = segment_box(pipe.a, pipe.b, box)
            if size_mm / 2 - away_mm <= TOUCH_TOL_MM:
                continue
            along = abs(pipe.b.minus(pipe.a).unit().dot(way)) > 0.9
            bored = any(
                b.pipe == pipe.id
                and b.wall_or_frame == owner
                and b.verdict != "not allowed"
                and abs(b.station_mm - centre_mm) <= NEAR_MM
                for b in on.design.fabrication.bores
            )
            if bored and not along:
                continue
            yield on.finding(
                about=(pipe.id, owner),
                found=f"{on.size(pipe.size_in)} {pipe.system} {pipe.id} lies {'along' if along else 'in'} {name}",
                wanted="a pipe in the bay" if along else "a bore that the framing book allows, or a pipe in the bay",
                do=f"move the pipe {on.mm(size_mm / 2 - away_mm)} out of the wood",
                why="The pipe is drawn where wood is.",
                bases=(trade("members", "pipe in the bay or through a bore"),),
                at=at,
            )


def _members(on: Review, space: Box) -> list[tuple[str, str, float, Box, Vec]]:
    """Return the joists and studs near a space: owner, name, place of the centre, box, direction."""
    out: list[tuple[str, str, float, Box, Vec]] = []
    for frame in on.house.frames:
        whole = Box(
            _frame_point(frame, frame.along_lo_mm, frame.across_lo_mm, frame.bottom_z_mm),
            _frame_point(frame, frame.along_hi_mm, frame.across_hi_mm, frame.top_z_mm),
        )
        if not boxes_meet(whole, space):
            continue
        way = Vec(1.0, 0.0) if frame.runs == "x" else Vec(0.0, 1.0)
        half = frame.web_mm / 2 if frame.kind == "i-joist" and frame.web_mm > 0.0 else frame.width_mm / 2
        for centre in frame.centres_mm:
            lo = _frame_point(frame, frame.along_lo_mm, centre - half, frame.bottom_z_mm)
            hi = _frame_point(frame, frame.along_hi_mm, centre + half, frame.top_z_mm)
            if boxes_meet(Box(lo, hi), space):
                out.append(
                    (frame.id, f"the {frame.kind} joist at {centre:.0f} of {frame.id}", centre, Box(lo, hi), way)
                )
    for wall in on.house.walls:
        out += _studs(wall, space)
    return out


def _frame_point(frame: Frame, along: float, across: float, z: float) -> Vec:
    """Return a point of a frame from its own coordinates."""
    return Vec(along, across, z) if frame.runs == "x" else Vec(across, along, z)


def _studs(wall: Wall, space: Box) -> list[tuple[str, str, float, Box, Vec]]:
    """Return the studs of a wall near a space."""
    half = wall.depth_mm / 2
    ends = [
        wall.point(s, z, o)
        for s in (0.0, wall.length_mm)
        for z in (wall.bottom_z_mm, wall.top_z_mm)
        for o in (-half, half)
    ]
    if not boxes_meet(_box(ends), space):
        return []
    out = []
    for stud in wall.studs:
        lo = stud.lo_z_mm if stud.hi_z_mm > stud.lo_z_mm else wall.bottom_z_mm + wall.bottom_plate_mm
        hi = stud.hi_z_mm if stud.hi_z_mm > stud.lo_z_mm else wall.top_z_mm - wall.top_plate_mm
        box = _box(
            [
                wall.point(stud.station_mm + s, z, o)
                for s in (-stud.width_mm / 2, stud.width_mm / 2)
                for z in (lo, hi)
                for o in (-half, half)
            ]
        )
        if boxes_meet(box, space):
            out.append(
                (
                    wall.id,
                    f"the {stud.kind} at {stud.station_mm:.0f} of {wall.id}",
                    stud.station_mm,
                    box,
                    Vec(0.0, 0.0, 1.0),
                )
            )
    return out


def _box(points: list[Vec]) -> Box:
    """Return the smallest box around some points."""
    return Box(Vec(*(min(c) for c in zip(*points, strict=True))), Vec(*(max(c) for c in zip(*points, strict=True))))
