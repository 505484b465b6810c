"""What stands around the house: roof, sewer, ground. Lengths [mm], house coordinates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stubout.geometry.vec import Box, Vec


@dataclass(frozen=True, slots=True)
class RoofPlane:
    """One plane of the roof: z = z0 + gx (x - x0) + gy (y - y0) over a plan rectangle."""

    id: str
    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float
    base: Vec  # a point of the surface
    gx: float
    gy: float
    may_pierce: bool = True
    in_use: bool = False  # people stand on it
    ceiling_below_mm: float | None = None  # sloped ceiling this far under the surface, plumb; None = flat ceiling

    def z_at(self, x: float, y: float) -> float:
        """Return the roof surface above a plan position [mm]."""
        return self.base.z + self.gx * (x - self.base.x) + self.gy * (y - self.base.y)


@dataclass(frozen=True, slots=True)
class RoofOpening:
    """An opening skylight or dormer window that a vent terminal must keep away from."""

    id: str
    box: Box  # z: sill to head / lower to top edge
    opens: bool = True


@dataclass(frozen=True, slots=True)
class RoofZone:
    """A part of the roof, in plan, that may not be pierced."""

    id: str
    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float
    why: str


@dataclass(frozen=True, slots=True)
class Sewer:
    """Where the building sewer ends: point, invert, size, and which way it runs on."""

    at: Vec  # z = invert
    size_in: float
    runs: Literal["north", "south", "east", "west"]
    what: Literal["sewer", "septic tank", "existing pipe"]
    valve_drop_mm: float = 0.0  # backwater valve body
    valve_at: Vec | None = None
    confirmed: bool = True
    invert_uncertainty_mm: float = 0.0
    material: str = ""  # of an existing pipe, "" while nobody has said


@dataclass(frozen=True, slots=True)
class Ground:
    """Ground surface outside, straight line between two y or x stations."""

    at_house_z_mm: float
    at_sewer_z_mm: float
    crawl_access: Vec | None = None  # where one gets into the crawl space, plan
