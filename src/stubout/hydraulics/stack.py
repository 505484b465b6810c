"""Flow in a vertical stack: capacity, terminal velocity and length, air drawn along (Wyly and Eaton)."""

from __future__ import annotations

import math

CODE_FILLING = 7.0 / 24.0  # part of the section in water at the codes' limit (memory)


def capacity_gpm(stack_in: float, filling: float = CODE_FILLING) -> float:
    """Return the flow of a stack whose section is filled to a part with water [gal/min].

    Args:
        stack_in: Inside diameter [in].
        filling: Part of the section in water [1]; a quarter to a third.

    Limits: annular flow at terminal velocity, one branch inlet above.
    Source: q = 27.8 r^(5/3) d^(8/3), after NBS work by Wyly and Eaton (memory); the original table was not read.
    Example: 4 in at 7/24: 143.8 gal/min, Hunter's flow of 500 units with flush valves is 143.
        >>> round(capacity_gpm(4.0), 1)
        143.8
    """
    return float(27.8 * filling ** (5.0 / 3.0) * stack_in ** (8.0 / 3.0))


def terminal_velocity_ft_per_s(flow_gpm: float, stack_in: float) -> float:
    """Return the velocity at which the water on the wall of a stack stops gaining speed [ft/s].

    Args:
        flow_gpm: Flow [gal/min].
        stack_in: Inside diameter [in].

    Limits: as `capacity_gpm`.
    Source: Vt = 3.0 (q/d)^(2/5), same work (memory).
    Example: 3 in at a quarter.
        >>> round(terminal_velocity_ft_per_s(51.6, 3.0), 2)
        9.36
    """
    return float(3.0 * (flow_gpm / stack_in) ** 0.4)


def terminal_length_ft(flow_gpm: float, stack_in: float) -> float:
    """Return the drop in which the water reaches terminal velocity [ft].

    Args:
        flow_gpm: Flow [gal/min].
        stack_in: Inside diameter [in].

    Limits: as `capacity_gpm`.
    Source: Lt = 0.052 Vt2, same work (memory).
    Example: 4 in at 7/24.
        >>> round(terminal_length_ft(143.8, 4.0), 2)
        8.22
    """
    return 0.052 * terminal_velocity_ft_per_s(flow_gpm, stack_in) ** 2


def air_drawn_gpm(stack_in: float, filling: float = CODE_FILLING) -> float:
    """Return the air the falling water draws along: the core moves with the water [gal/min of air].

    Args:
        stack_in: Inside diameter [in].
        filling: Part of the section in water [1].

    Limits: as `capacity_gpm`; an estimate of its order, measured ratios scatter widely.
    Source: (1 - r) A Vt with the formulas above; derived.
    Example: 3 in at 7/24.
        >>> round(air_drawn_gpm(3.0))
        162
    """
    area_ft2 = math.pi / 4.0 * (stack_in / 12.0) ** 2
    velocity = terminal_velocity_ft_per_s(capacity_gpm(stack_in, filling), stack_in)
    return (1.0 - filling) * area_ft2 * velocity * 448.83
