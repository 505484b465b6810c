"""What pressure does to a trap seal. Hydrostatics of a U tube; momentum and self-siphonage are not covered."""

from __future__ import annotations

PA_PER_MM = 9.80665  # one millimetre of water


def kept_after_suction_mm(seal_mm: float, suction_mm: float) -> float:
    """Return the seal left in a trap with equal legs after a suction has passed [mm].

    Args:
        seal_mm: Depth of the seal [mm].
        suction_mm: Suction, as a height of water [mm].

    Limits: slow pull, trap full to the weir; air breaks through when the suction reaches the seal.
    Source: hydrostatics: water spills until the levels differ by the suction, half of it is lost; derived.
    Example: 375 Pa takes 19.1 mm of a 50 mm seal (European criterion of 25 mm left, memory).
        >>> round(kept_after_suction_mm(50.0, 375.0 / PA_PER_MM), 1)
        30.9
    """
    return max(0.0, seal_mm - suction_mm / 2.0)


def lost_unequal_mm(suction_mm: float, inlet_area: float, outlet_area: float) -> float:
    """Return the seal lost in a trap with unequal legs [mm].

    Args:
        suction_mm: Suction, as a height of water [mm].
        inlet_area: Section of the fixture-side leg [any area unit].
        outlet_area: Section of the outlet leg [same unit].

    Limits: as `kept_after_suction_mm`.
    Source: volume spilled, shared by both legs afterwards; derived.
    Example: equal legs lose half.
        >>> lost_unequal_mm(30.0, 1.0, 1.0)
        15.0
    """
    return suction_mm * inlet_area / (inlet_area + outlet_area)


def bubbles_at_mm(seal_mm: float, inlet_area: float = 1.0, outlet_area: float = 1.0) -> float:
    """Return the back pressure at which sewer air bubbles through, as a height of water [mm].

    Args:
        seal_mm: Depth of the seal [mm].
        inlet_area: Section of the fixture-side leg [any area unit].
        outlet_area: Section of the outlet leg [same unit].

    Limits: slow rise; splashing not covered.
    Source: hydrostatics; derived.
    Example: equal legs, twice the seal.
        >>> bubbles_at_mm(50.0)
        100.0
    """
    return seal_mm * (inlet_area + outlet_area) / inlet_area


def weeks_to_dry(seal_mm: float, reserve_mm: float, rate_mm_per_week: float = 2.5) -> float:
    """Return after how many weeks evaporation has taken all but a reserve of the seal [weeks].

    Args:
        seal_mm: Depth of the seal [mm].
        reserve_mm: Seal that shall be left [mm].
        rate_mm_per_week: Evaporation [mm/week]; 2.5 in heated rooms.

    Limits: no published rate was read; the rate is memory.
    Source: division.
    Example: 50 mm with 25 mm left: ten weeks.
        >>> weeks_to_dry(50.0, 25.0)
        10.0
    """
    return (seal_mm - reserve_mm) / rate_mm_per_week
