"""Uniform flow by Manning: velocity, full and part-full flow, the depth of a flow, the slope of a velocity."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.hydraulics import circle

N_PLUMBING_TABLES = 0.015  # the slope tables of plumbing books: aged pipe (memory, reproduced by the tables)
N_PLASTIC = 0.010  # plastic pipe as laid: usual design figure (memory)
SCOUR_M_PER_S = 0.61  # 2 ft/s keeps solids moving (data book of a plumbing engineers' society; read)
LEAST_DEPTH = 1e-6  # shallower counts as dry
DEPTH_OF_MOST_FLOW = 0.938181  # depth ratio at which a round pipe carries most; derived


def velocity_m_per_s(slope: float, bore_mm: float, n: float, depth_ratio: float = 1.0) -> float:
    """Return the mean velocity of uniform flow, by Manning [m/s].

    Args:
        slope: Fall over length [m/m], above 0.
        bore_mm: Inside diameter [mm].
        n: Manning roughness [s/m^(1/3)], the same number in SI and US units.
        depth_ratio: Depth over diameter [1].

    Limits: uniform, rough turbulent flow; constant n, the convention of plumbing tables; not under pressure.
    Source: Manning, as in any hydraulics handbook; coefficients of the US form agree (memory, tested).
    Example: the half-full table of the code appendices, 3 in at 1/4 in/ft with n 0.015: 2.25 ft/s.
        >>> round(velocity_m_per_s(1 / 48, 76.2, 0.015, 0.5) / 0.3048, 2)
        2.25
    """
    if slope <= 0.0:
        raise ValueError(f"slope must be above 0, got {slope!r}")
    radius_m = circle.hydraulic_radius_mm(bore_mm, depth_ratio) / 1000.0
    return float(radius_m ** (2.0 / 3.0) * slope**0.5 / n)


def flow_l_per_s(slope: float, bore_mm: float, n: float, depth_ratio: float = 1.0) -> float:
    """Return the flow at a depth, by Manning [l/s].

    Args:
        slope: Fall over length [m/m].
        bore_mm: Inside diameter [mm].
        n: Manning roughness [s/m^(1/3)].
        depth_ratio: Depth over diameter [1].

    Limits: as `velocity_m_per_s`. The flow is greatest at depth ratio 0.938, not full.
    Source: as `velocity_m_per_s`.
    Example: D 0.6 m, n 0.013, slope 1/400, depth 0.24 m: 0.10 m3/s (hydraulics teaching package, read).
        >>> round(flow_l_per_s(1 / 400, 600.0, 0.013, 0.4) / 1000, 2)
        0.1
    """
    area_m2 = circle.area_mm2(bore_mm, depth_ratio) / 1e6
    return velocity_m_per_s(slope, bore_mm, n, depth_ratio) * area_m2 * 1000.0


@dataclass(frozen=True, slots=True)
class Depth:
    """The depth of a flow: the lower of the two, or more than the pipe can carry."""

    ratio: float  # depth over diameter; that of the greatest flow when it exceeds
    exceeds: bool


def depth_of_flow(flow_wanted_l_per_s: float, slope: float, bore_mm: float, n: float) -> Depth:
    """Return the depth of a flow: the lower root, and whether the pipe carries less than that at any depth.

    Args:
        flow_wanted_l_per_s: Flow [l/s], 0 or more.
        slope: Fall over length [m/m].
        bore_mm: Inside diameter [mm].
        n: Manning roughness [s/m^(1/3)].

    Limits: between full flow and 1.0757 times that, two depths carry the same flow; the lower one is given.
    Source: as `velocity_m_per_s`; bisection, 60 steps.
    Example: half of the full flow is at half depth.
        >>> q = flow_l_per_s(0.02, 100.0, 0.010)
        >>> round(depth_of_flow(q / 2, 0.02, 100.0, 0.010).ratio, 4)
        0.5
    """
    if flow_wanted_l_per_s < 0.0:
        raise ValueError(f"flow must be 0 or more, got {flow_wanted_l_per_s!r}")
    if flow_wanted_l_per_s <= flow_l_per_s(slope, bore_mm, n, LEAST_DEPTH):
        return Depth(0.0, False)
    if flow_wanted_l_per_s > flow_l_per_s(slope, bore_mm, n, DEPTH_OF_MOST_FLOW):
        return Depth(DEPTH_OF_MOST_FLOW, True)
    lo, hi = LEAST_DEPTH, DEPTH_OF_MOST_FLOW
    for _ in range(60):
        mid = (lo + hi) / 2.0
        if flow_l_per_s(slope, bore_mm, n, mid) < flow_wanted_l_per_s:
            lo = mid
        else:
            hi = mid
    return Depth((lo + hi) / 2.0, False)


def slope_of_velocity(wanted_m_per_s: float, bore_mm: float, n: float, depth_ratio: float = 0.5) -> float:
    """Return the slope at which a pipe reaches a velocity, by Manning [m/m].

    Args:
        wanted_m_per_s: Velocity [m/s].
        bore_mm: Inside diameter [mm].
        n: Manning roughness [s/m^(1/3)].
        depth_ratio: Depth over diameter [1]; half and full give the same.

    Limits: as `velocity_m_per_s`.
    Source: as `velocity_m_per_s`, solved for the slope.
    Example: 2 ft/s in a 3 in pipe, n 0.013: 0.148 in/ft (computed in the project's reference notes).
        >>> round(slope_of_velocity(0.6096, 76.2, 0.013) * 12, 3)
        0.148
    """
    radius_m = circle.hydraulic_radius_mm(bore_mm, depth_ratio) / 1000.0
    return float((wanted_m_per_s * n / radius_m ** (2.0 / 3.0)) ** 2)


def slope_of_flow(wanted_l_per_s: float, bore_mm: float, n: float, depth_ratio: float) -> float:
    """Return the slope at which a pipe carries a flow at a depth, by Manning [m/m].

    Args:
        wanted_l_per_s: Flow [l/s].
        bore_mm: Inside diameter [mm].
        n: Manning roughness [s/m^(1/3)].
        depth_ratio: Depth over diameter [1].

    Limits: as `velocity_m_per_s`.
    Source: as `velocity_m_per_s`, solved for the slope.
    Example: D 0.6 m, 0.17 m3/s, n 0.013, depth 0.3 m: 0.003 (hydraulics teaching package, read).
        >>> round(slope_of_flow(170.0, 600.0, 0.013, 0.5), 4)
        0.0031
    """
    area_m2 = circle.area_mm2(bore_mm, depth_ratio) / 1e6
    return slope_of_velocity(wanted_l_per_s / 1000.0 / area_m2, bore_mm, n, depth_ratio)
