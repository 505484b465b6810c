"""Floor plans: drains with size, slope, inverts, what passes the floor, what is in the way."""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.chains import chains, ids
from stubout.sheets.clip import clip_line
from stubout.sheets.grid import Grid, draw_grid, rows_that_fit
from stubout.sheets.model import A3, A4, LETTER, TABLOID, Paper, Sheet, Style
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.plan_enlarged import crowd, draw_ruler
from stubout.sheets.plan_house import (
    EDGE_MM,
    JOIST_MARGIN_MM,
    PlanView,
    draw_house,
    draw_joist_marks,
    label_fixtures,
    label_house,
)
from stubout.sheets.plan_points import Spot, crosses, points_grid, spots_of
from stubout.sheets.scales import scale_words, scales
from stubout.sheets.storeys import Storey, storey_of, storey_title, storeys
from stubout.sheets.symbols import arrow, cleanout, north, place_balloon
from stubout.sheets.titleblock import body
from stubout.sheets.words import SHORT_ROLE, mm, pipe_size, slope

GAP_MM = 5.0
PAD_MM = 600.0  # house shown round the work
OUTSIDE_MM = 2500.0  # how far the sewer is followed outside; the profile carries the rest
RISER_MM = 1.7
SMALL_RATIO = 32  # a plan on the small paper is not drawn smaller than this
CROWDED = 2  # labels over a pipe or far off that the small paper may have
ENLARGED_GAIN = 1.5  # a crowded part is drawn at least so much larger
RULER_MM = 10.0  # right of it, for the distances from the corner
BACK_GAIN = 1.3  # the table goes on a page of its own if the drawing gets this much larger

Extent = tuple[float, float, float, float]  # house x0, y0, x1, y1 [mm]


def floor_plans(design: Design) -> tuple[Sheet, ...]:
    """Return a plan for each floor that has pipe in, under or over it, from the bottom up."""
    groups: dict[Storey, list[Pipe]] = {}
    for p in design.pipes():
        groups.setdefault(storey_of(design, p), []).append(p)
    out: list[Sheet] = []
    for storey in storeys(design):
        if storey in groups:
            out += _plan(design, storey, tuple(groups[storey]))
    return tuple(out)


def drain_style(pipe: Pipe, *, short: bool = False) -> Style:
    """Return the single-line style of a pipe: drains solid, vents dashed, heavier from 3 in up."""
    weight = "heavy" if pipe.size_in >= 3 else "thick"
    if pipe.system == "drain":
        return Style(weight, tint="drain")  # type: ignore[arg-type]
    return Style(weight, "short" if short else "dashed", tint="vent")  # type: ignore[arg-type]


def _notes(design: Design, storey: Storey) -> tuple[str, ...]:
    z0 = next((v for v in design.house.levels if abs(v.subfloor_z_mm) < 0.5), storey.level)
    out = [
        "Control corner: south-west outside corner of the wall framing (0, 0). All points are pipe centres.",
        f"Inverts: inside bottom of the pipe. House z 0: top of subfloor or slab, {z0.title or z0.id}.",
        "Solid: drain. Dashed: vent. Heavy: 3 in and larger. Ring: pipe that goes up or down. Arrow: flow.",
    ]
    if storey.kind == "under":
        out.append(
            "Caution: locate buried services before digging; shore or slope trenches; keep clear of footings. "
            "Photograph and measure before it is covered."
        )
    elif storey.kind == "attic":
        out.append("Caution: roof and attic work: fall protection, safe footing, wires. Flash every roof penetration.")
    else:
        out.append("Caution: cut no joist beyond the bore list; engineered members only by their maker's chart.")
    return tuple(out)


