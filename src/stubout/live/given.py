"""The job with one thing of it dragged, the house of that, and the values the file has to say then. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, Protocol, TypeVar

from stubout import units
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.house.lookup import TOUCH_MM
from stubout.house.model import House
from stubout.house.resolve import resolve
from stubout.job.model import CabinetSaid, FixtureSaid, Job, ObstacleSaid, OpeningSaid, Record, RouteSaid
from stubout.live import walls
from stubout.live.model import Given, Handle, Written
from stubout.problems import Fault, JobFileError


class _Called(Protocol):
    """Anything of a house with an id."""

    @property
    def id(self) -> str:
        """Return the id."""
        ...


T = TypeVar("T", bound=_Called)
SAME_MM = 1.0  # points of drawn routes nearer than this are one point

_KEYS: dict[str, tuple[str, ...]] = {
    "fixtures": ("at", "drain", "x", "y", "stub_height"), "cabinets": ("from_", "to", "corner"),
    "openings": ("at", "sill", "head", "header_to"),
    "obstacles": ("from_", "to", "above_floor", "above_subfloor", "x", "y"), "routes": ("through",),
    "walls": ("from_", "to"), "rooms": ("x", "y"),
}  # fmt: skip


def given(design: Design, job: Job, handle: Handle, by: Vec) -> Given:
    """Return the job with a thing dragged, and its house; with the faults where the file would contradict itself.

    Args:
        design: The design as it stands.
        job: Its job, or the part of it that `needed` leaves.
        handle: The thing.
        by: How far [mm].
    """
    if handle.kind == "wall":
        return _wall_given(design, job, handle, by)
    said = job_with(design, job, handle, by)
    if handle.kind == "point":
        return Given(said, design.house)
    off = _off_the_wall(design.house, said, handle)
    if off:
        return Given(said, design.house, off)
    try:
        house, _ = resolve(said)
    except JobFileError as told:
        return Given(said, design.house, tuple(told.faults))
    was = design.house
    fixtures, boxes = {f.tag: f for f in house.fixtures}, {b.id: b for b in house.cabinets}
    obstacles = {o.id: o for o in house.obstacles}
    gaps = {w.id: w.openings for w in house.walls} if handle.kind == "opening" else {}
    return Given(
        said,
        replace(
            was,
            fixtures=tuple(fixtures.get(f.tag, f) for f in was.fixtures),
            cabinets=tuple(boxes.get(b.id, b) for b in was.cabinets),
            # The studs stay those that the holes are listed for: the whole plan sets them out anew.
            walls=tuple(replace(w, openings=gaps.get(w.id, w.openings)) for w in was.walls) if gaps else was.walls,
            obstacles=tuple(obstacles.get(o.id, o) for o in was.obstacles),
        ),
    )


def _wall_given(design: Design, job: Job, handle: Handle, by: Vec) -> Given:
    """Return the job with a wall dragged, and its house: all that stands in one is resolved anew, studs too."""
    was = design.house
    refused = walls.refusal(was, walls.joined(was, job, handle.of), by, job.job.units)
    if refused:
        return Given(job, was, (walls.fault(job, handle.of, refused),))
    said = job_with(design, job, handle, by)
    try:
        house, _ = resolve(said)
    except JobFileError as told:
        return Given(said, was, tuple(told.faults))
    return Given(
        said,
        replace(
            was,
            walls=_laid_over(was.walls, house.walls),
            rooms=_laid_over(was.rooms, house.rooms),
            cabinets=_laid_over(was.cabinets, house.cabinets),
            obstacles=_laid_over(was.obstacles, house.obstacles),
            fixtures=tuple({f.tag: f for f in house.fixtures}.get(f.tag, f) for f in was.fixtures),
        ),
    )


def _laid_over(was: tuple[T, ...], now: tuple[T, ...]) -> tuple[T, ...]:
    """Return things of a house, each as a later one has it that has a part of them."""
    new = {one.id: one for one in now}
    return tuple(new.get(one.id, one) for one in was)


def _off_the_wall(house: House, said: Job, handle: Handle) -> tuple[Fault, ...]:
    """Return the fault of cabinets dragged beyond an end of their wall, as the reader of the file tells it."""
    run = next((c for c in said.cabinets if c.id == handle.of and handle.kind in ("cabinet", "box")), None)
    thin = [(n, b.width) for n, b in enumerate(run.boxes, 1) if b.width < TOUCH_MM] if run is not None else []
    if run is not None and thin:
        n, wide = thin[0]
        found = f"a width of {units.both(wide, said.job.units)}"
        return (Fault(said.source, run.line, f"cabinets.{run.id}.boxes.{n}", found, "more than nothing", ""),)
    wall = next((w for w in house.walls if run is not None and w.id == run.wall), None)
    if run is None or wall is None:
        return ()
    u, ends = said.job.units, [e for e in (run.from_, run.to) if e is not None]
    if min(ends) >= -TOUCH_MM and max(ends) <= wall.length_mm + TOUCH_MM:
        return ()
    found = f"stations {units.both(min(ends), u)} to {units.both(max(ends), u)}"
    return (Fault(said.source, run.line, f"cabinets.{run.id}", found, f"0 to {units.both(wall.length_mm, u)}", ""),)


def job_with(design: Design, job: Job, handle: Handle, by: Vec, each: Mapping[str, Vec] | None = None) -> Job:
    """Return the job with a thing dragged, and the drawn routes with those of their points that go along.

    Args:
        design: The design as it stands.
        job: Its job.
        handle: The thing.
        by: How far [mm].
        each: How far the points of the network go that hang on it, by node.
    """
    moved = [(design.network.node(n).at, v) for n, v in (each or {}).items()]
    new: dict[str, Any] = {}
    if handle.kind == "cabinet":
        new["cabinets"] = tuple(_cabinet(design.house, c, by) if c.id == handle.of else c for c in job.cabinets)
    elif handle.kind == "box":
        new["cabinets"] = tuple(
            _boxes(design.house, c, handle.number, by) if c.id == handle.of else c for c in job.cabinets
        )
    elif handle.kind == "opening":
        new["openings"] = tuple(_opening(design.house, o, by) if o.id == handle.of else o for o in job.openings)
    elif handle.kind == "obstacle":
        new["obstacles"] = tuple(_obstacle(design.house, o, by) if o.id == handle.of else o for o in job.obstacles)
    elif handle.kind == "point":
        moved.append((handle.at, by))
    elif handle.kind == "wall":
        new |= walls.with_wall(design.house, job, walls.joined(design.house, job, handle.of), by)
    else:
        new["fixtures"] = tuple(_fixture(design, job, f, by) if f.tag == handle.of else f for f in job.fixtures)
    if moved:
        new["routes"] = tuple(_route(r, moved) for r in job.routes)
    return job.model_copy(update=new)


def _along(house: House, wall_id: str, by: Vec) -> float:
    wall = next((w for w in house.walls if w.id == wall_id), None)
    return by.dot(wall.along) if wall is not None else 0.0


def _fixture(design: Design, job: Job, said: FixtureSaid, by: Vec) -> FixtureSaid:
    new: dict[str, Any] = {}
    if said.at is not None and said.wall:
        new["at"] = said.at + _along(design.house, said.wall, by)
    if said.drain is not None:
        new["drain"] = (said.drain[0] + by.x, said.drain[1] + by.y)
    if said.x is not None and said.y is not None:
        new["x"] = tuple(v + by.x for v in said.x)
        new["y"] = tuple(v + by.y for v in said.y)
    stub = next((s for s in design.stubs if s.tag == said.tag), None)
    if by.z and stub is not None and not any(r.fixture == said.tag for r in job.routes):  # a drawn arm says it itself
        new["stub_height"] = stub.mark_z_mm + by.z - stub.finished_z_mm
    return said.model_copy(update=new)


def _cabinet(house: House, said: CabinetSaid, by: Vec) -> CabinetSaid:
    new: dict[str, Any] = {}
    if said.wall:
        along = _along(house, said.wall, by)
        new = {k: v + along for k, v in (("from_", said.from_ or 0.0), ("to", said.to)) if v is not None}
    elif said.corner is not None:
        new = {"corner": (said.corner[0] + by.x, said.corner[1] + by.y)}
    return said.model_copy(update=new)


def _boxes(house: House, said: CabinetSaid, nth: int, by: Vec) -> CabinetSaid:
    """Return a run with one box moved along it: what is before it grows by as much as what is after it shrinks.

    The first and the last box take the end of the run along.
    """
    along = _along(house, said.wall, by)
    boxes, new = list(said.boxes), dict[str, Any]()
    if nth > 1:
        boxes[nth - 2] = boxes[nth - 2].model_copy(update={"width": boxes[nth - 2].width + along})
    else:
        new["from_"] = (said.from_ or 0.0) + along
    if nth < len(boxes):
        boxes[nth] = boxes[nth].model_copy(update={"width": boxes[nth].width - along})
    elif said.to is not None:
        new["to"] = said.to + along
    return said.model_copy(update={**new, "boxes": tuple(boxes)})


def _opening(house: House, said: OpeningSaid, by: Vec) -> OpeningSaid:
    new: dict[str, Any] = {"at": said.at + _along(house, said.wall, by)}
    if by.z:
        new |= {k: v + by.z for k, v in (("sill", said.sill), ("head", said.head))}
    return said.model_copy(update=new)


def _obstacle(house: House, said: ObstacleSaid, by: Vec) -> ObstacleSaid:
    along = _along(house, said.wall, by) if said.wall else 0.0
    new: dict[str, Any] = {k: v + along for k, v in (("from_", said.from_), ("to", said.to)) if v is not None}
    heights = [("above_floor", by.z), ("above_subfloor", by.z)]
    for key, off in heights if said.wall else [("x", by.x), ("y", by.y)]:
        value = getattr(said, key)
        if value is not None:
            new[key] = tuple(v + off for v in value)
    return said.model_copy(update=new)


def _route(said: RouteSaid, moved: list[tuple[Vec, Vec]]) -> RouteSaid:
    """Return a route with its points moved that lie at some places; those of all routes that meet there go along."""

    def where(p: tuple[float, float, float]) -> tuple[float, ...]:
        at = Vec(*p)
        by = next((v for place, v in moved if place.to(at) < SAME_MM), None)
        return p if by is None or by.length < units.EXACT_MM else tuple(at.plus(by))

    return said.model_copy(update={"through": tuple(where(p) for p in said.through)})


def written(before: Job, after: Job) -> tuple[Written, ...]:
    """Return the values that the file has to say anew, in the units of the job."""
    system = before.job.units
    out: list[Written] = []
    for listed, keys in _KEYS.items():
        pairs = zip(getattr(before, listed), getattr(after, listed), strict=True)
        out += [one for old, new in pairs for one in _changed(listed, old, new, keys, system)]
    for was, now in zip(before.cabinets, after.cabinets, strict=True):
        for n, (a, b) in enumerate(zip(was.boxes, now.boxes, strict=True), 1):
            if a.width != b.width:
                out.append(Written("cabinets", now.id, "boxes", units.as_typed(b.width, system), n, "width"))
    return tuple(out)


def _changed(listed: str, old: Record, new: Record, keys: tuple[str, ...], system: units.Units) -> Iterator[Written]:
    known = str(getattr(new, "tag", "") or getattr(new, "id", ""))
    for key in keys:
        was, now = getattr(old, key), getattr(new, key)
        if was == now or now is None:
            continue
        name = key.rstrip("_").replace("_", " ")
        if listed == "routes":
            for n, (a, b) in enumerate(zip(was, now, strict=True), 1):
                if a != b:
                    yield Written(listed, known, name, units.all_typed(b, system), n)
        elif isinstance(now, tuple):
            yield Written(listed, known, name, units.all_typed(now, system))
        else:
            yield Written(listed, known, name, units.as_typed(now, system))
