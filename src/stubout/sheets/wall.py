"""Wall mark sheets: one wall side a page, for the person with the drill."""

from __future__ import annotations

from stubout.design import Design, Window
from stubout.house.framing import Side, Wall
from stubout.sheets.canvas import Canvas
from stubout.sheets.grid import draw_grid
from stubout.sheets.metrics import text_width
from stubout.sheets.model import A4, LETTER, Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.scales import scale_words, scales
from stubout.sheets.titleblock import body
from stubout.sheets.wall_draw import draw_elevation, mark_heights
from stubout.sheets.wall_facts import Mark, marks, pipes_in_wall, sides_with_work
from stubout.sheets.wall_frame import Elevation, floor_words
from stubout.sheets.wall_notes import wall_notes, wall_title
from stubout.sheets.wall_ordinates import HeightRow, height_width, ordinate_words
from stubout.sheets.wall_stretch import Parts, broken, heights_shown, stretches, work_stretch
from stubout.sheets.wall_table import back_pages, marks_grid
from stubout.sheets.wall_view import BREAK_MM, WallView
from stubout.sheets.wall_windows import GATHER_ROWS, WindowTable, gathered_pages, window_pages, window_table

LEFT_MM, RIGHT_MM, TOP_MM, BOTTOM_MM = 36.0, 36.0, 14.0, 21.0  # round an elevation, for words
GAP_MM = 4.0
SIDE_MM = 60.0  # least width of notes beside a drawing
BEST_RATIO = 15  # no elevation is drawn larger than this
CROWDED = 1  # words over a pipe or far from it that a sheet with drawing and table may have
WORST_ON_ONE_PAGE = 32  # smaller than this, marks go on the back of the sheet


def wall_marks(design: Design, windows: tuple[Window, ...] = ()) -> tuple[Sheet, ...]:
    """Return the mark sheets of all wall sides that carry pipe, level by level, wall by wall.

    Behind those of a side stands how far its marks may be off, where the windows are known; the short tables of several
    walls share the last pages.
    """
    order = {v.id: v.order for v in design.house.levels}
    walls = sorted(design.house.walls, key=lambda w: order[w.level_id])
    out: list[Sheet] = []
    short: list[tuple[Wall, Side, WindowTable]] = []
    for wall, side in ((w, s) for w in walls for s in sides_with_work(design, w)):
        found = marks(design, wall, side, windows)
        table = window_table(design, wall, side, found, windows)
        sheets, told = _sheets(design, wall, side, found, table)
        out += sheets
        if table is None or told:
            continue
        if len(table.grid.rows) <= GATHER_ROWS:
            short.append((wall, side, table))
        else:
            out += window_pages(wall, side, table, _paper(design))
    return (*out, *gathered_pages(short, _paper(design)))


def _paper(design: Design) -> Paper:
    return LETTER if design.house.job.paper == "letter" else A4


def _paper_width(parts: Parts, ratio: float) -> float:
    return sum(b - a for a, b in parts) / ratio + BREAK_MM * (len(parts) - 1)


def _left_mm(design: Design, wall: Wall) -> float:
    """Return the paper left of an elevation: what its widest floor label needs, and the words of the corner."""
    floors = [r.build_up_mm for r in design.house.rooms if r.level_id == wall.level_id]
    return max([LEFT_MM, *(text_width(floor_words(design, f), 9.0) + 6.5 for f in floors)])


def _right_mm(rows: tuple[HeightRow, ...]) -> float:
    return max(RIGHT_MM, height_width(rows) + 1.0)


def _sheets(
    design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], under: WindowTable | None
) -> tuple[list[Sheet], bool]:
    """Return the sheets of a wall side, and whether the windows of its marks stand on one of them."""
    if not found and not pipes_in_wall(design, wall):
        return [], False
    work = work_stretch(design, wall, found)
    paper = _paper(design)
    area = body(paper)
    wide = area[2] - area[0] - _left_mm(design, wall) - _right_mm(mark_heights(design, wall, found))
    units = design.house.job.units
    # A long run of work is split so that no piece is drawn smaller than the floor plans are.
    smallest = next(s for s in scales(units) if s >= 40)
    pieces = 1
    while _paper_width(stretches((work[0], work[0] + (work[1] - work[0]) / pieces)), smallest) > wide and pieces < 8:
        pieces += 1
    out: list[Sheet] = []
    told = False
    step = (work[1] - work[0]) / pieces
    for k in range(pieces):
        lo, hi = work[0] + k * step, work[0] + (k + 1) * step
        mine = tuple(m for m in found if lo <= m.station_mm < hi or (k == pieces - 1 and m.station_mm >= hi))
        if mine or pieces == 1:
            more, told = _piece(design, wall, side, mine, (lo, hi), (k + 1, pieces), under if pieces == 1 else None)
            out += more
    return out, told


