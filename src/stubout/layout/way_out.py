"""How low the building drain can leave the house, and the slab that is too low for it. Lengths [mm], slopes [m/m].

Where nothing under the slab of a basement falls to the connection, the building drain hangs under the joists over it,
comes through the wall of the foundation and drops there to the connection. What stands on that slab drains by a pump
only, which this program does not lay out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout import units
from stubout.house.model import House, HouseFixture, HouseLevel
from stubout.layout.space_shapes import Gauge
from stubout.layout.weights import UNDER_SLAB_COVER_MM


@dataclass(frozen=True, slots=True)
class WayOut:
    """The lowest that the centre line of a building drain can lie at the outline of the house [house z]."""

    z_mm: float
    fall: float  # the least slope of that drain
    r_mm: float  # its outside radius

    def too_high_mm(self, level: HouseLevel, away_mm: float = 0.0) -> float:
        """Return how much too high it is for a drain that begins under a slab so far inside; below 0 if it is not."""
        under = level.subfloor_z_mm - level.slab_mm - UNDER_SLAB_COVER_MM - self.r_mm
        return self.z_mm + self.fall * away_mm - under


def way_out(house: House, fall: float, gauge: Gauge) -> WayOut:
    """Return how low a building drain of a size can leave the house: as straight and as flat as can be.

    Args:
        house: The house.
        fall: The least slope of the drain.
        gauge: The girth of its pipe.
    """
    at, lo, hi = house.sewer.at, house.footprint.lo, house.footprint.hi
    outside = math.hypot(max(lo.x - at.x, 0.0, at.x - hi.x), max(lo.y - at.y, 0.0, at.y - hi.y))
    low = at.z + house.sewer.valve_drop_mm + gauge.id_mm / 2
    return WayOut(low + fall * outside, fall, gauge.r)


def why_not_drained(
    house: House, level: HouseLevel, fixtures: tuple[HouseFixture, ...], out: WayOut
) -> tuple[str, str]:
    """Return in words why nothing drains from a slab that lies too low, and what would free it."""
    u = house.job.units
    title = level.title or level.id
    lower = units.both(max(out.too_high_mm(level, _inside_mm(house, f)) for f in fixtures), u)
    return (
        f"{title}: too low for the connection: a drain that falls to it leaves the house "
        f"{units.both(out.too_high_mm(level), u)} above where one under the slab can lie at the highest",
        "a pit with an ejector pump for them, with its vent and its discharge by the one who designs it (they are not "
        f"laid out here), fixtures on a storey above, or a connection at least {lower} lower",
    )


def _inside_mm(house: House, f: HouseFixture) -> float:
    """Return how far a fixture stands from the outline of the house at the least [mm]."""
    lo, hi = house.footprint.lo, house.footprint.hi
    at = f.outlet if f.outlet is not None else house.wall(f.wall_id).point(f.station_mm or 0.0, 0.0)
    return max(0.0, min(at.x - lo.x, hi.x - at.x, at.y - lo.y, hi.y - at.y))
