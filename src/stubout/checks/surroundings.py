"""What surrounds a pipe: walls, openings, roof, ground, cabinets and bodies, read off the house.

Nothing here judges and nothing here knows how a layout came about.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from stubout.checks.base import TOUCH_TOL_MM, Review
from stubout.checks.facts import hub_mm, od_mm
from stubout.checks.space import boxes_meet, point_box_mm, segment_box
from stubout.fabrication.hubs import couplings_on
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Opening, Wall
from stubout.house.model import CabinetBox, HouseFixture, HouseLevel
from stubout.layout.model import PointKind
from stubout.network.model import Node, Pipe


def boxes_at(on: Review, wall_id: str, side: str, station_mm: float) -> tuple[CabinetBox, ...]:
    """Return the cabinet boxes that stand against a wall at a station."""
    return tuple(
        c
        for c in on.house.cabinets
        if c.wall_id == wall_id and c.side == side and c.from_station_mm <= station_mm <= c.to_station_mm
    )


def opening_box(wall: Wall, opening: Opening) -> Box:
    """Return the clear opening of a wall as a box, through the whole framing."""
    corners = [
        wall.point(station, z, out)
        for station in (opening.station_mm, opening.station_mm + opening.width_mm)
        for z in (opening.sill_z_mm, opening.head_z_mm)
        for out in (-wall.depth_mm / 2, wall.depth_mm / 2)
    ]
    return around(corners)


def around(points: Iterable[Vec]) -> Box:
    """Return the smallest box around some points."""
    ps = list(points)
    return Box(
        Vec(min(p.x for p in ps), min(p.y for p in ps), min(p.z for p in ps)),
        Vec(max(p.x for p in ps), max(p.y for p in ps), max(p.z for p in ps)),
    )


def air_openings(on: Review) -> tuple[tuple[str, Box], ...]:
    """Return all openings that let outdoor air in, with their boxes."""
    out = [
        (o.id, opening_box(w, o)) for w in on.house.walls for o in w.openings if o.opens and (o.exterior or w.exterior)
    ]
    out += [(o.id, o.box) for o in on.house.roof_openings if o.opens]
    return tuple(sorted(out, key=lambda pair: pair[0]))


def level_of(on: Review, z_mm: float) -> HouseLevel | None:
    """Return the level whose floor lies next below a height."""
    held = [v for v in on.house.levels if v.subfloor_z_mm <= z_mm + 1.0]
    return max(held, key=lambda v: v.subfloor_z_mm, default=None)


def freezes(on: Review) -> bool | None:
    """Return whether it freezes at the site; None if the job does not say."""
    climate = on.house.climate
    limit = on.book.find("protect.freezing_below")
    if climate.winter_design_f is not None:
        return climate.winter_design_f <= (limit.number if limit is not None else 32.0)
    return climate.frost_prone_vents


def crossing(on: Review) -> tuple[tuple[Pipe, Vec], ...]:
    """Return the drains that leave the footprint, each with the place where they pass its edge."""
    lo, hi = on.house.footprint.lo, on.house.footprint.hi

    def inside(p: Vec) -> bool:
        return lo.x <= p.x <= hi.x and lo.y <= p.y <= hi.y

    out: list[tuple[Pipe, Vec]] = []
    for pipe in on.net.drains():
        if not inside(pipe.a) or inside(pipe.b):
            continue
        near, far = pipe.a, pipe.b
        for _ in range(60):
            mid = near.plus(far).times(0.5)
            near, far = (mid, far) if inside(mid) else (near, mid)
        out.append((pipe, near))
    return tuple(out)


def pipe_box(pipe: Pipe, radius_mm: float) -> Box:
    """Return the box around a pipe of a radius [mm]."""
    return segment_bounds(pipe.a, pipe.b, radius_mm)


def fitted(node: Node) -> bool:
    """Return whether a fitting stands at a node, so that a hub is there and not only a pipe."""
    return node.kind not in (PointKind.SEWER, PointKind.TERMINAL, PointKind.TRAP, PointKind.FLANGE)


class Taken(NamedTuple):
    """How thick a pipe and its hubs are [mm], and the box round both."""

    size_mm: float
    hub_mm: float
    box: Box


def room_of(on: Review, pipe: Pipe) -> Taken | None:
    """Return the room a pipe takes; None where the catalogue does not know its size."""
    size_mm, hub = od_mm(on, pipe.size_in), hub_mm(on, pipe.size_in)
    return None if size_mm is None or hub is None else Taken(size_mm, hub, pipe_box(pipe, hub / 2))


def meets(on: Review, pipe: Pipe, box: Box, room: Taken | None = None) -> tuple[float, Vec, str] | None:
    """Return how deep a pipe or one of its hubs lies in a box [mm], where, and which of both; None if it is clear.

    Args:
        on: The design under review.
        pipe: The pipe.
        box: The box.
        room: The room it takes, where many boxes are asked about.
    """
    room = room or room_of(on, pipe)
    if room is None or not boxes_meet(room.box, box):
        return None
    size_mm, hub = room.size_mm, room.hub_mm
    away_mm, near = segment_box(pipe.a, pipe.b, box)
    deep, at, what = size_mm / 2 - away_mm, near, "pipe"
    for end, p in ((pipe.start, pipe.a), (pipe.end, pipe.b)):
        over = hub / 2 - point_box_mm(p, box)
        if fitted(on.net.node(end)) and over > max(deep, 0.0):
            deep, at, what = over, p, "hub"
    for use in couplings_on(on.design.fabrication, pipe):
        over = hub / 2 - point_box_mm(use.at, box)
        if over > max(deep, 0.0):
            deep, at, what = over, use.at, "coupling"
    return (deep, at, what) if deep > TOUCH_TOL_MM else None


def outside_points(on: Review, pipe: Pipe) -> tuple[Vec, ...]:
    """Return points of a pipe that lie outside the footprint: both ends of the part outside."""
    lo, hi = on.house.footprint.lo, on.house.footprint.hi

    def inside(p: Vec) -> bool:
        return lo.x <= p.x <= hi.x and lo.y <= p.y <= hi.y

    ends = [p for p in (pipe.a, pipe.b) if not inside(p)]
    if len(ends) == 1:
        ends += [at for p, at in crossing(on) if p.id == pipe.id]
    return tuple(ends)


def ground_z(on: Review, p: Vec) -> float:
    """Return the ground at a plan position: a straight line from the house to the connection [mm]."""
    lo, hi = on.house.footprint.lo, on.house.footprint.hi

    def away(q: Vec) -> float:
        return Vec(max(lo.x - q.x, 0.0, q.x - hi.x), max(lo.y - q.y, 0.0, q.y - hi.y)).length

    whole = away(on.house.sewer.at)
    share = 0.0 if whole <= 0.0 else min(away(p) / whole, 1.0)
    g = on.house.ground
    return g.at_house_z_mm + share * (g.at_sewer_z_mm - g.at_house_z_mm)


BODY_MM = 700.0  # how far a closet reaches from its wall; what stands farther out is not beside it


def _beside(on: Review, body: HouseFixture) -> list[tuple[str, Box]]:
    """Return what stands on the floor of a fixture's room: cabinets, other bodies, obstacles."""
    lo, hi = body.finished_z_mm, body.finished_z_mm + 1000.0
    out = [(c.id, c.box) for c in on.house.cabinets]
    out += [(f.tag, f.extent) for f in on.house.fixtures if f.extent is not None and f.tag != body.tag]
    skip = ("line", "zone", "skylight", "soffit", "valve", "box", "header", "footing", "pad")
    out += [(o.id, o.box) for o in on.house.obstacles if o.kind not in skip and not o.wall_id]
    return [(n, b) for n, b in out if b.lo.z < hi and b.hi.z > lo]


