"""What the engine weighs, in one currency (millimetres of pipe). Common practice, no source; a job may not change them yet."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Weights:
    """Cost of each thing a plumber would rather not do [mm of pipe]."""

    turn_45: float = 150.0
    turn_90: float = 350.0
    bore: float = 300.0
    short_leg: float = 800.0  # two bends face to face
    vertical_jog: float = 500.0
    sleeve: float = 4000.0  # through a footing: the engineer has to be asked
    new_stack: float = 4000.0
    roof: float = 6000.0
    plate: float = 100.0
    crossing: float = 2500.0  # over or under another pipe whose height is still open


WEIGHTS = Weights()

# Clearances the engine keeps beyond the book. Common practice, no source.
UNDER_SLAB_COVER_MM = 25.0
HANG_GAP_MM = 12.0
OBSTACLE_GAP_MM = 12.0
FOOTING_GAP_MM = 25.0
LEAST_DROP_MM = 100.0  # vertical between two horizontals: two fittings face to face
CEILING_BOARD_MM = 13.0
JOIN_GAP_MM = 230.0  # between two joints on one drain
ROOM_TO_WALL_MM = 110.0  # from a finished face into the cavity behind it
