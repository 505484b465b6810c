"""The house under a plan: footprint, walls with studs, joists, fixtures, footings, obstacles."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.design import Design
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import Frame
from stubout.sheets.canvas import XY, Canvas, spread
from stubout.sheets.clip import clip_area, clip_line
from stubout.sheets.metrics import Rect, wrap
from stubout.sheets.model import Style
from stubout.sheets.storeys import Storey, frame_shown
from stubout.sheets.words import mm, named

JOIST_MARGIN_MM = 18.0  # left of a plan and under it, for joist marks
EDGE_MM = 10.0  # over it, and where no joist marks stand
LEAST_SEEN_MM = 6.0  # of a fixture on paper that gets its tag though its outlet is cut off
RIGHT_MM = 16.0  # right of it, for the north arrow

# Where in an area its name may point.
ROOF_SHARES = ((0.5, 0.5), (0.2, 0.5), (0.8, 0.5), (0.5, 0.2), (0.5, 0.8), (0.1, 0.1), (0.9, 0.9), (0.1, 0.9))

Extent = tuple[float, float, float, float]  # house x0, y0, x1, y1 [mm]


@dataclass(frozen=True, slots=True)
class PlanView:
    """From house x, y to millimetres on paper; north up, or to the left when turned."""

    ratio: float
    turned: bool
    extent: Extent
    x0: float
    y0: float

    @property
    def width(self) -> float:
        """Return the width on paper [mm]."""
        lo, hi = (1, 3) if self.turned else (0, 2)
        return (self.extent[hi] - self.extent[lo]) / self.ratio

    @property
    def height(self) -> float:
        """Return the height on paper [mm]."""
        lo, hi = (0, 2) if self.turned else (1, 3)
        return (self.extent[hi] - self.extent[lo]) / self.ratio

    @property
    def window(self) -> Rect:
        """Return the paper box of the plan."""
        return self.x0, self.y0, self.x0 + self.width, self.y0 + self.height

    def at(self, p: Vec) -> XY:
        """Return the paper point of a house point."""
        if self.turned:
            return self.x0 + (self.extent[3] - p.y) / self.ratio, self.y0 + (p.x - self.extent[0]) / self.ratio
        return self.x0 + (p.x - self.extent[0]) / self.ratio, self.y0 + (p.y - self.extent[1]) / self.ratio

    def back(self, at: XY) -> Vec:
        """Return the house point of a paper point, at height 0."""
        if self.turned:
            return Vec(self.extent[0] + (at[1] - self.y0) * self.ratio, self.extent[3] - (at[0] - self.x0) * self.ratio)
        return Vec(self.extent[0] + (at[0] - self.x0) * self.ratio, self.extent[1] + (at[1] - self.y0) * self.ratio)

    def box(self, extent: Extent) -> Rect:
        """Return the paper box of a part of the house."""
        a, b = self.at(Vec(extent[0], extent[1])), self.at(Vec(extent[2], extent[3]))
        return min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])

    def direction(self, d: Vec) -> XY:
        """Return the paper direction of a house direction."""
        return (-d.y, d.x) if self.turned else (d.x, d.y)

    def holds(self, p: Vec) -> bool:
        """Return whether a point is on the plan."""
        return self.extent[0] <= p.x <= self.extent[2] and self.extent[1] <= p.y <= self.extent[3]


def _area(view: PlanView, canvas: Canvas, corners: tuple[Vec, ...], style: Style, layer: str) -> bool:
    cut = clip_area([view.at(c) for c in corners], view.window)
    if len(cut) < 3:
        return False
    canvas.line(cut, style, layer, closed=True)
    return True


def _box(view: PlanView, canvas: Canvas, box: Box, style: Style, layer: str) -> bool:
    lo, hi = box.lo, box.hi
    return _area(view, canvas, (Vec(lo.x, lo.y), Vec(hi.x, lo.y), Vec(hi.x, hi.y), Vec(lo.x, hi.y)), style, layer)


def _strip(wall: Wall, lo: float, hi: float) -> tuple[Vec, ...]:
    half = wall.depth_mm / 2
    return tuple(wall.point(s, 0.0, o) for s, o in ((lo, half), (hi, half), (hi, -half), (lo, -half)))


def draw_house(design: Design, storey: Storey, view: PlanView, canvas: Canvas) -> None:
    """Draw what is there before the pipes."""
    house = design.house
    frame = frame_shown(design, storey)
    if frame is not None:
        for c in frame.centres_mm:
            if frame.runs == "x":
                a, b = Vec(frame.along_lo_mm, c), Vec(frame.along_hi_mm, c)
            else:
                a, b = Vec(c, frame.along_lo_mm), Vec(c, frame.along_hi_mm)
            cut = clip_line(view.at(a), view.at(b), view.window)
            if cut is not None:
                canvas.line(cut, Style("hair", "dashdot", "grey"), "joist")
    for o in house.obstacles:
        if _shown(design, storey, o.box, o.kind) and not o.wall_id:
            solid = o.kind in ("footing", "pad", "post", "beam")
            fill = "hatch" if o.kind in ("post", "duct", "appliance", "blocking") else "none"
            style = Style("thin", "dashed" if solid else "solid", "grey", fill)  # type: ignore[arg-type]
            _box(view, canvas, o.box, style, f"obstacle:{o.id}")
    foot = house.footprint
    outline = Style("medium", "dashed" if storey.kind != "storey" else "solid", "grey")
    _outline(view, canvas, foot, outline)
    if storey.kind != "attic":
        for w in house.walls:
            if w.level_id == storey.level.id:
                _wall(storey, w, view, canvas)
        for f in house.fixtures:
            if f.level_id == storey.level.id and f.extent is not None:
                _box(view, canvas, f.extent, Style("thin", "dotted"), f"fixture:{f.tag}")
    else:
        for z in house.roof_zones:
            box = Box(Vec(z.x0_mm, z.y0_mm), Vec(z.x1_mm, z.y1_mm))
            _box(view, canvas, box, Style("thin", "dashdot", "grey"), f"roof zone:{z.id}")
        for r in house.roof_openings:
            _box(view, canvas, r.box, Style("medium"), f"roof opening:{r.id}")


def _outline(view: PlanView, canvas: Canvas, foot: Box, style: Style) -> None:
    corners = [foot.lo, Vec(foot.hi.x, foot.lo.y), foot.hi, Vec(foot.lo.x, foot.hi.y)]
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        cut = clip_line(view.at(a), view.at(b), view.window)
        if cut is not None and cut[0] != cut[1]:
            canvas.line(cut, style, "footprint")


def _wall(storey: Storey, wall: Wall, view: PlanView, canvas: Canvas) -> None:
    """Draw a wall as its plates; studs inside it; doors left open."""
    light = storey.kind == "under"
    style = Style("thin", "dashed", "grey") if light else Style("thin")
    doors = sorted(
        (o.station_mm, o.station_mm + o.width_mm) for o in wall.openings if o.sill_z_mm <= wall.bottom_z_mm + 50
    )
    at = 0.0
    for a, b in [*doors, (wall.length_mm, wall.length_mm)]:
        if a - at > 1:
            _area(view, canvas, _strip(wall, at, a), style, "wall")
        at = b
    if light:
        return
    for s in wall.studs:
        if s.lo_z_mm <= wall.bottom_z_mm + wall.bottom_plate_mm + 1:
            strip = _strip(wall, s.station_mm - s.width_mm / 2, s.station_mm + s.width_mm / 2)
            _area(view, canvas, strip, Style("hair", tint="grey"), "stud")


def _shown(design: Design, storey: Storey, box: Box, kind: str) -> bool:
    """Return whether an obstacle belongs on a plan: by its height."""
    sub = storey.level.subfloor_z_mm
    if kind in ("skylight",):
        return storey.kind == "attic"
    if storey.kind == "under":
        return box.lo.z < sub - 1.0
    ceiling = sub + (storey.level.wall_height_mm or 2400.0)
    if storey.kind == "attic":
        return box.hi.z > ceiling + 1.0
    frame = design.house.frame_carrying(storey.level.id)
    bottom = frame.bottom_z_mm if frame is not None else sub
    return box.hi.z > bottom + 1.0 and box.lo.z < ceiling


def draw_joist_marks(design: Design, storey: Storey, view: PlanView, canvas: Canvas) -> None:
    """Write the coordinate of each joist's centre line along the edge of the plan."""
    frame = frame_shown(design, storey)
    if frame is None:
        return
    across_y = frame.runs == "x"  # centre lines are y values
    upright = across_y != view.turned  # joists lie level on paper: their marks stand beside
    lo, hi = (view.extent[1], view.extent[3]) if across_y else (view.extent[0], view.extent[2])
    centres = [c for c in sorted(frame.centres_mm) if lo <= c <= hi]
    if not centres:
        return
    if upright:
        rows = sorted((view.at(Vec(0.0, c) if across_y else Vec(c, 0.0))[1], c) for c in centres)
        rows = _thinned(rows, 3.9)
        places = spread([y for y, _ in rows], 3.9, view.y0 - 8.0, view.y0 + view.height + 4.0)
        for (y, c), q in zip(rows, places, strict=True):
            canvas.line(((view.x0 - 0.3, y), (view.x0 - 1.2, y), (view.x0 - 2.6, q)), Style("hair"), "joist mark")
            canvas.text((view.x0 - 3.0, q - 1.1), mm(design, c), "joist mark", anchor="end")
        canvas.text((view.x0 - 3.0, max(places) + 4.2), members_word(frame), "joist mark", anchor="end")
        return
    rows = sorted((view.at(Vec(0.0, c) if across_y else Vec(c, 0.0))[0], c) for c in centres)
    rows = _thinned(rows, 3.9)
    places = spread([x for x, _ in rows], 3.9, view.x0 - 2.0, view.x0 + view.width + 2.0)
    for (x, c), p in zip(rows, places, strict=True):
        canvas.line(((x, view.y0 - 0.3), (x, view.y0 - 1.2), (p, view.y0 - 2.6)), Style("hair"), "joist mark")
        canvas.text((p + 1.1, view.y0 - 3.0), mm(design, c), "joist mark", anchor="end", turn_deg=90)
    words = wrap(members_word(frame), JOIST_MARGIN_MM - 2.0, 9.0)  # no longer than the coordinates beside it
    for k, word in enumerate(reversed(words)):
        at = (min(places) - 3.2 - 3.9 * k, view.y0 - 3.0)
        canvas.text(at, word, "joist mark", anchor="end", turn_deg=90)


