"""How far the water falls from a fixture's outlet to its trap or pipe. Lengths [mm], heights in house z.

The books count from the outlet, not from a floor: layout and checks ask here, so that they mean the same height.
"""

from __future__ import annotations

from stubout.geometry.vec import Vec
from stubout.house.model import HouseFixture
from stubout.rulebooks.model import Cell

DEVELOPED = "trap.outlet_pipe_max"  # books that limit the whole outlet pipe and not only its drop


def outlet_drop_mm(fixture: HouseFixture, start: Vec, bore_mm: float, limit: Cell) -> float | None:
    """Return how far it is from the outlet down to the weir, as the limit of the book counts [mm].

    Args:
        fixture: The fixture.
        start: Centre line of the arm at the weir.
        bore_mm: Inside diameter of the arm: its invert is the weir.
        limit: The book's limit; where it is one of the whole outlet pipe, the way in plan is added.

    None where nobody knows the height of the outlet.
    """
    top = fixture.drop_from_z_mm
    if top is None:
        return None
    drop = top - (start.z - bore_mm / 2)
    if limit.id == DEVELOPED and fixture.outlet is not None:
        drop += start.minus(fixture.outlet).plan_length
    return drop


def closet_drop_mm(fixture: HouseFixture, pipe_z_mm: float) -> float:
    """Return how far it is from a closet's flange on the finished floor down to its pipe [mm].

    Args:
        fixture: The closet.
        pipe_z_mm: Centre line of the pipe where it begins under the flange.
    """
    return max(fixture.finished_z_mm - pipe_z_mm, 0.0)
