"""What stands round some pipes: a small design of them and their surroundings, with their holes bored anew. [mm]."""

from __future__ import annotations

from dataclasses import dataclass, replace

from stubout.catalog.queries import measured_catalog
from stubout.design import Design
from stubout.fabrication.bores import bores_in, framed
from stubout.fabrication.members import Member
from stubout.fabrication.model import Bore
from stubout.fabrication.pieces import Straight
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import Frame, House
from stubout.network.model import Network, Pipe

FAR_REACHING = ("footing", "pad")  # a plane of earth falls away from them
BESIDE_MM = 200.0  # hubs, studs and headers beside a pipe reach less far than this


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The part of a house that some pipes can touch while they are moved, and the pipes that run through it."""

    house: House
    pipes: frozenset[str]  # the moved ones and those near them
    frame: tuple[tuple[Member, Box], ...]


@dataclass(frozen=True, slots=True)
class Boxes:
    """The boxes round all that stands in a house and round its pipes, found once for many marks."""

    house: House
    walls: tuple[Box, ...]
    studs: tuple[tuple[Box, ...], ...]  # wall by wall
    frames: tuple[Box, ...]
    pipes: tuple[tuple[str, Box], ...]  # with what stands out beside them


def boxes_of(design: Design) -> Boxes:
    """Return the boxes round what stands in the house of a design, and round its pipes."""
    house = design.house
    return Boxes(
        house,
        tuple(_wall_box(w) for w in house.walls),
        tuple(tuple(_stud_box(w, s.station_mm) for s in w.studs) for w in house.walls),
        tuple(_frame_box(f) for f in house.frames),
        tuple((p.id, _reach(p, BESIDE_MM)) for p in design.pipes()),
    )


def surroundings(design: Design, moved: frozenset[str], most_mm: float, known: Boxes | None = None) -> Surroundings:
    """Return what some pipes can touch when they are moved by no more than `most_mm`.

    Args:
        design: The design.
        moved: Ids of the pipes.
        most_mm: How far they are moved at most.
        known: The boxes of the design, where many marks are asked for.
    """
    boxes = [_reach(p, most_mm + BESIDE_MM) for p in design.pipes() if p.id in moved]
    known = known or boxes_of(design)
    house = design.house
    near = replace(
        house,
        walls=tuple(
            _near_wall(w, studs, boxes)
            for w, box, studs in zip(house.walls, known.walls, known.studs, strict=True)
            if _meet_any(box, boxes)
        ),
        frames=tuple(
            _near_frame(f, boxes) for f, box in zip(house.frames, known.frames, strict=True) if _meet_any(box, boxes)
        ),
        obstacles=tuple(
            o for o in house.obstacles if o.keep_clear_above_below or o.kind in FAR_REACHING or _meet_any(o.box, boxes)
        ),
    )
    beside = frozenset(i for i, box in known.pipes if _meet_any(box, boxes))
    return Surroundings(near, beside | moved, framed(near))


def rebuilt(around: Surroundings, house: House, changed: frozenset[str]) -> Surroundings:
    """Return surroundings with some walls, and what is in them, as another house has them.

    Args:
        around: The surroundings.
        house: The other house.
        changed: Ids of the walls.
    """
    near = around.house
    walls = tuple(w for w in near.walls if w.id not in changed) + tuple(w for w in house.walls if w.id in changed)
    obstacles = tuple(o for o in near.obstacles if o.wall_id not in changed)
    obstacles += tuple(o for o in house.obstacles if o.wall_id in changed)
    now = replace(near, walls=walls, obstacles=obstacles)
    gone = {o.id for o in near.obstacles if o.wall_id in changed}
    kept = tuple(
        (m, box)
        for m, box in around.frame
        if m.frame is not None or m.owner not in (gone if m.wall is None else changed)
    )
    part = replace(
        now,
        walls=tuple(w for w in walls if w.id in changed),
        obstacles=tuple(o for o in obstacles if o.wall_id in changed),
        frames=(),
    )
    return Surroundings(now, around.pipes, kept + framed(part))


def local(design: Design, moved: frozenset[str], around: Surroundings, known: dict[tuple[str, str], Bore]) -> Design:
    """Return the design with the moved pipes only, in their surroundings, their holes bored anew.

    Args:
        design: The design, points already moved.
        moved: Its moved pipes.
        around: Their surroundings.
        known: The holes as listed, by pipe and member: a hole keeps its number and its size.
    """
    return bored(only(design, moved, around), around, known)


def only(design: Design, some: frozenset[str], around: Surroundings) -> Design:
    """Return the design with some pipes only and their couplings, in their surroundings, without other fittings."""
    net = design.network
    pipes = tuple(p for p in net.pipes if p.id in some)
    coupled = tuple(f for f in design.fabrication.fittings if f.in_run and f.pipes[0] in some)
    bare = replace(design.fabrication, fittings=coupled, pieces=())
    return replace(design, house=around.house, network=Network(net.nodes, pipes, ()), fabrication=bare)


def bored(design: Design, around: Surroundings, known: dict[tuple[str, str], Bore]) -> Design:
    """Return a design of a few pipes with their holes bored anew; see `local`."""
    parts = measured_catalog(design.house.measured)
    runs = tuple(Straight(((p, True),)) for p in design.pipes())
    holes = bores_in(around.frame, runs, around.house, design.framing, parts)
    return replace(design, fabrication=replace(design.fabrication, bores=tuple(_kept(b, known) for b in holes)))


def _kept(bore: Bore, known: dict[tuple[str, str], Bore]) -> Bore:
    """Return a hole bored anew under the number and with the size it has on the list."""
    old = known.get((bore.pipe, bore.member))
    if old is None:
        return replace(bore, id=f"{bore.pipe} in {bore.member}")
    edge = bore.edge_mm + (bore.hole_mm - old.hole_mm) / 2
    verdict = "ok" if bore.verdict in ("too big", "edge") and old.verdict == "ok" else bore.verdict
    return replace(bore, id=old.id, hole_mm=old.hole_mm, edge_mm=edge, verdict=verdict)


def _reach(p: Pipe, more_mm: float) -> Box:
    return segment_bounds(p.a, p.b, more_mm)


def _meet_any(box: Box, boxes: list[Box]) -> bool:
    """Return whether a box meets any of some others."""
    (x0, y0, z0), (x1, y1, z1) = box
    return any(
        x0 <= hi[0] and lo[0] <= x1 and y0 <= hi[1] and lo[1] <= y1 and z0 <= hi[2] and lo[2] <= z1 for lo, hi in boxes
    )


def _wall_box(wall: Wall) -> Box:
    return segment_bounds(wall.start, wall.end.at_z(wall.top_z_mm), wall.depth_mm / 2)


def _stud_box(wall: Wall, station_mm: float) -> Box:
    lo, hi = wall.point(station_mm, wall.bottom_z_mm), wall.point(station_mm, wall.top_z_mm)
    return segment_bounds(lo, hi, wall.depth_mm / 2)


def _near_wall(wall: Wall, studs: tuple[Box, ...], boxes: list[Box]) -> Wall:
    """Return a wall with the studs near any of the boxes."""
    near = tuple(s for s, box in zip(wall.studs, studs, strict=True) if _meet_any(box, boxes))
    return replace(wall, studs=near)


def _frame_box(f: Frame) -> Box:
    lo, hi = (f.along_lo_mm, f.across_lo_mm), (f.along_hi_mm, f.across_hi_mm)
    if f.runs == "y":
        lo, hi = (lo[1], lo[0]), (hi[1], hi[0])
    return Box(Vec(*lo, f.bottom_z_mm), Vec(*hi, f.top_z_mm))


def _near_frame(frame: Frame, boxes: list[Box]) -> Frame:
    """Return a frame with the members near any of the boxes."""
    axis = 1 if frame.runs == "x" else 0
    half = frame.width_mm
    kept = tuple(c for c in frame.centres_mm if any(b.lo[axis] - half <= c <= b.hi[axis] + half for b in boxes))
    return replace(frame, centres_mm=kept)
