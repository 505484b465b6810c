"""A wall dragged square to its line: which walls go along so that corners stay joined, and what forbids it. [mm].

A wall that ends at the dragged one grows or shrinks with it; one that it ends at stays, and it slides along that; where
the two make a corner, the other's end goes along. What is measured from an end that moves keeps its place in the house:
its station changes. Rooms follow where the wall makes more than half of a side.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from stubout import units
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.lookup import TOUCH_MM
from stubout.house.model import House, Room
from stubout.job.model import CabinetSaid, FixtureSaid, Job, WallSaid
from stubout.problems import Fault

SQUARE = 0.001  # cosine up to which two walls stand square to each other
ENDS = {"from_": "start", "to": "end"}  # of the job file -> of the house


@dataclass(frozen=True, slots=True)
class Joined:
    """What goes along with a dragged wall."""

    wall: Wall
    ends: Mapping[str, frozenset[str]] = field(default_factory=dict)  # other walls -> which of their ends
    slides: frozenset[str] = frozenset()  # walls it slides along
    rooms: Mapping[str, frozenset[int]] = field(default_factory=dict)  # rooms -> which of their two sides, 0 or 1
    refused: str = ""  # why it cannot be dragged at all

    @property
    def walls(self) -> frozenset[str]:
        """Return the ids of the walls that change."""
        return frozenset((self.wall.id, *self.ends))

    def shift_mm(self, wall: Wall, by: Vec) -> float:
        """Return by how much the stations of another wall shrink: its start goes that far along it [mm]."""
        return by.dot(wall.along) if "from_" in self.ends.get(wall.id, ()) else 0.0


def can_be_dragged(wall: Wall) -> bool:
    """Return whether a wall can be dragged: an inside one, along an axis. Roof and foundation hang on the others."""
    return not wall.exterior and not wall.against_concrete and min(abs(wall.along.x), abs(wall.along.y)) < SQUARE


def joined(house: House, job: Job, wall_id: str) -> Joined:
    """Return what goes along with a wall of a house, or why it cannot be dragged."""
    wall = house.wall(wall_id)
    ends: dict[str, set[str]] = {}
    slides: set[str] = set()
    for other in (w for w in house.walls if w.level_id == wall.level_id and w.id != wall_id):
        meets = [e for e, at in ENDS.items() if _in(wall, getattr(other, at))]
        feet = [p for p in (wall.start, wall.end) if _in(other, p)]
        if not meets and not feet:
            continue
        if abs(other.along.dot(wall.along)) > SQUARE:
            how = "goes on in line with it" if abs(other.along.dot(wall.along)) > 1 - SQUARE else "meets it at a slant"
            return Joined(wall, refused=f"wall {other.id} {how}: they would come apart")
        corner = [e for p in feet for e in _corner(wall, other, p)]
        if feet:
            slides.add(other.id)
        if meets or corner:
            ends.setdefault(other.id, set()).update((*meets, *corner))
    said = {w.id: w for w in job.walls}
    refused = next((r for i in ends if (r := _fixed(house.wall(i), said[i], ends[i]))), "")
    if refused:
        return Joined(wall, refused=refused)
    frozen = {i: frozenset(e) for i, e in ends.items()}
    return Joined(wall, frozen, frozenset(slides), {r.id: s for r in house.rooms if (s := _sides(wall, r))})


def _in(wall: Wall, p: Vec) -> bool:
    """Return whether a point lies in a wall or at its face, on plan."""
    near = wall.depth_mm / 2 + TOUCH_MM
    return abs(wall.offset(p)) <= near and -near <= wall.station(p) <= wall.length_mm + near


def _corner(wall: Wall, other: Wall, p: Vec) -> Iterator[str]:
    """Yield the end of another wall that makes a corner with a wall which ends at it."""
    at, half = other.station(p), wall.depth_mm / 2
    if at - half <= TOUCH_MM:
        yield "from_"
    if at + half >= other.length_mm - TOUCH_MM:
        yield "to"


def _fixed(other: Wall, said: WallSaid, ends: set[str]) -> str:
    """Return why a wall cannot grow or shrink at its ends, "" if it can."""
    if other.exterior:
        return f"the outside wall {other.id} ends at it: roof and foundation hang on that"
    if said.studs:
        return f"wall {other.id}, which ends at it, lists its studs one by one: change them in the job file first"
    zones = any(v is not None for f in (*said.left, *said.right) for v in (f.from_, f.to))
    if "from_" in ends and (said.added_studs or said.doubled_studs or zones):
        return (
            f"wall {other.id} is measured from the end that would go along, and has studs or finishes by station: "
            "change them in the job file first"
        )
    return ""


def _axis(wall: Wall) -> int:
    """Return the axis a wall is dragged along: 0 east, 1 north."""
    return 1 if abs(wall.along.x) > abs(wall.along.y) else 0


def _sides(wall: Wall, room: Room) -> frozenset[int]:
    """Return which sides of a room a wall makes for more than half of their length."""
    if room.level_id != wall.level_id:
        return frozenset()
    across = _axis(wall)
    sides = ((room.x0_mm, room.x1_mm), (room.y0_mm, room.y1_mm))
    lo, hi = sides[1 - across]
    ends = sorted((wall.start[1 - across], wall.end[1 - across]))
    over = min(hi, ends[1]) - max(lo, ends[0])
    if over <= (hi - lo) / 2:
        return frozenset()
    middle = wall.point(wall.station(_at(across, (lo + hi) / 2)), wall.bottom_z_mm + 1.0)
    thick = {s: abs(wall.face_offset(s, wall.station(middle), wall.bottom_z_mm + 1.0)) for s in ("left", "right")}
    near = max(thick.values()) + TOUCH_MM
    return frozenset(n for n in (0, 1) if abs(sides[across][n] - wall.start[across]) <= near)


def _at(across: int, along_mm: float) -> Vec:
    return Vec(0.0, along_mm) if across == 0 else Vec(along_mm, 0.0)


def refusal(house: House, j: Joined, by: Vec, system: units.Units) -> str:
    """Return in a sentence why a wall cannot be dragged so far, "" if it can."""
    if j.refused:
        return j.refused
    wall = j.wall
    for other in (house.wall(i) for i in j.ends):
        new = _length(j, other, by)
        if new < other.depth_mm:
            return f"wall {other.id} would be left {units.both(max(0.0, new), system)} long"
    for other in (house.wall(i) for i in j.slides):
        for p in (p for p in (wall.start, wall.end) if _in(other, p)):
            at = other.station(p.plus(by))
            kept = j.ends.get(other.id, frozenset())
            if at - wall.depth_mm / 2 < -TOUCH_MM and "from_" not in kept:
                return f"it would leave wall {other.id} at its start"
            if at + wall.depth_mm / 2 > other.length_mm + TOUCH_MM and "to" not in kept:
                return f"it would leave wall {other.id} at its end"
    for room in (house.room(i) for i in j.rooms):
        lo, hi = _room_after(j, room, by)
        if hi - lo <= TOUCH_MM:
            return f"room {room.title or room.id} would be nothing"
    return next(_in_the_way(house, j, by), "")


def _length(j: Joined, other: Wall, by: Vec) -> float:
    ends = j.ends[other.id]
    return other.length_mm + by.dot(other.along) * (int("to" in ends) - int("from_" in ends))


def _room_after(j: Joined, room: Room, by: Vec) -> tuple[float, float]:
    across = _axis(j.wall)
    lo, hi = ((room.x0_mm, room.x1_mm), (room.y0_mm, room.y1_mm))[across]
    sides = j.rooms[room.id]
    return lo + (by[across] if 0 in sides else 0.0), hi + (by[across] if 1 in sides else 0.0)


def _in_the_way(house: House, j: Joined, by: Vec) -> Iterator[str]:
    """Yield what stands where a wall goes or on its way there, and what would come to stand in something else."""
    wall, beside = j.wall, {*j.walls, *j.slides}
    walls = [w for w in house.walls if w.level_id == wall.level_id and w.id != wall.id]
    yield from (
        f"wall {w.id} stands in the way"
        for w in walls
        if w.id not in beside and _swept(wall, by, _footprint(w), bare=True)
    )
    there = [b for b in _bodies(house, wall) if not b.along]
    yield from (f"{b.name} in the way" for b in there if _swept(wall, by, b.box, bare=False))
    solid = [(f"wall {w.id}", _footprint(w)) for w in walls] + [(b.id, b.box) for b in there]
    for body in (b for b in _bodies(house, wall) if b.along):
        now = Box(body.box.lo.plus(by), body.box.hi.plus(by))
        for name, box in solid:
            if _overlap(now, box) and not _overlap(body.box, box):
                yield f"{body.id} would stand in {name}"


class _Body(NamedTuple):
    """A fixture or a cabinet box on a level."""

    id: str
    name: str  # with what it does
    box: Box
    along: bool  # it hangs on the wall and goes along


def _bodies(house: House, wall: Wall) -> Iterator[_Body]:
    for f in house.fixtures:
        if f.level_id == wall.level_id and f.extent is not None:
            yield _Body(f.tag, f"{f.tag} {f.title}".strip() + " stands", f.extent, f.wall_id == wall.id)
    for b in house.cabinets:
        if wall.bottom_z_mm - 1.0 <= b.box.lo.z < wall.top_z_mm:
            yield _Body(f"cabinets {b.run_id}", f"cabinets {b.run_id} stand", b.box, b.wall_id == wall.id)


def _footprint(wall: Wall) -> Box:
    """Return the box round the studs of a wall on plan."""
    more = Vec(*(abs(c) * wall.depth_mm / 2 for c in (wall.leftward.x, wall.leftward.y)))
    xs, ys = (wall.start.x, wall.end.x), (wall.start.y, wall.end.y)
    return Box(Vec(min(xs) - more.x, min(ys) - more.y), Vec(max(xs) + more.x, max(ys) + more.y))


def _overlap(a: Box, b: Box) -> bool:
    """Return whether two boxes overlap on plan by more than a touch."""
    return all(min(a.hi[i], b.hi[i]) - max(a.lo[i], b.lo[i]) > TOUCH_MM for i in (0, 1))


def _swept(wall: Wall, by: Vec, box: Box, *, bare: bool) -> bool:
    """Return whether a wall meets a box where it goes, or on its way there; what it holds already does not count.

    Args:
        wall: The wall.
        by: How far it goes [mm].
        box: On plan.
        bare: Whether the wall is its studs alone; else with the finish of its sides.
    """
    corners = [Vec(x, y) for x in (box.lo.x, box.hi.x) for y in (box.lo.y, box.hi.y)]
    stations = [wall.station(c) for c in corners]
    if max(stations) <= TOUCH_MM or min(stations) >= wall.length_mm - TOUCH_MM:
        return False
    outs, way = [wall.offset(c) for c in corners], by.dot(wall.leftward)
    at = min(max((min(stations) + max(stations)) / 2, 0.0), wall.length_mm)
    thick = {
        s: wall.depth_mm / 2 + (0.0 if bare else wall.finish_mm(s, at, wall.bottom_z_mm + 1.0))
        for s in ("left", "right")
    }
    if way > 0:
        return max(outs) > thick["left"] + TOUCH_MM and min(outs) < thick["left"] + way - TOUCH_MM
    return min(outs) < -thick["right"] - TOUCH_MM and max(outs) > way - thick["right"] + TOUCH_MM


def fault(job: Job, wall_id: str, words: str) -> Fault:
    """Return a refusal as a fault of the job file."""
    line = next((w.line for w in job.walls if w.id == wall_id), 0)
    return Fault(job.source, line, f"walls.{wall_id}", words, "a wall whose corners stay joined", "")


def with_wall(house: House, job: Job, j: Joined, by: Vec) -> dict[str, Any]:
    """Return what of a job changes with a dragged wall, by list."""
    shifts = {i: s for i in j.ends if (s := j.shift_mm(house.wall(i), by))}
    return {
        "walls": tuple(_wall(w, j, by) for w in job.walls),
        "rooms": tuple(_room(r, j, by) for r in job.rooms),
        "fixtures": tuple(_fixture(f, j, by, shifts) for f in job.fixtures),
        "cabinets": tuple(_stationed(c, shifts, ("from_", "to")) for c in job.cabinets),
        "openings": tuple(_stationed(o, shifts, ("at",)) for o in job.openings),
        "obstacles": tuple(_stationed(o, shifts, ("from_", "to")) for o in job.obstacles),
    }


def _wall(said: WallSaid, j: Joined, by: Vec) -> WallSaid:
    ends = frozenset(ENDS) if said.id == j.wall.id else j.ends.get(said.id, frozenset())
    new = {e: (getattr(said, e)[0] + by.x, getattr(said, e)[1] + by.y) for e in ENDS if e in ends}
    return said.model_copy(update=new) if new else said


def _room(said: Any, j: Joined, by: Vec) -> Any:
    sides = j.rooms.get(said.id)
    if not sides:
        return said
    key = ("x", "y")[_axis(j.wall)]
    old = getattr(said, key)
    return said.model_copy(
        update={key: tuple(v + (by[_axis(j.wall)] if n in sides else 0.0) for n, v in enumerate(old))}
    )


def _fixture(said: FixtureSaid, j: Joined, by: Vec, shifts: Mapping[str, float]) -> FixtureSaid:
    if said.wall != j.wall.id:
        moved: FixtureSaid = _stationed(said, shifts, ("at",))
        return moved
    new: dict[str, Any] = {}
    if said.drain is not None:
        new["drain"] = (said.drain[0] + by.x, said.drain[1] + by.y)
    if said.x is not None and said.y is not None:
        new |= {"x": tuple(v + by.x for v in said.x), "y": tuple(v + by.y for v in said.y)}
    return said.model_copy(update=new) if new else said


def _stationed(said: Any, shifts: Mapping[str, float], keys: tuple[str, ...]) -> Any:
    """Return an entry of a list in its place, where the wall's start it is measured from has moved."""
    shift = shifts.get(said.wall, 0.0)
    if not shift:
        return said
    values = ((k, getattr(said, k)) for k in keys)
    first = {"from_": -shift} if isinstance(said, CabinetSaid) and said.from_ is None else {}
    return said.model_copy(update={**first, **{k: v - shift for k, v in values if v is not None}})
