"""Room between the studs of a wall for a pipe that turns or joins there. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.house.framing import Wall

WOOD_TOL_MM = 0.5


@dataclass(frozen=True, slots=True)
class Corner:
    """Where a stretch came over from another wall."""

    wall: Wall
    station: float
    offset: float


def corner_in_stud(corner: Corner, w: Wall, lane: float, r: float) -> bool:
    """Return whether a pipe that comes over into a lane of another wall would turn where a stud of either stands.

    Args:
        corner: Where it comes over, in the wall it comes from.
        w: The wall it goes over into.
        lane: How far off the stud centre line it runs there [mm].
        r: Radius of the pipe [mm].
    """
    c = corner
    short = lane - w.offset(c.wall.point(c.station, 0.0))
    p = c.wall.point(c.station + short * w.leftward.dot(c.wall.along), 0.0, c.offset)
    return not (in_bay(c.wall, c.wall.station(p), r) and in_bay(w, w.station(p), r))


def in_bay(w: Wall, station: float, r: float) -> bool:
    """Return whether a pipe of a radius [mm] is clear of all studs at a station; past the ends of a wall it is."""
    return in_wood_mm(w, station, r) <= 0.0


def in_wood_mm(w: Wall, station: float, r: float) -> float:
    """Return how far [mm] a pipe of a radius [mm] at a station of a wall lies in a stud, 0 where it is clear."""
    if not 0.0 < station < w.length_mm:
        return 0.0
    bay = w.bay_at(station)
    deep = 2 * r if bay is None else max(bay.lo_mm + r - station, station - bay.hi_mm + r)
    return deep if deep > WOOD_TOL_MM else 0.0
