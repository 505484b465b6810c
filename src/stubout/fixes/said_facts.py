"""Facts of the house changed by a fix, as statements of the job file. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Final

from stubout import units
from stubout.design import Design
from stubout.fixes.builder import Aside, Boxed, Deeper
from stubout.fixes.facts import Fact, MoveThing
from stubout.fixes.said import MORE, NotSaid, Statement, nominal
from stubout.fixes.sizes import TrapSize
from stubout.house.model import Drawer, HouseFixture
from stubout.job.model import FixtureSaid, Job, ObstacleSaid, RoomSaid
from stubout.layout.model import asks_for_box, box_question

WISHES: Final = {
    "no_vent_in_walls": "no vents in walls",
    "no_drain_in_walls": "no drains in walls",
    "cold_spaces": "cold spaces",
}
MOVED_MM = 0.05


def of_fact(job: Job, design: Design, edit: Fact) -> Iterator[Statement]:
    """Yield what a fact says to the job file; raises NotSaid.

    Args:
        job: The job as it is said now.
        design: The design before the change.
        edit: The change.
    """
    parts = {part for part, *_ in edit.says}
    if "readings" in parts:
        raise NotSaid(
            "it is done on site: hang or bed the pipe again, measure it, and record what the level shows then"
        )
    if parts <= {"stubs", "traps"}:
        raise NotSaid("marks follow from the pipes whenever the house is planned: the job file does not say them")
    for part, name, key, value in edit.says:
        if part in WORDS:
            yield from WORDS[part](job, design, name, key, value)


def _cabinets(job: Job, design: Design, name: str, key: str, value: Any) -> Iterator[Statement]:
    run, _, number = name.rpartition(".")
    said = next((c for c in job.cabinets if c.id == run), None)
    if said is None or key != "drawers":
        raise NotSaid("the job file does not say this of a cabinet")
    had = next(c for c in design.house.cabinets if c.id == name).drawers
    new: tuple[Drawer, ...] = value
    u = job.job.units
    for n, (old, now) in enumerate(zip(had, new, strict=True), 1):
        where = ("cabinets", run, "boxes", int(number), "drawers", n)
        if now.cut_width_mm != old.cut_width_mm:
            yield Statement((*where, "cut out width"), units.as_typed(now.cut_width_mm, u))
        if now.cut_depth_mm != old.cut_depth_mm:
            yield Statement((*where, "cut out depth"), units.as_typed(now.cut_depth_mm, u))


def _fixtures(job: Job, design: Design, name: str, key: str, value: Any) -> Iterator[Statement]:
    said = next(f for f in job.fixtures if f.tag == name)
    body = design.house.fixture(name)
    at, u = ("fixtures", name), job.job.units
    match key:
        case "faucet" | "dishwasher":
            yield Statement((*at, key), str(value))
        case "outlet_in":
            yield Statement((*at, "outlet"), nominal(value))
        case "standpipe_top_z_mm":
            yield Statement((*at, "standpipe top"), units.as_typed(value - body.subfloor_z_mm, u))
        case "outlet_z_mm":
            yield _higher(said, body, value, job)
        case "extent":
            yield from _smaller(said, body, value, job)
        case _:
            raise NotSaid(f"the job file does not say the {key.replace('_', ' ')} of a fixture")


def _higher(said: FixtureSaid, body: HouseFixture, z_mm: float, job: Job) -> Statement:
    """Return a bowl with a higher outlet: less deep, or by its outlet height where that is said."""
    more = z_mm - (body.outlet_z_mm or 0.0)
    at, u = ("fixtures", said.tag), job.job.units
    if said.outlet_height is not None:
        return Statement((*at, "outlet height"), units.as_typed(said.outlet_height + more, u))
    if said.bowl is not None:
        return Statement((*at, "bowl"), units.as_typed(said.bowl - more, u))
    raise NotSaid(f"the job file says neither the bowl nor the outlet height of {said.tag}: write what its sheet says")


def _smaller(said: FixtureSaid, body: HouseFixture, box: Any, job: Job) -> Iterator[Statement]:
    if said.x is None or said.y is None or body.extent is None:
        raise NotSaid(f"the job file does not say how far {said.tag} reaches: write its `x` and `y` from its sheet")
    for axis, old in (("x", said.x), ("y", said.y)):
        new = (getattr(box.lo, axis), getattr(box.hi, axis))
        if any(abs(a - b) > MOVED_MM for a, b in zip(sorted(old), new, strict=True)):
            yield Statement(("fixtures", said.tag, axis), units.all_typed(new, job.job.units))


def _wishes(_job: Job, _design: Design, _name: str, key: str, value: Any) -> Iterator[Statement]:
    yield Statement(("wishes", WISHES[key]), ", ".join(value) if value else ())


def _ground(job: Job, _design: Design, _name: str, key: str, value: Any) -> Iterator[Statement]:
    word = {"at_house_z_mm": "ground at house", "at_sewer_z_mm": "ground at sewer"}[key]
    yield Statement(("site", word), units.as_typed(value, job.job.units))


def _rooms(job: Job, design: Design, name: str, key: str, value: Any) -> Iterator[Statement]:
    if abs(getattr(design.house.room(name), key) - value) <= MOVED_MM:
        return
    said = next(r for r in job.rooms if r.id == name)
    yield _room(said, job, {key: value})


def _room(said: RoomSaid, job: Job, faces: dict[str, float]) -> Statement:
    axis = next(iter(faces))[0]
    lo, hi = sorted(getattr(said, axis))
    return Statement(
        ("rooms", said.id, axis),
        units.all_typed((faces.get(f"{axis}0_mm", lo), faces.get(f"{axis}1_mm", hi)), job.job.units),
    )


def _obstacles(job: Job, design: Design, name: str, _key: str, value: Any) -> Iterator[Statement]:
    old = next(o for o in design.house.obstacles if o.id == name).box
    said = _thing(job, name)
    if said.x is None or said.y is None or said.z is None:
        raise NotSaid(f"{name} is not said by `x`, `y` and `z`: change it as text")
    for axis in ("x", "y", "z"):
        new = (getattr(value.lo, axis), getattr(value.hi, axis))
        if any(abs(a - b) > MOVED_MM for a, b in zip(new, (getattr(old.lo, axis), getattr(old.hi, axis)), strict=True)):
            yield Statement(("obstacles", name, axis), units.all_typed(new, job.job.units))


def _thing(job: Job, name: str) -> ObstacleSaid:
    said = next((o for o in job.obstacles if o.id == name), None)
    if said is None:
        raise NotSaid(f"{name} stands where the house puts it, and the job file does not list it under `obstacles`")
    return said


def _test(job: Job, _design: Design, _name: str, key: str, value: Any) -> Iterator[Statement]:
    words = units.as_typed(value, job.job.units) if key == "head_mm" else str(value)
    yield Statement(("job", "test", "head" if key == "head_mm" else key), words)


WORDS: Final[dict[str, Callable[[Job, Design, str, str, Any], Iterator[Statement]]]] = {
    "cabinets": _cabinets,
    "fixtures": _fixtures,
    "wishes": _wishes,
    "ground": _ground,
    "rooms": _rooms,
    "obstacles": _obstacles,
    "test": _test,
}


def of_thing(job: Job, design: Design, edit: MoveThing) -> Iterator[Statement]:
    """Yield where something that stood in the way stands now; raises NotSaid."""
    said, by, u = _thing(job, edit.thing), edit.by, job.job.units
    at = ("obstacles", edit.thing)
    wall = next((w for w in design.house.walls if w.id == said.wall), None)
    if wall is not None:
        along = by.dot(wall.along)
        if abs(by.dot(wall.leftward)) > MOVED_MM:
            raise NotSaid(f"{edit.thing} is said to be in wall {wall.id}, and would leave it: change it as text")
        if abs(along) > MOVED_MM and said.from_ is not None and said.to is not None:
            yield Statement((*at, "from"), units.as_typed(said.from_ + along, u))
            yield Statement((*at, "to"), units.as_typed(said.to + along, u))
    for key, moved in (("x", by.x), ("y", by.y)) if wall is None else ():
        old = getattr(said, key)
        if old is not None and abs(moved) > MOVED_MM:
            yield Statement((*at, key), units.all_typed(tuple(c + moved for c in old), u))
    for key in ("above_floor", "above_subfloor", "z"):
        old = getattr(said, key)
        if old is not None and abs(by.z) > MOVED_MM:
            yield Statement((*at, key.replace("_", " ")), units.all_typed(tuple(c + by.z for c in old), u))


def of_wall(job: Job, after: Design, edit: Deeper) -> Iterator[Statement]:
    """Yield a wall of deeper studs, and the rooms that end at its faces."""
    u = job.job.units
    yield Statement(("walls", edit.wall, "stud"), units.as_typed(edit.depth_mm, u))
    for said in job.rooms:
        new = after.house.room(said.id)
        for axis in ("x", "y"):
            faces = {f"{axis}{n}_mm": getattr(new, f"{axis}{n}_mm") for n in (0, 1)}
            if any(abs(a - b) > MOVED_MM for a, b in zip(sorted(getattr(said, axis)), faces.values(), strict=True)):
                yield _room(said, job, faces)


def of_joist(job: Job, after: Design, edit: Aside) -> Iterator[Statement]:
    """Yield the joists of a frame listed one by one: one of them stands off its module now."""
    centres = next(f for f in after.house.frames if f.id == edit.frame).centres_mm
    yield Statement(
        ("frames", edit.frame, "members"), {"at": [units.as_typed(c, job.job.units) for c in sorted(centres)]}
    )


def of_box(job: Job, edit: Boxed) -> Iterator[Statement]:
    """Yield the question whether a pipe may be boxed: open until it is answered."""
    text = f"May a box be built around {edit.pipe} in {edit.room}?"
    yield _boxes(job, box_question(edit.pipe), text, "a box is built", edit.tags)


def of_boxes(job: Job, design: Design) -> Iterator[Statement]:
    """Yield the questions for boxes that the layout asks: whoever reads its pipes as drawn does not ask them again."""
    said = {q.id for q in job.questions}
    for q in design.questions:
        if asks_for_box(q.id) and q.id not in said:
            yield _boxes(job, q.id, q.text, q.assumed, q.about)


def _boxes(job: Job, name: str, text: str, assumed: str, about: tuple[str, ...]) -> Statement:
    letter = next((k for k, who in job.job.people.items() if "builder" in who), "")
    if not letter:
        raise NotSaid("the job file names no builder under `people` who could be asked")
    entry = {"id": name, "ask": letter, "text": text, "assumed": assumed, "about": ", ".join(about)}
    return Statement(("questions", MORE), entry)


def of_trap(edit: TrapSize) -> Iterator[Statement]:
    """Yield a trap in another size than the book's."""
    yield Statement(("fixtures", edit.tag, "trap"), nominal(edit.size_in))
