"""The pictures things are dragged on: a wall side seen from the room, a floor plan. One part of the paper is one mm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stubout.design import Design
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Opening, Side, Wall
from stubout.house.model import CabinetBox, House, HouseFixture
from stubout.job.model import Job
from stubout.live.handles import EAST, NORTH, UP, on_plan, on_wall
from stubout.live.model import Handle
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.metrics import text_rect
from stubout.sheets.model import Paper, Sheet, Style, Text
from stubout.sheets.plan_draw import draw_pipes as draw_plan_pipes
from stubout.sheets.plan_house import PlanView, draw_house
from stubout.sheets.storeys import Storey, storey_of, storey_title, storeys
from stubout.sheets.wall_draw import draw_wordless
from stubout.sheets.wall_frame import Elevation
from stubout.sheets.wall_view import WallView
from stubout.sheets.words import start_end

PAPER_MM = 100.0  # width of a picture: on a phone one millimetre is about four points of the screen
EDGE_MM = 3.0
FOOT_MM = 6.0  # under it, for the name of what stands on the floor
ROUND_MM = 450.0  # of wall shown beside what can be dragged
BESIDE_MM = 1000.0  # of a plan
LEAST_MM = 2400.0  # of a plan
STAND_MM = 180.0  # half the width of a fixture whose body is not given
Outline = tuple[XY, ...]
_SIDES: tuple[Side, ...] = ("left", "right")
_CABINET = Style("thin", "dashed")


@dataclass(frozen=True, slots=True)
class View:
    """One picture: where the house lies on it, and what can be taken hold of."""

    id: str  # "wall M-P left", "plan main"
    title: str
    sheet: Sheet
    right: Vec  # direction of the house that lies to the right, length one
    up: Vec
    ratio: float  # mm of the house to one of the paper
    at: Callable[[Vec], XY]  # from the lower left corner
    handles: tuple[Handle, ...]
    wall: Wall | None = None
    side: Side = "left"

    def handle(self, id_: str) -> Handle | None:
        """Return what is taken hold of by an id, None if it is not on this picture."""
        return next((h for h in self.handles if h.id == id_), None)


def view_ids(design: Design, job: Job) -> tuple[tuple[str, str], ...]:
    """Return id and title of the pictures with something to drag, level by level, plans first."""
    out: list[tuple[str, str]] = []
    for level in sorted(design.house.levels, key=lambda v: v.order):
        plans = (s for s in storeys(design) if s.level.id == level.id and s.kind != "attic")
        out += [(s.id, f"Plan: {storey_title(design, s)}") for s in plans if _plan_handles(design, job, s)]
        sides = ((w, side) for w in design.house.walls if w.level_id == level.id for side in _SIDES)
        out += [(f"wall {w.id} {side}", _title(w, side)) for w, side in sides if on_wall(design, job, w, side)]
    return tuple(out)


def _title(wall: Wall, side: Side) -> str:
    return f"Wall {wall.id}, {side} side, seen from the room"


def view_of(design: Design, job: Job, id_: str) -> View | None:
    """Return a picture by its id, None if the design has none."""
    storey = next((s for s in storeys(design) if s.id == id_ and s.kind != "attic"), None)
    if storey is not None:
        return _plan(design, job, storey)
    for w in design.house.walls:
        for side in _SIDES:
            if id_ == f"wall {w.id} {side}" and on_wall(design, job, w, side):
                return _wall(design, job, w, side)
    return None


def _wall(design: Design, job: Job, wall: Wall, side: Side) -> View:
    handles = on_wall(design, job, wall, side)
    lo, hi = _stretch(design, wall, side, handles)
    lo_z = min([wall.bottom_z_mm - 60.0, *(h.at.z - 60.0 for h in handles)])
    hi_z = max([wall.top_z_mm + 30.0, *(h.at.z + 60.0 for h in handles)])
    ratio = (hi - lo) / (PAPER_MM - 2 * EDGE_MM)
    paper = Paper("screen", PAPER_MM, (hi_z - lo_z) / ratio + EDGE_MM + FOOT_MM)
    canvas = Canvas(paper, (0.0, 0.0, paper.width, paper.height))
    view = WallView(side, ratio, ((lo, hi),), lo_z, hi_z, EDGE_MM, FOOT_MM)
    e = Elevation(design, wall, side, view, canvas)
    draw_wordless(e)
    _names(canvas, handles, lambda p: view.at(wall.station(p), p.z))
    along = Vec(wall.along.x, wall.along.y)
    title = f"{_title(wall, side)}; control corner: {start_end(wall)}"
    return View(
        f"wall {wall.id} {side}",
        title,
        Sheet(f"drag-{wall.id}-{side}", title, f"1:{ratio:.0f}", paper, tuple(canvas.items)),
        along if side == "right" else along.times(-1.0),
        UP,
        ratio,
        lambda p: view.at(wall.station(p), p.z),
        handles,
        wall,
        side,
    )


def _names(canvas: Canvas, handles: tuple[Handle, ...], at: Callable[[Vec], XY]) -> None:
    """Write what can be dragged, beside its place; where scripts run the rings carry the names."""
    for h in handles:
        if h.kind != "point":
            x, y = at(h.at)
            spots = [(x + 1.6, y + d) for d in (1.2, -3.4, 5.2, -7.4)]
            words = [Text(s, h.label, 9.0, f"ring:{h.of}", bold=True) for s in spots]
            free = next((w for w in words if canvas.free(text_rect(w))), words[0])
            canvas.text(free.at, free.text, free.layer, bold=True)


def _stretch(design: Design, wall: Wall, side: Side, handles: tuple[Handle, ...]) -> tuple[float, float]:
    """Return from where to where a wall is shown: all that can be dragged, and room beside it."""
    at = [wall.station(h.at) for h in handles]
    for b in design.house.cabinets:
        if b.wall_id == wall.id and b.side == side:
            at += [b.from_station_mm, b.to_station_mm]
    lo, hi = max(0.0, min(at) - ROUND_MM), min(wall.length_mm, max(at) + ROUND_MM)
    return min(lo, wall.length_mm - 1.0), max(hi, lo + 600.0)


def _levels(design: Design, storey: Storey) -> tuple[float, float]:
    """Return between which heights the drawn points of a plan lie [mm]."""
    lived = sorted((v for v in design.house.levels if v.kind != "ground"), key=lambda v: v.order)
    if storey.kind == "under":
        return -1e9, lived[0].subfloor_z_mm
    here = lived.index(storey.level)
    frame = design.house.frame_carrying(storey.level.id)
    lo = storey.level.subfloor_z_mm if here == 0 or frame is None else frame.bottom_z_mm
    above = lived[here + 1] if here + 1 < len(lived) else None
    over = design.house.frame_carrying(above.id) if above is not None else None
    if above is None:
        return lo, storey.level.subfloor_z_mm + (storey.level.wall_height_mm or 2400.0)
    return lo, over.bottom_z_mm if over is not None else above.subfloor_z_mm


def _plan_handles(design: Design, job: Job, storey: Storey) -> tuple[Handle, ...]:
    found = on_plan(design, job, storey.level.id, *_levels(design, storey))
    return tuple(h for h in found if storey.kind == "storey" or h.kind == "point")


def _plan(design: Design, job: Job, storey: Storey) -> View:
    handles = _plan_handles(design, job, storey)
    foot = design.house.footprint
    points = [h.at for h in handles]
    boxes = [b.box for b in design.house.cabinets if any(h.kind == "cabinet" and h.of == b.run_id for h in handles)]
    points += [
        c for f in design.house.fixtures if f.extent and f.tag in _tags(handles) for c in (f.extent.lo, f.extent.hi)
    ]
    points += [c for b in boxes for c in (b.lo, b.hi)]
    # The part of the house with something to drag, and room beside it; never less than the points themselves.
    x0, y0 = (min(max(lo - EDGE_MM, min(c) - BESIDE_MM), min(c) - EDGE_MM) for c, lo in _axes(points, foot.lo))
    x1, y1 = (max(min(hi + EDGE_MM, max(c) + BESIDE_MM), max(c) + EDGE_MM) for c, hi in _axes(points, foot.hi))
    x1, y1 = max(x1, x0 + LEAST_MM), max(y1, y0 + LEAST_MM)
    ratio = (x1 - x0) / (PAPER_MM - 2 * EDGE_MM)
    paper = Paper("screen", PAPER_MM, (y1 - y0) / ratio + 2 * EDGE_MM)
    canvas = Canvas(paper, (0.0, 0.0, paper.width, paper.height))
    view = PlanView(ratio, False, (x0, y0, x1, y1), EDGE_MM, EDGE_MM)
    draw_house(design, storey, view, canvas)
    if storey.kind == "storey":
        for b in design.house.cabinets:
            if b.box.lo.z >= storey.level.subfloor_z_mm - 1.0 and _on_level(design, b, storey):
                canvas.line(_flat(b.box, view.at), _CABINET, f"cabinet:{b.id}", closed=True)
    draw_plan_pipes(tuple(p for p in design.pipes() if storey_of(design, p) == storey), view, canvas)
    _names(canvas, handles, view.at)
    title = f"Plan: {storey_title(design, storey)}; north is up"
    sheet = Sheet(f"drag-{storey.id}", title, f"1:{ratio:.0f}", paper, tuple(canvas.items))
    return View(storey.id, title, sheet, EAST, NORTH, ratio, view.at, handles)


def _tags(handles: tuple[Handle, ...]) -> set[str]:
    return {h.of for h in handles if h.kind == "fixture"}


def _axes(points: list[Vec], end: Vec) -> tuple[tuple[list[float], float], ...]:
    """Return east and north of some points, each with the end of the house on that axis."""
    return ([p.x for p in points], end.x), ([p.y for p in points], end.y)


def _on_level(design: Design, box: CabinetBox, storey: Storey) -> bool:
    wall = next((w for w in design.house.walls if w.id == box.wall_id), None)
    level = (
        wall.level_id
        if wall is not None
        else next((r.level_id for r in design.house.rooms if r.holds(box.box.centre)), storey.level.id)
    )
    return level == storey.level.id


def _flat(box: Box, at: Callable[[Vec], XY]) -> Outline:
    """Return a box on a plan."""
    lo, hi = box.lo, box.hi
    return tuple(at(p) for p in (lo, Vec(hi.x, lo.y), hi, Vec(lo.x, hi.y)))


def _upright(view: View, box: Box) -> Outline:
    """Return a box on an elevation."""
    xs = [view.at(Vec(x, y, box.lo.z))[0] for x in (box.lo.x, box.hi.x) for y in (box.lo.y, box.hi.y)]
    lo, hi = view.at(box.lo)[1], view.at(box.hi)[1]
    return ((min(xs), lo), (max(xs), lo), (max(xs), hi), (min(xs), hi))


def outlines(view: View, handle: Handle, house: House, walls: tuple[str, ...] = ()) -> tuple[Outline, ...]:
    """Return the outlines of what a handle drags with it, as a house has it; `walls` are those that change with it."""
    if handle.kind in ("cabinet", "box"):
        boxes = [b.box for b in house.cabinets if b.run_id == handle.of]
    elif handle.kind == "obstacle":
        boxes = [o.box for o in house.obstacles if o.id == handle.of]
    elif handle.kind == "wall":
        boxes = [f.extent for f in house.fixtures if f.wall_id == handle.of and f.extent is not None]
        boxes += [b.box for b in house.cabinets if b.wall_id == handle.of]
        return (*(_footprint(view, house.wall(i)) for i in walls), *(_flat(b, view.at) for b in boxes))
    elif handle.kind == "opening":
        return _gap(view, next(o for w in house.walls for o in w.openings if o.id == handle.of))
    elif handle.kind in ("fixture", "stub"):
        fixture = house.fixture(handle.of)
        boxes = [fixture.extent] if fixture.extent is not None else []
        if not boxes and view.wall is not None:
            return _rim(view, fixture)
    else:
        return ()
    return tuple(_flat(b, view.at) if view.wall is None else _upright(view, b) for b in boxes)


def _footprint(view: View, wall: Wall) -> Outline:
    """Return the studs of a wall on a plan."""
    half, z = wall.depth_mm / 2, wall.bottom_z_mm
    ends = ((0.0, half), (wall.length_mm, half), (wall.length_mm, -half), (0.0, -half))
    return tuple(view.at(wall.point(s, z, out)) for s, out in ends)


def _gap(view: View, o: Opening) -> tuple[Outline, ...]:
    if view.wall is None:
        return ()
    ends = (o.station_mm, o.station_mm + o.width_mm)
    corners = ((ends[0], o.sill_z_mm), (ends[1], o.sill_z_mm), (ends[1], o.head_z_mm), (ends[0], o.head_z_mm))
    return (tuple(view.at(view.wall.point(s, z)) for s, z in corners),)


def _rim(view: View, f: HouseFixture) -> tuple[Outline, ...]:
    if view.wall is None or f.flood_rim_z_mm is None or f.station_mm is None:
        return ()
    ends = (view.wall.point(f.station_mm + d, f.flood_rim_z_mm) for d in (-STAND_MM, STAND_MM))
    return (tuple(view.at(p) for p in ends),)