def _extents(design: Design, storey: Storey, pipes: tuple[Pipe, ...]) -> tuple[Extent, Extent]:
    """Return what a plan may show: the whole house with the work, or the work alone."""
    foot = design.house.footprint
    points = [q for p in pipes for q in (p.a, p.b)]
    if storey.kind != "attic":
        tags = {t for p in pipes for t in p.tags}
        for f in design.house.fixtures:
            if f.level_id == storey.level.id and f.tag in tags and f.extent is not None:
                points += [f.extent.lo, f.extent.hi]
    rim = 250.0
    edge = (
        foot.lo.x - (OUTSIDE_MM if any(p.x < foot.lo.x for p in points) else rim),
        foot.lo.y - (OUTSIDE_MM if any(p.y < foot.lo.y for p in points) else rim),
        foot.hi.x + (OUTSIDE_MM if any(p.x > foot.hi.x for p in points) else rim),
        foot.hi.y + (OUTSIDE_MM if any(p.y > foot.hi.y for p in points) else rim),
    )
    whole = (
        max(edge[0], min(foot.lo.x - rim, *(p.x - PAD_MM for p in points))),
        max(edge[1], min(foot.lo.y - rim, *(p.y - PAD_MM for p in points))),
        min(edge[2], max(foot.hi.x + rim, *(p.x + PAD_MM for p in points))),
        min(edge[3], max(foot.hi.y + rim, *(p.y + PAD_MM for p in points))),
    )
    # The control corner is always shown: every distance of the table starts there.
    x0 = max(edge[0], min(-rim, *(p.x - PAD_MM for p in points)))
    y0 = max(edge[1], min(-rim, *(p.y - PAD_MM for p in points)))
    x1 = min(edge[2], max(p.x for p in points) + PAD_MM)
    y1 = min(edge[3], max(p.y for p in points) + PAD_MM)
    return whole, (x0, y0, max(x1, x0 + 2400.0), max(y1, y0 + 2400.0))


def _block(extent: Extent, ratio: float, turned: bool) -> tuple[float, float]:
    """Return width and height on paper of a plan with its joist marks."""
    wide, tall = extent[2] - extent[0], extent[3] - extent[1]
    if turned:
        wide, tall = tall, wide
    return wide / ratio + JOIST_MARGIN_MM + EDGE_MM, tall / ratio + JOIST_MARGIN_MM + EDGE_MM


def _choose(
    paper: Paper, extent: Extent, grid: Grid, notes: tuple[str, ...], usable: list[int]
) -> tuple[int, bool, str] | None:
    """Return scale, whether turned, and where the table of points goes; None if nothing fits."""
    area = body(paper)
    width = area[2] - area[0]
    height = area[3] - area[1] - notes_height(notes, width) - 2.0
    page: tuple[int, bool, str] | None = None
    back: tuple[int, bool, str] | None = None
    for s in usable:
        for turned in (False, True):
            w, h = _block(extent, s, turned)
            if page is None and w + GAP_MM + grid.width <= width and max(h, grid.height()) <= height:
                page = (s, turned, "beside")
            if page is None and h + GAP_MM + grid.height() <= height and max(w, grid.width) <= width:
                page = (s, turned, "below")
            if back is None and w <= width and h <= height:
                back = (s, turned, "back")
    if page is not None and back is not None and back[0] * BACK_GAIN <= page[0]:
        return back
    return page or back


def _plan(design: Design, storey: Storey, pipes: tuple[Pipe, ...]) -> list[Sheet]:
    units = design.house.job.units
    spots = spots_of(design, storey, pipes)
    grid = points_grid(design, storey, spots)
    notes = _notes(design, storey)
    whole, part = _extents(design, storey, pipes)
    small, large = (LETTER, TABLOID) if design.house.job.paper == "letter" else (A4, A3)
    usable = [s for s in scales(units) if s >= 20]
    # The paper that every printer has first, where nothing is drawn small or crowded on it.
    tries = [(small, e, _choose(small, e, grid, notes, [s for s in usable if s <= SMALL_RATIO])) for e in (whole, part)]
    for paper, extent, got in tries:
        if got is not None:
            out, crowded = _sheets(design, storey, pipes, spots, grid, notes, paper, extent, got)
            if crowded <= CROWDED:
                return out
    of_house = _choose(large, whole, grid, notes, usable)
    of_work = _choose(large, part, grid, notes, usable)
    if of_house is None or of_work is None:
        raise ValueError(f"no scale fits {storey.id}")
    # The whole house where that costs little; else the part with work on it, larger.
    closer = of_work[0] * BACK_GAIN <= of_house[0] or (of_house[2] == "back" and of_work[2] != "back")
    extent, got = (part, of_work) if closer else (whole, of_house)
    return _sheets(design, storey, pipes, spots, grid, notes, large, extent, got)[0]