def members_word(frame: Frame) -> str:
    """Return what the members of a frame are."""
    return {"truss": "trusses", "i-joist": "I-joists", "open-web": "open-web joists"}.get(frame.kind, "joists")


def _thinned(rows: list[tuple[float, float]], gap: float) -> list[tuple[float, float]]:
    """Return the marks, every second or third left out where they stand too close."""
    if len(rows) < 2:
        return rows
    span = (rows[-1][0] - rows[0][0]) / (len(rows) - 1)
    step = 1
    while span * step < gap * 0.8:
        step += 1
    return rows[::step]


def label_fixtures(design: Design, storey: Storey, view: PlanView, canvas: Canvas) -> None:
    """Write the tag of each fixture at its outlet; under a floor only of those that drain through it."""
    house = design.house
    if storey.kind == "attic":
        return
    for f in house.fixtures:
        if f.level_id != storey.level.id or (storey.kind == "under" and not f.floor_outlet):
            continue
        at = design.outlet_of(f)
        if at is not None and f.extent is not None and not view.holds(at):
            at = _seen_of(f.extent, view) or at
        if at is None and f.wall_id and f.station_mm is not None:
            wall = house.wall(f.wall_id)
            at = wall.point(f.station_mm, 0.0, (1 if f.side == "left" else -1) * (wall.depth_mm / 2 + 120.0))
        if at is not None and view.holds(at):
            canvas.place(view.at(at), (f.tag,), f"fixture tag:{f.tag}", reach=40, bold_first=True)