def side_gaps(on: Review, body: HouseFixture) -> list[tuple[float, str]]:
    """Return the distances from a fixture's centre to what stands beside it, along its wall [mm], both sides."""
    wall = next((w for w in on.house.walls if w.id == body.wall_id), None)
    room = next((r for r in on.house.rooms if r.id == body.room_id), None)
    if wall is None or body.outlet is None:
        return []
    centre = wall.station(body.outlet)
    face = wall.face_offset(body.side, wall.station(body.outlet), body.finished_z_mm + 100.0)
    sign = 1.0 if body.side == "left" else -1.0
    out: list[tuple[float, str]] = []
    if room is not None:
        corners = [Vec(x, y) for x in (room.x0_mm, room.x1_mm) for y in (room.y0_mm, room.y1_mm)]
        ends = [wall.station(c) for c in corners]
        lo, hi = min(ends), max(ends)
        out += [(centre - lo, room.title or room.id), (hi - centre, room.title or room.id)]
    for name, box in _beside(on, body):
        corners = [Vec(x, y) for x in (box.lo.x, box.hi.x) for y in (box.lo.y, box.hi.y)]
        stations = [wall.station(c) for c in corners]
        offs = [sign * (wall.offset(c) - face) for c in corners]
        if max(offs) <= 1.0 or min(offs) >= BODY_MM:
            continue
        if min(stations) <= centre <= max(stations):
            out.append((0.0, name))
        else:
            out.append((min(abs(s - centre) for s in stations), name))
    return sorted(out)


def front_gap(on: Review, body: HouseFixture) -> tuple[float, str] | None:
    """Return the free floor in front of a fixture whose body is known [mm], and what ends it."""
    wall = next((w for w in on.house.walls if w.id == body.wall_id), None)
    room = next((r for r in on.house.rooms if r.id == body.room_id), None)
    if wall is None or body.extent is None or room is None:
        return None
    sign = 1.0 if body.side == "left" else -1.0

    def out(p: Vec) -> float:
        return sign * wall.offset(p)

    def span(box: Box) -> tuple[float, float, float, float]:
        corners = [Vec(x, y) for x in (box.lo.x, box.hi.x) for y in (box.lo.y, box.hi.y)]
        ss, oo = [wall.station(c) for c in corners], [out(c) for c in corners]
        return min(ss), max(ss), min(oo), max(oo)

    s0, s1, _, front = span(body.extent)
    far = max(out(Vec(x, y)) for x in (room.x0_mm, room.x1_mm) for y in (room.y0_mm, room.y1_mm))
    best = (far - front, room.title or room.id)
    for name, box in _beside(on, body):
        t0, t1, near, _ = span(box)
        if min(s1, t1) - max(s0, t0) > 1.0 and near >= front - 1.0:
            best = min(best, (near - front, name))
    return best
