"""Plans for cleanouts that somebody drew: what they open, which way, how one gets at them. Lengths [mm]."""

from __future__ import annotations

from contextlib import suppress

from stubout.geometry.vec import Vec, angle_deg
from stubout.layout.cleanout_access import USUAL_CLEAR_MM, Access
from stubout.layout.cleanout_draft import Draft
from stubout.layout.model import CleanoutPlan, PointKind, Role, Run
from stubout.layout.places import level_under
from stubout.problems import Basis, NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

LARGEST_IN = 4.0
UP_SHARE = 0.7  # an opening within 45 degrees of plumb looks up


def drawn_plans(draft: Draft, access: Access, book: RuleBook) -> list[CleanoutPlan]:
    """Return a plan for every point drawn as a cleanout that has none yet."""
    have = {p.point for p in draft.plans}
    out: list[CleanoutPlan] = []
    for point in draft.points.values():
        meet = draft.meeting(point.id)
        if point.kind is not PointKind.CLEANOUT or point.id in have or not meet:
            continue
        run = (draft.out(point.id) or draft.into(point.id) or meet)[0]
        served = _served(draft, run)
        bases: list[Basis] = []
        size = min(max(r.size_in for r in meet), LARGEST_IN)
        with suppress(NotInBook):
            bases.append(queries.cleanout_size(book, served.size_in).basis)
        try:
            cell = queries.cleanout_clearance(book, served.size_in)
            clear = cell.number
            bases.append(cell.basis)
        except NotInBook:
            clear = USUAL_CLEAR_MM
        opens = _opens(draft, access, point.id, meet, size)
        number = f"CO{len(draft.plans) + len(out) + 1}"
        where = _words(access, point.at, opens)
        out.append(
            CleanoutPlan(number, point.id, size, opens, clear, f"{served.id}, drawn by hand", where, tuple(bases))
        )
    return out


def _served(draft: Draft, run: Run) -> Run:
    """Return the drain below an extension."""
    for r in (run, *draft.chain(run)):
        if r.role is not Role.CLEANOUT_EXT:
            return r
    return run


def _opens(draft: Draft, access: Access, node: str, meet: list[Run], size_in: float) -> Vec:
    """Return the way one looks out of a drawn cleanout: at an end away from the pipe, else to the free side."""
    at = draft.points[node].at
    ways = [draft.points[r.end if r.start == node else r.start].at.minus(at) for r in meet]
    ways = [w for w in ways if w.length > 1.0]
    if len(ways) == 1:
        return ways[0].unit().times(-1.0)
    out = [draft.points[r.end].at.minus(at) for r in draft.out(node)]
    if len(ways) == 2 and out and angle_deg(ways[0], ways[1]) < 150.0 and out[0].length > 1.0:
        return out[0].unit().times(-1.0)  # at a turn the straight inlet takes the plug
    run = meet[0]
    if draft.plumb(run):
        tries = [Vec(1.0, 0.0), Vec(0.0, 1.0), Vec(-1.0, 0.0), Vec(0.0, -1.0)]
        wall = next((w for w in access.house.walls if w.id == run.place.ref), None)
        if wall is not None:
            tries = [wall.leftward, wall.leftward.times(-1.0)]
    else:
        d = draft.b(run).minus(draft.a(run)).at_z(0.0).unit()
        tries = [Vec(0.0, 0.0, 1.0), Vec(-d.y, d.x), Vec(d.y, -d.x)]
    own = {r.id for r in meet}
    free = [u for u in tries if access.sight(at, u, size_in * 25.4, size_in, own) is not None]
    return (free or tries)[0]


def _words(access: Access, p: Vec, opens: Vec) -> str:
    """Return how one gets at a place, in words."""
    if not access.inside(p):
        return "outside" + (", cover at grade" if opens.z > UP_SHARE else "")
    level = level_under(access.house, p.z)
    if level is None:
        return "below the floor"
    room = access.room_at(level.id, p.plus(opens.times(300.0)))
    return (room.title or room.id) if room else (level.title or level.id)
