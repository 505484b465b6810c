"""Walls that are said higher than the roof over them: cut at its underside, as a builder cuts them. Lengths [mm].

A gable wall follows the roof. What a job says of its height is its highest point at most, or the height of the storey;
the roof is said by itself, so that it decides wherever it is lower.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from stubout.geometry.vec import Vec
from stubout.house.outside import RoofPlane
from stubout.job.model import WallSaid

ROOF_MM = 203.2  # roofing, deck and 2x8 rafters, plumb: from memory, where the job says no `ceiling below`
DECK_MM = 50.0  # no wall ends nearer to the roofing than that; one that ends deeper in the roof carries the rafters
EDGE_MM = 1.0

Tops = tuple[tuple[float, float], ...]  # station and house z of the corners of a top, in order


@dataclass(frozen=True, slots=True)
class Cut:
    """The top of a wall that the roof cuts."""

    tops: Tops
    said_z_mm: float  # how high the job has it
    lowest_mm: float  # surface of the roof over it, at its lowest
    assumed: bool  # how thick the roof is, is not said


def cut_by_roof(said: WallSaid, bottom_z: float, top_z: float, planes: Sequence[RoofPlane]) -> Cut | None:
    """Return the top of a wall under a roof that is lower than the wall is said; None where none is.

    Args:
        said: The wall as the job has it.
        bottom_z: Its bottom, house z.
        top_z: Its top as said, house z.
        planes: The planes of the roof. One that lies below the bottom of the wall is none over it.
    """
    line = _Line(said, bottom_z)
    ranges = [(a, b, line.over((a + b) / 2, planes)) for a, b in pairwise(line.corners(planes, top_z))]
    if not any(p is not None and line.passes(p, s, top_z) for a, b, p in ranges for s in (a, b)):
        return None
    corners = [(s, line.top(p, s, top_z)) for a, b, p in ranges for s in (a, b)]
    over = [(p, s) for a, b, p in ranges if p is not None for s in (a, b)]
    cut = [(p, s) for p, s in over if line.top(p, s, top_z) < top_z]
    return Cut(
        _straightened(corners),
        top_z,
        min(line.surface(p, s) for p, s in over),
        any(p.ceiling_below_mm is None for p, _ in cut),
    )


class _Line:
    """The centre line of a wall, and the roof over it."""

    def __init__(self, said: WallSaid, bottom_z: float) -> None:
        self.a, self.b = Vec(*said.from_), Vec(*said.to)
        self.length = round(self.a.to(self.b), 6)
        self.half, self.bottom = said.stud / 2, bottom_z
        self.along = self.b.minus(self.a).unit()

    def at(self, station: float, out: float = 0.0) -> tuple[float, float]:
        d = self.along
        return self.a.x + d.x * station - d.y * out, self.a.y + d.y * station + d.x * out

    def surface(self, plane: RoofPlane, station: float) -> float:
        """Return the roofing over a wall where it is lower: over one of its faces, if the roof falls across it."""
        return min(plane.z_at(*self.at(station, out)) for out in (-self.half, self.half))

    def under(self, plane: RoofPlane, station: float) -> float:
        """Return the underside of the roof [house z]."""
        thick = ROOF_MM if plane.ceiling_below_mm is None else plane.ceiling_below_mm
        return self.surface(plane, station) - thick

    def passes(self, plane: RoofPlane, station: float, top: float) -> bool:
        """Return whether a wall so high comes out of the roof."""
        return top > self.surface(plane, station) - DECK_MM

    def top(self, plane: RoofPlane | None, station: float, top: float) -> float:
        """Return where a wall ends."""
        return top if plane is None else max(min(top, self.under(plane, station)), self.bottom)

    def over(self, station: float, planes: Sequence[RoofPlane]) -> RoofPlane | None:
        """Return the plane over a place: the lowest that is not below the wall.

        A roof that ends in the thickness of the wall leans on it from beside, where another goes on over it.
        """
        here = [p for p in planes if _covers(p, self.at(station)) and self.surface(p, station) > self.bottom]
        beyond = [p for p in here if all(_covers(p, self.at(station, s)) for s in (-2 * self.half, 2 * self.half))]
        return min(beyond or here, key=lambda p: (self.surface(p, station), p.id), default=None)

    def corners(self, planes: Sequence[RoofPlane], top: float) -> list[float]:
        """Return the stations at which the roof over the wall may change: edges of planes, ridges, where it is cut."""
        found = {0.0, self.length}
        for p in planes:
            for lo, hi, start, way in (
                (p.x0_mm, p.x1_mm, self.a.x, self.along.x),
                (p.y0_mm, p.y1_mm, self.a.y, self.along.y),
            ):
                if abs(way) > 1e-9:
                    found |= {(edge - start) / way for edge in (lo, hi)}
            found |= set(self._meets(p, top)) | set(self._meets(p, self.bottom))
        for p, q in combinations(planes, 2):
            found |= set(self._crossing(p, q))
        return sorted(s for s in {round(s, 6) for s in found} if 0.0 <= s <= self.length)

    def _meets(self, plane: RoofPlane, z: float) -> Iterator[float]:
        """Yield where the underside of a plane comes down to a height."""
        start, end = self.under(plane, 0.0), self.under(plane, self.length)
        if abs(end - start) > 1e-6:
            yield (z - start) / (end - start) * self.length

    def _crossing(self, p: RoofPlane, q: RoofPlane) -> Iterator[float]:
        start = self.surface(p, 0.0) - self.surface(q, 0.0)
        end = self.surface(p, self.length) - self.surface(q, self.length)
        if abs(end - start) > 1e-6:
            yield start / (start - end) * self.length


def _covers(plane: RoofPlane, at: tuple[float, float]) -> bool:
    x, y = at
    return plane.x0_mm - EDGE_MM <= x <= plane.x1_mm + EDGE_MM and plane.y0_mm - EDGE_MM <= y <= plane.y1_mm + EDGE_MM


def _straightened(corners: Sequence[tuple[float, float]]) -> Tops:
    """Return the corners less those in which nothing turns."""
    out: list[tuple[float, float]] = []
    for s, z in corners:
        here = (s, round(z, 6))
        if out and out[-1] == here:
            continue
        while len(out) > 1 and _in_line(out[-2], out[-1], here):
            out.pop()
        out.append(here)
    return tuple(out)


def _in_line(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    return a[0] < b[0] < c[0] and abs((b[1] - a[1]) * (c[0] - a[0]) - (c[1] - a[1]) * (b[0] - a[0])) < 1e-3
