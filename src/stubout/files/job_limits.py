"""Faults of measure: lengths no house has, which are a slip of the unit or of a key, and places outside the house."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Final

from pydantic import WithJsonSchema

from stubout.files.job_faults import Loc, Marks
from stubout.files.job_words import field_type, key_of, quoted
from stubout.job.model import Job, Record
from stubout.problems import Fault

_FARTHEST_MM: Final = 304_800.0  # 1000 ft: the longest service line to a septic tank is far shorter
_LARGEST_HOUSE_MM: Final = 60_960.0  # 200 ft
_SMALLEST_HOUSE_MM: Final = 1_524.0  # 5 ft: narrower than any bath; a plan in inches read as millimetres is
_OUTSIDE_MM: Final = 1_219.2  # 4 ft: a bay or a bump-out of an upper floor may pass the footprint, not by more
_OUT_OF_ROOM_MM: Final = 1_000.0  # a fixture set to the studs, or one in an alcove of an L-shaped room
_MOST_FIXTURES: Final = 100  # a large house has some 30; the layout takes most of a second for each
_SHORTEST_STOCK_MM: Final = 609.6  # 2 ft

Show = Callable[[float], str]


def limit_faults(job: Job, marks: Marks, show: Show) -> Iterator[Fault]:
    """Yield the lengths and places that cannot be those of a house."""
    far = list(_far(job, (), marks, show))
    yield from far
    if far:
        return  # what follows would say the same again
    if len(job.fixtures) > _MOST_FIXTURES:
        wanted = f"at most {_MOST_FIXTURES}, those of one house"
        yield marks.fault(("fixtures",), f"{len(job.fixtures)} of them", wanted, "Write a job file for each house.")
    for span in job.site.footprint:
        if span > _LARGEST_HOUSE_MM:
            wanted = f"a house of at most {show(_LARGEST_HOUSE_MM)} a side"
            yield marks.fault(("site", "footprint"), show(span), wanted, "Is the unit right?")
    narrow = min(job.site.footprint)
    if 0 < narrow < _SMALLEST_HOUSE_MM:
        wanted = f"a house of at least {show(_SMALLEST_HOUSE_MM)} a side"
        do = f"Is the unit right? A bare number counts in `units`, here {job.job.units}."
        yield marks.fault(("site", "footprint"), show(narrow), wanted, do)
    if job.job.stock and 0 < min(job.job.stock) < _SHORTEST_STOCK_MM:
        wanted = f"the lengths pipe is bought in, {show(_SHORTEST_STOCK_MM)} at least"
        yield marks.fault(("job", "stock"), show(min(job.job.stock)), wanted, "Is the unit right?")
    yield from _invert(job, marks, show)
    yield from _connected(job, marks)
    if narrow >= _SMALLEST_HOUSE_MM:  # else every wall and room would be told as outside of it
        yield from _places(job, marks, show)


def _invert(job: Job, marks: Marks, show: Show) -> Iterator[Fault]:
    """Yield a connection no fixture can drain into: most often a minus that was left out."""
    level_of = {r.id: r.level for r in job.rooms}
    floor = {v.id: v.subfloor for v in job.levels}
    floors = [floor[level_of[f.room]] for f in job.fixtures if level_of.get(f.room) in floor]
    if floors and job.sewer.invert >= max(floors):
        wanted = f"less than {show(max(floors))}, the highest floor with a fixture"
        do = "Heights count up from the subfloor that says 0; what lies below it has a minus."
        yield marks.fault(("sewer", "invert"), show(job.sewer.invert), wanted, do)
    elif job.sewer.what != "existing pipe" and job.sewer.invert >= job.site.ground_at_sewer:
        wanted = f"less than {show(job.site.ground_at_sewer)}, `ground at sewer`: the connection lies in the ground"
        do = "Heights count up from the subfloor that says 0; what lies below it has a minus."
        yield marks.fault(("sewer", "invert"), show(job.sewer.invert), wanted, do)


def _connected(job: Job, marks: Marks) -> Iterator[Fault]:
    """Yield a material of a connection that is no pipe of the house: whoever makes it knows it."""
    if job.sewer.material and job.sewer.what != "existing pipe":
        do = "Say `what: existing pipe` where your pipe joins one, or take the material out."
        yield marks.fault(("sewer", "material"), quoted(job.sewer.material), "nothing, of a sewer or a tank", do)


def _far(record: Record, loc: Loc, marks: Marks, show: Show) -> Iterator[Fault]:
    for name, info in type(record).model_fields.items():
        value = getattr(record, name)
        here = (*loc, key_of(name))
        if isinstance(value, Record):
            yield from _far(value, here, marks, show)
        elif isinstance(value, tuple):
            for number, item in enumerate(value):
                if isinstance(item, Record):
                    yield from _far(item, (*here, number), marks, show)
            worst = max((abs(v) for v in _floats(value)), default=0.0)
            if worst > _FARTHEST_MM:
                yield _too_far(worst, here, marks, show)
        elif isinstance(value, float) and _is_length(field_type(info)[1]) and abs(value) > _FARTHEST_MM:
            yield _too_far(value, here, marks, show)


def _floats(value: tuple[Any, ...]) -> Iterator[float]:
    """Yield the numbers of a list or of points; every number that stands in a list is a length."""
    for item in value:
        if isinstance(item, float):
            yield item
        elif isinstance(item, tuple):
            yield from _floats(item)


def _is_length(meta: tuple[Any, ...]) -> bool:
    return any(isinstance(m, WithJsonSchema) and (m.json_schema or {}).get("title") == "length" for m in meta)


def _too_far(value_mm: float, loc: Loc, marks: Marks, show: Show) -> Fault:
    return marks.fault(loc, show(value_mm), f"at most {show(_FARTHEST_MM)}", "Is the unit right?")


def _places(job: Job, marks: Marks, show: Show) -> Iterator[Fault]:
    east, north = job.site.footprint
    house = f"a place in the house, which is {show(east)} by {show(north)} from the origin"
    bay = f"Only a bay or an overhang may pass the footprint, by {show(_OUTSIDE_MM)} at most."
    rooms = {r.id: r for r in job.rooms}

    def outside(point: tuple[float, float]) -> bool:
        return not (-_OUTSIDE_MM <= point[0] <= east + _OUTSIDE_MM and -_OUTSIDE_MM <= point[1] <= north + _OUTSIDE_MM)

    for number, wall in enumerate(job.walls):
        for key, point in (("from", wall.from_), ("to", wall.to)):
            if outside(point):
                yield marks.fault(("walls", number, key), _point(point, show), house, bay)
    lost = set()
    for number, room in enumerate(job.rooms):
        if outside((room.x[0], room.y[0])) or outside((room.x[1], room.y[1])):
            lost.add(room.id)
            found = f"a room from {_point((room.x[0], room.y[0]), show)} to {_point((room.x[1], room.y[1]), show)}"
            yield marks.fault(("rooms", number, "x"), found, house, bay)
    for number, fixture in enumerate(job.fixtures):
        home = rooms.get(fixture.room)
        if fixture.drain is None or home is None or home.id in lost:
            continue
        pairs = zip(fixture.drain, (home.x, home.y), strict=True)
        if any(not low - _OUT_OF_ROOM_MM <= at <= high + _OUT_OF_ROOM_MM for at, (low, high) in pairs):
            wanted = (
                f"a point in its room, x {show(home.x[0])} to {show(home.x[1])}, "
                f"y {show(home.y[0])} to {show(home.y[1])}"
            )
            do = "The point counts from the origin of the house, not from a wall."
            yield marks.fault(("fixtures", number, "drain"), _point(fixture.drain, show), wanted, do)


def _point(point: tuple[float, float], show: Show) -> str:
    return f"x {show(point[0])}, y {show(point[1])}"
