"""What the engine weighs, in one currency (millimetres of pipe). Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Weights:
    """Cost of each thing a plumber would rather not do [mm of pipe]."""

    turn_45: float = 150.0
    turn_90: float = 350.0
    bore: float = 300.0
    short_leg: float = 2500.0  # two fittings that do not go so near each other
    in_stud: float = 12000.0  # a turn or a joint where a stud stands: a hole in the roof is better
    unrodded: float = 2500.0  # a turn that wants a cleanout where nobody gets at one
    vertical_jog: float = 500.0
    sleeve: float = 4000.0  # through a footing: the engineer has to be asked
    undermine: float = 2.0  # by its length: a trench below the load plane of a footing it runs along
    new_stack: float = 4000.0
    roof: float = 6000.0
    grown_vent: float = 5000.0  # a vent that must be a size larger over its whole length
    crossing: float = 2500.0  # over or under another pipe whose height is still open


WEIGHTS = Weights()

# How steep drains are laid. Common practice, no source.
STEEPEST_USUAL = 1 / 48  # 1/4 in per ft
MOST_STEEPER = 2.0  # a building drain is laid up to twice the usual slope before it drops

WEIR_PLAY_MM = 10.0  # a trap so little off the weir that the job fixes lies at it
WEIR_OFF_MIN = 60.0  # of work rather than ask whether a drain set may have a longer outlet pipe; by feeling

LEAST_WON = 0.05  # by which a way has to be cheaper than another to be taken instead
LEAST_HELD_MM = 450.0  # a shorter piece between two fittings hangs by its neighbours; common practice, no source

# Clearances the engine keeps beyond the book. Common practice, no source.
UNDER_SLAB_COVER_MM = 25.0
HEADROOM_MM = 2030.0  # 6 ft 8 in from a floor to what hangs over it
HEADROOM_UNDER_MAIN_MM = 1931.0  # 6 ft 4 in to the main drain, as under a beam: IRC R305.1.1, from memory
HANG_GAP_MM = 12.0
OBSTACLE_GAP_MM = 6.0  # the hub of a fitting on the pipe still goes past
FOOTING_GAP_MM = 25.0
LEAST_DROP_MM = 100.0  # between a foot vent and the drain under it
CEILING_BOARD_MM = 13.0
ROOM_TO_WALL_MM = 110.0  # from a finished face into the cavity behind it


def least_leg_mm(size_in: float) -> float:
    """Return how near to the end of a drain a joint is still tried [mm]; an estimate.

    Below it nothing goes together; from it up to the fittings' own room (`takeup.TakeUp`) a place is dear.
    """
    return {1.25: 120.0, 1.5: 144.0, 2.0: 186.0, 3.0: 250.0, 4.0: 270.0}.get(size_in, 270.0)
