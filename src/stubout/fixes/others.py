"""What is not the plumber's to change: cabinets, fixtures, rooms, walls, earth. Each says who has to agree. [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout import units
from stubout.catalog import queries as catalog
from stubout.design import Change, Design
from stubout.fabrication.model import Bore
from stubout.fixes.facts import SPARE_MM, Fact
from stubout.fixes.follow import made_anew
from stubout.fixes.model import FACT, OTHERS, Candidate, Case, Edit, once
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import Room
from stubout.kinds import FixtureKind
from stubout.problems import Question

SHALLOWEST_MM = 125.0  # from rim to outlet of the shallowest bowl; common practice, no source
BODY_MM = 60.0  # as much shorter as a round closet bowl is than a long one; common practice, no source
SET_BACK_MM = 600.0  # farther is another plan of the house
DEPTHS_MM = (140.0, 184.0, 235.0)  # of the next studs as lumber is sold


def drawers(case: Case) -> Iterator[Candidate]:
    """Yield drawers cut out from the back so that trap and tailpiece clear them: the cabinet maker's to do."""
    u = case.design.house.job.units
    for mark in case.design.stubs:
        body = next((f for f in case.design.house.fixtures if f.tag == mark.tag), None)
        if mark.tag not in case.about or body is None:
            continue
        hub = catalog.hub_od_mm(mark.size_in)
        deep = (body.from_wall_mm or 0.0) + body.outlet_in * units.MM_PER_INCH / 2 + SPARE_MM
        for box in case.design.house.cabinets:
            if box.id not in case.about or not box.drawers:
                continue
            wide = hub + 2 * abs(mark.station_mm - (box.from_station_mm + box.to_station_mm) / 2) + SPARE_MM
            cut = tuple(
                replace(
                    d, cut_width_mm=max(d.cut_width_mm, wide), cut_depth_mm=max(d.cut_depth_mm, deep - d.back_gap_mm)
                )
                for d in box.drawers
            )
            size = f"{units.both(wide, u)} wide and {units.both(deep, u)} deep"
            told = f"Have the drawer of {box.id} cut out from the back, {size}"
            fact = Fact("cut-out", (box.id,), "no cut-out", size, told, (("cabinets", box.id, "drawers", cut),))
            yield once(fact, cost=FACT, asks="cabinet maker")


def bowls(case: Case) -> Iterator[Candidate]:
    """Yield shallower bowls: an outlet so much higher that a height for the stub-out is left."""
    u = case.design.house.job.units
    for mark in case.design.stubs:
        body = next((f for f in case.design.house.fixtures if f.tag == mark.tag), None)
        gain = max(0.0, mark.lo_z_mm - mark.hi_z_mm - mark.arm_fall_mm)
        if mark.tag not in case.about or body is None or body.outlet_z_mm is None or body.flood_rim_z_mm is None:
            continue
        most = body.flood_rim_z_mm - SHALLOWEST_MM - body.outlet_z_mm - gain
        if most < case.step_mm:
            continue

        def made(
            mm: float,
            tag: str = body.tag,
            z: float = body.outlet_z_mm + gain,
            hi: float = mark.hi_z_mm + gain,
            gain: float = gain,
        ) -> tuple[Edit, ...]:
            higher = f"{units.both(gain + mm, u)} higher"
            says = (
                ("fixtures", tag, "outlet_z_mm", z + mm),
                ("stubs", tag, "hi_z_mm", hi + mm),
                ("stubs", tag, "feasible", True),
            )
            told = f"Take a bowl for {tag} whose outlet is {higher}"
            return (Fact("fixture", (tag,), "as chosen", higher, told, says),)

        yield Candidate(made, FACT, most, "owner")


def faucets(case: Case) -> Iterator[Candidate]:
    """Yield faucets in the deck instead of the wall: the owner's to choose."""
    for body in case.design.house.fixtures:
        if body.tag in case.about and body.faucet == "wall":
            told = f"Take a faucet in the deck for {body.tag}"
            says = (("fixtures", body.tag, "faucet", "deck"),)
            yield once(Fact("fixture", (body.tag,), "wall", "deck", told, says), cost=OTHERS, asks="owner")


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


def air_gaps(case: Case) -> Iterator[Candidate]:
    """Yield an air-gap fitting for the dishwasher of a sink."""
    for body in case.design.house.fixtures:
        if body.tag in case.about and body.dishwasher in ("tailpiece", "disposer"):
            told = f"Set an air-gap fitting at {body.tag} for the dishwasher, and write `dishwasher: air gap`"
            says = (("fixtures", body.tag, "dishwasher", "air gap"),)
            yield once(Fact("fixture", (body.tag,), body.dishwasher, "air gap", told, says), cost=20.0)


def floor_drains(case: Case) -> Iterator[Candidate]:
    """Yield floor drains with a larger outlet."""
    for body in case.design.house.fixtures:
        if body.tag not in case.about or body.kind is not FixtureKind.FLOOR_DRAIN:
            continue
        for size in (2.0, 3.0, 4.0):
            if size > body.outlet_in:
                told = f"Set a floor drain {body.tag} with a {units.size(size)} in outlet"
                was = f"{units.size(body.outlet_in)} in"
                says = (("fixtures", body.tag, "outlet_in", size),)
                yield once(Fact("fixture", (body.tag,), was, f"{units.size(size)} in", told, says), cost=20.0 * size)


def bodies(case: Case) -> Iterator[Candidate]:
    """Yield closets and lavatories that stand out less far from their wall: the owner's to choose."""
    house, u = case.design.house, case.design.house.job.units
    for body in house.fixtures:
        wall = next((w for w in house.walls if w.id == body.wall_id), None)
        if body.tag not in case.about or body.extent is None or wall is None:
            continue
        out = wall.leftward if body.side == "left" else wall.leftward.times(-1.0)
        box = body.extent

        def made(mm: float, tag: str = body.tag, box: Box = box, out: Vec = out) -> tuple[Edit, ...]:
            amount = units.both(mm, u)
            told = (
                f"Take a {'round' if case.finding.check == 'CLR002' else 'shallower'} bowl for {tag}, {amount} shorter"
            )
            says = (("fixtures", tag, "extent", _shorter(box, out, mm)),)
            return (Fact("fixture", (tag,), "as chosen", f"{amount} shorter", told, says),)

        yield Candidate(made, FACT, BODY_MM, "owner")


def _shorter(box: Box, out: Vec, mm: float) -> Box:
    """Return a box drawn in on the side that a direction points to."""
    lo = tuple(c - min(0.0, o) * mm for c, o in zip(box.lo, out, strict=True))
    hi = tuple(c - max(0.0, o) * mm for c, o in zip(box.hi, out, strict=True))
    return Box(Vec(*lo), Vec(*hi))


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


def wishes(case: Case) -> Iterator[Candidate]:
    """Yield a wall opened to pipes that a wish of the job closes: the owner's to agree, no rule of a book."""
    wish = case.design.house.wishes
    for name, kind in (("no_vent_in_walls", "vents"), ("no_drain_in_walls", "drains")):
        for wall in getattr(wish, name):
            if wall in case.about:
                told = f"Have wall {wall} opened to {kind}, which the job closes to them"
                left = tuple(w for w in getattr(wish, name) if w != wall)
                says = (("wishes", "", name, left),)
                yield once(
                    Fact("house", (wall,), f"closed to {kind}", "open", told, says), cost=2 * OTHERS, asks="owner"
                )


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
