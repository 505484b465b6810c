"""Levels and frames: what one stands on, and the members that carry it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stubout.geometry.vec import Box, Vec
from stubout.house.crossings import ChartRow, HoleChart, WebOpenings
from stubout.house.framing import Wall
from stubout.house.model import Axis, Frame, HouseLevel
from stubout.job.model import FrameSaid, LevelSaid, RecessSaid, SiteSaid

PANEL_MM = 60.0  # between a wall and the members on or under it: panel, furring
SQUARE = 1e-6


def resolve_frame(said: FrameSaid, site: SiteSaid) -> Frame:
    """Return a frame with the centre lines of its members; extents not said are those of the footprint."""
    runs: Axis = "y" if said.runs == "north-south" else "x"
    m = said.members
    size_x, size_y = site.footprint
    along = said.along or ((0.0, size_y) if runs == "y" else (0.0, size_x))
    across = said.across or ((0.0, size_x) if runs == "y" else (0.0, size_y))
    counted = _counted(m.first, m.spacing, m.count, max(across))
    return Frame(
        id=said.id, carries=said.carries, kind=said.member, runs=runs,
        depth_mm=said.depth, width_mm=said.width, web_mm=said.width if said.web is None else said.web,
        top_z_mm=said.top, bottom_z_mm=said.top - said.depth, panel_mm=said.panel,
        centres_mm=tuple(sorted({round(c, 6) for c in [*m.at, *counted]})),
        along_lo_mm=min(along), along_hi_mm=max(along), across_lo_mm=min(across), across_hi_mm=max(across),
        bore_allowed=said.member == "sawn" or said.maker_chart, open_above=said.open_above,
        chart=_chart(said), openings=_openings(said, max(along)), line=said.line,
    )  # fmt: skip


def _counted(first: float | None, spacing: float | None, count: int | None, end: float) -> list[float]:
    """Return members counted from a first one; without a number, as many as stand before the end of the frame."""
    if first is None:
        return []
    if not spacing:
        return [first]
    n = count if count is not None else max(0, math.floor((end - first) / spacing + 1e-6) + 1)
    return [first + k * spacing for k in range(n)]


def _chart(said: FrameSaid) -> HoleChart | None:
    """Return the hole chart of I-joists; None without it, or where a row of it lacks what a hole asks."""
    rows = [
        ChartRow(r.hole, r.from_bearing, r.apart)
        for r in said.chart
        if r.hole is not None and r.from_bearing is not None and r.apart is not None
    ]
    if said.member != "i-joist" or not said.maker_chart or not rows or len(rows) < len(said.chart):
        return None
    return HoleChart(tuple(sorted(rows, key=lambda r: (r.hole_mm, r.from_bearing_mm))), said.line)


def _openings(said: FrameSaid, end: float) -> WebOpenings | None:
    """Return the openings of open-web joists; None where the drawing was not copied so far that a pipe could pass."""
    o = said.openings
    if said.member != "open-web" or not said.maker_chart or o is None or o.round is None or o.height is None:
        return None
    middles = sorted({round(m, 6) for m in [*o.at, *_counted(o.first, o.spacing, o.count, end)]})
    if not middles:
        return None
    return WebOpenings(o.round, o.height, o.round if o.wide is None else o.wide, tuple(middles), said.line)


def member_along(frame: Frame, w: Wall) -> float | None:
    """Return how far to one side of a wall's stud line a member that lies along it has its middle [mm].

    Only members that lie over its top plates or under its bottom plate count, and of several the one nearest to the
    stud line; None where none lies within the plates' breadth.
    """
    along, across = ("y", "x") if frame.runs == "y" else ("x", "y")
    ends = sorted((getattr(w.start, along), getattr(w.end, along)))
    if abs(getattr(w.along, across)) > SQUARE or ends[1] < frame.along_lo_mm or ends[0] > frame.along_hi_mm:
        return None
    if not any(frame.bottom_z_mm - PANEL_MM < z < frame.top_z_mm + PANEL_MM for z in (w.top_z_mm, w.bottom_z_mm)):
        return None
    line, reach = getattr(w.start, across), (w.depth_mm + frame.width_mm) / 2
    there = [c - line for c in frame.centres_mm if abs(c - line) < reach]
    return min(there, key=abs, default=None)


def resolve_levels(said: Sequence[LevelSaid], frames: Sequence[Frame]) -> tuple[HouseLevel, ...]:
    """Return the levels from the lowest up; a ceiling not said is the underside of the next frame above."""
    ordered = sorted(said, key=lambda v: (v.subfloor, v.id))
    return tuple(_level(v, n, frames) for n, v in enumerate(ordered))


def _level(said: LevelSaid, order: int, frames: Sequence[Frame]) -> HouseLevel:
    above = [f for f in frames if f.carries != said.id and f.bottom_z_mm > said.subfloor + 1]
    lowest = min(above, key=lambda f: (f.bottom_z_mm, f.id), default=None)
    ceiling = said.ceiling
    if ceiling is None and lowest is not None:
        ceiling = lowest.bottom_z_mm
    attic = said.attic_above or (lowest is not None and lowest.open_above and not lowest.carries)
    return HouseLevel(
        id=said.id, title=said.title or said.id, order=order, kind=said.floor,
        subfloor_z_mm=said.subfloor, wall_height_mm=said.wall_height, slab_mm=said.slab, gravel_mm=said.gravel,
        ceiling_z_mm=ceiling, attic_above=attic, slab_poured=said.poured, ceiling_open=said.ceiling_open,
        recesses=tuple((r.what, _recess(r, said.subfloor)) for r in said.recesses),
    )  # fmt: skip


def _recess(said: RecessSaid, top: float) -> Box:
    return Box(Vec(min(said.x), min(said.y), top - said.drop), Vec(max(said.x), max(said.y), top))
