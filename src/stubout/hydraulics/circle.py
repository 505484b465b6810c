"""Geometry of the water in a round pipe, by its depth."""

from __future__ import annotations

import math


def _check(depth_ratio: float) -> None:
    if not 0.0 < depth_ratio <= 1.0:
        raise ValueError(f"depth ratio must be above 0 and at most 1, got {depth_ratio!r}")


def wetted_angle_rad(depth_ratio: float) -> float:
    """Return the angle at the centre that the water's surface cuts off [rad].

    Args:
        depth_ratio: Depth over inside diameter [1], above 0, at most 1.

    Limits: a round bore.
    Source: plane geometry (any hydraulics handbook); derived.
    Example: half full, pi.
        >>> round(wetted_angle_rad(0.5), 4)
        3.1416
    """
    _check(depth_ratio)
    return 2.0 * math.acos(1.0 - 2.0 * depth_ratio)


def area_mm2(bore_mm: float, depth_ratio: float) -> float:
    """Return the cross-section of the water [mm2].

    Args:
        bore_mm: Inside diameter [mm].
        depth_ratio: Depth over inside diameter [1].

    Limits: a round bore.
    Source: plane geometry; derived.
    Example: table of part-full elements, y/D 0.30: A/D2 = 0.1982.
        >>> round(area_mm2(1.0, 0.3), 4)
        0.1982
    """
    t = wetted_angle_rad(depth_ratio)
    return bore_mm * bore_mm / 8.0 * (t - math.sin(t))


def wetted_perimeter_mm(bore_mm: float, depth_ratio: float) -> float:
    """Return the length of wall the water touches [mm].

    Args:
        bore_mm: Inside diameter [mm].
        depth_ratio: Depth over inside diameter [1].

    Limits: a round bore.
    Source: plane geometry; derived.
    Example: table of part-full elements, y/D 0.30: P/D = 1.1593.
        >>> round(wetted_perimeter_mm(1.0, 0.3), 4)
        1.1593
    """
    return bore_mm * wetted_angle_rad(depth_ratio) / 2.0


def hydraulic_radius_mm(bore_mm: float, depth_ratio: float) -> float:
    """Return area over wetted perimeter [mm].

    Args:
        bore_mm: Inside diameter [mm].
        depth_ratio: Depth over inside diameter [1].

    Limits: a round bore.
    Source: plane geometry; derived.
    Example: half full, a quarter of the diameter.
        >>> round(hydraulic_radius_mm(100.0, 0.5), 6)
        25.0
    """
    return area_mm2(bore_mm, depth_ratio) / wetted_perimeter_mm(bore_mm, depth_ratio)


def surface_width_mm(bore_mm: float, depth_ratio: float) -> float:
    """Return the width of the water's surface [mm].

    Args:
        bore_mm: Inside diameter [mm].
        depth_ratio: Depth over inside diameter [1].

    Limits: a round bore.
    Source: plane geometry; derived.
    Example: half full, the diameter itself.
        >>> round(surface_width_mm(100.0, 0.5), 6)
        100.0
    """
    return bore_mm * math.sin(wetted_angle_rad(depth_ratio) / 2.0)
