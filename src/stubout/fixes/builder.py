"""What is the builder's to change: walls, rooms, footings, earth, boxes round pipes. [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout import units
from stubout.design import Change, Design
from stubout.fabrication.model import Bore
from stubout.fixes.facts import Fact
from stubout.fixes.follow import made_anew, relisted
from stubout.fixes.model import OTHERS, Candidate, Case, Edit, once
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import Frame, Room
from stubout.problems import Question

SET_BACK_MM = 600.0  # farther is another plan of the house
JOIST_MM = 150.0  # farther a joist is headed off, which the builder draws
WIDEST_MM = 610.0  # centre to centre, that a usual panel spans; common practice, no source
DEPTHS_MM = (140.0, 184.0, 235.0)  # of the next studs as lumber is sold


def warm_spaces(case: Case) -> Iterator[Candidate]:
    """Yield cold spaces heated: the builder's to do."""
    cold = case.design.house.wishes.cold_spaces
    for space in cold:
        if space in case.about or any({p.place.kind, p.place.ref} & {space} for p in case.pipes):
            left = tuple(s for s in cold if s != space)
            told = f"Have {space} insulated and heated so that it does not freeze"
            says = (("wishes", "", "cold_spaces", left),)
            yield once(Fact("house", (space,), "cold", "heated", told, says), cost=OTHERS, asks="builder")


def grade(case: Case) -> Iterator[Candidate]:
    """Yield the finished grade at the house raised: the builder's to do."""
    ground, u = case.design.house.ground, case.design.house.job.units
    if ground.at_house_z_mm is None:
        return

    def made(mm: float) -> tuple[Edit, ...]:
        amount = units.both(mm, u)
        says = [("ground", "", "at_house_z_mm", ground.at_house_z_mm + mm)]
        if ground.at_sewer_z_mm is not None:
            says.append(("ground", "", "at_sewer_z_mm", ground.at_sewer_z_mm + mm))
        told = f"Have the finished grade over the drain raised by {amount}"
        return (Fact("house", ("ground",), "as drawn", f"{amount} higher", told, tuple(says)),)

    yield Candidate(made, OTHERS, 512.0, "builder")


def rooms(case: Case) -> Iterator[Candidate]:
    """Yield the partition before a fixture set back, where nothing else stands behind it: the builder's to do."""
    house, u = case.design.house, case.design.house.job.units
    for body in house.fixtures:
        wall = next((w for w in house.walls if w.id == body.wall_id), None)
        room = next((r for r in house.rooms if r.id == body.room_id), None)
        if body.tag not in case.about or wall is None or room is None or not case.about & {room.id, room.title}:
            continue
        out = wall.leftward if body.side == "left" else wall.leftward.times(-1.0)

        def made(mm: float, room: Room = room, out: Vec = out, tag: str = body.tag) -> tuple[Edit, ...]:
            new = _wider(room, out, mm)
            if _taken(case, room, new):
                raise ValueError("something else stands there")
            amount = units.both(mm, u)
            told = f"Have the partition of {room.title or room.id} before {tag} set back by {amount}"
            says = tuple(("rooms", room.id, k, getattr(new, k)) for k in ("x0_mm", "y0_mm", "x1_mm", "y1_mm"))
            return (Fact("house", (room.id,), "as drawn", f"{amount} back", told, says),)

        yield Candidate(made, OTHERS, SET_BACK_MM, "builder")


def _wider(room: Room, out: Vec, mm: float) -> Room:
    return replace(
        room,
        x0_mm=room.x0_mm + min(0.0, round(out.x)) * mm,
        y0_mm=room.y0_mm + min(0.0, round(out.y)) * mm,
        x1_mm=room.x1_mm + max(0.0, round(out.x)) * mm,
        y1_mm=room.y1_mm + max(0.0, round(out.y)) * mm,
    )


