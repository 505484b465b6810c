"""Faults of the job as a whole: what is typed right, and known, but cannot be built as it stands."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise
from typing import Any, Final, TypeVar

from stubout import units
from stubout.catalog.model import size_text
from stubout.catalog.shipped import SHIPPED
from stubout.files.job_charts import chart_faults
from stubout.files.job_costs import cost_faults
from stubout.files.job_faults import Loc, Marks
from stubout.files.job_limits import limit_faults
from stubout.files.job_measured import measured_faults
from stubout.files.job_records import record_faults
from stubout.files.job_words import cut_short, did_you_mean, key_of, one_of, quoted, shown_key
from stubout.job.model import (
    CabinetSaid,
    ChoiceSaid,
    FixtureSaid,
    FrameSaid,
    Job,
    LevelSaid,
    MembersSaid,
    ObstacleSaid,
    OffcutSaid,
    OpeningSaid,
    WallSaid,
)
from stubout.kinds import FixtureKind
from stubout.layout.places import TOUCH_MM
from stubout.problems import Fault

T = TypeVar("T")

_TOLERANCE_MM: Final = 3.0  # drawings round to 1/8 in; what is closer than that agrees
_SAME_PLACE_MM: Final = 25.0  # outlets of two fixtures are never so near each other
_BEYOND_WALL_MM: Final = 60.0  # a cabinet run may end this far past the framing: boards and end panels

_CHOICES: Final = ("drawn", "vent_not_in", "joins_not_near", "not_vented_by", "stack_not_near", "not_through_walls")
_CLOSEST_MM: Final = 50.8  # no members stand closer
_MOST_MEMBERS: Final = 1000
# What the layout understands of a point of a drawn run; anything else would be passed over in silence.
_POINT_WORDS: Final = ("cleanout", "cap", "trap", "p-trap", "aav", "air admittance valve")
_FLOOR_TOLERANCE_MM: Final = 3.0  # figures of a framing plan rounded on their own
_OVERLAP_MM: Final = 300.0  # rooms that lie this far over each other do not stand beside each other
_STEEPEST: Final = 3.0  # rise over run; 36 in 12 is steeper than any roof a house has

# list, key: lengths that must be more than nothing
_POSITIVE: Final = (
    ("walls", "stud"), ("frames", "depth"), ("frames", "width"), ("openings", "width"),
    ("cabinets", "depth"),
)  # fmt: skip
_NOT_NEGATIVE: Final = (
    ("levels", "wall_height"), ("levels", "slab"), ("levels", "gravel"), ("openings", "sill"), ("rooms", "floor"),
    ("cabinets", "counter"), ("cabinets", "counter_thick"), ("cabinets", "toe_kick"), ("fixtures", "counter_thick"),
    ("fixtures", "bowl"), ("fixtures", "from_wall"), ("fixtures", "rough_in"), ("fixtures", "disposer"),
    ("fixtures", "may_move"), ("frames", "panel"),
)  # fmt: skip
_ORDERED: Final = ("x", "y", "z", "above_floor", "above_subfloor", "along", "across")


def sense_faults(job: Job, marks: Marks) -> Iterator[Fault]:
    """Yield what cannot be as the job says it."""
    sense = _Sense(job, marks)
    yield from sense.job_wide()
    yield from limit_faults(job, marks, sense.show)
    yield from sense.signs()
    yield from sense.levels()
    yield from _each(sense.wall, job.walls)
    yield from _each(lambda number, frame: sense.frame(number, frame.members), job.frames)
    yield from _each(sense.frame_top, job.frames)
    yield from chart_faults(job, marks, sense.show)
    yield from _each(sense.opening, job.openings)
    yield from sense.overlaps()
    yield from _each(sense.cabinet, job.cabinets)
    yield from _each(sense.fixture, job.fixtures)
    yield from sense.together()
    yield from sense.dishwashers()
    yield from _each(sense.obstacle, job.obstacles)
    yield from sense.roof()
    yield from sense.routes()
    yield from cost_faults(job, marks)
    yield from measured_faults(job, marks, sense.show)
    yield from record_faults(job, marks)


def _each(check: Callable[[int, T], Iterator[Fault]], entries: Iterable[T]) -> Iterator[Fault]:
    for number, entry in enumerate(entries):
        yield from check(number, entry)


class _Sense:
    def __init__(self, job: Job, marks: Marks) -> None:
        self.job = job
        self.marks = marks
        self.walls = {w.id: w for w in job.walls}
        self.rooms = {r.id: r for r in job.rooms}
        self.levels_by_id = {v.id: v for v in job.levels}

    def show(self, mm: float) -> str:
        return units.named(mm, self.job.job.units)

    def fault(self, loc: Loc, found: str, wanted: str, do: str = "") -> Fault:
        return self.marks.fault(loc, found, wanted, do)

    def job_wide(self) -> Iterator[Fault]:
        said = self.job.job
        if not said.stock or min(said.stock) <= 0:
            yield self.fault(("job", "stock"), "no usable length", "the lengths pipe is bought in, such as 10', 20'")
        hold = said.test.hold
        if hold is not None and not re.fullmatch(r"[0-9]{1,4}(\.[0-9]+)? *(min|minutes|h|hours?)", hold.strip()):
            yield self.fault(("job", "test", "hold"), quoted(hold), "a time such as 15 min")
        cold = self.job.climate.winter_design
        if cold is not None and not -150 <= cold <= 150:
            yield self.fault(("climate", "winter_design"), f"{cold:g} F", "a winter temperature")
        most = self.job.wishes.at_most_terminals
        if most is not None and most < 1:
            yield self.fault(
                ("wishes", "at_most_terminals"), cut_short(str(most)), "1 or more: a system breathes outdoors"
            )
        yield from _each(self._offcuts, self.job.offcuts)
        yield from _each(self._choices, self.job.choices)
        for span in self.job.site.footprint:
            if span <= 0:
                yield self.fault(("site", "footprint"), self.show(span), "the size of the house, above zero")

    def _choices(self, number: int, said: ChoiceSaid) -> Iterator[Fault]:
        made = [k for k in _CHOICES if getattr(said, k) not in (None, "", False)]
        if len(made) != 1:
            found = " and ".join(f"`{shown_key(k)}`" for k in made) or "no choice"
            yield self.fault(("choices", number), found, f"one of {', '.join(f'`{shown_key(k)}`' for k in _CHOICES)}")
            return
        of_fixture = made[0] in ("vent_not_in", "joins_not_near", "not_vented_by", "not_through_walls")
        if of_fixture != bool(said.fixture):
            wanted = "the tag of the fixture" if of_fixture else "no fixture here"
            yield self.fault(("choices", number, "fixture"), said.fixture or "no fixture", wanted)
        if bool(said.vent_not_in) != (said.near is not None):
            wanted = "how far along the wall" if said.vent_not_in else "`near` only beside `vent not in`"
            found = "nothing" if said.near is None else self.show(said.near)
            yield self.fault(("choices", number, "near"), found, wanted)

    def _offcuts(self, number: int, said: OffcutSaid) -> Iterator[Fault]:
        wanted = 'the length of each piece on hand, such as 4\'-3", 31"'
        if not said.lengths:
            yield self.fault(("offcuts", number, "lengths"), "no length", wanted)
        for mm in said.lengths:
            if mm <= 0:
                yield self.fault(("offcuts", number, "lengths"), self.show(mm), wanted)

    def signs(self) -> Iterator[Fault]:
        for keys, least, wanted in ((_POSITIVE, 1e-6, "more than nothing"), (_NOT_NEGATIVE, 0.0, "no minus here")):
            for name, key in keys:
                for number, entry in enumerate(getattr(self.job, name)):
                    value = getattr(entry, key)
                    if value is not None and value < least:
                        yield self.fault((name, number, key_of(key)), self.show(value), wanted)
        for name in type(self.job).model_fields:
            for number, entry in enumerate(_listed(getattr(self.job, name))):
                for key in _ORDERED:
                    pair = getattr(entry, key, None)
                    if isinstance(pair, tuple) and len(pair) == 2 and pair[0] > pair[1]:
                        wanted = "the smaller one first"
                        yield self.fault((name, number, key), f"{self.show(pair[0])}, {self.show(pair[1])}", wanted)
                gpf = getattr(entry, "gpf", None)
                if gpf is not None and not 0 < gpf < 20:
                    yield self.fault((name, number, "gpf"), f"{gpf:g}", "gallons a flush, such as 1.28")

    def levels(self) -> Iterator[Fault]:
        for number, (low, high) in enumerate(zip(self.job.levels, self.job.levels[1:], strict=False), start=1):
            if high.subfloor <= low.subfloor:
                found = f"{self.show(high.subfloor)} after {self.show(low.subfloor)} of {quoted(low.id)}"
                yield self.fault(("levels", number, "subfloor"), found, "the levels from the bottom up")
        for number, high in enumerate(self.job.levels):
            for low in self.job.levels[:number]:
                top = low.subfloor + low.wall_height
                if low.subfloor < high.subfloor < top - _FLOOR_TOLERANCE_MM and self._one_over_the_other(low, high):
                    wanted = f"{self.show(top)} at least, where the walls of {quoted(low.id)} under it end"
                    do = "Is the `subfloor` right, and the `wall height` of the level below?"
                    yield self.fault(("levels", number, "subfloor"), self.show(high.subfloor), wanted, do)

    def _one_over_the_other(self, low: LevelSaid, high: LevelSaid) -> bool:
        """Return whether a room of one level lies over a room of the other: in a split level none does."""
        under, over = ([r for r in self.job.rooms if r.level == v.id] for v in (low, high))
        return any(
            min(a.x[1], b.x[1]) - max(a.x[0], b.x[0]) > _OVERLAP_MM
            and min(a.y[1], b.y[1]) - max(a.y[0], b.y[0]) > _OVERLAP_MM
            for a in under
            for b in over
        )

    def frame_top(self, number: int, frame: FrameSaid) -> Iterator[Fault]:
        """Yield members that stand above the floor they carry."""
        floor = next((v.subfloor for v in self.job.levels if v.id == frame.carries), None)
        if floor is None or frame.top + frame.panel <= floor + _FLOOR_TOLERANCE_MM:
            return
        wanted = f"{self.show(floor - frame.panel)} at most: subfloor of {quoted(frame.carries)} less `panel`"
        yield self.fault(("frames", number, "top"), self.show(frame.top), wanted)

    def wall(self, number: int, wall: WallSaid) -> Iterator[Fault]:
        length = _length(wall)
        if length < 1:
            yield self.fault(("walls", number, "to"), "the point the wall starts from", "another end point")
            return
        if wall.spacing < _CLOSEST_MM:
            yield self.fault(
                ("walls", number, "spacing"), self.show(wall.spacing), f"at least {self.show(_CLOSEST_MM)}"
            )
        elif length / wall.spacing > _MOST_MEMBERS:
            yield self.fault(("walls", number, "to"), self.show(length), f"a wall of at most {_MOST_MEMBERS} studs")
        for key in ("studs", "added_studs", "doubled_studs"):
            for station in getattr(wall, key):
                if not -_TOLERANCE_MM <= station <= length + _TOLERANCE_MM:
                    yield self._beyond(("walls", number, key), station, wall)

    def frame(self, number: int, members: MembersSaid) -> Iterator[Fault]:
        loc: Loc = ("frames", number, "members")
        first, spacing, count = members.first, members.spacing, members.count
        if (first is None or spacing is None) and (not members.at or first is not None or spacing is not None):
            yield self.fault(loc, "no places for them", "`at`, or `first` and `spacing`")
        if spacing is not None and spacing < _CLOSEST_MM:
            yield self.fault((*loc, "spacing"), self.show(spacing), f"at least {self.show(_CLOSEST_MM)}")
        if count is not None and not 1 <= count <= _MOST_MEMBERS:
            yield self.fault((*loc, "count"), cut_short(str(count)), f"1 to {_MOST_MEMBERS}")

    def _beyond(self, loc: Loc, station: float, wall: WallSaid) -> Fault:
        found = f"station {self.show(station)}"
        return self.fault(loc, found, f"0 to {self.show(_length(wall))}, the length of wall {quoted(wall.id)}")

    def opening(self, number: int, opening: OpeningSaid) -> Iterator[Fault]:
        wall = self.walls.get(opening.wall)
        if opening.head <= opening.sill:
            found = f"head {self.show(opening.head)}, sill {self.show(opening.sill)}"
            yield self.fault(("openings", number, "head"), found, "the head above the sill")
        if opening.header_to is not None and opening.header_to < opening.head:
            found = f"{self.show(opening.header_to)} under a head at {self.show(opening.head)}"
            yield self.fault(("openings", number, "header_to"), found, "the top of the header, above the head")
        if wall is None:
            return
        end = opening.at + opening.width
        if opening.at < -_TOLERANCE_MM or end > _length(wall) + _TOLERANCE_MM:
            found = f"an opening from {self.show(opening.at)} to {self.show(end)}"
            wanted = f"one within wall {quoted(wall.id)}, {self.show(_length(wall))} long"
            yield self.fault(("openings", number, "at"), found, wanted)
        height = self._height(wall)
        if height and opening.head > height + _TOLERANCE_MM:
            found = f"a head at {self.show(opening.head)}"
            yield self.fault(("openings", number, "head"), found, f"one below the plate at {self.show(height)}")

    def _height(self, wall: WallSaid) -> float:
        level = self.levels_by_id.get(wall.level)
        return wall.height if wall.height is not None else (level.wall_height if level else 0.0)

    def overlaps(self) -> Iterator[Fault]:
        said = self.job.openings
        for number, one in enumerate(said):
            for other in said[:number]:
                if (
                    one.wall == other.wall
                    and min(one.at + one.width, other.at + other.width) - max(one.at, other.at) > _TOLERANCE_MM
                    and min(one.head, other.head) - max(one.sill, other.sill) > _TOLERANCE_MM
                ):
                    wanted = "openings that do not overlap"
                    yield self.fault(("openings", number, "at"), f"an opening across {quoted(other.id)}", wanted)

    def cabinet(self, number: int, cabinet: CabinetSaid) -> Iterator[Fault]:
        loc: Loc = ("cabinets", number)
        if not cabinet.boxes:
            yield self.fault((*loc, "boxes"), "none", "the boxes of the run, in order")
        start, end = cabinet.from_, cabinet.to
        if cabinet.wall:
            if start is None or end is None:
                yield self.fault((*loc, "from" if start is None else "to"), "nothing", "the stations of the run")
                return
            wall = self.walls.get(cabinet.wall)
            if wall:
                for key, station in (("from", start), ("to", end)):
                    if not -_BEYOND_WALL_MM <= station <= _length(wall) + _BEYOND_WALL_MM:
                        yield self._beyond((*loc, key), station, wall)
        else:
            for key in ("room", "corner", "along", "back_to"):
                if not getattr(cabinet, key):
                    yield self.fault((*loc, key), "nothing", f"`{shown_key(key)}`: a run without a wall is an island")
        if start is not None and end is not None and cabinet.boxes:
            if end <= start:
                yield self.fault((*loc, "to"), self.show(end), f"more than `from`, {self.show(start)}")
                return
            total = sum(b.width for b in cabinet.boxes)
            if abs(total - (end - start)) > _TOLERANCE_MM:
                found = f"boxes that add up to {self.show(total)}"
                yield self.fault((*loc, "boxes"), found, f"{self.show(end - start)}, the length of the run",
                                 "Fillers, panels and openings for appliances count as boxes.")  # fmt: skip

    def fixture(self, number: int, fixture: FixtureSaid) -> Iterator[Fault]:
        loc: Loc = ("fixtures", number)
        wall, room = self.walls.get(fixture.wall), self.rooms.get(fixture.room)
        if fixture.trap is not None and fixture.trap not in SHIPPED.reaches:
            sizes = tuple(size_text(s) for s in SHIPPED.reaches)
            do = "It is the nominal size of the trap; left away, the book says it."
            yield self.fault((*loc, "trap"), size_text(fixture.trap), f"a size traps are made in, {one_of(sizes)}", do)
        if wall and fixture.at is None:
            yield self.fault((*loc, "at"), "nothing", f"the station along wall {quoted(wall.id)}")
        if wall and fixture.at is not None and not 0 <= fixture.at <= _length(wall):
            yield self._beyond((*loc, "at"), fixture.at, wall)
        if not fixture.wall and fixture.drain is None:
            yield self.fault((*loc, "drain"), "no place", "`wall` and `at`, or `drain` as a point x, y")
        if wall and room and wall.level != room.level:
            found = f"wall {quoted(wall.id)} on level {quoted(wall.level)}"
            yield self.fault((*loc, "wall"), found, f"a wall of level {quoted(room.level)}, where its room is")

    def together(self) -> Iterator[Fault]:
        """Yield the fixtures that stand where another stands: one outlet is no place for two."""
        said = self.job.fixtures
        for number, one in enumerate(said):
            for other in said[:number]:
                drains = one.drain is not None and other.drain is not None and self._level(one) == self._level(other)
                if drains and math.dist(one.drain or (), other.drain or ()) <= _SAME_PLACE_MM:
                    key = "drain"
                elif (
                    one.wall and (one.wall, one.side, one.kind) == (other.wall, other.side, other.kind)
                    and one.at is not None and other.at is not None and abs(one.at - other.at) <= _SAME_PLACE_MM
                ):  # fmt: skip
                    key = "at"
                else:
                    continue
                found = f"{quoted(one.tag)} in the same place as {quoted(other.tag)} of line {other.line}"
                do = "Give it a place of its own, or take it out if it was copied."
                yield self.fault(("fixtures", number, key), found, "one fixture in one place", do)
                break

    def dishwashers(self) -> Iterator[Fault]:
        """Yield the dishwashers with a drain of their own whose room has a sink that takes one in.

        Two in one room are two where the cabinets there have a box for each.
        """
        for number, one in enumerate(self.job.fixtures):
            here = [f for f in self.job.fixtures if f.room == one.room]
            sinks = [f for f in here if f.dishwasher and f.kind is not FixtureKind.DISHWASHER]
            if one.kind is not FixtureKind.DISHWASHER or not sinks:
                continue
            drains = len(sinks) + sum(f.kind is FixtureKind.DISHWASHER for f in here)
            runs = (c for c in self.job.cabinets if c.room in (one.room, ""))
            if sum(box.what == "dishwasher" for run in runs for box in run.boxes) >= drains:
                continue
            sink = sinks[0]
            found = (
                f"{quoted(one.tag)} with a drain of its own, and `dishwasher: {sink.dishwasher}` of {quoted(sink.tag)}"
                f"{f', line {sink.line}' if sink.line else ''}"
            )
            do = (
                f"Take {quoted(one.tag)} out: its hose goes in at the sink and needs no other trap. If it has a trap "
                f"of its own, take `dishwasher` of {quoted(sink.tag)} out. If there are two, give the cabinets of the "
                "room a box `what: dishwasher` for each."
            )
            yield self.fault(("fixtures", number, "kind"), found, "one drain for one dishwasher", do)

    def _level(self, fixture: FixtureSaid) -> str:
        room = self.rooms.get(fixture.room)
        return room.level if room else ""

    def obstacle(self, number: int, obstacle: ObstacleSaid) -> Iterator[Fault]:
        loc: Loc = ("obstacles", number)
        wall = self.walls.get(obstacle.wall)
        if not obstacle.wall and (obstacle.x is None or obstacle.y is None):
            yield self.fault(loc, "no place", "`wall` with stations, or `x` and `y`")
        for key, station in (("from", obstacle.from_), ("to", obstacle.to)):
            if wall and station is not None and not -_BEYOND_WALL_MM <= station <= _length(wall) + _BEYOND_WALL_MM:
                yield self._beyond((*loc, key), station, wall)
        if obstacle.from_ is not None and obstacle.to is not None and obstacle.to < obstacle.from_:
            yield self.fault((*loc, "to"), self.show(obstacle.to), f"more than `from`, {self.show(obstacle.from_)}")

    def roof(self) -> Iterator[Fault]:
        for number, plane in enumerate(self.job.roof):
            loc, rise, do = ("roof", number, "rise"), units.parse_rise(plane.rise), ""
            if rise is None:
                near = re.fullmatch(r" *([0-9.]+) *(?:/|in|on|-) *([0-9.]+) *", plane.rise)
                do = f"Write {near[1]}:{near[2]}." if near else ""
            elif rise > _STEEPEST:
                do = "" if ":" in plane.rise else f"Write {plane.rise.strip()}:12 for {plane.rise.strip()} in 12."
            else:
                continue
            yield self.fault(loc, quoted(plane.rise), "a rise such as 5:12 or 1/4:12", do)

    def routes(self) -> Iterator[Fault]:
        into = {r.id: r.into for r in self.job.routes}
        for number, route in enumerate(self.job.routes):
            loc: Loc = ("routes", number)
            if len(route.through) < 2:
                yield self.fault((*loc, "through"), f"{len(route.through)} points", "two or more points x, y, z")
            for after, (one, two) in enumerate(pairwise(route.through), start=1):
                if math.dist(one, two) <= TOUCH_MM:
                    found = f"points {after} and {after + 1} in the same place"
                    do = f"Take one of them out, or put right x, y or z of point {after + 1}."
                    yield self.fault((*loc, "through", after), found, "each point of a run in a place of its own", do)
            for key, word in route.fittings.items():
                if word.strip().lower() not in _POINT_WORDS:
                    do = did_you_mean(word, _POINT_WORDS) or "Tees, bends and wyes follow from the run itself."
                    yield self.fault((*loc, "fittings", key), quoted(word), one_of(_POINT_WORDS), do)
                if not (key.strip().isascii() and key.strip().isdigit() and 1 <= int(key[:9]) <= len(route.through)):
                    wanted = f"the number of a point, 1 to {len(route.through)}"
                    yield self.fault((*loc, "fittings", key), quoted(key), wanted)
            if route.material and not route.installed and route.material != self.job.job.material:
                do = "Say `installed` where it is there already; new pipe is of `job: material`."
                yield self.fault((*loc, "material"), quoted(route.material), "nothing on a route of new pipe", do)
            seen, here = {route.id}, route.into
            while here in into and here not in seen:
                seen.add(here)
                here = into[here]
            if here == route.id:
                yield self.fault((*loc, "into"), quoted(route.into), "a way that ends at the sewer, not in a ring")


def _listed(value: Any) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else ()


def _length(wall: WallSaid) -> float:
    return math.hypot(wall.to[0] - wall.from_[0], wall.to[1] - wall.from_[1])
