"""What can be taken hold of: stub-outs and cabinets on a wall, fixtures, cabinets and drawn points on a plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from stubout.design import Design
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Side, Wall
from stubout.job.model import Job, RouteSaid
from stubout.live.given import SAME_MM
from stubout.live.model import Handle
from stubout.live.walls import can_be_dragged

UP = Vec(0.0, 0.0, 1.0)
EAST, NORTH = Vec(1.0, 0.0), Vec(0.0, 1.0)
GRIP_MM = 300.0  # in front of a wall: where a fixture without a drawn body is taken hold of


def on_wall(design: Design, job: Job, wall: Wall, side: Side) -> tuple[Handle, ...]:
    """Return what can be dragged on the elevation of a wall side."""
    along = _along(wall)
    return (
        *_stubs(design, wall, side, along),
        *_floor_fixtures(design, job, wall, side, along),
        *_cabinets(design, job, wall, side),
        *_boxes(design, job, wall, side),
        *_openings(wall),
        *_obstacles_in(design, job, wall, side),
        *_once(_points_in(job, wall)),
    )


def on_plan(design: Design, job: Job, level_id: str, lo_z_mm: float, hi_z_mm: float) -> tuple[Handle, ...]:
    """Return what can be dragged on a plan: of a level, and the drawn points between two heights."""
    fixtures = [h for f in design.house.fixtures if f.level_id == level_id for h in _fixture(design, job, f.tag)]
    walls = [w for w in design.house.walls if w.level_id == level_id]
    sides: tuple[Side, ...] = ("left", "right")
    runs = [h for w in walls for side in sides for h in _cabinets(design, job, w, side)]
    rooms = {r.id for r in design.house.rooms if r.level_id == level_id}
    islands = [h for c in job.cabinets if not c.wall and c.room in rooms for h in _island(design, c.id)]
    points = [h for r in job.routes for h in _points(r, (EAST, NORTH)) if lo_z_mm <= h.at.z < hi_z_mm]
    inside = (h for w in walls for h in _wall(w))
    there = (o for o in _obstacles(design, job) if lo_z_mm <= o.at.z < hi_z_mm)
    return (*fixtures, *runs, *islands, *there, *inside, *_once(points))


def _once(points: Iterable[Handle]) -> tuple[Handle, ...]:
    """Return one handle for the points of all routes that meet at a place: they are dragged together."""
    out: list[Handle] = []
    for h in points:
        there = next((i for i, o in enumerate(out) if o.at.to(h.at) < SAME_MM), None)
        if there is None:
            out.append(h)
        else:
            out[there] = replace(out[there], name=f"{out[there].name}, {h.name}")
    return tuple(out)


def _along(wall: Wall) -> Vec:
    return Vec(wall.along.x, wall.along.y)


def _stubs(design: Design, wall: Wall, side: Side, along: Vec) -> Iterator[Handle]:
    for s in design.stubs:
        if s.wall_id == wall.id and s.side == side:
            at = wall.point(s.station_mm, s.mark_z_mm)
            where = f" {s.place.words}" if s.place.clear else ""
            ways = (along,) if s.place.kind == "in cabinet" else (along, UP)  # its height follows from the outlet
            yield Handle("stub", s.tag, at, ways, f"{s.tag} {s.place.noun}{where}, its fixture along the wall")


def _floor_fixtures(design: Design, job: Job, wall: Wall, side: Side, along: Vec) -> Iterator[Handle]:
    """Yield fixtures that stand at a wall and drain through the floor."""
    said = {f.tag: f for f in job.fixtures}
    for f in design.house.fixtures:
        known = said.get(f.tag)
        if f.floor_outlet and f.wall_id == wall.id and f.side == side and known is not None and known.at is not None:
            at = f.outlet or wall.point(f.station_mm or 0.0, f.finished_z_mm)
            yield Handle("fixture", f.tag, at.at_z(f.finished_z_mm), (along,), f"{f.tag} {f.title}")


def _fixture(design: Design, job: Job, tag: str) -> Iterator[Handle]:
    said = next((f for f in job.fixtures if f.tag == tag), None)
    fixture = design.house.fixture(tag)
    if said is None:
        return
    wall = next((w for w in design.house.walls if w.id == fixture.wall_id), None)
    on_wall_ = wall is not None and said.at is not None
    if not on_wall_ and said.drain is None:
        return
    at = design.outlet_of(fixture)
    if at is None and wall is not None and fixture.station_mm is not None:
        out = wall.depth_mm / 2 + GRIP_MM
        at = wall.point(fixture.station_mm, fixture.finished_z_mm, out if fixture.side == "left" else -out)
    if at is None:
        return
    ways = (_along(wall),) if on_wall_ and wall is not None else (EAST, NORTH)
    yield Handle("fixture", tag, at, ways, f"{tag} {fixture.title}")


def _cabinets(design: Design, job: Job, wall: Wall, side: Side) -> Iterator[Handle]:
    for c in job.cabinets:
        boxes = [b.box for b in design.house.cabinets if b.run_id == c.id]
        if c.wall == wall.id and c.side == side and boxes:
            yield Handle("cabinet", c.id, _middle(boxes), (_along(wall),), f"cabinets {c.id}")


def _boxes(design: Design, job: Job, wall: Wall, side: Side) -> Iterator[Handle]:
    """Yield the boxes of a run of several: one goes along between its neighbours, which grow and shrink."""
    for c in job.cabinets:
        if c.wall == wall.id and c.side == side and len(c.boxes) > 1:
            boxes = [b for b in design.house.cabinets if b.run_id == c.id]
            for n, (said, b) in enumerate(zip(c.boxes, boxes, strict=False), 1):
                low = b.box.centre.at_z(b.box.lo.z + (b.box.hi.z - b.box.lo.z) / 4)  # clear of the ring of the run
                yield Handle("box", c.id, low, (_along(wall),), f"box {n} of cabinets {c.id}: {said.what}", n)


def _openings(wall: Wall) -> Iterator[Handle]:
    """Yield doors and windows: along their wall, a window up and down as well."""
    for o in wall.openings:
        at = wall.point(o.station_mm + o.width_mm / 2, (o.sill_z_mm + o.head_z_mm) / 2)
        ways = (_along(wall), UP) if o.sill_z_mm > wall.bottom_z_mm + SAME_MM else (_along(wall),)
        yield Handle("opening", o.id, at, ways, f"{o.what or 'opening'} {o.id}")


def _obstacles_in(design: Design, job: Job, wall: Wall, side: Side) -> Iterator[Handle]:
    """Yield what is said to be in a wall, by stations."""
    boxes = {o.id: o.box for o in design.house.obstacles}
    for o in job.obstacles:
        if o.wall == wall.id and o.side in (None, side) and o.from_ is not None and o.id in boxes:
            high = o.above_floor is not None or o.above_subfloor is not None
            ways = (_along(wall), UP) if high else (_along(wall),)
            yield Handle("obstacle", o.id, boxes[o.id].centre, ways, f"{o.kind} {o.id}: {o.what}")


def _obstacles(design: Design, job: Job) -> Iterator[Handle]:
    """Yield what is said to be in a place on a plan."""
    boxes = {o.id: o.box for o in design.house.obstacles}
    for o in job.obstacles:
        if not o.wall and o.x is not None and o.y is not None and o.id in boxes:
            yield Handle("obstacle", o.id, boxes[o.id].centre, (EAST, NORTH), f"{o.kind} {o.id}: {o.what}")


def _wall(wall: Wall) -> Iterator[Handle]:
    """Yield an inside wall: square to its line."""
    if can_be_dragged(wall):
        way = EAST if abs(wall.along.x) < abs(wall.along.y) else NORTH
        at = wall.point(wall.length_mm / 2, wall.bottom_z_mm)
        yield Handle("wall", wall.id, at, (way,), f"wall {wall.id}, with what hangs on it")


def _island(design: Design, run_id: str) -> Iterator[Handle]:
    boxes = [b.box for b in design.house.cabinets if b.run_id == run_id]
    if boxes:
        yield Handle("cabinet", run_id, _middle(boxes), (EAST, NORTH), f"cabinets {run_id}")


def _middle(boxes: list[Box]) -> Vec:
    lo = Vec(*(min(v) for v in zip(*(b.lo for b in boxes), strict=True)))
    hi = Vec(*(max(v) for v in zip(*(b.hi for b in boxes), strict=True)))
    return lo.plus(hi).times(0.5)


def _points_in(job: Job, wall: Wall) -> Iterator[Handle]:
    """Yield the drawn points that lie in a wall: along it and up or down they stay in it."""
    for r in job.routes:
        for h in _points(r, (_along(wall), UP)):
            within = abs(wall.offset(h.at)) <= wall.depth_mm / 2 and 0.0 <= wall.station(h.at) <= wall.length_mm
            if within and wall.bottom_z_mm <= h.at.z <= wall.top_z_mm:
                yield h


def _points(route: RouteSaid, ways: tuple[Vec, ...]) -> Iterator[Handle]:
    last = len(route.through)
    for n, p in enumerate(route.through, 1):
        if n == last and route.into == "sewer":
            continue  # where the sewer lies is a fact of the site
        yield Handle("point", route.id, Vec(*p), ways, f"point {n} of route {route.id}", n)
