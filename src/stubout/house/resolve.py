"""From what the user said to the house in 3D: studs, bays, surfaces, cabinets, fixtures, obstacles."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stubout.catalog.measured import as_catalogued
from stubout.house import site
from stubout.house.cabinets import island_run, resolve_run, wall_run
from stubout.house.chart_questions import ask_charts
from stubout.house.fixtures import resolve_fixture
from stubout.house.frames import resolve_frame, resolve_levels
from stubout.house.framing import Wall
from stubout.house.in_place import assumed_size_in
from stubout.house.lookup import TOUCH_MM, Faults, natural
from stubout.house.model import CabinetBox, House, HouseFixture, HouseLevel, Obstacle
from stubout.house.obstacles import in_space, in_wall
from stubout.house.outside import RoofOpening, RoofPlane
from stubout.house.questions import Asked, answers, ask_job
from stubout.house.rooms import Rooms, resolve_room
from stubout.house.under_roof import ROOF_MM, Cut, cut_by_roof
from stubout.house.walls import LUMBER_MM, header_obstacles, resolve_wall, set_to_studs, top_said
from stubout.job.model import CabinetSaid, Job, OpeningSaid, WallSaid
from stubout.kinds import FixtureKind
from stubout.problems import Question


def resolve(job: Job) -> tuple[House, tuple[Question, ...]]:
    """Return the house of a job and the questions it leaves open.

    The order of the lines of the job file plays no part, but for boxes of a cabinet run, finishes of a wall and points
    of a route, which are lists in the world too.

    Raises:
        JobFileError: If something the job names does not exist, or two statements contradict each other.
    """
    faults = Faults(job.source, job.job.units)
    asked = Asked(job.job.people, job.questions, job.job.units)
    _check_ids(job, faults)

    frames = tuple(sorted((resolve_frame(f, job.site) for f in job.frames), key=lambda f: (f.top_z_mm, f.id)))
    levels = resolve_levels(job.levels, frames)
    by_level = {v.id: v for v in levels}
    for f in job.frames:
        if f.carries:
            faults.get(by_level, f.carries, f.line, f"frames.{f.id}.carries", "level")

    planes = tuple(p for r in sorted(job.roof, key=lambda r: natural(r.id)) if (p := site.roof_plane(r, faults)))
    walls = _walls(job, by_level, planes, faults, asked)
    rooms = _rooms(job, by_level, faults)
    boxes = _cabinets(job, walls, rooms, by_level, faults, asked)
    fixtures = _fixtures(job, walls, rooms, by_level, boxes, faults, asked)
    walls = _bare_behind_tubs(walls, fixtures)
    obstacles = _obstacles(job, walls, rooms, faults)
    ask_charts(job, frames, walls.values(), obstacles, asked)
    ask_job(job, asked)
    faults.stop()

    house = House(
        job=site.job_facts(job), climate=site.climate(job), levels=levels, frames=frames,
        walls=tuple(walls.values()), rooms=rooms.ordered, cabinets=tuple(boxes.values()), obstacles=obstacles,
        fixtures=fixtures, roof=planes, roof_openings=_roof_openings(job, planes), roof_zones=site.roof_zones(job),
        sewer=site.sewer(job), ground=site.ground(job), footprint=site.footprint(job, levels, planes),
        wishes=site.wishes(job), choices=site.choices(job),
        amendments=site.amendments(job), confirmations=site.confirmations(job),
        routes=tuple(
            site.route(r, faults, assumed_size_in(job, r)) for r in sorted(job.routes, key=lambda r: natural(r.id))
        ),
        readings=site.readings(job), installed=site.installed(job),
        answers=answers(job),
        measured=tuple(sorted((*as_catalogued(m.fitting, m.dimension), m.is_) for m in job.measured)),
        measured_at=tuple(sorted((as_catalogued(m.fitting, m.dimension)[0], m.line) for m in job.measured)),
        costs=tuple(sorted(((c.item, c.size, c.work, c.material) for c in job.costs), key=lambda c: (c[0], c[1] or 0))),
    )  # fmt: skip
    faults.stop()
    return house, asked.all()


def _check_ids(job: Job, faults: Faults) -> None:
    for part, items in (
        ("levels", job.levels), ("frames", job.frames), ("openings", job.openings), ("rooms", job.rooms),
        ("cabinets", job.cabinets), ("obstacles", job.obstacles), ("roof", job.roof), ("routes", job.routes),
        ("roof openings", job.roof_openings), ("roof zones", job.roof_zones), ("questions", job.questions),
    ):  # fmt: skip
        faults.by_id(part, items)
    tags: set[str] = set()
    for f in job.fixtures:
        if f.tag in tags:
            faults.add(f.line, f"fixtures.{f.tag}", f"the tag {f.tag!r} twice", "one tag for one fixture")
        tags.add(f.tag)


def _walls(
    job: Job, levels: dict[str, HouseLevel], planes: tuple[RoofPlane, ...], faults: Faults, asked: Asked
) -> dict[str, Wall]:
    said = faults.by_id("walls", job.walls)
    for o in job.openings:
        wall = faults.get(said, o.wall, o.line, f"openings.{o.id}.wall", "wall")
        if wall is not None:
            length = ((wall.to[0] - wall.from_[0]) ** 2 + (wall.to[1] - wall.from_[1]) ** 2) ** 0.5
            if o.at < 0 or o.at + o.width > length + TOUCH_MM:
                faults.add(o.line, f"openings.{o.id}", f"it reaches to station {faults.long(o.at + o.width)}",
                           f"inside wall {wall.id}, {faults.long(length)} long")  # fmt: skip
    out = {}
    for w in job.walls:
        level = faults.get(levels, w.level, w.line, f"walls.{w.id}.level", "level")
        if level is not None:
            holes = [o for o in job.openings if o.wall == w.id]
            cut = cut_by_roof(w, level.subfloor_z_mm, top_said(w, level), planes)
            out[w.id] = resolve_wall(w, holes, level, job.job.units, cut.tops if cut else ())
            if cut is not None:
                _told_of_cut(w, out[w.id], cut, asked)
                _heads_under_roof(holes, out[w.id], faults)
    return dict(sorted(out.items(), key=lambda i: (levels[i[1].level_id].order, natural(i[0]))))


def _told_of_cut(said: WallSaid, wall: Wall, cut: Cut, asked: Asked) -> None:
    """Ask how thick the roof is that cuts a wall, where the job does not say it."""
    if not cut.assumed:
        return
    high, roof = (asked.long(z - wall.bottom_z_mm) for z in (cut.said_z_mm, cut.lowest_mm))
    asked.ask(
        f"roof-over-{said.id}",
        f"{said.id} is said {high} high, and the roofing over it lies {roof} above its subfloor where it is lowest: "
        "the wall ends under the roof. How far below the roofing does its framing end, measured plumb (`ceiling "
        "below` of the roof)?",
        "builder", blocks=f"top plate of {said.id}, and vents that leave it", assumed=asked.long(ROOF_MM),
        about=(said.id, "roof"), line=said.line,
    )  # fmt: skip


def _heads_under_roof(holes: Iterable[OpeningSaid], wall: Wall, faults: Faults) -> None:
    for o in holes:
        top = wall.least_under_plates(o.at, o.at + o.width) - wall.bottom_z_mm
        if o.head > top + TOUCH_MM:
            faults.add(
                o.line, f"openings.{o.id}.head", f"a head {faults.long(o.head)} above the subfloor",
                f"one below the plates of wall {wall.id}, which the roof cuts to {faults.long(top)} there",
                "Correct the head, the place of the wall, or the height of the roof.",
            )  # fmt: skip


def _rooms(job: Job, levels: dict[str, HouseLevel], faults: Faults) -> Rooms:
    out = []
    for r in job.rooms:
        level = faults.get(levels, r.level, r.line, f"rooms.{r.id}.level", "level")
        if level is not None:
            out.append(resolve_room(r, level))
    return Rooms(out)


def _cabinets(
    job: Job, walls: dict[str, Wall], rooms: Rooms, levels: dict[str, HouseLevel], faults: Faults, asked: Asked
) -> dict[str, CabinetBox]:
    out: dict[str, CabinetBox] = {}
    for c in sorted(job.cabinets, key=lambda c: natural(c.id)):
        room = faults.get(rooms.known, c.room, c.line, f"cabinets.{c.id}.room", "room") if c.room else None
        if c.wall:
            wall = faults.get(walls, c.wall, c.line, f"cabinets.{c.id}.wall", "wall")
            if wall is None:
                continue
            middle = ((c.from_ or 0.0) + (c.to or c.from_ or 0.0)) / 2
            room = room or rooms.before(wall, c.side, middle)
            z = wall.bottom_z_mm + (room.build_up_mm if room else 0.0)
            run = wall_run(c, wall, z)
        else:
            if c.corner is None or c.along is None or c.back_to is None or room is None:
                faults.add(
                    c.line, f"cabinets.{c.id}", "no wall", "a wall, or an island with room, corner, along, back to"
                )
                continue
            level = levels[room.level_id]
            run = island_run(c, level.subfloor_z_mm + room.build_up_mm, level.subfloor_z_mm + level.wall_height_mm)
        _ask_run_length(c, asked)
        out.update({b.id: b for b in resolve_run(run)})
    return out


def _ask_run_length(c: CabinetSaid, asked: Asked) -> None:
    boxes = sum(b.width for b in c.boxes)
    if c.to is not None and abs(c.to - (c.from_ or 0.0) - boxes) > TOUCH_MM:
        asked.ask(
            f"run-{c.id}",
            f"{c.id}: the boxes add up to {asked.long(boxes)}, the run is {asked.long(c.to - (c.from_ or 0.0))}. "
            "Which holds?",
            "cabinet maker", blocks=f"centre lines in {c.id}", assumed="the boxes, from the start of the run",
            about=(c.id, "length"), line=c.line,
        )  # fmt: skip


def _fixtures(
    job: Job, walls: dict[str, Wall], rooms: Rooms, levels: dict[str, HouseLevel], boxes: dict[str, CabinetBox],
    faults: Faults, asked: Asked,
) -> tuple[HouseFixture, ...]:  # fmt: skip
    bathrooms = {r.id for r in job.rooms if r.bathroom}
    out = []
    for f in sorted(job.fixtures, key=lambda f: natural(f.tag)):
        room = faults.get(rooms.known, f.room, f.line, f"fixtures.{f.tag}.room", "room")
        if f.wall:
            wall = faults.get(walls, f.wall, f.line, f"fixtures.{f.tag}.wall", "wall")
            if wall is not None and f.at is not None and not 0 <= f.at <= wall.length_mm + TOUCH_MM:
                faults.add(f.line, f"fixtures.{f.tag}.at", f"station {faults.long(f.at)}",
                           f"a station of wall {wall.id}, 0 to {faults.long(wall.length_mm)}")  # fmt: skip
        if room is not None:
            level = levels[room.level_id]
            out.append(resolve_fixture(f, room, level, walls, boxes, room.id in bathrooms, faults, asked))
    return tuple(out)


def _bare_behind_tubs(walls: dict[str, Wall], fixtures: Iterable[HouseFixture]) -> dict[str, Wall]:
    """Return the walls with no finish behind tubs (up to the rim) and showers (all the way) set to the studs."""
    out = dict(walls)
    for f in fixtures:
        if f.extent is None or f.kind not in (FixtureKind.BATHTUB, FixtureKind.SHOWER):
            continue
        for wall in walls.values():
            if wall.level_id != f.level_id:
                continue
            top = wall.top_z_mm if f.flood_rim_z_mm is None else f.flood_rim_z_mm
            bare = set_to_studs(wall, f.extent, f"{f.tag} set to studs", top)
            if bare is None:
                continue
            side, zone = bare
            now = out[wall.id]
            if side == "left":
                out[wall.id] = replace(now, left=(*now.left, zone))
            else:
                out[wall.id] = replace(now, right=(*now.right, zone))
    return out


def _obstacles(job: Job, walls: dict[str, Wall], rooms: Rooms, faults: Faults) -> tuple[Obstacle, ...]:
    out: list[Obstacle | None] = []
    for o in job.obstacles:
        if o.wall:
            wall = faults.get(walls, o.wall, o.line, f"obstacles.{o.id}.wall", "wall")
            out.append(None if wall is None else in_wall(o, wall, rooms, faults))
        else:
            out.append(in_space(o, faults))
    lumber = LUMBER_MM[job.job.units]
    headers = [h for w in walls.values() for h in header_obstacles(w, lumber)]
    return tuple(sorted([o for o in out if o is not None] + headers, key=lambda o: natural(o.id)))


def _roof_openings(job: Job, planes: tuple[RoofPlane, ...]) -> tuple[RoofOpening, ...]:
    return tuple(site.roof_opening(o, planes) for o in sorted(job.roof_openings, key=lambda o: natural(o.id)))
