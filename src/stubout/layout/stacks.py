"""Where a stack can stand: every plumb line from a floor zone down to the lowest drain. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stubout.geometry.vec import Vec
from stubout.house.framing import Bay, Wall
from stubout.house.model import Frame, HouseLevel, Obstacle
from stubout.kinds import FixtureKind
from stubout.layout.cavity_shapes import Spot
from stubout.layout.model import Place
from stubout.layout.space_shapes import XY, Gauge, crossing_station
from stubout.layout.washer_bays import in_washers_bay
from stubout.layout.weights import HANG_GAP_MM, WEIGHTS
from stubout.layout.work import Work

SPOT_STEP_MM = 40.0
BESIDE_MM = 600.0  # a stack so near a wall or a post is not in the way; common practice, no source
IN_A_WASHERS_BAY = 3_000.0  # what a stack in the bay of a washer box weighs [mm of pipe]
NEXT_BAY_MM = 300.0  # so far aside of a closet its stack may stand in a bay beside its own
BEFORE_A_STUB = 1_500.0  # what a stack weighs where the arm of a fixture comes into its wall
IN_THE_MIDDLE = 1_500.0  # what a stack in the middle of an open basement weighs beside one at a wall [mm of pipe]


@dataclass(frozen=True, slots=True)
class StackSpot:
    """One place for a stack: its plumb line from the top down, and the vent size its top can carry."""

    xy: XY
    pieces: tuple[tuple[float, float, Place], ...]
    vent_in: float  # 0 = no vent can rise from its top
    above: Spot | None  # the spot of the wall above where the stack vent stands
    wall_id: str  # "" = it stands free
    extra: float = 0.0  # what its place weighs beside another [mm of pipe]


def stack_spots(
    work: Work, level: HouseLevel, g: Gauge, vent_sizes: tuple[float, ...], anchors: Sequence[XY] = ()
) -> Iterator[StackSpot]:
    """Yield the places for a stack that takes the floor zone of a level, one or two a bay."""
    below = work.space.level_below(level)
    if below is None:
        return
    order = work.house.wishes.stack_walls
    walls = sorted(_walls(work, below, g), key=lambda w: order.index(w.id) if w.id in order else len(order))
    for w in walls:
        slack = max(0.0, w.depth_mm / 2 - g.hub_r)
        for bay in w.bays:
            stations = _stations(bay, g)
            found: list[StackSpot] = []
            for s0 in _across_from(work, w, stations, anchors):
                one = _down(work, level, Spot(w, bay, s0, 0.0), g, vent_sizes)
                if one is not None:
                    yield one
            for off in (0.0, slack * 0.7, -slack * 0.7):
                for s in stations:
                    one = _down(work, level, Spot(w, bay, s, off), g, vent_sizes)
                    if one is None:
                        continue
                    found.append(one)
                    if one.vent_in == vent_sizes[0]:
                        break
                if found and found[-1].vent_in == vent_sizes[0]:
                    break
            if found:
                yield max(found, key=lambda f: f.vent_in)


def spots_around(
    work: Work,
    level: HouseLevel,
    g: Gauge,
    vent_sizes: tuple[float, ...],
    xy: XY,
    near: float,
    far: float,
    others: Sequence[XY] = (),
) -> Iterator[StackSpot]:
    """Yield places for a stack at no more and no less than a distance from a floor outlet, the nearest first [mm].

    Args:
        work: The desk.
        level: The storey of the outlet.
        g: The stack.
        vent_sizes: What its vent may be [in], the largest first.
        xy: The outlet.
        near: No nearer to it.
        far: No farther from it.
        others: Outlets behind a wall: where the line to one of them passes that wall is a place too.
    """
    below = work.space.level_below(level)
    if below is None:
        return
    bays = ((w, bay, _stations(bay, g)) for w in _walls(work, below, g) for bay in w.bays)
    spots = (Spot(w, b, s, 0.0) for w, b, places in bays for s in (*places, *_between(w, places, xy, others)))
    tries = [(round(away, 1), spot) for spot in spots if near <= (away := math.dist(spot.xy, xy)) <= far]
    for _, spot in sorted(tries, key=lambda t: (t[0], t[1].wall.id, t[1].station)):
        one = _down(work, level, spot, g, vent_sizes)
        if one is not None:
            yield one


def spot_below(work: Work, level: HouseLevel, xy: XY, g: Gauge) -> StackSpot | None:
    """Return the place for a stack that goes straight down from a drop in a wall above it, None if it cannot."""
    below = work.space.level_below(level)
    if below is None:
        return None
    p = Vec(xy[0], xy[1], 0.0)
    for w in _walls(work, below, g):
        s, off = w.station(p), w.offset(p)
        bay = w.bay_at(s) if 0.0 < s < w.length_mm else None
        if bay is None or not bay.lo_mm + g.hub_r <= s <= bay.hi_mm - g.hub_r or abs(off) > w.depth_mm / 2 - g.hub_r:
            continue
        pieces = plunge(work, Spot(w, bay, s, off), g)
        if pieces is not None:
            return StackSpot(xy, pieces, 0.0, None, w.id)
    return None


def _walls(work: Work, below: HouseLevel, g: Gauge) -> list[Wall]:
    """Return the walls of a level that a stack may go down in."""
    cavity = work.cavity
    inside = (w for w in cavity.walls_of(below) if not (w.knee or w.against_concrete or w.exterior))
    unwanted = work.house.wishes.no_stack_in_walls
    return [w for w in inside if w.id not in unwanted and cavity.allowed(w, "drain") and cavity.fits_depth(w, g)]


def _stations(bay: Bay, g: Gauge) -> list[float]:
    """Return where a pipe may stand in a bay, from its middle outwards; none where its hub does not go between."""
    lo, hi = bay.lo_mm + g.hub_r, bay.hi_mm - g.hub_r
    if lo > hi:
        return []
    n = max(1, int((hi - lo) / SPOT_STEP_MM))
    return sorted((lo + (hi - lo) * i / n for i in range(n + 1)), key=lambda s: abs(s - bay.middle_mm))


def _between(w: Wall, stations: Sequence[float], xy: XY, others: Sequence[XY]) -> Iterator[float]:
    """Yield where in a bay a stack stands in the line from one outlet to another behind the wall."""
    for other in others if stations else ():
        s = crossing_station(w, xy, other)
        if s is not None and min(stations) <= s <= max(stations):
            yield s


def _across_from(work: Work, w: Wall, stations: Sequence[float], anchors: Sequence[XY]) -> Iterator[float]:
    """Yield where in a bay a stack stands straight across from closets, where the bay lets it be."""
    for a in anchors if stations else ():
        s0 = w.station(Vec(a[0], a[1], 0.0))
        if work.order.leaves_room:  # or from the next bay, as near as it goes
            near = min(max(s0, min(stations)), max(stations))
            s0 = near if abs(near - s0) < NEXT_BAY_MM else s0
        if min(stations) <= s0 <= max(stations):
            yield s0


def _down(work: Work, level: HouseLevel, spot: Spot, g: Gauge, vent_sizes: tuple[float, ...]) -> StackSpot | None:
    """Return the place for a stack at a spot, None if it cannot go down there."""
    pieces = plunge(work, spot, g)
    if pieces is None:
        return None
    vent_in, above = _vent_over(work, level, spot.xy, vent_sizes)
    extra = _in_their_way(work, spot.xy, pieces, g) + _beside_a_vent(work, above, min(vent_in, g.size_in))
    return StackSpot(spot.xy, pieces, vent_in, above, spot.wall.id, extra)


def _beside_a_vent(work: Work, above: Spot | None, vent_in: float) -> float:
    """Return what it weighs that a vent stands so near that of a stack that both cannot tie into one header [mm]."""
    if above is None or vent_in <= 0.0:
        return 0.0
    apart = work.board.fits.vent_apart(vent_in)
    at = above.station
    tight = any(o.wall.id == above.wall.id and 1.0 < abs(o.station - at) < apart for o, _ in work.risers)
    return WEIGHTS.short_leg if tight else 0.0


def _in_their_way(work: Work, xy: XY, pieces: Sequence[tuple[float, float, Place]], g: Gauge) -> float:
    """Return what it weighs that a stack comes down where fixtures of the walls it passes want their own pipes [mm]."""
    total = 0.0
    if not work.order.leaves_room:
        return total
    for place in (place for _, _, place in pieces if place.kind == "wall"):
        w = work.house.wall(place.ref)
        at = w.station(Vec(xy[0], xy[1], 0.0))
        total += IN_A_WASHERS_BAY if in_washers_bay(work, w, at) else 0.0
        for f in work.house.fixtures:
            if f.wall_id != w.id or f.station_mm is None or f.floor_outlet or f.tag in work.traps:
                continue
            if f.kind is not FixtureKind.CLOTHES_WASHER and abs(f.station_mm - at) < g.hub_mm:
                total += BEFORE_A_STUB
    return total


def free_spots(
    work: Work, level: HouseLevel, g: Gauge, vent_sizes: tuple[float, ...], anchors: Sequence[XY] = ()
) -> Iterator[StackSpot]:
    """Yield places for a stack that stands free in an unfinished basement, plumb under the walls of the level above."""
    below = work.space.level_below(level)
    frame = work.house.frame_carrying(level.id)
    if below is None or frame is None or not work.space.basement(below):
        return
    piece = (below.subfloor_z_mm, frame.bottom_z_mm, Place("room", below.id))
    for w in work.cavity.walls_of(level):
        if w.knee or w.exterior or not work.cavity.allowed(w, "vent"):
            continue
        for bay in w.bays:
            stations = _stations(bay, g)

            def standing(s: float, w: Wall = w) -> StackSpot | None:
                at = w.point(s, 0.0)
                if not _stands_free(work, below, frame, (at.x, at.y), g):
                    return None
                vent_in, above = _vent_over(work, level, (at.x, at.y), vent_sizes)
                extra = 0.0 if _beside_something(work, below, (at.x, at.y)) else IN_THE_MIDDLE
                return StackSpot((at.x, at.y), (piece,), vent_in, above, "", extra)

            yield from filter(None, map(standing, _across_from(work, w, stations, anchors)))
            found: list[StackSpot] = []
            for s in stations:
                one = standing(s)
                if one is None:
                    continue
                found.append(one)
                if one.vent_in == vent_sizes[0]:
                    break
            if found:
                yield max(found, key=lambda f: f.vent_in)


def _stands_free(work: Work, below: HouseLevel, frame: Frame, xy: XY, g: Gauge) -> bool:
    """Return whether a pipe can stand from the basement floor up into the joists, clear of walls and things."""
    p = Vec(xy[0], xy[1], 0.0)
    reach = g.hub_r + HANG_GAP_MM
    if work.cavity.through_frame(frame, xy, g) or _footing_under(work, xy, g) is not None:
        return False
    if not _open_room(work, below, p) or _in_the_way(work, xy, g, below.subfloor_z_mm, frame.bottom_z_mm):
        return False
    return not work.cavity.wall_near(below, xy, reach, reach)


def _open_room(work: Work, level: HouseLevel, p: Vec) -> bool:
    """Return whether a pipe may be seen at a plan position of a level: no finished room is there."""
    return not any(
        r.level_id == level.id and r.holds(p) and not r.ceiling_open and not r.exposed_pipe_ok for r in work.house.rooms
    )


def _beside_something(work: Work, level: HouseLevel, xy: XY) -> bool:
    """Return whether a wall, the outside of the house or a post stands beside a plan position."""
    p, fp = Vec(xy[0], xy[1], 0.0), work.house.footprint
    if min(xy[0] - fp.lo.x, fp.hi.x - xy[0], xy[1] - fp.lo.y, fp.hi.y - xy[1]) < BESIDE_MM:
        return True
    if any(
        abs(w.offset(p)) < BESIDE_MM and -BESIDE_MM < w.station(p) < w.length_mm + BESIDE_MM
        for w in work.cavity.walls_of(level)
    ):
        return True
    return any(
        o.kind == "post"
        and o.box.lo.x - BESIDE_MM < xy[0] < o.box.hi.x + BESIDE_MM
        and o.box.lo.y - BESIDE_MM < xy[1] < o.box.hi.y + BESIDE_MM
        for o in work.house.obstacles
    )


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
    top = w.top_at(spot.station)
    if cavity.clear(w, spot.station, w.bottom_z_mm, top, g, spot.offset) or work.taken(spot, g):
        return None
    pieces: list[tuple[float, float, Place]] = [(w.bottom_z_mm, top, Place("wall", w.id, spot.bay.index))]
    while True:
        if level.kind == "slab":
            return tuple(pieces) if _footing_under(work, spot.xy, g) is None else None
        frame = house.frame_carrying(level.id)
        if frame is None or cavity.through_frame(frame, spot.xy, g):
            return None
        below = space.level_below(level)
        if below is None or below.kind == "ground":
            return tuple(pieces)
        if below is space.undrained:  # its drain hangs there: nothing of a wall below may be in its way
            return tuple(pieces) if space.plumb_clear(space.lowest_layer, spot.xy, g) else None
        pieces.append((frame.bottom_z_mm, frame.top_z_mm + frame.panel_mm, Place("joist bay", frame.id)))
        nxt = cavity.wall_over(below, spot.xy, g)
        if nxt is not None:
            pieces.append((nxt.bottom_z_mm, nxt.top_z_mm, Place("wall", nxt.id)))
        else:
            if not work.space.basement(below):
                return None
            if not _open_room(work, below, Vec(spot.xy[0], spot.xy[1], 0)):
                return None
            if _in_the_way(work, spot.xy, g, below.subfloor_z_mm, frame.bottom_z_mm):
                return None
            pieces.append((below.subfloor_z_mm, frame.bottom_z_mm, Place("room", below.id)))
        level = below


def _footing_under(work: Work, xy: XY, g: Gauge) -> Obstacle | None:
    m = g.hub_r
    ground = (o for o in work.house.obstacles if o.kind in ("footing", "pad"))
    return next(
        (o for o in ground if o.box.lo.x - m < xy[0] < o.box.hi.x + m and o.box.lo.y - m < xy[1] < o.box.hi.y + m),
        None,
    )


def on_footings(work: Work, level: HouseLevel, g: Gauge) -> tuple[tuple[str, str], ...]:
    """Return the walls under a level that could take a stack but for a footing under every bay of theirs, with those.

    Args:
        work: The desk.
        level: The level that drains into the stack.
        g: The girth of its pipe.
    """
    below = work.space.level_below(level)
    while below is not None and below.kind != "slab":
        below = work.space.level_below(below)
    out: dict[tuple[str, str], None] = {}
    for w in () if below is None else _walls(work, below, g):
        middles = (w.point(bay.middle_mm, 0.0) for bay in w.bays)
        under = [_footing_under(work, (at.x, at.y), g) for at in middles]
        if all(under):  # where one bay is free of them, something else is in the way
            out |= {(w.id, o.id): None for o in under if o is not None}
    return tuple(out)


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