def _seen_of(box: Box, view: PlanView) -> Vec | None:
    """Return the middle of what a plan shows of a fixture, None where it shows next to nothing."""
    x0, x1 = max(box.lo.x, view.extent[0]), min(box.hi.x, view.extent[2])
    y0, y1 = max(box.lo.y, view.extent[1]), min(box.hi.y, view.extent[3])
    return Vec((x0 + x1) / 2, (y0 + y1) / 2) if min(x1 - x0, y1 - y0) / view.ratio > LEAST_SEEN_MM else None


def label_house(design: Design, storey: Storey, view: PlanView, canvas: Canvas) -> None:
    """Name walls and obstacles; the names come last and give way to the pipes' words."""
    house = design.house
    for o in house.obstacles:
        if o.wall_id or not _shown(design, storey, o.box, o.kind):
            continue
        x0, x1 = max(o.box.lo.x, view.extent[0]), min(o.box.hi.x, view.extent[2])
        y0, y1 = max(o.box.lo.y, view.extent[1]), min(o.box.hi.y, view.extent[3])
        if x1 > x0 and y1 > y0:
            words = wrap(named(o.id, o.what), 46.0, 9.0)
            shares = (0.5, 0.35, 0.65, 0.2, 0.8)
            spots = [view.at(Vec(x0 + (x1 - x0) * t, y0 + (y1 - y0) * t)) for t in shares]
            canvas.place(spots[0], words, "obstacle label", reach=60, also=spots[1:], lesser=True)
    if storey.kind != "attic":
        for w in house.walls:
            if w.level_id != storey.level.id:
                continue
            cut = clip_line(view.at(w.start), view.at(w.end), view.window)
            if cut is not None and abs(cut[0][0] - cut[1][0]) + abs(cut[0][1] - cut[1][1]) > 4:
                (x0, y0), (x1, y1) = cut
                spots = [(x0 + (x1 - x0) * t, y0 + (y1 - y0) * t) for t in (0.65, 0.5, 0.35, 0.8, 0.2, 0.92, 0.08)]
                canvas.place(spots[0], (f"wall {w.id}",), "wall label", reach=30, also=spots[1:], lesser=True)
    else:
        for z in house.roof_zones:
            _name_on_roof(view, canvas, (z.x0_mm, z.y0_mm, z.x1_mm, z.y1_mm), f"{z.id}: {z.why}")
        for r in house.roof_openings:
            if view.holds(r.box.centre):
                _name_on_roof(view, canvas, (r.box.lo.x, r.box.lo.y, r.box.hi.x, r.box.hi.y), f"{r.id} opening")


def _name_on_roof(view: PlanView, canvas: Canvas, area: Extent, words: str) -> None:
    x0, y0, x1, y1 = area
    inside = [Vec(x0 + (x1 - x0) * s, y0 + (y1 - y0) * t) for s, t in ROOF_SHARES]
    shown = [view.at(p) for p in inside if view.holds(p)]
    if shown:
        canvas.place(shown[0], (words,), "roof label", reach=45, also=shown[1:], lesser=True)