def _taken(case: Case, old: Room, new: Room) -> bool:
    """Return whether another room, a wall or the outside lies where a room would grow to."""
    house = case.design.house
    others = [r for r in house.rooms if r.id != old.id and r.level_id == old.level_id]
    for r in others:
        if (
            min(r.x1_mm, new.x1_mm) - max(r.x0_mm, new.x0_mm) > 1.0
            and min(r.y1_mm, new.y1_mm) - max(r.y0_mm, new.y0_mm) > 1.0
        ):
            return True
    plan = house.footprint
    inside = plan.lo.x <= new.x0_mm and plan.lo.y <= new.y0_mm and new.x1_mm <= plan.hi.x and new.y1_mm <= plan.hi.y
    crossed = (
        w for w in house.walls if w.level_id == old.level_id and new.holds(w.point(w.length_mm / 2, w.bottom_z_mm))
    )
    return not inside or next(crossed, None) is not None


@dataclass(frozen=True, slots=True)
class Deeper:
    """A wall built of deeper studs, its line kept; rooms end at its faces."""

    wall: str
    depth_mm: float

    def on(self, design: Design) -> Design:
        """Return the design with that wall."""
        house = design.house
        old = house.wall(self.wall)
        half = (self.depth_mm - old.depth_mm) / 2
        new = replace(old, depth_mm=self.depth_mm)
        rooms = tuple(_beside(r, old, half) if r.level_id == old.level_id else r for r in house.rooms)
        walls = tuple(new if w.id == old.id else w for w in house.walls)
        return _bored_anew(replace(design, house=replace(house, walls=walls, rooms=rooms)), self.wall)

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        u = design.house.job.units
        was, now = (units.both(d, u) for d in (design.house.wall(self.wall).depth_mm, self.depth_mm))
        return Change("house", (self.wall,), was, now, f"Have wall {self.wall} built of {now} studs instead of {was}")


def _bored_anew(design: Design, wall: str) -> Design:
    """Return the design with the holes in a wall, as large as they are, judged by the wall as it is now."""
    fab = design.fabrication
    anew = {(b.pipe, b.member): b for b in made_anew(design).bores if b.member.startswith(f"{wall} ")}

    def judged(b: Bore) -> Bore:
        new = anew.get((b.pipe, b.member))
        return b if new is None or abs(new.hole_mm - b.hole_mm) > 0.5 else replace(new, id=b.id)

    return replace(design, fabrication=replace(fab, bores=tuple(judged(b) for b in fab.bores)))


def _beside(room: Room, wall: Wall, half_mm: float) -> Room:
    """Return a room whose face is that of a wall as much smaller as the wall grows there."""
    along_x = abs(wall.along.x) > abs(wall.along.y)
    line = wall.start.y if along_x else wall.start.x
    lo, hi = ("y0_mm", "y1_mm") if along_x else ("x0_mm", "x1_mm")
    near = wall.depth_mm / 2 + 60.0  # half the studs and a finish
    if abs(getattr(room, lo) - line) < near:
        return replace(room, **{lo: getattr(room, lo) + half_mm})
    if abs(getattr(room, hi) - line) < near:
        return replace(room, **{hi: getattr(room, hi) - half_mm})
    return room


def deeper_walls(case: Case) -> Iterator[Candidate]:
    """Yield walls of a finding built of the next deeper studs: the builder's to do."""
    named = set(case.about) | {p.place.ref for p in case.pipes if p.place.kind == "wall"}
    named |= {
        w.id for w in case.design.house.walls if any(f" {w.id}" in f" {a}" and a.endswith(w.id) for a in case.about)
    }
    for wall in case.design.house.walls:
        if wall.id in named and not wall.against_concrete:
            for depth in DEPTHS_MM:
                if depth > wall.depth_mm + 1.0:
                    yield once(Deeper(wall.id, depth), cost=OTHERS + depth, asks="builder")


def footings(case: Case) -> Iterator[Candidate]:
    """Yield footings and pads set lower, as long as nothing is poured on them: the builder's and his engineer's."""
    house, u = case.design.house, case.design.house.job.units
    for thing in house.obstacles:
        if thing.id not in case.about or thing.kind not in ("footing", "pad"):
            continue

        def made(
            mm: float, name: str = thing.id, what: str = thing.what or thing.kind, box: Box = thing.box
        ) -> tuple[Edit, ...]:
            amount = units.both(mm, u)
            lower = Box(box.lo.plus(Vec(0.0, 0.0, -mm)), box.hi)
            told = f"Have the {what} {name} founded {amount} deeper, where the engineer agrees"
            return (Fact("house", (name,), "as drawn", f"{amount} deeper", told, (("obstacles", name, "box", lower),)),)

        yield Candidate(made, OTHERS, 1024.0, "builder")


