"""Air in a vent: how long it may be before the pressure drop breaks trap seals."""

from __future__ import annotations

DROP_IN_WATER = 1.0  # the drop the codes' tables stand for [in of water]; trap seals are kept within it


def length_ft(vent_in: float, air_gpm: float, friction: float) -> float:
    """Return the length of vent that loses one inch of water [ft].

    Args:
        vent_in: Inside diameter of the vent [in].
        air_gpm: Air through it [gal/min].
        friction: Darcy friction factor [1].

    Limits: for explanation; compliance goes by the book's table. The diameter counts with its fifth power.
    Source: L = 2226 d5 / (f q2) (memory; 2228 from first principles with air at 0.075 lb/ft3).
    Example: 4 in vent of a full 4 in stack: the code's 580 ft at 540 units answers to f 0.0323.
        >>> round(length_ft(4.0, 349.0, 0.0323))
        579
    """
    return 2226.0 * vent_in**5 / (friction * air_gpm * air_gpm)


def drop_in_water(vent_in: float, air_gpm: float, friction: float, long_ft: float) -> float:
    """Return the pressure drop of air along a vent [in of water].

    Args:
        vent_in: Inside diameter [in].
        air_gpm: Air [gal/min].
        friction: Darcy friction factor [1].
        long_ft: Length [ft].

    Limits, source: as `length_ft`.
    Example: the length of one inch gives one inch.
        >>> round(drop_in_water(2.0, 162.0, 0.03, length_ft(2.0, 162.0, 0.03)), 6)
        1.0
    """
    return long_ft * friction * air_gpm * air_gpm / (2226.0 * vent_in**5)