def _sheets(
    design: Design,
    storey: Storey,
    pipes: tuple[Pipe, ...],
    spots: tuple[Spot, ...],
    grid: Grid,
    notes: tuple[str, ...],
    paper: Paper,
    extent: Extent,
    how: tuple[int, bool, str],
) -> tuple[list[Sheet], int]:
    """Return a plan and the pages of its points, and how many of its labels stand badly."""
    units = design.house.job.units
    ratio, turned, table = how
    area = body(paper)
    width = area[2] - area[0]
    foot = notes_height(notes, width) + 2.0
    canvas = Canvas(paper, area)
    w, h = _block(extent, ratio, turned)
    draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
    free = width - w - (grid.width + GAP_MM if table == "beside" else 0.0)
    x0 = area[0] + max(0.0, free / 2)
    view = PlanView(ratio, turned, extent, x0 + JOIST_MARGIN_MM, area[3] - h + JOIST_MARGIN_MM)
    if table == "beside":
        draw_grid(canvas, grid, area[2] - grid.width, area[3])
    elif table == "below":
        draw_grid(canvas, grid, area[0], area[3] - h - GAP_MM)
    _draw(design, storey, pipes, spots, view, canvas)
    title = storey_title(design, storey)
    title = title[:1].upper() + title[1:]
    sheets = [Sheet(storey.id, title, scale_words(ratio, units), paper, tuple(canvas.items), notes)]
    close = crowd(spots, view)
    if close is not None:
        sheets += _enlarged(design, storey, pipes, spots, close, title, ratio)
    if table == "back":
        sheets += _points(design, storey, grid, title, notes[:2], paper)
    return sheets, canvas.crowded + 9 * len(canvas.missing)


def _enlarged(
    design: Design,
    storey: Storey,
    pipes: tuple[Pipe, ...],
    spots: tuple[Spot, ...],
    extent: Extent,
    title: str,
    than: int,
) -> list[Sheet]:
    """Return the crowded part of a plan drawn larger on the small paper, nothing if that would not be larger."""
    units = design.house.job.units
    paper = LETTER if design.house.job.paper == "letter" else A4
    area = body(paper)
    width = area[2] - area[0]
    notes = (
        f"The crowded part of: {title}. The numbers are those of that plan; their places are in its table.",
        "East and north of the control corner (0, 0) stand at the edges.",
    )
    foot = notes_height(notes, width) + 2.0
    for ratio in (s for s in scales(units) if s * ENLARGED_GAIN <= than):
        w, h = _block(extent, ratio, False)
        if w + RULER_MM > width or h > area[3] - area[1] - foot:
            continue
        canvas = Canvas(paper, area)
        draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
        x0 = area[0] + (width - w - RULER_MM) / 2
        view = PlanView(ratio, False, extent, x0 + JOIST_MARGIN_MM, area[3] - h + JOIST_MARGIN_MM)
        draw_ruler(design, view, canvas)
        _draw(design, storey, tuple(p for p in pipes if _seen(p, view)), spots, view, canvas, whole=False)
        items = tuple(replace(i, layer=f"enlarged {i.layer}") for i in canvas.items)
        return [Sheet(f"{storey.id}-enlarged", f"{title}: enlarged", scale_words(ratio, units), paper, items, notes)]
    return []


