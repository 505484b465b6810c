"""How far the marks of a wall side may be off, direction by direction, with the rule that binds: a table of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stubout.design import Design, Direction, Window
from stubout.house.framing import Side, Wall
from stubout.sheets.canvas import Canvas
from stubout.sheets.grid import Column, Grid, draw_grid, rows_that_fit
from stubout.sheets.model import Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.titleblock import body
from stubout.sheets.wall_facts import Mark
from stubout.sheets.words import mm

WAYS: tuple[Direction, ...] = ("up", "down", "away", "back", "out", "in")
HEADS = ("Up", "Down", "From|corner", "To|corner", "Out of|wall", "Into|wall")


GATHER_ROWS = 8  # windows of no more marks than these share a page with those of other walls
GAP_MM = 6.0  # between two tables on a page


@dataclass(frozen=True, slots=True)
class WindowTable:
    """The windows of the marks of one wall side, ready to be drawn."""

    grid: Grid
    rules: tuple[str, ...]  # that bind: id and name
    least: str  # step they were moved in

    @property
    def notes(self) -> tuple[str, ...]:
        """Return what must be said under the table."""
        return _notes(self.rules, self.least)


def window_table(
    design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], windows: tuple[Window, ...]
) -> WindowTable | None:
    """Return the windows of the marks of one wall side with their notes; None if none is known.

    Args:
        design: The design.
        wall: The wall.
        side: The side.
        found: Its marks, numbered.
        windows: The windows of the whole design.
    """
    here = {(w.kind, w.about, w.direction): w for w in windows if (w.wall, w.side) == (wall.id, side)}
    rows = tuple(_row(design, m, here) for m in found if any((m.kind, m.about, d) in here for d in WAYS))
    if not rows:
        return None
    heads = (Column("No", "end"), Column("Mark"), *(Column(h) for h in HEADS))
    rules = {f"{w.check} {w.name}" for w in here.values() if w.bound}
    least = mm(design, 1.0 if design.house.job.units == "mm" else 25.4 / 16)
    return WindowTable(Grid("How far a mark may be off", heads, rows), tuple(sorted(rules)), least)


def window_pages(wall: Wall, side: Side, table: WindowTable, paper: Paper) -> tuple[Sheet, ...]:
    """Return the windows of one wall side on pages of their own, as many as they take."""
    grid, notes = table.grid, table.notes
    area = body(paper)
    width, height = area[2] - area[0], area[3] - area[1]
    foot = notes_height(notes, width) + 2.0
    fit = max(1, rows_that_fit(grid, height - foot))
    pages = -(-len(grid.rows) // fit)
    title, code = f"Wall {wall.id}, {side} side: windows", f"wall-{wall.id}-{side[0].upper()}-windows"
    out = []
    for k in range(pages):
        canvas = Canvas(paper, area)
        draw_grid(canvas, grid.part(k * fit, (k + 1) * fit, grid.title), area[0], area[3])
        draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
        number = f"{k + 1}" if pages > 1 else ""
        out.append(Sheet(code + number, title, "not to scale", paper, tuple(canvas.items), notes))
    return tuple(out)


def amount(design: Design, window: Window) -> str:
    """Return how far a mark may be off: an amount, or more than what was looked at."""
    return mm(design, window.amount_mm) if window.bound else f"> {mm(design, window.amount_mm)}"


def _row(design: Design, mark: Mark, here: dict[tuple[str, str, Direction], Window]) -> tuple[str, ...]:
    known = [here.get((mark.kind, mark.about, d)) for d in WAYS]
    name = mark.what.split(":")[0] if mark.kind in ("stud hole", "plate hole") else mark.what.split(",")[0]
    return (str(mark.number), name, *(f"{amount(design, w)} {w.check}".strip() if w else "" for w in known))


def _notes(rules: tuple[str, ...], least: str) -> tuple[str, ...]:
    return (
        f"So far the mark may be moved before the rule beside it is broken, all other marks kept; in steps of {least}. "
        "What hangs together goes along: a riser with its holes, fittings and stub-outs, an arm with its trap. "
        "0: not at all in this direction. More than (>): farther was not looked. Empty: along the pipe, or not judged.",
        "Rules that bind: " + "; ".join(rules) + ".",
        "Two marks moved at once are not covered: run the check again with the new measures.",
    )


def gathered_pages(tables: Sequence[tuple[Wall, Side, WindowTable]], paper: Paper) -> tuple[Sheet, ...]:
    """Return the short tables of windows of several wall sides, as many on a page as it holds."""
    area = body(paper)
    width, height = area[2] - area[0], area[3] - area[1]
    pages: list[list[tuple[Wall, Side, WindowTable]]] = []
    for one in tables:
        tried = [*(pages[-1] if pages else ()), one]
        tall = sum(t.grid.height() + GAP_MM for _, _, t in tried)
        if pages and tall + notes_height(_joint(tried), width) + 2.0 <= height:
            pages[-1] = tried
        else:
            pages.append([one])
    return tuple(_gathered(page, n + 1 if len(pages) > 1 else 0, paper) for n, page in enumerate(pages))


def _gathered(page: Sequence[tuple[Wall, Side, WindowTable]], number: int, paper: Paper) -> Sheet:
    area = body(paper)
    width = area[2] - area[0]
    canvas = Canvas(paper, area)
    top = area[3]
    for wall, side, table in page:
        words = f"Wall {wall.id}, {side} side: how far a mark may be off"
        grid = replace(table.grid, title=words)
        top = draw_grid(canvas, grid, area[0], top) - GAP_MM
    notes = _joint(page)
    draw_notes(canvas, notes, area[0], area[1] + notes_height(notes, width), width)
    where = ", ".join(f"{wall.id} {side}" for wall, side, _ in page)
    code = f"wall-windows{number or ''}"
    return Sheet(code, f"Windows of walls {where}", "not to scale", paper, tuple(canvas.items), notes)


def _joint(page: Sequence[tuple[Wall, Side, WindowTable]]) -> tuple[str, ...]:
    return _notes(tuple(sorted({r for _, _, t in page for r in t.rules})), page[0][2].least)
