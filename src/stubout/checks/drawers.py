"""Where a trap, its tailpiece or a pipe meets the drawers of the cabinet it is in. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stubout.catalog import queries as catalog
from stubout.checks.base import TOUCH_TOL_MM, Review
from stubout.checks.facts import fixture, hub_mm, od_mm
from stubout.checks.space import boxes_meet
from stubout.checks.surroundings import Taken, boxes_at, meets, pipe_box
from stubout.geometry.vec import Box, Vec
from stubout.house.model import CabinetBox, Drawer
from stubout.layout.model import Role, StubMark
from stubout.network.model import Pipe


@dataclass(frozen=True, slots=True)
class Met:
    """One drawer that a trap or its tailpiece stands in the way of."""

    box: CabinetBox
    drawer: Drawer
    hub_mm: float
    deep_mm: float  # how far from the wall the tailpiece reaches
    high_mm: float  # how much of the drawer's height is in the way
    wide_mm: float  # how much wider its cut-out must be, 0 or less: wide enough
    short_mm: float  # how much deeper its cut-out must be
    pipe_only: bool  # the trap hangs below the drawer: only the tailpiece goes through it


def drawers_met(on: Review, mark: StubMark) -> tuple[Met, ...]:
    """Return the drawers that what hangs at a stub-out is in the way of, the lowest first."""
    body = fixture(on, mark.tag)
    hang = on.ask(catalog.trap_drop_mm, mark.size_in)
    hub = hub_mm(on, mark.size_in)
    if body is None or hang is None or hub is None:
        return ()
    trap_z_mm = mark.mark_z_mm + mark.arm_fall_mm
    lo_mm = trap_z_mm - hang
    hi_mm = max(trap_z_mm + hub / 2, body.outlet_z_mm or 0.0)
    at_mm = mark.station_mm
    if mark.place.clear and body.station_mm is not None:  # the mark is at the riser, the trap hangs under its outlet
        at_mm = body.station_mm
    deep_mm = (body.from_wall_mm or 0.0) + body.outlet_in * 25.4 / 2
    found = []
    for box in boxes_at(on, mark.wall_id, mark.side, at_mm):
        centre_mm = (box.from_station_mm + box.to_station_mm) / 2
        for drawer in box.drawers:
            meet_mm = min(hi_mm, drawer.hi_z_mm) - max(lo_mm, drawer.lo_z_mm)
            if meet_mm <= TOUCH_TOL_MM or drawer.back_gap_mm >= deep_mm:
                continue
            wide_mm = hub / 2 + abs(at_mm - centre_mm) - drawer.cut_width_mm / 2
            short_mm = deep_mm - drawer.cut_depth_mm - drawer.back_gap_mm
            if wide_mm <= 0.0 and short_mm <= TOUCH_TOL_MM:
                continue
            pipe_only = trap_z_mm + hub / 2 <= drawer.lo_z_mm
            found.append(Met(box, drawer, hub, deep_mm, meet_mm, wide_mm, short_mm, pipe_only))
    return tuple(sorted(found, key=lambda m: (m.box.id, m.drawer.lo_z_mm)))


@dataclass(frozen=True, slots=True)
class Stood:
    """One drawer that a pipe stands in."""

    pipe: Pipe
    box: CabinetBox
    drawer: Drawer
    what: str  # pipe, hub or coupling
    deep_mm: float  # how far it reaches into the drawer
    at: Vec
    cut_width_mm: float  # of a cut-out in the middle of the drawer that lets it pass
    cut_depth_mm: float


def pipes_met(on: Review, traps: Mapping[str, tuple[Met, ...]]) -> Iterator[Stood]:
    """Yield the drawers that pipes stand in, by box and pipe.

    But for arms whose own trap meets the same drawer, and for cleanouts that are carried out into a cabinet.

    Args:
        on: The design under review.
        traps: The drawers that what hangs at each stub-out meets, by tag.
    """
    boxes = sorted((c for c in on.house.cabinets if c.drawers), key=lambda c: c.id)
    if not boxes:
        return
    taken = tuple(_taken(on))
    for box in boxes:
        way = _forward(on, box)
        drawers = [(d, tuple(_parts(box, d, way))) for d in sorted(box.drawers, key=lambda d: d.lo_z_mm)]
        whole = _round([part for _, parts in drawers for part in parts])
        for pipe, room in taken:
            if whole is None or not boxes_meet(room.box, whole):  # nearly every pipe is clear of nearly every box
                continue
            for drawer, parts in drawers:
                trapped = any(m.box.id == box.id and m.drawer == drawer for m in traps.get(pipe.tag, ()))
                if pipe.role is Role.TRAP_ARM and trapped:
                    continue
                stood = _stands(on, pipe, room, box, drawer, parts, way)
                if stood is not None:
                    yield stood


def _taken(on: Review) -> Iterator[tuple[Pipe, Taken]]:
    """Yield the pipes that can stand in a cabinet with the room they take; one of unknown size is not judged."""
    sizes = {s: (od_mm(on, s), hub_mm(on, s)) for s in dict.fromkeys(p.size_in for p in on.net.pipes)}
    for pipe in on.net.pipes:
        size_mm, hub = sizes[pipe.size_in]
        if size_mm is None or hub is None or pipe.place.kind == "wall" or pipe.role is Role.CLEANOUT_EXT:
            continue
        yield pipe, Taken(size_mm, hub, pipe_box(pipe, hub / 2))


def _round(parts: list[Box]) -> Box | None:
    """Return the box round some boxes, None round none."""
    if not parts:
        return None
    lows, highs = zip(*(b.lo for b in parts), strict=True), zip(*(b.hi for b in parts), strict=True)
    return Box(Vec(*map(min, lows)), Vec(*map(max, highs)))


def _stands(
    on: Review, pipe: Pipe, room: Taken, box: CabinetBox, drawer: Drawer, parts: tuple[Box, ...], way: Vec | None
) -> Stood | None:
    """Return how a pipe stands in a drawer, None where it is clear of it or passes its cut-out.

    Args:
        on: The design under review.
        pipe: The pipe.
        room: The room it takes.
        box: The box of the drawer.
        drawer: The drawer.
        parts: The space the drawer takes when closed.
        way: The way it opens.
    """
    hits = [hit for part in parts if (hit := meets(on, pipe, part, room)) is not None]
    if not hits:
        return None
    deep_mm, at, what = max(hits, key=lambda h: h[0])
    r = room.size_mm / 2 if what == "pipe" else room.hub_mm / 2
    wide, deep = drawer.cut_width_mm, drawer.cut_depth_mm
    if way is not None:  # as far as the pipe runs within the drawer
        held = _within(pipe, box, drawer, r)
        along = Vec(way.y, -way.x)
        wide = max(wide, *(2 * (abs(p.minus(box.box.centre).dot(along)) + r) for p in held))
        deep = max(deep, *(_from_back(box, way, p) + r - drawer.back_gap_mm for p in held))
    return Stood(pipe, box, drawer, what, deep_mm, at, wide, deep)


def _within(pipe: Pipe, box: CabinetBox, drawer: Drawer, r: float) -> tuple[Vec, Vec]:
    """Return the ends of the part of a pipe whose middle is no farther from a drawer than its radius."""
    lo, hi = box.box.lo.at_z(drawer.lo_z_mm), box.box.hi.at_z(drawer.hi_z_mm)
    pad = Vec(r, r, r)
    lo, hi = lo.minus(pad), hi.plus(pad)
    d = pipe.b.minus(pipe.a)
    t0, t1 = 0.0, 1.0
    for a, way, low, high in zip(pipe.a, d, lo, hi, strict=True):
        if abs(way) > 1e-9:
            one, two = sorted(((low - a) / way, (high - a) / way))
            t0, t1 = max(t0, one), min(t1, two)
    return pipe.a.plus(d.times(t0)), pipe.a.plus(d.times(max(t0, t1)))


def _forward(on: Review, box: CabinetBox) -> Vec | None:
    """Return the way the drawers of a box open, None where it is not known or not along an axis of the house."""
    way = box.forward
    if way is None and box.wall_id:
        way = on.house.wall(box.wall_id).leftward.times(1.0 if box.side == "left" else -1.0)
    return way if way is not None and max(abs(way.x), abs(way.y)) > 1.0 - 1e-6 else None


def _from_back(box: CabinetBox, way: Vec, p: Vec) -> float:
    """Return how far a point is in front of the back of a box [mm]."""
    back = min(c.dot(way) for c in (box.box.lo, box.box.hi))
    return p.dot(way) - back


def _parts(box: CabinetBox, drawer: Drawer, way: Vec | None) -> Iterator[Box]:
    """Yield the space a closed drawer takes as boxes: all in front of its gap, but for its cut-out.

    Where it is not known which side its back is, the whole box at its height.
    """
    lo, hi = box.box.lo.at_z(drawer.lo_z_mm), box.box.hi.at_z(drawer.hi_z_mm)
    if way is None:
        yield Box(lo, hi)
        return
    along = Vec(way.y, -way.x)
    middle = box.box.centre.dot(along)
    sides = sorted((lo.dot(along), hi.dot(along)))
    back, front = sorted((lo.dot(way), hi.dot(way)))
    back += drawer.back_gap_mm
    cut = min(drawer.cut_depth_mm, front - back) if drawer.cut_width_mm > 0.0 else 0.0
    half = drawer.cut_width_mm / 2 if cut > 0.0 else 0.0
    spans = [(sides[0], sides[1], back + cut, front)]
    if cut > 0.0:
        spans += [(sides[0], middle - half, back, back + cut), (middle + half, sides[1], back, back + cut)]
    for s0, s1, o0, o1 in spans:
        if s1 > s0 and o1 > o0:
            ends = [along.times(s).plus(way.times(o)) for s, o in ((s0, o0), (s1, o1))]
            one, two = ends[0].at_z(drawer.lo_z_mm), ends[1].at_z(drawer.hi_z_mm)
            yield Box(
                Vec(min(one.x, two.x), min(one.y, two.y), one.z), Vec(max(one.x, two.x), max(one.y, two.y), two.z)
            )


def closed_by_drawer(on: Review, mark: StubMark) -> bool:
    """Return whether it is a drawer in front of a stub-out that leaves no height for it."""
    named = "drawer" in mark.lo_governs or "drawer" in mark.hi_governs
    return not mark.feasible and named and bool(drawers_met(on, mark))
