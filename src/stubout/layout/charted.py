"""Crossing engineered floor members where the job copied the maker's paper, and only there. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from stubout.house.bearings import Strip, bearings, from_bearing
from stubout.house.crossings import FLANGE_MM
from stubout.house.model import Frame
from stubout.layout.space_shapes import XY, Gauge, Span

PLAY_MM = 1.5  # a pipe falls on its way through the thickness of a member, and no opening is passed to a hair
EVERY_MM = 300.0  # so far apart crossings are tried where the chart allows a hole anywhere
BESIDE_MM = 1.0  # a line laid at a least distance keeps so much more


def crossing_spans(frame: Frame, found: Iterable[Strip], along: float, crossed: XY, g: Gauge) -> list[Span] | None:
    """Return the heights at which a pipe crosses the members of a frame, None where it may not.

    Args:
        frame: I-joists with their chart, or open-web joists with their openings.
        found: What the members bear on.
        along: Where it crosses, along the run of the members [mm].
        crossed: From where to where it goes across the run [mm].
        g: The pipe.
    """
    if frame.openings is not None:
        play = frame.openings.play_mm(g.od_mm + 2 * PLAY_MM, along)
        middle = frame.bottom_z_mm + frame.openings.height_mm
        return None if play is None else [Span(middle - play, middle + play)]
    if frame.chart is None:
        return None
    for centre in frame.centres_mm:
        if crossed[0] < centre < crossed[1]:
            away = from_bearing(frame, along, centre, found)
            if g.hole_mm > frame.chart.largest_at(away):
                return None
    edge = FLANGE_MM + PLAY_MM + g.hole_mm / 2
    return [Span(frame.bottom_z_mm + edge, frame.top_z_mm - edge)]


def charted(frame: Frame) -> bool:
    """Return whether the maker's paper lets this frame be crossed somewhere."""
    return frame.chart is not None or frame.openings is not None


def crossing_lines(frame: Frame, found: Iterable[Strip], lo: float, hi: float) -> Iterator[float]:
    """Yield the places along the run, between two of them, at which a pipe would cross: lines to search on [mm]."""
    if frame.openings is not None:
        yield from (m for m in frame.openings.middles_mm if lo <= m <= hi)
    if frame.chart is not None:
        away = {r.from_bearing_mm + BESIDE_MM for r in frame.chart.rows}
        strips = tuple(found)
        faces = {b for c in frame.centres_mm for b in bearings(frame, c, strips)}
        places = {p for b in faces for d in away for p in (b[0] - d, b[1] + d)}
        least = min(away)
        between = {lo + n * EVERY_MM for n in range(1, int((hi - lo) / EVERY_MM) + 1)}
        places |= {p for p in between if all(p < b[0] - least or p > b[1] + least for b in faces)}
        yield from sorted(p for p in places if lo <= p <= hi)


class Holes(NamedTuple):
    """The holes of a pipe that lies across I-joists, and how far from them another one may go through."""

    across: int  # the axis the pipe goes along: 0 = x, 1 = y
    lo: float  # where along the joists it crosses them
    hi: float
    joists: tuple[float, ...]  # those it crosses
    near: float  # from centre to centre

    def met_by(self, p: XY, q: XY) -> bool:
        """Return whether a leg goes through one of these joists too near the hole in it."""
        c = self.across
        at, (low, high) = p[1 - c], (min(p[c], q[c]), max(p[c], q[c]))
        return self.lo - self.near < at < self.hi + self.near and any(low < j < high for j in self.joists)


def holes_of(frame: Frame | None, a: XY, b: XY, g: Gauge, other: Gauge) -> Holes | None:
    """Return the holes of a pipe that lies across I-joists by their chart, None where it cuts none.

    Args:
        frame: The frame it lies in.
        a: One end of the pipe that lies there, in plan.
        b: The other end.
        g: That pipe.
        other: The pipe to be led past it.
    """
    if frame is None or frame.chart is None:
        return None
    c = 1 if frame.runs == "x" else 0
    low, high = min(a[c], b[c]), max(a[c], b[c])
    joists = tuple(j for j in frame.centres_mm if low < j < high)
    if not joists:
        return None
    apart = max(frame.chart.apart(g.hole_mm), frame.chart.apart(other.hole_mm))
    near = apart + (g.hole_mm + other.hole_mm) / 2
    return Holes(c, min(a[1 - c], b[1 - c]), max(a[1 - c], b[1 - c]), joists, near)
