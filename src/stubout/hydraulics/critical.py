"""Critical depth and Froude number in a round pipe."""

from __future__ import annotations

from stubout.hydraulics import circle

G_M_PER_S2 = 9.80665  # standard gravity


def froude(flow_l_per_s: float, bore_mm: float, depth_ratio: float) -> float:
    """Return the Froude number of a flow at a depth [1]; above 1 it shoots, below 1 it flows.

    Args:
        flow_l_per_s: Flow [l/s].
        bore_mm: Inside diameter [mm].
        depth_ratio: Depth over diameter [1], below 1.

    Limits: open surface.
    Source: Fr2 = Q2 T / (g A3), as in any hydraulics handbook (memory); derived.
    Example: twice the flow, twice the number.
        >>> round(froude(2.0, 100.0, 0.5) / froude(1.0, 100.0, 0.5), 6)
        2.0
    """
    q = flow_l_per_s / 1000.0
    a = circle.area_mm2(bore_mm, depth_ratio) / 1e6
    t = circle.surface_width_mm(bore_mm, depth_ratio) / 1000.0
    return float((q * q * t / (G_M_PER_S2 * a**3)) ** 0.5)


def critical_depth_ratio(flow_l_per_s: float, bore_mm: float) -> float:
    """Return the depth ratio at which the Froude number of a flow is 1 [1].

    Args:
        flow_l_per_s: Flow [l/s], above 0.
        bore_mm: Inside diameter [mm].

    Limits: open surface; every flow has one, close to 1 for large flows.
    Source: Q2 T = g A3, bisection.
    Example: the Froude number there is 1.
        >>> round(froude(3.0, 100.0, critical_depth_ratio(3.0, 100.0)), 6)
        1.0
    """
    if flow_l_per_s <= 0.0:
        raise ValueError(f"flow must be above 0, got {flow_l_per_s!r}")
    lo, hi = 0.0, 1.0
    for _ in range(60):
        mid = (lo + hi) / 2.0
        if froude(flow_l_per_s, bore_mm, mid) > 1.0:
            lo = mid
        else:
            hi = mid
    return (lo + hi) / 2.0
