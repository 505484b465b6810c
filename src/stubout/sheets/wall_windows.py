"""How far the marks of a wall side may be off, direction by direction, with the rule that binds: a table of its own."""

from __future__ import annotations

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


def window_sheets(
    design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], windows: tuple[Window, ...], paper: Paper
) -> tuple[Sheet, ...]:
    """Return the windows of the marks of one wall side, on as many pages as they take; none if none is known.

    Args:
        design: The design.
        wall: The wall.
        side: The side.
        found: Its marks, numbered.
        windows: The windows of the whole design.
        paper: The paper of the job.
    """
    here = {(w.kind, w.about, w.direction): w for w in windows if (w.wall, w.side) == (wall.id, side)}
    rows = tuple(_row(design, m, here) for m in found if any((m.kind, m.about, d) in here for d in WAYS))
    if not rows:
        return ()
    grid = Grid("How far a mark may be off", (Column("No", "end"), Column("Mark"), *(Column(h) for h in HEADS)), rows)
    area = body(paper)
    width, height = area[2] - area[0], area[3] - area[1]
    notes = _notes(design, tuple(here.values()))
    foot = notes_height(notes, width) + 2.0
    fit = max(1, rows_that_fit(grid, height - foot))
    pages = -(-len(rows) // fit)
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


def _notes(design: Design, here: tuple[Window, ...]) -> tuple[str, ...]:
    least = mm(design, 1.0 if design.house.job.units == "mm" else 25.4 / 16)
    names = {w.check: f"{w.check} {w.name}" for w in here if w.bound}
    return (
        f"So far the mark may be moved before the rule beside it is broken, all other marks kept; in steps of {least}. "
        "What hangs together goes along: a riser with its holes, fittings and stub-outs, an arm with its trap. "
        "0: not at all in this direction. More than (>): farther was not looked. Empty: along the pipe, or not judged.",
        "Rules that bind: " + "; ".join(names[i] for i in sorted(names)) + ".",
        "Two marks moved at once are not covered: run the check again with the new measures.",
    )
