"""Whether a person can reach an opening, and what stands in front of it. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stubout import units
from stubout.catalog import queries as catalog
from stubout.geometry.distance import segment_bounds, segment_box, segment_segment
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import CabinetBox, House, Room
from stubout.kinds import FixtureKind
from stubout.layout.cleanout_draft import Draft
from stubout.layout.places import level_under
from stubout.problems import NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

OPEN_KINDS = ("sink base", "doors")  # cabinets one can open and work in
UNSEEN = ("zone", "line", "header", "skylight", "soffit")  # what does not stand in the way of a hand
USUAL_CLEAR_MM = 450.0  # where the book names no free space: common practice, no source
CLOSET_MM = 300.0  # half the floor a closet takes around its outlet: common practice, no source
SIDE_MM = 19.0  # side of a cabinet box, 3/4 in: common practice, no source
HEADROOM_MM = 610.0  # 24 in to crawl in where the book names no height: common practice, no source
TOUCH_MM = 2.0  # a pencil line
STEPS_BESIDE = 6  # how finely the room beside a cover is told
NEAR_COVER = 3.0  # what a cover right beside a wall weighs, in the units of a place's cost; common practice, no source
PROBE_MM = 60.0  # past any finish, into the room


# A pipe of the draft: its name and ends, its radius and that of its hubs, and the boxes around it by both.
_Pipe = tuple[str, Vec, Vec, float, float, Box, Box]


@dataclass(frozen=True, slots=True)
class Sight:
    """What one sees in front of an opening: where one stands, in words, and how good the place is (less is better)."""

    words: str
    cost: float
    remark: str = ""


class Access:
    """The house as the person who opens a cleanout meets it."""

    def __init__(self, house: House, book: RuleBook, draft: Draft) -> None:
        self.house, self.book, self.draft = house, book, draft
        self.bodies = [(f.tag, f.extent) for f in house.fixtures if f.extent is not None]
        for f in house.fixtures:
            if f.kind is FixtureKind.WATER_CLOSET and f.extent is None and f.outlet is not None:
                pad = Vec(CLOSET_MM, CLOSET_MM, 0.0)
                at = f.outlet.at_z(f.finished_z_mm)
                self.bodies.append((f.tag, Box(at.minus(pad), at.plus(pad).plus(Vec(0.0, 0.0, 2 * CLOSET_MM)))))

        self.walls = [(w, wall_box(w)) for w in house.walls]
        self._clear: dict[float, float] = {}
        self._boxed: tuple[object, tuple[_Pipe, ...]] = (None, ())
        self._seen: dict[tuple[Vec, Vec, float, float, float, bool], str] = {}

    def clear_mm(self, size_in: float) -> float:
        """Return the free space the book asks for, the trade's where it is silent [mm]."""
        if size_in not in self._clear:
            try:
                self._clear[size_in] = queries.cleanout_clearance(self.book, size_in).number
            except NotInBook:
                self._clear[size_in] = USUAL_CLEAR_MM
        return self._clear[size_in]

    # rooms -----------------------------------------------------------------------------------------------------------

    def room_at(self, level_id: str, p: Vec) -> Room | None:
        """Return the smallest room of a level at a plan position."""
        held = [r for r in self.house.rooms if r.level_id == level_id and r.holds(p)]
        return min(held, key=lambda r: ((r.x1_mm - r.x0_mm) * (r.y1_mm - r.y0_mm), r.id), default=None)

    def inside(self, p: Vec) -> bool:
        """Return whether a plan position lies in the footprint."""
        lo, hi = self.house.footprint.lo, self.house.footprint.hi
        return lo.x <= p.x <= hi.x and lo.y <= p.y <= hi.y

    def room_cost(self, room: Room | None, *, floor: bool) -> float:
        """Return how little one wants to see a cleanout in a room: kitchens least of all, service rooms gladly."""
        if room is None:
            return 0.0
        here = [f.kind for f in self.house.fixtures if f.room_id == room.id]
        kitchen = FixtureKind.KITCHEN_SINK in here or "kitchen" in (room.id + room.title).lower()
        kitchen = kitchen or any(
            c.kind == "range" and c.box.contains(Vec(c.box.centre.x, c.box.centre.y, c.box.centre.z))
            and room.holds(c.box.centre) and room.level_id == self._level_of(c)
            for c in self.house.cabinets
        )  # fmt: skip
        if kitchen:
            return 12.0 if floor else 1.5
        if room.exposed_pipe_ok or FixtureKind.CLOTHES_WASHER in here or FixtureKind.LAUNDRY_TRAY in here:
            return 0.0
        bath = FixtureKind.WATER_CLOSET in here or FixtureKind.LAVATORY in here
        return (2.0 if bath else 2.5) if floor else 0.7

    def _level_of(self, c: CabinetBox) -> str:
        level = level_under(self.house, c.box.lo.z)
        return level.id if level else ""

    # what is in the way ----------------------------------------------------------------------------------------------

    def blocker(self, p: Vec, u: Vec, start_mm: float, depth_mm: float, half_mm: float, *, up: bool = False) -> str:
        """Return what stands in the free space in front of an opening, empty if nothing does.

        Args:
            p: Where the opening is in the pipe.
            u: The way one looks out of it.
            start_mm: Where the free space begins, from p.
            depth_mm: How deep it is.
            half_mm: Half its width.
            up: An opening in a floor: every cabinet stands in its way.
        """
        key = (p, u, start_mm, depth_mm, half_mm, up)
        if key not in self._seen:
            space = _padded([p.plus(u.times(start_mm)), p.plus(u.times(start_mm + depth_mm))], u, half_mm)
            self._seen[key] = next(iter(self._things(p, space, up)), "")
        return self._seen[key]

    def _things(self, p: Vec, space: Box, up: bool) -> Iterator[str]:
        """Yield what reaches into a space, but for what the opening itself is in."""
        for c in self.house.cabinets:
            if (up or c.kind not in OPEN_KINDS) and _meet(space, c.box) and (up or not c.box.contains(p, 1.0)):
                yield c.id
        for o in self.house.obstacles:
            if o.kind not in UNSEEN and _meet(space, o.box) and not o.box.contains(p, 1.0):
                yield o.id
        for tag, box in self.bodies:
            if _meet(space, box) and not box.contains(p, 1.0):
                yield tag
        for wall, box in self.walls:
            if not _meet(space, box) or box.contains(p, 1.0):
                continue
            s, z = wall.station(space.centre), space.centre.z
            if any(
                o.station_mm <= s <= o.station_mm + o.width_mm and o.sill_z_mm <= z <= o.head_z_mm
                for o in wall.openings
            ):
                continue
            yield f"wall {wall.id}"

    def pipe_in_front(self, p: Vec, u: Vec, start_mm: float, depth_mm: float, half_mm: float, own: set[str]) -> str:
        """Return the pipe that crosses the free space in front of an opening, empty if none does."""
        space = _padded([p.plus(u.times(start_mm)), p.plus(u.times(start_mm + depth_mm))], u, half_mm)
        for name, a, b, radius, _, box, _ in self._pipes():
            if name not in own and _meet(space, box) and segment_box(a, b, space) < radius:
                return name
        return ""

    def line_blocked(self, a: Vec, b: Vec, size_in: float, own: set[str]) -> str:
        """Return what a new piece of pipe would run into: footing, pad, duct, another pipe; empty if nothing."""
        girth = catalog.hub_od_mm(size_in) / 2
        mine = segment_bounds(a, b, girth)
        for o in self.house.obstacles:
            if o.kind not in ("zone", "skylight", "soffit") and _meet(mine, o.box) and segment_box(a, b, o.box) < girth:
                return o.id
        for w, box in self.walls:
            if _meet(mine, box) and segment_box(a, b, box) < girth:
                return f"wall {w.id}"
        for name, c, d, _, radius, _, box in self._pipes():
            if name not in own and _meet(mine, box) and segment_segment(a, b, c, d) < girth + radius:
                return name
        return ""

    def _pipes(self) -> tuple[_Pipe, ...]:
        """Return the pipes of the draft with what they are asked for, reckoned once until something is cut."""
        lines = self.draft.lines()
        if self._boxed[0] is not lines:
            made: list[_Pipe] = []
            for name, a, b, size_in in lines:
                pipe, hub = catalog.od_mm(size_in) / 2, catalog.hub_od_mm(size_in) / 2
                made.append((name, a, b, pipe, hub, segment_bounds(a, b, pipe), segment_bounds(a, b, hub)))
            self._boxed = lines, tuple(made)
        return self._boxed[1]

    # sights ----------------------------------------------------------------------------------------------------------

    def sight(
        self, p: Vec, u: Vec, start_mm: float, size_in: float, own: set[str], *, up: bool = False
    ) -> Sight | None:
        """Return how free the space in front of an opening is; None if something stands in it."""
        deep = self.clear_mm(size_in)
        narrow = catalog.hub_od_mm(size_in) / 2
        if self.blocker(p, u, start_mm, deep, narrow, up=up):
            return None
        if self.pipe_in_front(p, u, start_mm, deep, narrow, own):
            return None
        beside = self.blocker(p, u, start_mm, deep, deep / 2, up=up)
        half = units.both(deep / 2, self.house.job.units)
        remark = f"free to the front; less than {half} to {beside} at the side" if beside else ""
        cost = 0.6 if beside else 0.0
        if beside and up:  # a wrench goes round over the plug: what stands near leaves it no way
            free = [k for k in range(1, STEPS_BESIDE) if not self._beside(p, start_mm, deep, narrow, k)]
            cost += NEAR_COVER * (1.0 - max(free, default=0) / STEPS_BESIDE)
        return Sight("", cost, remark)

    def _beside(self, p: Vec, start_mm: float, deep: float, narrow: float, steps: int) -> str:
        """Return what stands beside an opening in a floor, nearer than some steps on the way to half its free space."""
        half_mm = narrow + (deep / 2 - narrow) * steps / STEPS_BESIDE
        return self.blocker(p, Vec(0.0, 0.0, 1.0), start_mm, deep, half_mm, up=True)

    def wall_sight(self, wall: Wall, p: Vec, side: int, size_in: float, own: set[str]) -> Sight | None:
        """Return what one meets in front of an opening in a wall, on the left (1) or right (-1) side."""
        station = wall.station(p)
        u = wall.leftward.times(side)
        face = abs(wall.face_offset("left" if side > 0 else "right", station, p.z))
        probe = p.plus(u.times(wall.depth_mm / 2 + PROBE_MM))
        if not self.inside(probe) or (wall.exterior and self.room_at(wall.level_id, probe) is None):
            return None
        got = self.sight(p, u, face, size_in, own)
        if got is None:
            return None
        word = self.behind_cabinet(probe, size_in, along=wall.along)
        if word is None:
            return None
        room = self.room_at(wall.level_id, probe)
        level = self.house.level(wall.level_id)
        title = (room.title or room.id) if room else level.title
        if word:
            return Sight(f"{title}, inside {word}, in wall {wall.id}", got.cost * 0.3, got.remark)
        return Sight(f"{title}, cover on wall {wall.id}", got.cost + self.room_cost(room, floor=False), got.remark)

    def behind_cabinet(self, p: Vec, size_in: float, *, along: Vec) -> str | None:
        """Return "" with no cabinet at a place, the words for one that can be opened there, None where it cannot."""
        half = catalog.hub_od_mm(size_in) / 2
        for c in self.house.cabinets:
            if not c.box.contains(p, half):
                continue
            if c.kind not in OPEN_KINDS:
                return None
            lo, hi = sorted((c.box.lo.dot(along), c.box.hi.dot(along)))
            if not lo + SIDE_MM + half <= p.dot(along) <= hi - SIDE_MM - half:
                return None
            if c.partition_station_mm is not None and c.wall_id:
                wall = self.house.wall(c.wall_id)
                if abs(wall.station(p) - c.partition_station_mm) < half + SIDE_MM / 2:
                    return None
            if c.floor_z_mm is None or p.z - half < c.floor_z_mm:
                return None
            if any(abs(p.z - s) < half + SIDE_MM for s in c.shelves_z_mm):
                return None
            if any(d.lo_z_mm - half < p.z < d.hi_z_mm + half for d in c.drawers):
                return None
            return f"{c.label} {c.id}"
        return ""


