"""Crossings of engineered floor members against the maker's paper as the job copies it. Lengths [mm].

The arithmetic is its own: it knows nothing of how the layout and the bore list judge the same place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stubout.checks.base import Review
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.house.bearings import bearings, strips_of
from stubout.house.crossings import HoleChart
from stubout.house.model import Frame
from stubout.network.model import Pipe


def charted_frame(on: Review, bore: Bore) -> tuple[Frame, HoleChart] | None:
    """Return the I-joists a hole is in and their chart; None of other members, and where the job copied no chart."""
    if bore.member_kind != "i-joist":
        return None
    frame = next((f for f in on.house.frames if f.id == bore.wall_or_frame), None)
    return None if frame is None or frame.chart is None else (frame, frame.chart)


def to_bearing_mm(on: Review, frame: Frame, bore: Bore) -> float:
    """Return how far the centre of a hole is from the face of the nearest bearing of its joist; below 0 over one."""
    along = bore.centre.x if frame.runs == "x" else bore.centre.y
    places = bearings(frame, bore.station_mm, strips_of(on.house, frame))
    return min(max(lo - along, along - hi) for lo, hi in places)


def least_from_bearing_mm(chart: HoleChart, hole_mm: float, tolerance_mm: float) -> float | None:
    """Return how far from a bearing the chart wants a hole; None where it has none so large."""
    wanted = [r.from_bearing_mm for r in chart.rows if hole_mm - r.hole_mm <= tolerance_mm]
    return min(wanted, default=None)


def least_apart_mm(chart: HoleChart, holes_mm: tuple[float, float], tolerance_mm: float) -> float:
    """Return the web the chart wants between two holes: the larger of what it wants beside each."""
    beside = []
    for hole in holes_mm:
        fits = sorted((r.hole_mm, r.apart_mm) for r in chart.rows if hole - r.hole_mm <= tolerance_mm)
        beside.append(fits[0][1] if fits else max(r.apart_mm for r in chart.rows))
    return max(beside)


def off_opening_mm(frame: Frame, centre_mm: float, pipe: Pipe, od_mm: float) -> float:
    """Return how far a pipe comes out of the round that the openings of an open-web joist pass; below 0 within it.

    Args:
        frame: The joists, with their openings.
        centre_mm: Of the joist, across the run.
        pipe: The pipe.
        od_mm: Its outside diameter.
    """
    if frame.openings is None:
        return math.inf
    said = frame.openings
    slide = (said.wide_mm - said.round_mm) / 2
    height = frame.bottom_z_mm + said.height_mm
    worst = -math.inf
    for along, z, skew in _inside(frame, centre_mm, pipe):
        radius = od_mm / 2 / skew
        off = min(
            math.hypot(max(abs(along - middle) - slide, 0.0), z - height) - (said.round_mm / 2 - radius)
            for middle in said.middles_mm
        )
        worst = max(worst, off)
    return math.inf if worst == -math.inf else worst


def _inside(frame: Frame, centre_mm: float, pipe: Pipe) -> Iterator[tuple[float, float, float]]:
    """Yield the ends of the centre line within a joist: along, z, and how squarely it goes through (1 = square)."""

    def own(p: Vec) -> tuple[float, float, float]:
        return (p.x, p.y, p.z) if frame.runs == "x" else (p.y, p.x, p.z)

    (s0, c0, z0), (s1, c1, z1) = own(pipe.a), own(pipe.b)
    span, half = c1 - c0, frame.width_mm / 2
    if abs(span) < 1e-6 or pipe.length_mm < 1e-6:
        return
    t = sorted((face - c0) / span for face in (centre_mm - half, centre_mm + half))
    if t[1] < 0.0 or t[0] > 1.0:
        return
    for part in (max(t[0], 0.0), min(t[1], 1.0)):
        yield s0 + (s1 - s0) * part, z0 + (z1 - z0) * part, abs(span) / pipe.length_mm
