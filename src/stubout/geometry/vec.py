"""Points and vectors in house coordinates, in millimetres."""

from __future__ import annotations

import math
from typing import NamedTuple

_new = tuple.__new__  # what the constructor of a named tuple calls, without its detour: millions are made of a house


class Vec(NamedTuple):
    """A point or a displacement [mm]; x east, y north, z up."""

    x: float
    y: float
    z: float = 0.0

    def plus(self, other: Vec) -> Vec:
        """Return the sum, component by component."""
        (x, y, z), (ox, oy, oz) = self, other
        return _new(Vec, (x + ox, y + oy, z + oz))

    def minus(self, other: Vec) -> Vec:
        """Return the displacement from `other` to this point."""
        (x, y, z), (ox, oy, oz) = self, other
        return _new(Vec, (x - ox, y - oy, z - oz))

    def times(self, factor: float) -> Vec:
        """Return the vector scaled by a plain number."""
        x, y, z = self
        return _new(Vec, (x * factor, y * factor, z * factor))

    def dot(self, other: Vec) -> float:
        """Return the scalar product [mm2]."""
        (x, y, z), (ox, oy, oz) = self, other
        return x * ox + y * oy + z * oz

    def cross(self, other: Vec) -> Vec:
        """Return the vector product [mm2]."""
        return Vec(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )

    @property
    def length(self) -> float:
        """Return the length [mm]."""
        return math.sqrt(self.x * self.x + self.y * self.y + self.z * self.z)

    @property
    def plan_length(self) -> float:
        """Return the length seen from above [mm]."""
        return math.hypot(self.x, self.y)

    def unit(self) -> Vec:
        """Return the vector of length one; raises ZeroDivisionError for a null vector."""
        n = self.length
        return Vec(self.x / n, self.y / n, self.z / n)

    def to(self, other: Vec) -> float:
        """Return the distance to another point [mm]."""
        x, y, z = other[0] - self[0], other[1] - self[1], other[2] - self[2]  # asked most of all: no vector is made
        return math.sqrt(x * x + y * y + z * z)

    def at_z(self, z: float) -> Vec:
        """Return the same plan position at another height [mm]."""
        x, y, _ = self
        return _new(Vec, (x, y, z))


def angle_deg(a: Vec, b: Vec) -> float:
    """Return the angle between two directions [deg], 0 to 180."""
    c = a.dot(b) / (a.length * b.length)
    return math.degrees(math.acos(max(-1.0, min(1.0, c))))


class Box(NamedTuple):
    """An axis-aligned box [mm]."""

    lo: Vec
    hi: Vec

    def contains(self, p: Vec, margin: float = 0.0) -> bool:
        """Return whether the point lies in the box grown by `margin` [mm]."""
        (x, y, z), (x0, y0, z0), (x1, y1, z1) = p, self.lo, self.hi
        return x0 - margin <= x <= x1 + margin and y0 - margin <= y <= y1 + margin and z0 - margin <= z <= z1 + margin

    def grown(self, margin: float) -> Box:
        """Return the box grown on all sides [mm]."""
        m = Vec(margin, margin, margin)
        return Box(self.lo.minus(m), self.hi.plus(m))

    @property
    def centre(self) -> Vec:
        """Return the middle of the box [mm]."""
        return self.lo.plus(self.hi).times(0.5)
