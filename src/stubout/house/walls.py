"""Walls: studs on their module, jacks, kings and cripples at the openings, bays, plates and finishes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final, Literal

from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Bay, FinishZone, Opening, Side, Stud, Wall
from stubout.house.lookup import TOUCH_MM
from stubout.house.model import HouseLevel, Obstacle
from stubout.house.under_roof import Tops
from stubout.job.model import FinishSaid, OpeningSaid, WallSaid

StudKind = Literal["stud", "end", "jack", "king", "cripple", "post", "added"]

# Actual sizes of dressed lumber (PS 20; CSA O141 prints the metric ones): nothing a job file needs to repeat.
LUMBER_MM: Final = {"mm": 38.0, "inch": 38.1}
END_DROP_MM: Final = {"mm": 50.0, "inch": 50.8}  # a module stud nearer than this to the end stud is left out


def resolve_wall(
    said: WallSaid, openings: Sequence[OpeningSaid], level: HouseLevel, units: str, tops: Tops = ()
) -> Wall:
    """Return a wall with its studs, bays, plates, openings and finish zones.

    Args:
        said: The wall as the job has it.
        openings: Its openings.
        level: Its level.
        units: Units of the job, which say how lumber is named: `mm` or `inch`.
        tops: The corners of its top, where the roof cuts it.
    """
    lumber = LUMBER_MM[units]
    width = said.stud_width or lumber
    knee = "knee" in said.role
    bottom_plate = lumber if said.bottom_plate is None else said.bottom_plate
    top_plate = (lumber if knee else 2 * lumber) if said.top_plate is None else said.top_plate
    z0 = level.subfloor_z_mm
    top = max((z for _, z in tops), default=top_said(said, level))
    length = round(math.dist(said.from_, said.to), 6)  # no binary dust: stations are compared
    exterior = "exterior" in said.role
    holes = tuple(
        Opening(
            id=o.id, wall_id=said.id, station_mm=o.at, width_mm=o.width, sill_z_mm=z0 + o.sill, head_z_mm=z0 + o.head,
            header_top_z_mm=top - top_plate if o.header_to is None else z0 + o.header_to,
            what=o.what, opens=o.opens, exterior=exterior,
        )
        for o in sorted(openings, key=lambda o: (o.at, o.id))
    )  # fmt: skip
    places = _places(said, length, width, END_DROP_MM[units])
    studs = _studs(places, width, holes, z0 + bottom_plate, top - top_plate, lumber)
    wall = Wall(
        id=said.id, level_id=said.level,
        start=Vec(*said.from_, z0), end=Vec(*said.to, z0),
        depth_mm=said.stud, spacing_mm=said.spacing, studs=studs,
        bottom_z_mm=z0, top_z_mm=top, bottom_plate_mm=bottom_plate, top_plate_mm=top_plate,
        bearing="bearing" in said.role, exterior=exterior, insulated="insulated" in said.role,
        left=_finish(said.left, length, z0, top), right=_finish(said.right, length, z0, top),
        openings=holes, bays=_bays(said.id, studs, holes, length), knee=knee, against_concrete=said.against_concrete,
        not_bearing="non-bearing" in said.role,
    )  # fmt: skip
    return _cut(wall, tops, top_said(said, level), openings) if tops else wall


def _cut(level: Wall, tops: Tops, said_z: float, openings: Sequence[OpeningSaid]) -> Wall:
    """Return a wall cut along the roof: its studs, and the headers that go up to its plates."""
    wall = replace(level, tops=tops, said_top_z_mm=said_z)
    unsaid = {o.id for o in openings if o.header_to is None}
    holes = tuple(
        replace(o, header_top_z_mm=max(o.head_z_mm, wall.least_under_plates(o.station_mm, o.station_mm + o.width_mm)))
        if o.id in unsaid
        else o
        for o in level.openings
    )
    cut = (replace(s, hi_z_mm=min(s.hi_z_mm, wall.least_under_plates(*_faces(s)))) for s in level.studs)
    return replace(wall, openings=holes, studs=tuple(s for s in cut if s.hi_z_mm > s.lo_z_mm + 1))


def _faces(stud: Stud) -> tuple[float, float]:
    return stud.station_mm - stud.width_mm / 2, stud.station_mm + stud.width_mm / 2


def top_said(said: WallSaid, level: HouseLevel) -> float:
    """Return the top of a wall as the job has it [house z]."""
    return level.subfloor_z_mm + (level.wall_height_mm if said.height is None else said.height)


def module_stations(length: float, spacing: float, width: float, end_drop: float) -> tuple[tuple[float, StudKind], ...]:
    """Return the stud centres of a plain wall and what they are [mm].

    First centre at half a stud, then the module counted from the wall's start, then the end stud; a module stud nearer
    than `end_drop` to the end stud is left out.
    """
    last = length - width / 2
    out: list[tuple[float, StudKind]] = [(width / 2, "end")]
    n = 1
    while n * spacing < last - 1e-6:
        if last - n * spacing >= end_drop - 1e-6:
            out.append((n * spacing, "stud"))
        n += 1
    out.append((last, "end"))
    return tuple(out)


def _places(said: WallSaid, length: float, width: float, end_drop: float) -> list[tuple[float, StudKind]]:
    if said.studs:
        ends = (min(said.studs), max(said.studs))
        out: list[tuple[float, StudKind]] = [(s, "end" if s in ends else "stud") for s in said.studs]
    else:
        out = list(module_stations(length, said.spacing, width, end_drop))
    out += [(s, "added") for s in said.added_studs]
    out += [(s + width, "added") for s in said.doubled_studs]
    return out


def _studs(
    places: Sequence[tuple[float, StudKind]],
    width: float,
    holes: Sequence[Opening],
    lo: float,
    hi: float,
    lumber: float,
) -> tuple[Stud, ...]:
    out: list[Stud] = []
    for at, kind in places:
        hole = next((h for h in holes if _inside(at, width, h, lumber)), None)
        if hole is None:
            out.append(Stud(at, width, kind, lo, hi))
            continue
        if not hole.station_mm <= at <= hole.station_mm + hole.width_mm:
            continue  # its place is taken by the jack or the king
        if hole.sill_z_mm - lumber > lo + 1:
            out.append(Stud(at, width, "cripple", lo, hole.sill_z_mm - lumber))
        if hi > hole.header_top_z_mm + 1:
            out.append(Stud(at, width, "cripple", hole.header_top_z_mm, hi))
    for h in holes:
        ends = ((h.station_mm, -1), (h.station_mm + h.width_mm, 1))
        for edge, way in ends:
            out.append(Stud(edge + way * lumber / 2, lumber, "jack", lo, h.head_z_mm))
            out.append(Stud(edge + way * 1.5 * lumber, lumber, "king", lo, hi))
    clean = (replace(s, station_mm=round(s.station_mm, 6)) for s in out)
    return tuple(sorted(clean, key=lambda s: (s.station_mm, s.lo_z_mm, s.kind)))


def _inside(at: float, width: float, hole: Opening, lumber: float) -> bool:
    """Return whether a stud would stand in an opening or in the place of its jacks and kings."""
    lo = hole.station_mm - 2 * lumber
    hi = hole.station_mm + hole.width_mm + 2 * lumber
    return lo + 1e-6 < at + width / 2 and at - width / 2 < hi - 1e-6


def _bays(wall_id: str, studs: Sequence[Stud], holes: Sequence[Opening], length: float) -> tuple[Bay, ...]:
    """Return the clear spaces between full-height studs; the openings themselves are no bays."""
    spans = sorted((s.station_mm - s.width_mm / 2, s.station_mm + s.width_mm / 2) for s in studs if s.kind != "cripple")
    spans += [(h.station_mm, h.station_mm + h.width_mm) for h in holes]
    out: list[Bay] = []
    edge = None
    for lo, hi in sorted(spans):
        if edge is not None and lo - edge > 1:
            out.append(Bay(wall_id, len(out), round(edge, 6), round(lo, 6)))
        edge = hi if edge is None else max(edge, hi)
    return tuple(b for b in out if b.hi_mm <= length + 1)


def _finish(said: Sequence[FinishSaid], length: float, z0: float, top: float) -> tuple[FinishZone, ...]:
    return tuple(
        FinishZone(
            thick_mm=f.thick,
            from_station_mm=0.0 if f.from_ is None else f.from_,
            to_station_mm=length if f.to is None else f.to,
            from_z_mm=z0 if f.above is None else z0 + f.above,
            to_z_mm=top if f.below is None else z0 + f.below,
            what=f.what,
        )
        for f in said
    )


def set_to_studs(wall: Wall, body: Box, what: str, hi_z: float) -> tuple[Side, FinishZone] | None:
    """Return the bare zone where a tub or shower stands against the studs of a wall, None if it does not."""
    sides: tuple[Side, ...] = ("left", "right")
    for side in sides:
        face = wall.depth_mm / 2 if side == "left" else -wall.depth_mm / 2
        corners = [Vec(x, y, wall.bottom_z_mm) for x in (body.lo.x, body.hi.x) for y in (body.lo.y, body.hi.y)]
        against = [c for c in corners if abs(wall.offset(c) - face) <= TOUCH_MM]
        stations = [wall.station(c) for c in against]
        if len(against) < 2 or max(stations) <= 0 or min(stations) >= wall.length_mm:
            continue
        lo, hi = round(max(0.0, min(stations)), 6), round(min(wall.length_mm, max(stations)), 6)
        if hi - lo > TOUCH_MM:
            return side, FinishZone(0.0, lo, hi, wall.bottom_z_mm, hi_z, what)
    return None


def header_obstacles(wall: Wall, lumber: float) -> tuple[Obstacle, ...]:
    """Return the headers of a wall's openings as boxes: bearing on the jacks, as deep as the wall."""
    out = []
    for o in wall.openings:
        if o.header_top_z_mm - o.head_z_mm > 1:
            box = wall_box(
                wall, o.station_mm - lumber, o.station_mm + o.width_mm + lumber, o.head_z_mm, o.header_top_z_mm,
                -wall.depth_mm / 2, wall.depth_mm / 2,
            )  # fmt: skip
            out.append(Obstacle(f"{o.id} header", f"header over {o.what or o.id}", box, "header", wall.id))
    return tuple(out)


def wall_box(wall: Wall, s0: float, s1: float, z0: float, z1: float, out0: float, out1: float) -> Box:
    """Return the box between two stations, two heights and two offsets to the left of the wall's centre line [mm]."""
    corners = [wall.point(s, z0, out) for s in (s0, s1) for out in (out0, out1)]
    return hull(corners, min(z0, z1), max(z0, z1))


def hull(corners: Sequence[Vec], lo_z: float, hi_z: float) -> Box:
    """Return the axis-aligned box round plan points, between two heights [mm]."""
    xs, ys = [c.x for c in corners], [c.y for c in corners]
    return Box(Vec(min(xs), min(ys), lo_z), Vec(max(xs), max(ys), hi_z))
