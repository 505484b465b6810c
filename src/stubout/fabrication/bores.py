"""Every hole a pipe makes in the frame: member, heights, size, wood left, limit, verdict. Lengths [mm].

The fall is followed exactly: the height at a stud is that of the centre line in the middle of that stud. Holes in a
subfloor panel are no bores.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Generic, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from stubout import units
from stubout.catalog.model import Catalog
from stubout.fabrication.charted import Charted, charted
from stubout.fabrication.ends import ask
from stubout.fabrication.members import Crossing, Member, crossing, members
from stubout.fabrication.model import Bore
from stubout.fabrication.openings import through_opening
from stubout.fabrication.pieces import Straight
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import House
from stubout.layout.model import UNDERGROUND
from stubout.network.model import Pipe
from stubout.problems import Basis, Status
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook

Verdict = Literal["ok", "too big", "edge", "engineer", "not allowed", "strap"]
ENTER_MM = 0.5  # what a hole must have over the pipe so that the pipe goes in at all
PLAY_MM = 0.2  # a limit missed by less than the tolerance of the pipe's own diameter is met


@dataclass(frozen=True, slots=True)
class Limits:
    """What the framing rules say of one member."""

    hole: Cell | None
    edge: Cell | None


def bores(runs: tuple[Straight, ...], house: House, framing: RuleBook, catalog: Catalog) -> tuple[Bore, ...]:
    """Return every bore of every pipe, pipe by pipe, member by member along the pipe.

    Args:
        runs: The straight runs of the network.
        house: The house; its walls, frames and obstacles are the members.
        framing: The framing rules.
        catalog: Hole sizes and outside diameters.
    """
    return bores_in(framed(house), runs, house, framing, catalog)


T = TypeVar("T")
Frame = tuple[tuple[Member, Box], ...]


class _Same(Generic[T]):
    """A house or a frame as a key: itself and no other that is alike, since to compare two takes too long."""

    __slots__ = ("it",)

    def __init__(self, it: T) -> None:
        self.it = it

    def __hash__(self) -> int:
        return id(self.it)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.it is self.it


@lru_cache(maxsize=8)  # the house and a few changed copies
def _framed(same: _Same[House]) -> Frame:
    return tuple((m, m.bounds()) for m in members(same.it))


@lru_cache(maxsize=32)
def _bounds(same: _Same[Frame]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the least and the greatest corners of the boxes of a frame, one row each."""
    boxes = np.array([(*lo, *hi) for _, (lo, hi) in same.it], dtype=np.float64).reshape(-1, 6)
    return boxes[:, :3], boxes[:, 3:]


def framed(house: House) -> Frame:
    """Return every member of the house with the box round it: found once where pipes are bored again and again."""
    return _framed(_Same(house))


def touching(frame: Frame, space: Box) -> list[Member]:
    """Return the members that some space can touch."""
    least, greatest = _bounds(_Same(frame))
    hit = ((least <= space.hi) & (greatest >= space.lo)).all(axis=1)
    return [frame[i][0] for i in np.flatnonzero(hit)]


def bores_in(
    frame: Frame,
    runs: tuple[Straight, ...],
    house: House,
    framing: RuleBook,
    catalog: Catalog,
) -> tuple[Bore, ...]:
    """Return the bores in given members, as `bores` does."""
    out: list[Bore] = []
    for run in runs:
        found: dict[str, tuple[float, Member, Crossing, Pipe]] = {}
        along = 0.0
        for pipe, forward in run.pipes:
            a, b = (pipe.a, pipe.b) if forward else (pipe.b, pipe.a)
            if pipe.place.kind in UNDERGROUND:
                along += pipe.length_mm
                continue
            radius = catalog.od_mm(pipe.size_in) / 2
            for member in touching(frame, segment_bounds(a, b, radius)):
                hit = crossing(member, a, b, radius)
                if hit is None or passes_over(member, hit) or through_opening(member, hit, a, b, radius):
                    continue
                name = f"{member.name}@{member.station_mm:.0f}"
                if name in found and not _tells_more(member, hit, found[name]):
                    continue
                found[name] = (along + a.to(hit.centre), member, hit, pipe)
            along += pipe.length_mm
        for _, member, hit, pipe in sorted(found.values(), key=lambda f: (round(f[0], 3), f[1].name)):
            out.append(_bore(f"B{len(out) + 1}", pipe, member, hit, house=house, framing=framing, catalog=catalog))
    return tuple(out)