def wall_box(wall: Wall) -> Box:
    """Return the box around the framing of a wall."""
    half = wall.depth_mm / 2
    ps = [
        wall.point(s, z, o)
        for s in (0.0, wall.length_mm)
        for z in (wall.bottom_z_mm, wall.top_z_mm)
        for o in (-half, half)
    ]
    return _padded(ps, Vec(1.0, 1.0, 1.0), 0.0)


def _padded(points: list[Vec], u: Vec, half_mm: float) -> Box:
    pad = Vec(*(half_mm * (1.0 - abs(c)) for c in u))
    lo = Vec(*(min(c) for c in zip(*points, strict=True)))
    hi = Vec(*(max(c) for c in zip(*points, strict=True)))
    return Box(lo.minus(pad), hi.plus(pad))


def _meet(one: Box, other: Box) -> bool:
    """Return whether two boxes overlap by more than a pencil line in every direction."""
    (ax, ay, az), (bx, by, bz) = one
    (cx, cy, cz), (dx, dy, dz) = other
    if bx - cx <= TOUCH_MM or dx - ax <= TOUCH_MM or by - cy <= TOUCH_MM or dy - ay <= TOUCH_MM:
        return False  # most lie apart in plan
    return (
        min(bx, dx) - max(ax, cx) > TOUCH_MM
        and min(by, dy) - max(ay, cy) > TOUCH_MM
        and min(bz, dz) - max(az, cz) > TOUCH_MM
    )
