"""Walls as framed: studs, bays, openings, the finish on either side. Lengths [mm], heights in house coordinates."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

from stubout.geometry.vec import Vec

Side = Literal["left", "right"]
LEAST_IN_WALL_MM = 25.0  # an upright pipe that ends this little above a plate is said to lie where it comes from


@dataclass(frozen=True, slots=True)
class Stud:
    """One vertical member of a wall."""

    station_mm: float  # centre, from the wall's start
    width_mm: float
    kind: Literal["stud", "end", "jack", "king", "cripple", "post", "added"] = "stud"
    lo_z_mm: float = 0.0
    hi_z_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Opening:
    """A door, window or cased opening in a wall."""

    id: str
    wall_id: str
    station_mm: float  # start of the clear opening
    width_mm: float
    sill_z_mm: float  # house coordinates
    head_z_mm: float
    header_top_z_mm: float
    what: str = ""
    opens: bool = False  # openable window or door: air inlet for vent terminals
    exterior: bool = False


@dataclass(frozen=True, slots=True)
class FinishZone:
    """A thickness of finish on one side of a wall, over a part of it (the last that fits wins)."""

    thick_mm: float
    from_station_mm: float
    to_station_mm: float
    from_z_mm: float
    to_z_mm: float
    what: str = ""


@dataclass(frozen=True, slots=True)
class Bay:
    """The clear space between two neighbouring studs of a wall."""

    wall_id: str
    index: int
    lo_mm: float  # stations of the stud faces
    hi_mm: float

    @property
    def clear_mm(self) -> float:
        """Return the clear width [mm]."""
        return self.hi_mm - self.lo_mm

    @property
    def middle_mm(self) -> float:
        """Return the station of the middle [mm]."""
        return (self.lo_mm + self.hi_mm) / 2


def _between(a: tuple[float, float], b: tuple[float, float], station_mm: float) -> float:
    """Return the height at a station between two corners of a top; at a step the lower."""
    if b[0] - a[0] < 1e-9:
        return min(a[1], b[1])
    return a[1] + (b[1] - a[1]) * (station_mm - a[0]) / (b[0] - a[0])


@dataclass(frozen=True)
class Wall:
    """A framed wall; its line is the centre line of its studs."""

    id: str
    level_id: str
    start: Vec  # z = top of subfloor
    end: Vec
    depth_mm: float  # stud depth
    spacing_mm: float
    studs: tuple[Stud, ...]
    bottom_z_mm: float  # underside of the bottom plate = subfloor
    top_z_mm: float  # top of the top plate(s), at its highest
    bottom_plate_mm: float
    top_plate_mm: float  # all top plates together
    bearing: bool
    exterior: bool
    insulated: bool
    left: tuple[FinishZone, ...]
    right: tuple[FinishZone, ...]
    openings: tuple[Opening, ...]
    bays: tuple[Bay, ...]
    knee: bool = False  # ends below the ceiling: nothing passes up out of it
    against_concrete: bool = False
    tops: tuple[tuple[float, float], ...] = ()  # station and z of the corners of a top cut by the roof; () = level
    said_top_z_mm: float = 0.0  # how high the job has it, where the roof cuts it
    not_bearing: bool = False  # said to bear nothing

    @cached_property
    def length_mm(self) -> float:
        """Return the length from start to end [mm]."""
        return self.start.to(self.end)

    @cached_property
    def along(self) -> Vec:
        """Return the unit vector from start to end."""
        return self.end.minus(self.start).unit()

    @cached_property
    def leftward(self) -> Vec:
        """Return the unit vector to the left hand when walking from start to end."""
        d = self.along
        return Vec(-d.y, d.x, 0.0)

    @cached_property
    def _line(self) -> tuple[float, float, float, float, float]:
        """Return the line in plain numbers: x and y of the start, displacement to the end, plan length [mm]."""
        a, b = self.start, self.end
        dx, dy = b.x - a.x, b.y - a.y
        return a.x, a.y, dx, dy, math.hypot(dx, dy)

    def point(self, station_mm: float, z_mm: float, out_mm: float = 0.0) -> Vec:
        """Return the point at a station and house height, `out_mm` to the left of the centre line."""
        x, y, dx, dy, length = self._line  # in plain numbers: asked more often than anything else in a house
        dx, dy = dx / length, dy / length
        return Vec(x + dx * station_mm - dy * out_mm, y + dy * station_mm + dx * out_mm, z_mm)

    def station(self, p: Vec) -> float:
        """Return the station of a point's foot on the wall line [mm]."""
        x, y, dx, dy, length = self._line
        return ((p.x - x) * dx + (p.y - y) * dy) / length

    def offset(self, p: Vec) -> float:
        """Return how far a point lies to the left of the centre line [mm]."""
        x, y, dx, dy, length = self._line
        return ((p.y - y) * dx - (p.x - x) * dy) / length

    def stands_in(self, a: Vec, b: Vec) -> bool:
        """Return whether an upright line between two points stands in this wall between its plates, in part at least.

        A stack through three storeys is one pipe: it stands in the walls of two of them, and comes down through both.
        """
        station = self.station(a)
        if not all(
            0.0 <= self.station(p) <= self.length_mm and abs(self.offset(p)) < self.depth_mm / 2 for p in (a, b)
        ):
            return False
        lo, hi = min(a.z, b.z), max(a.z, b.z)
        lo, hi = max(lo, self.bottom_z_mm + self.bottom_plate_mm), min(hi, self.under_plates_at(station))
        return hi - lo > LEAST_IN_WALL_MM

    def top_at(self, station_mm: float) -> float:
        """Return the top of the top plates at a station [mm], where the roof cuts the wall its underside."""
        if not self.tops:
            return self.top_z_mm
        s = min(max(station_mm, self.tops[0][0]), self.tops[-1][0])
        return min(_between(a, b, s) for a, b in pairwise(self.tops) if a[0] <= s <= b[0])

    def meets_roof(self, station_mm: float) -> bool:
        """Return whether the roof cuts the wall at a station: nothing is above its plates there but the roof."""
        return bool(self.tops) and self.top_at(station_mm) < self.said_top_z_mm - 1.0

    def under_plates_at(self, station_mm: float) -> float:
        """Return the underside of the top plates at a station [mm]: plates that slope are thicker plumb."""
        return self.top_at(station_mm) - self.top_plate_mm * self._plumb(station_mm)

    def least_under_plates(self, from_mm: float, to_mm: float) -> float:
        """Return the underside of the top plates over a stretch of wall, where it is lowest [mm]."""
        corners = (s for s, _ in self.tops if from_mm < s < to_mm)
        return min(self.under_plates_at(s) for s in (from_mm, to_mm, *corners))

    def _plumb(self, station_mm: float) -> float:
        """Return how much more a plate measures plumb than square."""
        run, rise = next(
            ((b[0] - a[0], b[1] - a[1]) for a, b in pairwise(self.tops) if a[0] < b[0] and a[0] <= station_mm <= b[0]),
            (1.0, 0.0),
        )
        return math.hypot(1.0, rise / run)

    def finish_mm(self, side: Side, station_mm: float, z_mm: float) -> float:
        """Return the finish thickness on a side at a station and house height [mm]."""
        thick = 0.0
        for zone in self.left if side == "left" else self.right:
            if (
                zone.from_station_mm - 0.5 <= station_mm <= zone.to_station_mm + 0.5
                and zone.from_z_mm - 0.5 <= z_mm <= zone.to_z_mm + 0.5
            ):
                thick = zone.thick_mm
        return thick

    def face_offset(self, side: Side, station_mm: float, z_mm: float) -> float:
        """Return the signed offset to the left of the finished face of a side [mm]."""
        d = self.depth_mm / 2 + self.finish_mm(side, station_mm, z_mm)
        return d if side == "left" else -d

    def bay_at(self, station_mm: float) -> Bay | None:
        """Return the bay that holds a station, None on a stud."""
        for bay in self.bays:
            if bay.lo_mm <= station_mm <= bay.hi_mm:
                return bay
        return None
