"""How low the building drain can leave the house, and the slab that is too low for it. Lengths [mm], slopes [m/m].

Where nothing under the slab of a basement falls to the connection, the building drain hangs under the joists over it,
comes through the wall of the foundation and drops there to the connection. What stands on that slab drains by a pump
only, which this program does not lay out.
"""

from __future__ import annotations

from dataclasses import dataclass

from stubout.geometry.distance import point_rect
from stubout.house.model import House
from stubout.layout.space_shapes import Gauge


@dataclass(frozen=True, slots=True)
class WayOut:
    """The lowest that the centre line of a building drain can lie at the outline of the house [house z]."""

    z_mm: float
    at_sewer_mm: float  # the same where it meets the connection
    fall: float  # the least slope of that drain
    r_mm: float  # its outside radius


def way_out(house: House, fall: float, gauge: Gauge) -> WayOut:
    """Return how low a building drain of a size can leave the house: as straight and as flat as can be.

    Args:
        house: The house.
        fall: The least slope of the drain.
        gauge: The girth of its pipe.
    """
    at = house.sewer.at
    outside = point_rect(at.x, at.y, house.outline)
    low = at.z + house.sewer.valve_drop_mm + gauge.id_mm / 2
    return WayOut(low + fall * outside, low, fall, gauge.r)
