"""Where a stack can stand: every plumb line from a floor zone down to the lowest drain. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stubout.geometry.vec import Vec
from stubout.house.model import HouseLevel
from stubout.layout.cavity import Spot
from stubout.layout.model import Place
from stubout.layout.space_shapes import XY, Gauge
from stubout.layout.work import Work

SPOT_STEP_MM = 40.0


@dataclass(frozen=True, slots=True)
class StackSpot:
    """One place for a stack: its plumb line from the top down, and the vent size its top can carry."""

    xy: XY
    pieces: tuple[tuple[float, float, Place], ...]
    vent_in: float  # 0 = no vent can rise from its top
    above: Spot | None  # the spot of the wall above where the stack vent stands
    wall_id: str


def stack_spots(
    work: Work, level: HouseLevel, g: Gauge, vent_sizes: tuple[float, ...], anchors: Sequence[XY] = ()
) -> Iterator[StackSpot]:
    """Yield the places for a stack that takes the floor zone of a level, one or two a bay."""
    below = work.space.level_below(level)
    if below is None:
        return
    cavity = work.cavity
    order = work.house.wishes.stack_walls
    walls = [w for w in cavity.walls_of(below) if not w.knee and not w.against_concrete]
    walls.sort(key=lambda w: order.index(w.id) if w.id in order else len(order))
    for w in walls:
        if not cavity.allowed(w, "drain") or w.exterior or not cavity.fits_depth(w, g):
            continue
        slack = max(0.0, w.depth_mm / 2 - g.hub_r)
        for bay in w.bays:
            lo, hi = bay.lo_mm + g.hub_r, bay.hi_mm - g.hub_r
            if lo > hi:
                continue
            n = max(1, int((hi - lo) / SPOT_STEP_MM))
            stations = sorted((lo + (hi - lo) * i / n for i in range(n + 1)), key=lambda s: abs(s - bay.middle_mm))
            found: list[StackSpot] = []
            for a in anchors:  # straight across from a closet, where the bay lets it be
                s0 = w.station(Vec(a[0], a[1], 0.0))
                if not lo <= s0 <= hi:
                    continue
                spot = Spot(w, bay, s0, 0.0)
                pieces = plunge(work, spot, g)
                if pieces is not None:
                    vent_in, above = _vent_over(work, level, spot.xy, vent_sizes)
                    yield StackSpot(spot.xy, pieces, vent_in, above, w.id)
            for off in (0.0, slack * 0.7, -slack * 0.7):
                for s in stations:
                    spot = Spot(w, bay, s, off)
                    pieces = plunge(work, spot, g)
                    if pieces is None:
                        continue
                    vent_in, above = _vent_over(work, level, spot.xy, vent_sizes)
                    found.append(StackSpot(spot.xy, pieces, vent_in, above, w.id))
                    if vent_in == vent_sizes[0]:
                        break
                if found and found[-1].vent_in == vent_sizes[0]:
                    break
            if found:
                yield max(found, key=lambda f: f.vent_in)


def _vent_over(work: Work, level: HouseLevel, xy: XY, sizes: tuple[float, ...]) -> tuple[float, Spot | None]:
    p = Vec(xy[0], xy[1], 0.0)
    for size in sizes:
        g = work.gauge(size)
        for w in work.cavity.walls_of(level):
            s = w.station(p)
            off = w.offset(p)
            if not 0 < s < w.length_mm or abs(off) > max(0.0, w.depth_mm / 2 - g.hub_r) + 0.5:
                continue
            bay = w.bay_at(s)
            if bay is None or w.knee:
                continue
            spot = Spot(w, bay, s, off)
            r = work.cavity.rise(spot, w.bottom_z_mm, g)
            if r.ends != "blocked":
                return size, spot
            if r.top >= w.bottom_z_mm + 1200 and r.top > w.bottom_z_mm:
                return size, spot
    return 0.0, None


def plunge(work: Work, spot: Spot, g: Gauge) -> tuple[tuple[float, float, Place], ...] | None:
    """Return the places of a plumb line from the top of a wall down to the lowest drain, None if it cannot stand."""
    w = spot.wall
    cavity, space, house = work.cavity, work.space, work.house
    level = house.level(w.level_id)
    over = space.level_above(level)
    frame_over = house.frame_carrying(over.id) if over is not None else None
    if frame_over is not None and cavity.through_frame(frame_over, spot.xy, g):
        return None
    if cavity.clear(w, spot.station, w.bottom_z_mm, w.top_z_mm, g, spot.offset) or work.taken(spot, g):
        return None
    pieces: list[tuple[float, float, Place]] = [(w.bottom_z_mm, w.top_z_mm, Place("wall", w.id, spot.bay.index))]
    while True:
        if level.kind == "slab":
            return tuple(pieces) if _foot_clear(work, spot.xy, g) else None
        frame = house.frame_carrying(level.id)
        if frame is None or cavity.through_frame(frame, spot.xy, g):
            return None
        below = space.level_below(level)
        if below is None or below.kind == "ground":
            return tuple(pieces)
        pieces.append((frame.bottom_z_mm, frame.top_z_mm + frame.panel_mm, Place("joist bay", frame.id)))
        nxt = cavity.wall_over(below, spot.xy, g)
        if nxt is not None:
            pieces.append((nxt.bottom_z_mm, nxt.top_z_mm, Place("wall", nxt.id)))
        else:
            if below.kind != "slab":
                return None
            p = Vec(spot.xy[0], spot.xy[1], 0)
            if any(
                r.level_id == below.id and r.holds(p) and not r.ceiling_open and not r.exposed_pipe_ok
                for r in house.rooms
            ):
                return None
            if _in_the_way(work, spot.xy, g, below.subfloor_z_mm, frame.bottom_z_mm):
                return None
            pieces.append((below.subfloor_z_mm, frame.bottom_z_mm, Place("room", below.id)))
        level = below


def _foot_clear(work: Work, xy: XY, g: Gauge) -> bool:
    m = g.hub_r
    return not any(
        o.kind in ("footing", "pad")
        and o.box.lo.x - m < xy[0] < o.box.hi.x + m
        and o.box.lo.y - m < xy[1] < o.box.hi.y + m
        for o in work.house.obstacles
    )


def _in_the_way(work: Work, xy: XY, g: Gauge, lo: float, hi: float) -> bool:
    m = g.hub_r + 12
    return any(
        o.kind in ("appliance", "duct", "post", "panel", "beam")
        and o.box.lo.z < hi
        and o.box.hi.z > lo
        and o.box.lo.x - m < xy[0] < o.box.hi.x + m
        and o.box.lo.y - m < xy[1] < o.box.hi.y + m
        for o in work.house.obstacles
    )
