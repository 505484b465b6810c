"""The part of a job that can say something else of a dragged thing: quicker to resolve than the whole."""

from __future__ import annotations

from stubout.job.model import Job
from stubout.live.model import Handle


def needed(job: Job, handle: Handle) -> Job:
    """Return the part of a job that can say something else of a dragged thing: quicker to resolve than the whole."""
    if handle.kind == "wall":
        return _needed_on_level(job, handle.of)
    if handle.kind in ("opening", "obstacle"):
        return _needed_in_wall(job, handle)
    fixtures = tuple(f for f in job.fixtures if f.tag == handle.of)
    walls = {f.wall for f in fixtures} | {c.wall for c in job.cabinets if c.id == handle.of}
    cabinets = tuple(c for c in job.cabinets if c.wall in walls or not c.wall)
    if handle.kind in ("cabinet", "box"):
        fixtures = tuple(f for f in job.fixtures if f.wall in walls or not f.wall)
        walls |= {f.wall for f in fixtures}
    return job.model_copy(
        update={
            "fixtures": fixtures,
            "cabinets": cabinets,
            "walls": tuple(w for w in job.walls if w.id in walls),
            "openings": (),  # they change studs and headers, no face of a wall
            "obstacles": (),
            "routes": tuple(r for r in job.routes if r.fixture == handle.of),  # its arm, if that is drawn
        }
    )


def _needed_on_level(job: Job, wall_id: str) -> Job:
    """Return the part of a job that stands on the level of a wall."""
    level = next(w.level for w in job.walls if w.id == wall_id)
    walls = tuple(w for w in job.walls if w.level == level)
    rooms = tuple(r for r in job.rooms if r.level == level)
    named, known = {w.id for w in walls}, {r.id for r in rooms}
    return job.model_copy(
        update={
            "walls": walls,
            "rooms": rooms,
            "fixtures": tuple(f for f in job.fixtures if f.room in known),
            "cabinets": tuple(c for c in job.cabinets if c.wall in named or (not c.wall and c.room in known)),
            "openings": tuple(o for o in job.openings if o.wall in named),
            "obstacles": tuple(o for o in job.obstacles if o.wall in named),
            "routes": (),
        }
    )


def _needed_in_wall(job: Job, handle: Handle) -> Job:
    """Return the part of a job that says where an opening or an obstacle is."""
    openings = tuple(o for o in job.openings if o.id == handle.of and handle.kind == "opening")
    obstacles = tuple(o for o in job.obstacles if o.id == handle.of and handle.kind == "obstacle")
    walls = {o.wall for o in openings} | {o.wall for o in obstacles}
    openings = tuple(o for o in job.openings if openings and o.wall in walls)  # they may not overlap
    none = dict.fromkeys(("fixtures", "cabinets", "routes"), ())
    kept = tuple(w for w in job.walls if w.id in walls)
    return job.model_copy(update={**none, "walls": kept, "openings": openings, "obstacles": obstacles})
