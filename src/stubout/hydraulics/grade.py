"""Fall, inverts, cover: levels along a drain."""

from __future__ import annotations

import math


def fall_mm(plan_mm: float, slope: float) -> float:
    """Return the drop over a plan length [mm].

    Args:
        plan_mm: Length seen from above [mm].
        slope: Fall over plan length [m/m].

    Limits: none.
    Source: definition of slope.
    Example: 15 ft at 1/4 in/ft: 3-3/4 in (a tool maker's questions and answers, read).
        >>> fall_mm(4572.0, 1 / 48) / 25.4
        3.75
    """
    return plan_mm * slope


def cover_mm(ground_z_mm: float, invert_z_mm: float, bore_mm: float, wall_mm: float) -> float:
    """Return the ground above the top of a pipe [mm].

    Args:
        ground_z_mm: Height of the ground [mm].
        invert_z_mm: Height of the inside bottom of the pipe [mm].
        bore_mm: Inside diameter [mm].
        wall_mm: Wall thickness [mm].

    Limits: none.
    Source: definition of cover.
    Example: ground 0, invert -1000, 102 mm bore, 6 mm wall: 892.
        >>> cover_mm(0.0, -1000.0, 102.0, 6.0)
        892.0
    """
    return ground_z_mm - (invert_z_mm + bore_mm + wall_mm)


def sloped_length_mm(plan_mm: float, slope: float) -> float:
    """Return the length along the pipe [mm].

    Args:
        plan_mm: Length seen from above [mm].
        slope: Fall over plan length [m/m].

    Limits: none.
    Source: plane geometry.
    Example: at 1/4 in/ft the slant adds 0.022 %.
        >>> round(sloped_length_mm(100000.0, 1 / 48) - 100000.0, 1)
        21.7
    """
    return plan_mm / math.cos(math.atan(slope))


def slope_of(fall: float, length: float) -> float:
    """Return fall over length [m/m], both in the same unit.

    Args:
        fall: Drop [any length unit].
        length: Plan length [same unit], above 0.

    Limits: none.
    Source: definition; 375 mm in 30 m is 1 in 80 (building services textbook, example 9.1, read).
    Example: that one.
        >>> 1 / slope_of(375.0, 30000.0)
        80.0
    """
    if length <= 0.0:
        raise ValueError(f"length must be above 0, got {length!r}")
    return fall / length
