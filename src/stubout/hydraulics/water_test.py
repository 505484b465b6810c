"""The water test: pressure under a head, thrust on plugs and joints, water to fill.

The sums themselves are those of `stubout.pocket`; here they take the head and the pipe of a test.
"""

from __future__ import annotations

from stubout import pocket

MM_PER_FT = 304.8


def pressure_kpa(head_mm: float) -> float:
    """Return the pressure under a head of water [kPa].

    Args:
        head_mm: Height of the water above the point [mm].

    Limits: water at rest.
    Source: hydrostatics.
    Example: 10 ft of head, 4.33 psi (trade table, read).
        >>> round(pressure_kpa(3048.0) / 6.894757, 2)
        4.34
    """
    return pocket.pressure_kpa(head_mm)


def pressure_psi(head_ft: float) -> float:
    """Return the pressure under a head of water [psi].

    Args:
        head_ft: Height of the water [ft].

    Limits: water at rest.
    Source: hydrostatics; trade tables print 4.3, 8.7, 13.0, 43.4 psi for 10, 20, 30, 100 ft (read).
    Example: 20 ft.
        >>> round(pressure_psi(20.0), 2)
        8.67
    """
    return pocket.pressure_kpa(head_ft * MM_PER_FT) / pocket.KPA_PER_PSI


def thrust_n(head_mm: float, diameter_mm: float) -> float:
    """Return the force of the test water on a plug or a joint [N].

    Args:
        head_mm: Height of the water above it [mm].
        diameter_mm: Inside diameter for a plug in the bore, OUTSIDE diameter for a joint that may slip [mm].

    Limits: water at rest.
    Source: pressure times area; joint table of a cast-iron pipe maker's guide (read) reproduced.
    Example: 4 in iron joint, OD 4.380 in, 10 ft: 65 lb.
        >>> round(thrust_n(3048.0, 4.380 * 25.4) / 4.448222)
        65
    """
    return pocket.thrust_n(pressure_kpa(head_mm), diameter_mm)


def volume_l(bore_mm: float, length_mm: float) -> float:
    """Return the water a length of pipe holds [l].

    Args:
        bore_mm: Inside diameter [mm].
        length_mm: Length [mm].

    Limits: round bore, full.
    Source: cylinder; trade rule 0.0408 d2 gal/ft (read).
    Example: one foot of nominal 3 in: 0.3672 gal.
        >>> round(volume_l(76.2, 304.8) / 3.785412, 3)
        0.367
    """
    return pocket.litres_per_m(bore_mm) * length_mm / 1000.0