def _block(parts: Parts, tall_mm: float, ratio: float, top_mm: float, beside_mm: float) -> tuple[float, float]:
    """Return width and height on paper of an elevation with its words."""
    return _paper_width(parts, ratio) + beside_mm, tall_mm / ratio + top_mm + BOTTOM_MM


def _piece(
    design: Design,
    wall: Wall,
    side: Side,
    found: tuple[Mark, ...],
    work: tuple[float, float],
    nr: tuple[int, int],
    under: WindowTable | None,
) -> tuple[list[Sheet], bool]:
    paper, units = _paper(design), design.house.job.units
    area = body(paper)
    width, height = area[2] - area[0], area[3] - area[1]
    parts = stretches(work)
    lo_z, hi_z = heights_shown(wall, found)
    title = wall_title(design, wall, side, found, work)
    code = f"wall-{wall.id}-{side[0].upper()}"
    if nr[1] > 1:
        title += f" ({nr[0]} of {nr[1]})"
        code += f"-{nr[0]}"
    grid = marks_grid(design, wall, found, "Marks")
    notes = wall_notes(design, wall, side, found, work)
    words = ordinate_words(design, [(m.station_mm, m.number) for m in found])
    top_mm = max([TOP_MM, *(text_width(w, 9.0) + 6.0 for _, w in words)])
    left_mm = _left_mm(design, wall)
    beside_mm = left_mm + _right_mm(mark_heights(design, wall, found))
    foot = notes_height(notes, width) + 2.0
    usable = [s for s in scales(units) if s >= BEST_RATIO]

    def choose(parts: Parts, *, apart: bool) -> tuple[int, str, str]:
        """Return scale, place of the table, place of the notes; the table on the back if `apart`."""
        for s in () if apart else usable:
            w, h = _block(parts, hi_z - lo_z, s, top_mm, beside_mm)
            if s > WORST_ON_ONE_PAGE:
                break
            if grid.width <= width - w - GAP_MM and max(grid.height(), h) <= height - foot:
                return s, "beside", "foot"
            if max(grid.width, w) <= width and h + GAP_MM + grid.height() <= height - foot:
                return s, "below", "foot"
            beside = width - w - GAP_MM
            fits = grid.width <= width and h + GAP_MM + grid.height() <= height
            if fits and beside >= SIDE_MM and notes_height(notes, beside) <= h:
                return s, "below", "side"
        for s in usable:
            w, h = _block(parts, hi_z - lo_z, s, top_mm, beside_mm)
            beside = width - w - GAP_MM
            if w <= width and h <= height - foot:
                return s, "back", "foot"
            if h <= height and beside >= SIDE_MM and notes_height(notes, beside) <= height:
                return s, "back", "side"
        return usable[-1], "back", "foot"

    def drawn(parts: Parts, *, apart: bool) -> tuple[list[Sheet], bool, int]:
        """Return the sheets, whether the windows stand on them, and how many words stand badly on the drawing."""
        ratio, table, place = choose(parts, apart=apart)
        cut = broken(design, wall, found, parts)
        if len(cut) > len(parts) and choose(cut, apart=apart)[0] < ratio:
            parts = cut
            ratio, table, place = choose(parts, apart=apart)
        w, h = _block(parts, hi_z - lo_z, ratio, top_mm, beside_mm)
        canvas = Canvas(paper, area)
        if place == "side":
            draw_notes(canvas, notes, area[0] + w + GAP_MM, area[3], width - w - GAP_MM)
        else:
            draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
        x_left = area[0] if table == "beside" or place == "side" else area[0] + (width - w) / 2
        view = WallView(side, ratio, parts, lo_z, hi_z, x_left + left_mm, area[3] - top_mm - (hi_z - lo_z) / ratio)
        if table == "beside":
            draw_grid(canvas, grid, area[0] + w + GAP_MM, area[3])
        elif table == "below":
            draw_grid(canvas, grid, area[0], area[3] - h - GAP_MM)
        draw_elevation(Elevation(design, wall, side, view, canvas), found)
        sheets = [Sheet(code, title, scale_words(ratio, units), paper, tuple(canvas.items), notes)]
        told = False
        if table == "back":
            behind, told = back_pages(paper, grid, title, code, notes[:2], under)
            sheets += behind
        return sheets, told, len(canvas.strained)

    # One page where its words stand well; else the drawing larger and the table on the back.
    together, told, strained = drawn(parts, apart=False)
    if strained > CROWDED and len(together) == 1:
        alone, told_apart, left = drawn(parts, apart=True)
        return (alone, told_apart) if left < strained else (together, told)
    return together, told