def _tells_more(member: Member, hit: Crossing, known: tuple[float, Member, Crossing, Pipe]) -> bool:
    """Return whether a crossing tells more of a hole; of a plate made of pieces, the one that holds its centre does."""
    before = known[1]
    if before.lo.x != member.lo.x and member.wall is not None and member.wall.tops:
        return member.lo.x <= hit.local.x < member.hi.x
    return _fuller(member, hit, known[2])


def _fuller(member: Member, hit: Crossing, known: Crossing) -> bool:
    """Return whether a crossing tells more of a hole than the one known: one of two pipes that meet in a member.

    The pipe that goes on through the middle makes the hole, not the one that ends at its face.
    """
    if hit.square != known.square:
        return hit.square
    middle = (member.lo[member.thin] + member.hi[member.thin]) / 2
    off, before = (abs(c.local[member.thin] - middle) for c in (hit, known))
    return hit.square and off < before - 1e-6


def passes_over(member: Member, hit: Crossing) -> bool:
    """Return whether a pipe lies among the webs of an open roof truss, above its chord."""
    f = member.frame
    chord = 100.0  # trade constant: bottom chord of a roof truss, 2x4 laid upright, with play
    return f is not None and f.open_above and f.kind == "truss" and hit.local.z > f.bottom_z_mm + chord


def _bore(
    bore_id: str, pipe: Pipe, member: Member, hit: Crossing, *, house: House, framing: RuleBook, catalog: Catalog
) -> Bore:
    limits = _limits(member, framing)
    limit = limits.hole.number if limits.hole else None
    edge_limit = limits.edge.number if limits.edge else None
    of_chart = charted(member, hit, house)
    if of_chart is not None:
        limit = of_chart.limit_mm
    room = limit
    if edge_limit is not None and hit.square:
        room = min(x for x in (limit, 2 * (hit.edge_to_axis_mm - edge_limit)) if x is not None)
    if of_chart is not None and limit is not None:
        room = min(limit, 2 * (hit.edge_to_axis_mm - member.flange_mm))
    hole, play_note, hole_basis = hole_for(pipe.size_in, room, house.job.units, catalog)
    edge = hit.edge_to_axis_mm - hole / 2
    if member.kind == "i-joist":  # what counts in an I-joist is the web left beside the flange
        edge -= member.flange_mm
    verdict, note = _verdict(member, hit, hole=hole, edge=edge, limit=limit, edge_limit=edge_limit, of=of_chart)
    subfloor, finished = _datums(house, member, pipe, hit.centre)
    bases = [c.basis for c in (limits.hole, limits.edge) if c is not None]
    bases += of_chart.bases if of_chart is not None else ()
    if not bases and member.kind in ("stud", "joist"):
        note = "; ".join(x for x in (note, "no limit in the framing rules: not judged") if x)
    if member.doubled and verdict == "ok" and member.kind == "stud":
        note = "; ".join(x for x in (note, "doubled stud") if x)
    return Bore(
        id=bore_id,
        member=member.name,
        member_kind=member.kind,
        wall_or_frame=member.owner,
        station_mm=member.station_mm if member.kind not in ("bottom plate", "top plate") else hit.local.x,
        pipe=pipe.id,
        centre=hit.centre,
        hole_mm=hole,
        depth_mm=member.depth_mm,
        edge_mm=edge,
        limit_mm=limit,
        edge_limit_mm=edge_limit,
        verdict=verdict,
        height_subfloor_mm=hit.centre.z - subfloor,
        height_finished_mm=hit.centre.z - finished,
        bases=(*bases, hole_basis),
        note="; ".join(x for x in (note, play_note) if x),
    )


def _limits(member: Member, framing: RuleBook) -> Limits:
    if member.kind == "stud" and member.wall is not None:
        wall = member.wall
        hole = ask(
            queries.stud_bore_limit,
            framing,
            wall.depth_mm,
            bearing=wall.bearing,
            exterior=wall.exterior,
            doubled=member.doubled,
        )
        return Limits(hole, ask(queries.stud_edge, framing))
    if member.kind == "joist" and member.frame is not None:
        return Limits(ask(queries.joist_bore_limit, framing, member.frame.depth_mm), ask(queries.joist_edge, framing))
    if member.kind == "top plate" and member.wall is not None and _bears(member.wall, framing):
        return Limits(ask(queries.top_plate_limit, framing, member.wall.depth_mm), None)
    return Limits(None, None)


def _bears(wall: Wall, framing: RuleBook) -> bool:
    as_bearing = framing.find("stud_bore.exterior_as_bearing")
    return wall.bearing or (wall.exterior and as_bearing is not None and as_bearing.value is True)


