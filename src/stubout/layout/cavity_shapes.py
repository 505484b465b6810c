"""What is asked of walls and answered: places where a pipe may stand, and how far it rises there. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from stubout.geometry.vec import Vec
from stubout.house.framing import Bay, Wall
from stubout.house.model import HouseLevel
from stubout.layout.model import Place
from stubout.layout.space_shapes import XY


@dataclass(frozen=True)
class Spot:
    """A place in a wall where a pipe may stand plumb; without slots: its plan position is remembered on it."""

    wall: Wall
    bay: Bay
    station: float
    offset: float  # to the left of the stud centre line

    @cached_property
    def xy(self) -> XY:
        """Return the plan position."""
        p = self.wall.point(self.station, 0.0, self.offset)
        return (p.x, p.y)

    def at(self, z: float) -> Vec:
        """Return the point at a height."""
        return self.wall.point(self.station, z, self.offset)


@dataclass(frozen=True, slots=True)
class Piece:
    """One plumb piece of a rise with its place."""

    lo: float
    hi: float
    place: Place


@dataclass(frozen=True, slots=True)
class Rise:
    """How far a plumb pipe gets: the pieces from below, and where it comes out."""

    pieces: tuple[Piece, ...]
    top: float
    ends: Literal["attic", "roof", "blocked", "there"]  # there: as high as was asked
    reason: str
    level: HouseLevel  # level reached (the attic is above it)
    bores: int = 0

    @property
    def comes_up(self) -> bool:
        """Return whether it comes up into a wall of a storey above, wherever it ends."""
        return len(self.pieces) > 1
