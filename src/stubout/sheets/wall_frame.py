"""The frame of a wall elevation: plates, studs, openings, floors, cabinets, fixtures, obstacles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stubout.design import Design
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Side, Wall
from stubout.sheets.canvas import XY, Canvas, spread
from stubout.sheets.clip import clip_area, clip_line
from stubout.sheets.metrics import text_width
from stubout.sheets.model import Style
from stubout.sheets.symbols import datum, zigzag
from stubout.sheets.wall_view import WallView
from stubout.sheets.words import finished_z, level_mark, mm, start_end

STUD_TEXT_GAP_MM = 3.9
TWO_PLATES_MM = 60.0  # top plates thicker than that are two
_SUFFIX = {"jack": " J", "king": " K", "cripple": " C", "post": " P", "added": " +"}


@dataclass(frozen=True, slots=True)
class Elevation:
    """What the parts of an elevation drawing share."""

    design: Design
    wall: Wall
    side: Side
    view: WallView
    canvas: Canvas

    def area(self, lo: float, hi: float, lo_z: float, hi_z: float, style: Style, layer: str) -> bool:
        """Draw a rectangle of the wall face, cut at the edges; return whether any of it shows."""
        return self.shape(((lo, lo_z), (hi, lo_z), (hi, hi_z), (lo, hi_z)), style, layer)

    def shape(self, at: Sequence[tuple[float, float]], style: Style, layer: str) -> bool:
        """Draw a convex shape of the wall face by its corners (station, z), as `area` does.

        What slopes has to lie in one part of the view: from one part to the next stations jump.
        """
        shown = False
        lo, hi = min(s for s, _ in at), max(s for s, _ in at)
        for part in range(len(self.view.parts)):
            corners = [self.view.at(s, z) for s, z in at]
            a, b = self.view.parts[part]
            if hi <= a or lo >= b:
                continue
            cut = clip_area(corners, self.view.window(part))
            if len(cut) > 2:
                self.canvas.line(cut, style, layer, closed=True)
                shown = True
        return shown

    def stroke(self, a: tuple[float, float], b: tuple[float, float], style: Style, layer: str) -> None:
        """Draw a line between two (station, z), cut at the edges."""
        for part in range(len(self.view.parts)):
            cut = clip_line(self.view.at(*a), self.view.at(*b), self.view.window(part))
            if cut and cut[0] != cut[1]:
                self.canvas.line(cut, style, layer)

    def span(self, box: Box) -> tuple[float, float]:
        """Return the stations a box covers."""
        at = [self.wall.station(Vec(x, y)) for x in (box.lo.x, box.hi.x) for y in (box.lo.y, box.hi.y)]
        return min(at), max(at)


def draw_frame(e: Elevation) -> None:
    """Draw plates, studs, openings and both floor lines."""
    wall, view = e.wall, e.view
    lo_sub = wall.bottom_z_mm
    wood = Style("thin")
    first, last = 0.0, wall.length_mm
    plate_top = lo_sub + wall.bottom_plate_mm
    doors = sorted((o.station_mm, o.station_mm + o.width_mm) for o in wall.openings if o.sill_z_mm <= plate_top)
    at = first
    for a, b in [*doors, (last, last)]:
        if a - at > 1:
            e.area(at, a, lo_sub, plate_top, wood, "plate")
        at = b
    if wall.top_plate_mm and wall.tops:
        _plates_under_roof(e, wood)
    elif wall.top_plate_mm:
        e.area(first, last, wall.top_z_mm - wall.top_plate_mm, wall.top_z_mm, wood, "plate")
        if wall.top_plate_mm > TWO_PLATES_MM:
            mid = wall.top_z_mm - wall.top_plate_mm / 2
            e.stroke((first, mid), (last, mid), Style("hair"), "plate")
    for o in wall.openings:
        e.area(
            o.station_mm,
            o.station_mm + o.width_mm,
            o.head_z_mm,
            o.header_top_z_mm,
            Style("thin", fill="light"),
            "header",
        )
        if o.sill_z_mm > plate_top:
            sill = (o.station_mm, o.station_mm + o.width_mm)
            e.area(*sill, o.sill_z_mm - wall.bottom_plate_mm, o.sill_z_mm, wood, "plate")
        style = Style("thin", "dashdot")
        top, bottom = o.head_z_mm, max(o.sill_z_mm, lo_sub)
        e.stroke((o.station_mm, bottom), (o.station_mm + o.width_mm, top), style, "opening")
        e.stroke((o.station_mm, top), (o.station_mm + o.width_mm, bottom), style, "opening")
    for s in wall.studs:
        lo = s.lo_z_mm if s.hi_z_mm > s.lo_z_mm else plate_top
        hi = s.hi_z_mm if s.hi_z_mm > s.lo_z_mm else wall.under_plates_at(s.station_mm)
        e.area(
            s.station_mm - s.width_mm / 2, s.station_mm + s.width_mm / 2, lo, hi, Style("thin", fill="white"), "stud"
        )
    for i in range(len(view.parts) - 1):
        a, b = view.x(view.parts[i][1]), view.x(view.parts[i + 1][0])
        for x in (a, b):
            zigzag(e.canvas, x, view.y0 - 1.0, view.y0 + view.height + 1.0)


def _plates_under_roof(e: Elevation, wood: Style) -> None:
    """Draw the top plates of a wall that the roof cuts, stretch by stretch."""
    wall = e.wall
    for (start, at_start), (end, at_end) in pairwise(wall.tops):
        for a, b in ((max(start, lo), min(end, hi)) for lo, hi in e.view.parts):
            if b - a < 1.0:
                continue
            slope = (at_end - at_start) / (end - start)
            hi_a, hi_b = (at_start + slope * (s - start) for s in (a, b))
            thick = wall.top_plate_mm * math.hypot(1.0, slope)
            for lower, upper in ((1.0, 0.5), (0.5, 0.0)) if wall.top_plate_mm > TWO_PLATES_MM else ((1.0, 0.0),):
                lo, hi = thick * lower, thick * upper
                e.shape(((a, hi_a - lo), (b, hi_b - lo), (b, hi_b - hi), (a, hi_a - hi)), wood, "plate")


def draw_floors(e: Elevation) -> None:
    """Draw the subfloor line and, in front of each room, the finished floor line; write both at the margins."""
    wall, view, canvas = e.wall, e.view, e.canvas
    sub = wall.bottom_z_mm
    for a, b in view.parts:
        canvas.line((view.at(a, sub), view.at(b, sub)), Style("thick"), "subfloor")
    steps: list[tuple[float, float, float]] = []  # station from, to, z
    for a, b in view.parts:
        n = max(1, int((b - a) / 20))
        for k in range(n):
            mid = a + (b - a) * (k + 0.5) / n
            z = finished_z(e.design, wall, e.side, mid)
            lo, hi = a + (b - a) * k / n, a + (b - a) * (k + 1) / n
            if z is None:
                continue
            if steps and abs(steps[-1][1] - lo) < 0.5 and steps[-1][2] == z:
                steps[-1] = (steps[-1][0], hi, z)
            else:
                steps.append((lo, hi, z))
    for a, b, z in steps:
        canvas.line((view.at(a, z), view.at(b, z)), Style("medium", "dashdot"), "finished floor")
    left = view.x0
    labels: list[tuple[float, str, float]] = [(sub, "SUBFLOOR", left)]
    for a, b, z in steps:
        xs = sorted((view.x(a), view.x(b)))
        words = floor_words(e.design, z - sub)
        if not any(w == words for _, w, _ in labels):
            labels.append((z, words, xs[0]))
    labels.sort(key=lambda t: (t[0], t[1] != "SUBFLOOR", t[1]))
    ys = spread([view.y(z) for z, _, _ in labels], 4.4, view.y0 - 4.0, view.y0 + view.height)
    for (z, words, x_from), y in zip(labels, ys, strict=True):
        start = (min(x_from, left) - 0.5, view.y(z))
        end = (left - 5.0, y)
        canvas.line((start, (left - 2.0, view.y(z)), end), Style("hair"), "leader")
        canvas.text((end[0] - 0.4, y - 1.1), words, "floor label", anchor="end")


def floor_words(design: Design, build_up_mm: float) -> str:
    """Return the words at a finished floor line: `FIN. FLOOR +3/4"`."""
    return f"FIN. FLOOR {level_mark(design, build_up_mm)}"


def draw_corner(e: Elevation) -> None:
    """Mark the control corner: station 0 of the wall."""
    view, canvas = e.view, e.canvas
    if not view.shows(0.0):
        return
    x, y = view.x(0.0), view.y0
    at_left = e.side == "right"
    foot = view.y(e.wall.bottom_z_mm)
    canvas.line(((x, y), (x, y + view.height + 2.5)), Style("heavy"), "control corner", cover="hard")
    datum(canvas, (x, foot), "control corner", -1.0 if at_left else 1.0)
    words = "CONTROL CORNER"
    wide = text_width(words, 9.0, bold=True)
    place: XY = (x - 3.0 if at_left else x + 1.5, y + view.height + 4.0)
    if at_left and place[0] - wide < canvas.body[0]:
        place = (canvas.body[0] + wide + 0.2, place[1])
    anchor = "end" if at_left else "start"
    if not at_left and place[0] + wide > canvas.body[2]:
        place, anchor = (canvas.body[2] - 0.2, place[1]), "end"
    canvas.text((place[0], place[1] + 4.0), words, "control corner", bold=True, anchor=anchor)  # type: ignore[arg-type]  # start or end
    canvas.text(place, f"0 = {start_end(e.wall)}", "control corner", anchor=anchor)  # type: ignore[arg-type]  # start or end


def draw_stations(e: Elevation) -> None:
    """Write the station of every stud under the floor, turned, each with a tick from its centre line."""
    view, canvas = e.view, e.canvas
    wanted = sorted(
        (view.x(s.station_mm), s.station_mm, _SUFFIX.get(s.kind, "")) for s in e.wall.studs if view.shows(s.station_mm)
    )
    merged: list[tuple[float, float, str]] = []
    for x, station, suffix in wanted:
        if merged and abs(merged[-1][1] - station) < 1.0:  # a cripple over a cripple
            continue
        merged.append((x, station, suffix))
    places = spread([x for x, _, _ in merged], STUD_TEXT_GAP_MM, view.x0 - 3.0, view.x0 + view.width + 3.0)
    top = view.y0
    for (x, station, suffix), p in zip(merged, places, strict=True):
        canvas.line(((x, top), (x, top - 1.2), (p, top - 4.0)), Style("hair"), "station", cover="hard")
        canvas.text((p + 1.1, top - 4.6), f"{mm(e.design, station)}{suffix}", "station", anchor="end", turn_deg=90)


def draw_cabinets(e: Elevation) -> None:
    """Draw cabinets on this side dashed: seams, drawers, shelves, counter."""
    dashed, short = Style("thin", "dashed"), Style("hair", "short")
    for c in e.design.house.cabinets:
        if c.wall_id != e.wall.id or c.side != e.side:
            continue
        lo, hi = c.from_station_mm, c.to_station_mm
        if not e.area(lo, hi, c.box.lo.z, c.box.hi.z, dashed, "cabinet"):
            continue
        if c.floor_z_mm is not None:
            e.stroke((lo, c.floor_z_mm), (hi, c.floor_z_mm), dashed, "cabinet")
        if c.counter_z_mm is not None:
            e.area(lo, hi, c.counter_z_mm - c.counter_mm, c.counter_z_mm, dashed, "counter")
        for d in c.drawers:
            e.area(lo + 20, hi - 20, d.lo_z_mm, d.hi_z_mm, short, "drawer")
            if d.cut_width_mm:
                mid = (lo + hi) / 2
                half = d.cut_width_mm / 2
                e.area(mid - half, mid + half, d.lo_z_mm, d.hi_z_mm, short, "drawer")
        for z in c.shelves_z_mm:
            e.stroke((lo, z), (hi, z), short, "shelf")
        if c.partition_station_mm is not None and c.partition_hi_z_mm is not None:
            at = c.partition_station_mm
            e.stroke((at, c.box.lo.z), (at, c.partition_hi_z_mm), dashed, "cabinet")


def draw_obstacles(e: Elevation) -> None:
    """Draw what is in the wall already, hatched: ducts, boxes, posts, beams."""
    for o in e.design.house.obstacles:
        if not in_wall(e, o.box, o.wall_id):
            continue
        lo, hi = e.span(o.box)
        far = o.wall_id == e.wall.id and on_far_side(e, o.box)
        e.area(lo, hi, o.box.lo.z, o.box.hi.z, Style("medium", "short" if far else "solid", fill="hatch"), "obstacle")


def in_wall(e: Elevation, box: Box, wall_id: str) -> bool:
    """Return whether an obstacle is in this wall: said by the job, or because it reaches into it."""
    if wall_id:
        return wall_id == e.wall.id
    offs = [e.wall.offset(Vec(x, y)) for x in (box.lo.x, box.hi.x) for y in (box.lo.y, box.hi.y)]
    half = e.wall.depth_mm / 2
    lo, hi = e.span(box)
    return (
        min(offs) < half
        and max(offs) > -half
        and lo < e.wall.length_mm
        and hi > 0
        and box.hi.z > e.wall.bottom_z_mm
        and box.lo.z < e.wall.top_z_mm
    )


def on_far_side(e: Elevation, box: Box) -> bool:
    """Return whether an obstacle reaches only into the other side of the wall."""
    mid = e.wall.offset(box.centre)
    return abs(mid) > 5 and (mid < 0) == (e.side == "left")


def draw_fixtures(e: Elevation) -> None:
    """Draw the outlines of the fixtures in front of this side, and the rim of those whose body is not given."""
    for f in e.design.house.fixtures:
        if f.wall_id != e.wall.id or f.side != e.side:
            continue
        style = Style("thin", "dotted")
        if f.extent is not None:
            lo, hi = e.span(f.extent)
            if hi - lo < 2500:
                e.area(lo, hi, f.extent.lo.z, f.extent.hi.z, style, "fixture")
        elif f.flood_rim_z_mm is not None and f.station_mm is not None:
            e.stroke((f.station_mm - 180, f.flood_rim_z_mm), (f.station_mm + 180, f.flood_rim_z_mm), style, "fixture")
