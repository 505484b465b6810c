"""From stations and heights of a wall to millimetres on paper, seen from the room on one side."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.house.framing import Side
from stubout.sheets.metrics import Rect

BREAK_MM = 5.0  # gap on paper where a piece of wall is left out


@dataclass(frozen=True, slots=True)
class WallView:
    """One elevation. On the left side of a wall its start is at the right hand, on the right side at the left hand.

    `parts` are the stretches of wall shown, by station, in rising order; what lies between two is left out.
    """

    side: Side
    ratio: float
    parts: tuple[tuple[float, float], ...]
    lo_z_mm: float
    hi_z_mm: float
    x0: float  # left edge of the elevation on paper
    y0: float  # paper height of lo_z

    @property
    def width(self) -> float:
        """Return the width on paper [mm]."""
        return sum(b - a for a, b in self.parts) / self.ratio + BREAK_MM * (len(self.parts) - 1)

    @property
    def height(self) -> float:
        """Return the height on paper [mm]."""
        return (self.hi_z_mm - self.lo_z_mm) / self.ratio

    def x(self, station_mm: float) -> float:
        """Return the paper x of a station, also beyond the ends of the parts."""
        run = 0.0
        for i, (a, b) in enumerate(self.parts):
            last = i == len(self.parts) - 1
            if station_mm <= b or last:
                along = run + (station_mm - a) / self.ratio
                break
            nxt = self.parts[i + 1][0]
            if station_mm < nxt:  # in the gap: squeezed
                along = run + (b - a) / self.ratio + BREAK_MM * (station_mm - b) / (nxt - b)
                break
            run += (b - a) / self.ratio + BREAK_MM
        return self.x0 + along if self.side == "right" else self.x0 + self.width - along

    def y(self, z_mm: float) -> float:
        """Return the paper y of a house height."""
        return self.y0 + (z_mm - self.lo_z_mm) / self.ratio

    def at(self, station_mm: float, z_mm: float) -> tuple[float, float]:
        """Return the paper point of a station and house height."""
        return self.x(station_mm), self.y(z_mm)

    def window(self, part: int) -> Rect:
        """Return the paper box of one stretch of wall."""
        a, b = self.parts[part]
        xs = sorted((self.x(a), self.x(b)))
        return xs[0], self.y0, xs[1], self.y0 + self.height

    def shows(self, station_mm: float) -> bool:
        """Return whether a station is on the drawing."""
        return any(a - 0.5 <= station_mm <= b + 0.5 for a, b in self.parts)
