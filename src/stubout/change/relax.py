"""Constraints of a job that may block a part of the layout, each with a copy of the job in which it is let go. [mm].

What is let go is what a builder, an owner or an inspector could grant; nothing here says that they would.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import partial

from stubout import units
from stubout.change.judged import wished
from stubout.geometry.vec import Vec
from stubout.house.frames import member_along
from stubout.house.framing import Wall
from stubout.house.model import Frame, House, HouseFixture
from stubout.job.model import AmendSaid, FrameSaid, Job, Record
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.tables import row_id

DEEP_STUD_MM = {"inch": 139.7, "mm": 140.0}  # a 2x6, as either trade calls it
NEAR_MM = 2000.0  # walls and obstacles so near a floor outlet may be in its way
MOST_FALL_MM = 600.0
MOST_DEEPER_MM = 150.0  # of joists
MOST_ASIDE_MM = 200.0  # a fixture may be asked to move so far
MOST_ARM = 3.0  # times the length of the book


@dataclass(frozen=True, slots=True)
class Relaxation:
    """One constraint: how the job has it, what letting go would be, and the job with it let go."""

    id: str
    has: str  # "wall P has studs of 3 1/2\" (89 mm)"
    frees: str  # "studs of 5 1/2\" (140 mm) in wall P"; with {} for the length it takes, where it is one
    applied: Callable[[float], Job]  # by how much [mm]; that is not looked at where `most_mm` is 0
    most_mm: float = 0.0  # how far it is let go to see whether it matters


def relaxations(job: Job, house: House, book: RuleBook, about: Collection[str]) -> Iterator[Relaxation]:
    """Yield the constraints that may block some parts of the layout.

    Args:
        job: The job.
        house: The job resolved.
        book: Its rule book.
        about: What is blocked: fixtures, or other words for what concerns them all.
    """
    concerned = _concerned(house, about)
    walls = _walls(house, concerned)
    yield from _wishes(job, walls)
    yield from _studs(job, walls)
    yield from _openings(job, walls)
    yield from _obstacles(job, house, concerned, walls)
    yield from _cabinets(job, concerned)
    yield from _places(job, concerned)
    yield from _floors(job, house, concerned)
    yield from _members(job, house, concerned, walls)
    yield _fall(job)
    yield from _arms(job, book, concerned)


def _concerned(house: House, about: Collection[str]) -> tuple[HouseFixture, ...]:
    """Return the fixtures named, else all."""
    return tuple(f for f in house.fixtures if f.tag in about) or house.fixtures


def _walls(house: House, concerned: Collection[HouseFixture]) -> tuple[Wall, ...]:
    """Return the walls that fixtures stand on, and those near their floor outlets, with those below them."""
    on = {f.wall_id for f in concerned}
    out = [w for w in house.walls if w.id in on or any(_near(w, f) for f in concerned)]
    for w in tuple(out):
        out += [v for v in house.walls if v not in out and v.id != w.id and _stands_over(w, v)]
    return tuple(out)


def _near(w: Wall, f: HouseFixture) -> bool:
    if f.outlet is None or w.level_id != f.level_id:
        return False
    s = min(max(w.station(f.outlet), 0.0), w.length_mm)
    return w.point(s, w.bottom_z_mm).at_z(0.0).to(f.outlet.at_z(0.0)) <= NEAR_MM


def _stands_over(w: Wall, v: Wall) -> bool:
    """Return whether two walls of different levels stand in one line."""
    middle = w.point(w.length_mm / 2, 0.0)
    return w.level_id != v.level_id and abs(v.offset(middle)) < v.depth_mm and 0.0 <= v.station(middle) <= v.length_mm


def _with(job: Job, part: str, old: Record, **changes: object) -> Job:
    """Return a job with one entry of a list changed."""
    listed = tuple(e.model_copy(update=changes) if e is old else e for e in getattr(job, part))
    return job.model_copy(update={part: listed})


def _without(job: Job, part: str, gone: Collection[Record]) -> Job:
    return job.model_copy(update={part: tuple(e for e in getattr(job, part) if not any(e is g for g in gone))})


def _fixed(job: Job) -> Callable[[float], Job]:
    """Return what lets go of a constraint that is no length: the job without it."""
    return lambda _by: job


def _wishes(job: Job, walls: Collection[Wall]) -> Iterator[Relaxation]:
    w, near = job.wishes, {v.id for v in walls}
    unwanted = (("no_vents_in_walls", "vents"), ("no_drains_in_walls", "drains"), ("no_stacks_in_walls", "stacks"))
    for key, what in unwanted:
        listed: tuple[str, ...] = getattr(w, key)
        for wall in listed:
            if wall in near:
                rest = tuple(v for v in listed if v != wall)
                yield Relaxation(
                    f"no {what} {wall}",
                    f"no {what} are wanted in wall {wall}",
                    f"{what} in wall {wall}",
                    _fixed(wished(job, key, rest)),
                )
    if w.stack_walls:
        yield Relaxation(
            "stack walls",
            f"stacks are wanted in {', '.join(w.stack_walls)} only",
            "a stack in another wall",
            _fixed(wished(job, "stack_walls", ())),
        )
    if w.at_most_terminals is not None:
        yield Relaxation(
            "terminals",
            f"at most {w.at_most_terminals} terminals are wanted",
            "one terminal more",
            _fixed(wished(job, "at_most_terminals", None)),
        )
    if w.methods_not_wanted:
        yield Relaxation(
            "methods",
            f"vent methods not wanted: {', '.join(w.methods_not_wanted)}",
            f"one of these vent methods: {', '.join(w.methods_not_wanted)}",
            _fixed(wished(job, "methods_not_wanted", ())),
        )
    if w.aav == "no":
        yield Relaxation(
            "aav",
            "no air admittance valve is allowed",
            "permission for an air admittance valve",
            _fixed(wished(job, "aav", "yes")),
        )


def _studs(job: Job, walls: Collection[Wall]) -> Iterator[Relaxation]:
    u = job.job.units
    deep = DEEP_STUD_MM[u]
    for w in walls:
        said = next((s for s in job.walls if s.id == w.id), None)
        if said is not None and said.stud < deep - 1.0:
            yield Relaxation(
                f"stud {w.id}",
                f"wall {w.id} has studs of {units.both(said.stud, u)}",
                f"studs of {units.both(deep, u)} in wall {w.id}",
                _fixed(_with(job, "walls", said, stud=deep)),
            )


def _openings(job: Job, walls: Collection[Wall]) -> Iterator[Relaxation]:
    near = {w.id for w in walls}
    for o in job.openings:
        if o.wall in near:
            yield Relaxation(
                f"opening {o.id}",
                f"{o.what or 'opening'} {o.id} is in wall {o.wall}",
                f"{o.what or 'opening'} {o.id} moved or left out",
                _fixed(_without(job, "openings", (o,))),
            )


def _obstacles(
    job: Job, house: House, concerned: Collection[HouseFixture], walls: Collection[Wall]
) -> Iterator[Relaxation]:
    near = {w.id for w in walls}
    there = {o.id: o for o in house.obstacles}
    for o in job.obstacles:
        body = there.get(o.id)
        if o.kind in ("soffit", "zone") or body is None:
            continue
        close = any(f.outlet is not None and _gap(body.box.lo, body.box.hi, f.outlet) < NEAR_MM for f in concerned)
        if (o.wall and o.wall in near) or (not o.wall and close):
            yield Relaxation(
                f"obstacle {o.id}",
                f"{o.what} {o.id} stands there" + (f" in wall {o.wall}" if o.wall else ""),
                f"{o.what} {o.id} moved",
                _fixed(_without(job, "obstacles", (o,))),
            )


def _gap(lo: Vec, hi: Vec, p: Vec) -> float:
    """Return how far a point lies from a box in plan [mm]."""
    dx, dy = max(lo.x - p.x, p.x - hi.x, 0.0), max(lo.y - p.y, p.y - hi.y, 0.0)
    return float((dx * dx + dy * dy) ** 0.5)


def _cabinets(job: Job, concerned: Collection[HouseFixture]) -> Iterator[Relaxation]:
    runs = {f.cabinet_id.rpartition(".")[0] for f in concerned if f.cabinet_id}
    for c in job.cabinets:
        if c.id in runs and any(b.floor is not None or b.shelves or b.drawers for b in c.boxes):
            bare = tuple(b.model_copy(update={"floor": None, "shelves": (), "drawers": ()}) for b in c.boxes)
            yield Relaxation(
                f"cabinet {c.id}",
                f"cabinet {c.id} has floors, shelves or drawers where pipe would go",
                f"floor, shelves and drawers of cabinet {c.id} cut out",
                _fixed(_with(job, "cabinets", c, boxes=bare)),
            )


def _places(job: Job, concerned: Collection[HouseFixture]) -> Iterator[Relaxation]:
    tags = {f.tag for f in concerned}
    for f in job.fixtures:
        if f.tag not in tags or f.at is None:
            continue
        for sign, way in ((1.0, "away from"), (-1.0, "towards")):
            yield Relaxation(
                f"place {f.tag} {way}",
                f"{f.tag} stands at {units.both(f.at, job.job.units)} along wall {f.wall}",
                f"{f.tag} {{}} {way} the start of wall {f.wall}",
                partial(_moved, job, f, sign),
                MOST_ASIDE_MM,
            )


def _moved(job: Job, fixture: Record, sign: float, by: float) -> Job:
    """Return a job with a fixture moved along its wall; its drain in the floor goes along where walls are square."""
    f = next(e for e in job.fixtures if e is fixture)
    wall = next((w for w in job.walls if w.id == f.wall), None)
    changes: dict[str, object] = {"at": (f.at or 0.0) + sign * by}
    if wall is not None:
        dx, dy = wall.to[0] - wall.from_[0], wall.to[1] - wall.from_[1]
        long = (dx * dx + dy * dy) ** 0.5 or 1.0
        shift = (sign * by * dx / long, sign * by * dy / long)
        if f.drain is not None:
            changes["drain"] = (f.drain[0] + shift[0], f.drain[1] + shift[1])
        for key, off in (("x", shift[0]), ("y", shift[1])):
            reach = getattr(f, key)
            if reach is not None:
                changes[key] = (reach[0] + off, reach[1] + off)
    return _with(job, "fixtures", fixture, **changes)


def _floors(job: Job, house: House, concerned: Collection[HouseFixture]) -> Iterator[Relaxation]:
    u = job.job.units
    levels = {f.level_id for f in concerned}
    order = {v.id: v.order for v in house.levels}
    for frame in job.frames:
        if frame.carries not in levels:
            continue
        yield Relaxation(
            f"joists {frame.id}",
            f"the joists of {frame.id} are {units.both(frame.depth, u)} deep",
            f"joists of {frame.id} {{}} deeper",
            partial(_deeper, job, frame),
            MOST_DEEPER_MM,
        )
        below = {v for v in order if order[v] == order[frame.carries] - 1}
        rooms = [r for r in job.rooms if r.level in below and not r.ceiling_open]
        if rooms:
            names = ", ".join(r.title or r.id for r in rooms)
            opened = tuple(r.model_copy(update={"ceiling_open": True}) if r in rooms else r for r in job.rooms)
            yield Relaxation(
                f"ceiling {frame.id}",
                f"the ceilings below {frame.id} are closed ({names})",
                f"a soffit below {frame.id}",
                _fixed(job.model_copy(update={"rooms": opened})),
            )


def _members(
    job: Job, house: House, concerned: Collection[HouseFixture], walls: Collection[Wall]
) -> Iterator[Relaxation]:
    """Yield the frames of which a member lies along a wall, or under a fixture where its drain would come down."""
    said = {f.id: f for f in job.frames}
    for frame in house.frames:
        in_line = {w.id: to for w in walls if (to := member_along(frame, w)) is not None}
        under = {f.tag: to for f in concerned if (to := _lies_under(house, frame, f)) is not None}
        if frame.id not in said or not (in_line or under):
            continue
        where = " and ".join(
            f"{how} {', '.join(what)}" for how, what in (("along wall", in_line), ("under", under)) if what
        )
        to = math.copysign(1.0, next(iter((in_line or under).values())))
        yield Relaxation(
            f"members {frame.id}",
            f"a member of {frame.id} lies {where}",
            f"the members of {frame.id} set {{}} to one side",
            partial(_set_aside, job, said[frame.id], to),
            MOST_ASIDE_MM,
        )


def _lies_under(house: House, frame: Frame, f: HouseFixture) -> float | None:
    """Return how far to one side of the place of a fixture the nearest member of its floor lies [mm]."""
    place = f.outlet
    if place is None and f.wall_id and f.station_mm is not None:
        place = house.wall(f.wall_id).point(f.station_mm, 0.0)
    if place is None or frame.carries != f.level_id:
        return None
    there = [c - (place.x if frame.runs == "y" else place.y) for c in frame.centres_mm]
    return min((d for d in there if abs(d) < MOST_ASIDE_MM), key=abs, default=None)


def _set_aside(job: Job, frame: FrameSaid, sign: float, by: float) -> Job:
    """Return a job with the members of a frame set to one side; those that are listed beside a module stay."""
    m = frame.members
    if m.first is not None:
        return _with(job, "frames", frame, members=m.model_copy(update={"first": m.first + sign * by}))
    inner = tuple(a + sign * by if min(m.at) < a < max(m.at) else a for a in m.at)
    return _with(job, "frames", frame, members=m.model_copy(update={"at": inner}))


def _fall(job: Job) -> Relaxation:
    u = job.job.units
    sewer = job.sewer
    return Relaxation(
        "fall",
        f"the invert of the connection lies at {units.both(sewer.invert, u)}",
        "{} more fall to the connection",
        partial(_lower, job),
        MOST_FALL_MM,
    )


def _arms(job: Job, book: RuleBook, concerned: Collection[HouseFixture]) -> Iterator[Relaxation]:
    """Yield the longest trap arm of the book by size: an amendment could make it longer, and so may a larger arm."""
    sizes = set()
    for f in concerned:
        try:
            sizes.add(max(ask.trap_size(book, f.kind, heads=f.heads or 2).number, 1.5))
        except NotInBook:
            continue
    for size in sorted(sizes):
        try:
            cell = ask.arm_max_length(book, size)
        except NotInBook:
            continue
        yield Relaxation(
            f"arm {size:g}",
            f"the book allows a {units.size(size)} in trap arm of {units.both(cell.number, job.job.units)}",
            f"a {units.size(size)} in trap arm {{}} longer",
            partial(_amended, job, row_id("trap_arm", (size,)), cell.number),
            cell.number * (MOST_ARM - 1.0),
        )


def _deeper(job: Job, frame: FrameSaid, by: float) -> Job:
    return _with(job, "frames", frame, depth=frame.depth + by)


def _lower(job: Job, by: float) -> Job:
    return job.model_copy(update={"sewer": job.sewer.model_copy(update={"invert": job.sewer.invert - by})})


def _amended(job: Job, value: str, most_mm: float, by: float) -> Job:
    """Return a job with one more amendment, made to see what would follow and never written down."""
    word = AmendSaid.model_validate(
        {"value": value, "is": f"{most_mm + by:.1f} mm", "citation": "trial", "author": "trial", "date": "trial"}
    )
    return job.model_copy(update={"amendments": (*job.amendments, word)})