@dataclass(frozen=True, slots=True)
class Boxed:
    """A box asked for around a pipe that would be seen: an open question until it is agreed."""

    pipe: str
    room: str
    tags: tuple[str, ...]

    def on(self, design: Design) -> Design:
        """Return the design with the question."""
        text = f"May a box be built around {self.pipe} in {self.room}?"
        asked = Question(f"Q-{self.pipe}-box", text, "builder", "", "a box is built", self.tags)
        return replace(design, questions=(*design.questions, asked))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        told = f"Have a box built around {self.pipe} in {self.room}"
        return Change("house", (self.pipe, self.room), "seen", "boxed", told)


def boxes(case: Case) -> Iterator[Candidate]:
    """Yield a box around a pipe that is seen in a room: the builder's to build, the owner's to agree."""
    for p in case.pipes:
        if p.id in case.about and p.place.kind == "room" and p.tags:
            room = next((r.title or r.id for r in case.design.house.rooms if r.id == p.place.ref), p.place.ref)
            yield once(Boxed(p.id, room, p.tags), cost=2 * OTHERS, asks="builder")


@dataclass(frozen=True, slots=True)
class Aside:
    """One joist set aside, its holes with it."""

    frame: str
    centre_mm: float
    by_mm: float

    def on(self, design: Design) -> Design:
        """Return the design with the joist there, and the pipes through the frame bored anew."""
        house = design.house
        frames = tuple(
            replace(f, centres_mm=tuple(c + self.by_mm if c == self.centre_mm else c for c in f.centres_mm))
            if f.id == self.frame
            else f
            for f in house.frames
        )
        new = replace(design, house=replace(house, frames=frames))
        bored = {b.pipe for b in design.fabrication.bores if b.wall_or_frame == self.frame}
        return relisted(new, frozenset(bored), made_anew(new)) if bored else new

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        frame = next(f for f in design.house.frames if f.id == self.frame)
        amount = units.both(abs(self.by_mm), design.house.job.units)
        way = (
            ("east" if self.by_mm > 0.0 else "west")
            if frame.runs == "y"
            else ("north" if self.by_mm > 0.0 else "south")
        )
        place = units.length(self.centre_mm, design.house.job.units)
        told = f"Have the joist of {self.frame} at {place} set {amount} {way}"
        return Change("house", (self.frame,), place, f"{amount} {way}", told)


def joists(case: Case) -> Iterator[Candidate]:
    """Yield sawn joists below an outlet set aside, where the bays beside stay narrow enough: the builder's to do."""
    spots = [n.at for n in case.nodes] + ([Vec(*case.finding.at)] if case.finding.at else [])
    for frame in case.design.house.frames:
        if frame.id not in case.about or frame.kind != "sawn" or not spots:
            continue
        axis = 1 if frame.runs == "x" else 0
        centre = min(frame.centres_mm, key=lambda c: min(abs(c - s[axis]) for s in spots))
        for sign in (1.0, -1.0):

            def made(mm: float, frame: Frame = frame, centre: float = centre, sign: float = sign) -> tuple[Edit, ...]:
                if _widest(frame, centre, sign * mm) > WIDEST_MM:
                    raise ValueError("the panel would span too far")
                return (Aside(frame.id, centre, sign * mm),)

            yield Candidate(made, OTHERS, JOIST_MM, "builder")


def _widest(frame: Frame, centre: float, by_mm: float) -> float:
    """Return the wider of the spaces beside a joist that is set aside, centre to centre [mm]."""
    others = sorted(c for c in frame.centres_mm if c != centre)
    at = centre + by_mm
    below, above = [c for c in others if c < at], [c for c in others if c > at]
    return max(at - below[-1] if below else 0.0, above[0] - at if above else 0.0)
