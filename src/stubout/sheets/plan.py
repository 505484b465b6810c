"""Floor plans: drains with size, slope, inverts, what passes the floor, what is in the way.

All on the paper of the job. What is crowded on the plan of a floor is drawn larger on sheets of its own: the plan then
shows its pipes without words, and a dashed frame with the letter of that sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stubout.design import Design
from stubout.network.model import Pipe
from stubout.sheets.canvas import Canvas
from stubout.sheets.grid import Column, Grid, draw_grid, rows_that_fit
from stubout.sheets.model import A4, LETTER, Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.plan_crowds import crowds, cut_to_sheets, least_scale
from stubout.sheets.plan_draw import draw_things, write_words
from stubout.sheets.plan_enlarged import Part, draw_part_frames, enlarged, label_parts
from stubout.sheets.plan_house import EDGE_MM, JOIST_MARGIN_MM, RIGHT_MM, Extent, PlanView, label_house
from stubout.sheets.plan_points import Spot, ends_above, points_grid, spots_of
from stubout.sheets.scales import scale_words, scales
from stubout.sheets.storeys import Storey, frame_shown, storey_of, storey_title, storeys
from stubout.sheets.titleblock import body
from stubout.sheets.words import installed_words, set_in_words

GAP_MM = 5.0
PAD_MM = 600.0  # house shown round the work
OUTSIDE_MM = 2500.0  # how far the sewer is followed outside; the profile carries the rest
CROWDED = 2  # labels over a pipe or far off that a plan may have
ROUNDS = 3  # of looking for crowded parts again, once some are drawn larger
PART_MM = 10.0  # of a column of letters, where parts are drawn larger
LEAST_NOTES_MM = 85.0  # width of notes that share the foot of the sheet with the table
SHORT_ROWS, SHORT_GAIN = 8, 1.45  # a short table stays with its drawing longer
BACK_GAIN = 1.3  # the table goes on a page of its own if the drawing gets this much larger


def floor_plans(design: Design) -> tuple[Sheet, ...]:
    """Return a plan for each floor that has pipe in, under or over it, from the bottom up."""
    groups: dict[Storey, list[Pipe]] = {}
    for p in design.pipes():
        groups.setdefault(storey_of(design, p), []).append(p)
    out: list[Sheet] = []
    for storey in storeys(design):
        if storey in groups:
            if storey.kind == "attic":  # a vent drawn as one run up to its terminal has its hole in this roof too
                groups[storey] += ends_above(design)
            out += _plan(design, storey, tuple(groups[storey]))
    return tuple(out)


def _notes(design: Design, storey: Storey, pipes: tuple[Pipe, ...]) -> tuple[str, ...]:
    z0 = next((v for v in design.house.levels if abs(v.subfloor_z_mm) < 0.5), storey.level)
    out = [
        "Control corner: south-west outside corner of the wall framing (0, 0). All points are pipe centres.",
        f"Inverts: inside bottom of the pipe. House z 0: top of subfloor or slab, {z0.title or z0.id}.",
        "Solid: drain. Dashed: vent. Heavy: 3 in and larger. Ring: pipe that goes up or down. Arrow: flow.",
    ]
    out += (*installed_words(pipes), *set_in_words(design, pipes))
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


def _margins(design: Design, storey: Storey, turned: bool) -> tuple[float, float]:
    """Return the paper left of a plan and under it: joist marks stand on one of the two."""
    frame = frame_shown(design, storey)
    if frame is None:
        return EDGE_MM, EDGE_MM
    beside = (frame.runs == "x") != turned
    return (JOIST_MARGIN_MM, EDGE_MM) if beside else (EDGE_MM, JOIST_MARGIN_MM)


def _block(extent: Extent, ratio: float, turned: bool, margins: tuple[float, float]) -> tuple[float, float]:
    """Return width and height on paper of a plan with its joist marks."""
    wide, tall = extent[2] - extent[0], extent[3] - extent[1]
    if turned:
        wide, tall = tall, wide
    return wide / ratio + margins[0] + RIGHT_MM, tall / ratio + margins[1] + EDGE_MM


def _choose(
    design: Design, storey: Storey, paper: Paper, extent: Extent, grid: Grid, notes: tuple[str, ...], usable: list[int]
) -> tuple[int, bool, str] | None:
    """Return scale, whether turned, and where the table of points goes; None if nothing fits."""
    area = body(paper)
    width = area[2] - area[0]
    height = area[3] - area[1] - notes_height(notes, width) - 2.0
    page: tuple[int, bool, str] | None = None
    back: tuple[int, bool, str] | None = None
    for s in usable:
        for turned in (False, True):
            w, h = _block(extent, s, turned, _margins(design, storey, turned))
            if page is None and w + GAP_MM + grid.width <= width and max(h, grid.height()) <= height:
                page = (s, turned, "beside")
            if page is None and h + GAP_MM + grid.height() <= height and max(w, grid.width) <= width:
                page = (s, turned, "below")
            beside = width - grid.width - PART_MM - GAP_MM  # for the notes, with the table at the foot beside them
            if page is None and w <= width and beside >= LEAST_NOTES_MM:
                under = max(grid.height(), notes_height(notes, beside))
                if h + GAP_MM + under <= area[3] - area[1]:
                    page = (s, turned, "foot")
            if back is None and w <= width and h <= height:
                back = (s, turned, "back")
    gain = BACK_GAIN if len(grid.rows) > SHORT_ROWS else SHORT_GAIN
    if page is not None and back is not None and back[0] * gain <= page[0]:
        return back
    return page or back


@dataclass(frozen=True, slots=True)
class _Plan:
    """All that is drawn of one floor, and how."""

    storey: Storey
    pipes: tuple[Pipe, ...]
    spots: tuple[Spot, ...]
    grid: Grid
    notes: tuple[str, ...]
    extent: Extent
    ratio: int
    turned: bool
    table: str  # beside, below, foot, back


def _plan(design: Design, storey: Storey, pipes: tuple[Pipe, ...]) -> list[Sheet]:
    spots = spots_of(design, storey, pipes)
    grid = points_grid(design, storey, spots)
    notes = _notes(design, storey, pipes)
    paper = LETTER if design.house.job.paper == "letter" else A4
    whole, part = _extents(design, storey, pipes)
    usable = [s for s in scales(design.house.job.units) if s >= 20]
    of_house = _choose(design, storey, paper, whole, grid, notes, usable)
    of_work = _choose(design, storey, paper, part, grid, notes, usable)
    if of_house is None or of_work is None:
        raise ValueError(f"no scale fits {storey.id}")
    # The whole house where that costs little; else the part with work on it, larger.
    closer = of_work[0] * BACK_GAIN <= of_house[0] or (of_house[2] == "back" and of_work[2] != "back")
    extent, got = (part, of_work) if closer else (whole, of_house)
    plan = _Plan(storey, pipes, spots, grid, notes, extent, *got)
    canvas, view = _drawn(design, plan, paper, ())
    crowded: list[Extent] = []
    least = least_scale(scales(design.house.job.units), plan.ratio)
    for _ in range(ROUNDS):
        if len(canvas.strained) <= CROWDED or least is None:
            break
        crowded = crowds(canvas, view, paper, least, crowded)
        canvas, view = _drawn(design, plan, paper, (), crowded)
    parts: list[Part] = []
    if least is not None:
        for extent in (piece for e in crowded for piece in cut_to_sheets(e, least, paper)):
            parts += enlarged(design, storey, pipes, spots, extent, len(parts), paper, least)
    if parts:
        canvas, view = _drawn(design, plan, paper, tuple(parts))
    label_house(design, storey, view, canvas)
    title = storey_title(design, storey)
    title = title[:1].upper() + title[1:]
    words = scale_words(plan.ratio, design.house.job.units)
    sheets = [Sheet(storey.id, title, words, paper, tuple(canvas.items), notes)]
    sheets += [p.sheet(storey.id, title) for p in parts]
    if plan.table == "back":
        sheets += _points(design, storey, _lettered(grid, spots, parts), title, notes[:2], paper)
    return sheets


def _drawn(
    design: Design, plan: _Plan, paper: Paper, parts: tuple[Part, ...], hidden: Sequence[Extent] = ()
) -> tuple[Canvas, PlanView]:
    """Return a plan drawn but for the names of the house, the words of what other sheets show larger left out."""
    area = body(paper)
    width = area[2] - area[0]
    grid = _lettered(plan.grid, plan.spots, list(parts))
    noted = width - (grid.width + GAP_MM if plan.table == "foot" else 0.0)
    foot = notes_height(plan.notes, noted) + 2.0
    canvas = Canvas(paper, area)
    margins = _margins(design, plan.storey, plan.turned)
    w, h = _block(plan.extent, plan.ratio, plan.turned, margins)
    draw_notes(canvas, plan.notes, area[0], area[1] + foot - 2.0, noted)
    free = width - w - (plan.grid.width + GAP_MM if plan.table == "beside" else 0.0)
    x0 = area[0] + max(0.0, free / 2)
    view = PlanView(plan.ratio, plan.turned, plan.extent, x0 + margins[0], area[3] - h + margins[1])
    if plan.table == "beside":
        draw_grid(canvas, grid, area[2] - grid.width, area[3])
    elif plan.table == "below":
        draw_grid(canvas, grid, area[0], area[3] - h - GAP_MM)
    elif plan.table == "foot":
        draw_grid(canvas, grid, area[2] - grid.width, area[1] + grid.height())
    for extent in hidden:
        canvas.hide(view.box(extent))
    draw_part_frames(canvas, view, parts)
    draw_things(design, plan.storey, plan.pipes, view, canvas)
    label_parts(canvas, view, parts)
    write_words(design, plan.storey, plan.pipes, plan.spots, view, canvas)
    return canvas, view


def _lettered(grid: Grid, spots: tuple[Spot, ...], parts: list[Part]) -> Grid:
    """Return the table of points with the letter of the sheet that shows each larger."""
    if not parts:
        return grid
    rows = tuple((*r, ", ".join(p.letter for p in parts if p.holds(s))) for r, s in zip(grid.rows, spots, strict=True))
    return Grid(grid.title, (*grid.columns, Column("Part")), rows, grid.layer)


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
    bare = max(1, rows_that_fit(grid, area[3] - area[1]))
    if -(-len(grid.rows) // bare) < -(-len(grid.rows) // fit):  # a page less without the notes: the plan has them too
        notes, foot, fit = (), 2.0, bare
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