def _seen(p: Pipe, view: PlanView) -> bool:
    """Return whether any of a pipe lies in a part of the plan."""
    a, b = view.at(p.a), view.at(p.b)
    if math.dist(a, b) < 1.2:  # it stands
        return view.holds(p.a.plus(p.b).times(0.5))
    return clip_line(a, b, view.window) is not None


def _points(
    design: Design, storey: Storey, grid: Grid, title: str, notes: tuple[str, ...], paper: Paper
) -> list[Sheet]:
    """Return the points of a plan on pages of their own, on the small paper if the table is not too wide for it."""
    small = LETTER if design.house.job.paper == "letter" else A4
    if grid.width <= body(small)[2] - body(small)[0]:
        paper = small
    area = body(paper)
    width = area[2] - area[0]
    foot = notes_height(notes, width) + 2.0
    fit = max(1, rows_that_fit(grid, area[3] - area[1] - foot))
    pages = -(-len(grid.rows) // fit)
    out = []
    for k in range(pages):
        page = Canvas(paper, area)
        words = f"Points of: {title}" + (f", {k + 1} of {pages}" if pages > 1 else "")
        draw_grid(page, grid.part(k * fit, (k + 1) * fit, words), area[0], area[3], grid.widths)
        draw_notes(page, notes, area[0], area[1] + foot - 2.0, width)
        code = f"{storey.id}-points{k + 1 if pages > 1 else ''}"
        out.append(Sheet(code, f"{title}: points", "not to scale", paper, tuple(page.items), notes))
    return out


def _draw(
    design: Design,
    storey: Storey,
    pipes: tuple[Pipe, ...],
    spots: tuple[Spot, ...],
    view: PlanView,
    canvas: Canvas,
    *,
    whole: bool = True,
) -> None:
    draw_house(design, storey, view, canvas)
    _draw_pipes(pipes, view, canvas)
    drawn_upright = {p.id for p in pipes}
    for p in design.pipes():  # what passes this floor but is drawn on another plan
        cut = crosses(storey, p)
        if cut is not None and p.id not in drawn_upright and view.holds(cut):
            _riser(canvas, view.at(cut), p, f"through:{p.id}")
    for c in design.cleanouts:
        node = design.network.node(c.point)
        if any(p.id in drawn_upright for p in pipes if c.point in (p.start, p.end)) and view.holds(node.at):
            cleanout(canvas, view.at(node.at), view.direction(c.opens), f"cleanout:{c.id}")
    corner = view.at(Vec(0.0, 0.0))
    if view.holds(Vec(0.0, 0.0)):
        canvas.line(
            ((corner[0] - 3, corner[1]), (corner[0] + 3, corner[1])), Style("medium"), "control corner", cover="hard"
        )
        canvas.line(
            ((corner[0], corner[1] - 3), (corner[0], corner[1] + 3)), Style("medium"), "control corner", cover="hard"
        )
        canvas.circle(corner, 1.6, Style("medium"), "control corner")
    draw_joist_marks(design, storey, view, canvas)
    nx = view.x0 + view.width + EDGE_MM - 5.0
    north(canvas, (nx, view.y0 + view.height - 8.0), 180.0 if view.turned else 90.0)
    label_fixtures(design, storey, view, canvas)
    # What is marked on the floor stands next to its point; the pipes' words take what paper is left, then the rest.
    through = [s for s in spots if view.holds(s.at) and "through floor" in s.what]
    for s in through:
        place_balloon(canvas, view.at(s.at), s.number, f"point:{s.number}", RISER_MM)
    _label_pipes(design, pipes, view, canvas)
    for s in spots:
        if view.holds(s.at) and s not in through:
            place_balloon(canvas, view.at(s.at), s.number, f"point:{s.number}", 0.8 if s.node else RISER_MM)
    if whole:
        _lead_off(design, pipes, spots, view, canvas)
    if view.holds(Vec(0.0, 0.0)):
        canvas.place(corner, ("control corner (0, 0)",), "control corner", clear=3.0, reach=40)
    label_house(design, storey, view, canvas)


def _lead_off(design: Design, pipes: tuple[Pipe, ...], spots: tuple[Spot, ...], view: PlanView, canvas: Canvas) -> None:
    """Say where a pipe goes that leaves the plan: how far to its next numbered point."""
    numbers = {s.node: s for s in spots if s.node}
    for p in pipes:
        if view.holds(p.b) or p.end not in numbers:
            continue
        cut = clip_line(view.at(p.a), view.at(p.b), view.window)
        if cut is None:
            continue
        spot = numbers[p.end]
        edge = cut[1]
        shown = math.dist(cut[0], cut[1]) * view.ratio
        more = p.b.minus(p.a).plan_length - (shown if view.holds(p.a) else 0.0)
        arrow(canvas, edge, (cut[1][0] - cut[0][0], cut[1][1] - cut[0][1]), f"flow:{p.id}", 3.2)
        words = (f"{mm(design, more)} on to point {spot.number}:", spot.what, "see the profile")
        canvas.place(edge, words, f"off:{p.id}", reach=60)


def _draw_pipes(pipes: tuple[Pipe, ...], view: PlanView, canvas: Canvas) -> None:
    for p in pipes:
        a, b = view.at(p.a), view.at(p.b)
        if math.dist(a, b) < 1.2:  # stands, or nearly
            mid = view.at(p.a.plus(p.b).times(0.5))
            _riser(canvas, mid, p, f"pipe:{p.id}")
            continue
        cut = clip_line(a, b, view.window)
        if cut is None:
            cut = (a, a)
        short = math.dist(*cut) < 8.0
        canvas.line(cut, drain_style(p, short=short), f"pipe:{p.id}", cover="firm")
        if p.system == "drain" and not p.vertical and math.dist(*cut) > 5.0:
            t = 0.55
            tip = (cut[0][0] + (cut[1][0] - cut[0][0]) * t, cut[0][1] + (cut[1][1] - cut[0][1]) * t)
            arrow(canvas, tip, (cut[1][0] - cut[0][0], cut[1][1] - cut[0][1]), f"flow:{p.id}")


def _riser(canvas: Canvas, at: XY, p: Pipe, layer: str) -> None:
    """Draw a pipe that stands: solid ring for a drain, dashed for a vent."""
    style = Style("thick", "solid" if p.system == "drain" else "short", fill="white")
    canvas.circle(at, RISER_MM if p.size_in >= 3 else RISER_MM * 0.75, style, layer)


def _label_pipes(design: Design, pipes: tuple[Pipe, ...], view: PlanView, canvas: Canvas) -> None:
    """Write ids, size and slope at every run of like pipes."""
    done: set[tuple[float, float, str]] = set()
    for c in chains(pipes):
        p = c.longest
        cut = clip_line(view.at(p.a), view.at(p.b), view.window)
        if cut is None:
            continue
        mid = ((cut[0][0] + cut[1][0]) / 2, (cut[0][1] + cut[1][1]) / 2)
        lines = ids(c)
        lines[-1] += f"  {pipe_size(c.size_in)}"
        if p.system == "drain" and not c.vertical:
            lines.append(slope(design, p))
        elif p.system == "vent":
            lines[-1] += " vent"
        if p.role in (Role.BUILDING_DRAIN, Role.SEWER):
            lines.insert(0, SHORT_ROLE[p.role])
        key = (round(mid[0], 1), round(mid[1], 1), lines[0])
        if key in done:
            continue
        done.add(key)
        clear = RISER_MM if c.vertical else 0.2
        canvas.place(mid, lines, f"size:{c.pipes[0].id}", clear=clear, reach=104)