def hole_for(size_in: float, limit: float | None, unit: units.Units, catalog: Catalog) -> tuple[float, str, Basis]:
    """Return the hole bored [mm], a note and its source.

    The usual bit; where the limit does not allow it the least usual bit; then the least bit of the job's own rule (1 mm
    or 1/16 in steps) that the pipe still enters. Where none is allowed the usual bit, which is then judged too big.

    Args:
        size_in: Nominal pipe size [in].
        limit: Largest hole allowed here, by size and by the wood to be left [mm]; None if the rules state none.
        unit: Unit of the job: what bits come in.
        catalog: Holes and outside diameters.
    """
    hub = catalog.hub(size_in)
    od = catalog.od_mm(size_in)
    basis = Basis("hole for the pipe", hub.hole.printed, "catalog", "", hub.hole.status)
    if limit is None or hub.hole.mm <= limit + PLAY_MM:
        return hub.hole.mm, "", basis
    if hub.tight.mm <= limit + PLAY_MM:
        tight = Basis("hole for the pipe", hub.tight.printed, "catalog", "", hub.tight.status, "least bit")
        return hub.tight.mm, "tight: the usual bit would leave too little wood", tight
    step = 1.0 if unit == "mm" else 25.4 / 16
    least = math.ceil((od + ENTER_MM) / step) * step
    if least <= limit + PLAY_MM:
        bare = Basis("hole for the pipe", units.length(least, unit), "catalog", "", Status.DERIVED, "pipe without play")
        return least, "no play: only this bit keeps to the limit", bare
    return hub.hole.mm, "", basis


def _verdict(
    member: Member,
    hit: Crossing,
    *,
    hole: float,
    edge: float,
    limit: float | None,
    edge_limit: float | None,
    of: Charted | None,
) -> tuple[Verdict, str]:
    if not hit.square:
        if member.engineered:
            return "engineer", "the pipe lies in the member, not square through it"
        return "not allowed", "the pipe lies in the member, not square through it"
    if member.kind == "i-joist":
        if edge < 0:
            return "not allowed", "the hole cuts the flange"
        if of is not None:
            return of.verdict(hole)
        if member.frame is not None and member.frame.bore_allowed:
            return "ok", "maker's chart at hand: look this hole up in it before cutting"
        return "engineer", "holes by the maker's chart only"
    if member.frame is not None and member.frame.openings is not None:
        return "not allowed", "no opening is said here: the pipe meets a web or a chord"
    if member.engineered:
        return "engineer", "no hole without the engineer or maker"
    if member.kind == "top plate":
        return (
            ("strap", "plate cut beyond the limit: tie it")
            if limit is not None and hole > limit + PLAY_MM
            else ("ok", "")
        )
    if member.kind == "bottom plate":
        return "ok", ""
    if limit is not None and hole > limit + PLAY_MM:
        return "too big", ""
    if edge_limit is not None and edge < edge_limit - PLAY_MM:
        return "edge", ""
    return "ok", ""


def _datums(house: House, member: Member, pipe: Pipe, at: Vec) -> tuple[float, float]:
    """Return subfloor and finished floor the bore is measured from, house z [mm].

    The finished floor is that of the room the crew stands in: of the pipe's own fixture on that level, else of the room
    left of the wall, else right of it.
    """
    level_id = member.level_id or _level_below(house, at.z)
    level = next((v for v in house.levels if v.id == level_id), None)
    if level is None:
        return 0.0, 0.0
    tags = [pipe.tag, *pipe.tags] if pipe.tag else list(pipe.tags)
    for fixture in house.fixtures:
        if fixture.tag in tags and fixture.level_id == level.id and _on(fixture.wall_id, member.wall):
            return level.subfloor_z_mm, fixture.finished_z_mm
    if member.wall is not None:
        wall = member.wall
        station = wall.station(at)
        for out_mm in (wall.depth_mm / 2 + 150.0, -wall.depth_mm / 2 - 150.0):  # a hand's breadth into the room
            p = wall.point(station, at.z, out_mm)
            if any(r.level_id == level.id and r.holds(p) for r in house.rooms):
                return level.subfloor_z_mm, house.finished_floor_z(level.id, p)
    return level.subfloor_z_mm, house.finished_floor_z(level.id, at)


def _on(wall_id: str, wall: Wall | None) -> bool:
    return wall is None or wall_id in ("", wall.id)


def _level_below(house: House, z: float) -> str:
    below = [v for v in house.levels if v.subfloor_z_mm <= z + 1.0]
    return max(below, key=lambda v: v.subfloor_z_mm).id if below else ""
