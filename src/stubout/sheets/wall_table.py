"""The table of marks of a wall side: on the drawing, or on the back of it."""

from __future__ import annotations

import math

from stubout.design import Design
from stubout.house.framing import Wall
from stubout.sheets.canvas import Canvas
from stubout.sheets.grid import Column, Grid, draw_grid, rows_that_fit
from stubout.sheets.model import Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.titleblock import body
from stubout.sheets.wall_facts import Mark
from stubout.sheets.wall_windows import WindowTable
from stubout.sheets.words import mm

GAP_MM = 6.0  # between the marks and their windows on one page
WINDOW_HEAD = "Window|above subfl."
TRAP_HEAD = "Trap's band|above subfl."  # where it was not reckoned how far the pipes on a stub-out let it go


def marks_grid(design: Design, wall: Wall, found: tuple[Mark, ...], title: str) -> Grid:
    """Return the table of marks; every height from both floors."""
    sub = wall.bottom_z_mm
    rows = []
    for m in found:
        fin = m.finished_z_mm
        window = ""
        if m.lo_z_mm is not None and m.hi_z_mm is not None:
            window = f"{mm(design, m.lo_z_mm - sub)} to {mm(design, m.hi_z_mm - sub)}"
        elif m.play_mm is not None:
            room_mm = play(design, m.play_mm)
            window = f"+/- {room_mm} in hole" if room_mm.strip('"') != "0" else "no play"
        rows.append(
            (
                str(m.number),
                m.what,
                mm(design, m.station_mm),
                "" if m.z_mm is None else mm(design, m.z_mm - sub),
                "" if m.z_mm is None else (mm(design, m.z_mm - fin) if fin is not None else "no room"),
                window,
                "" if m.hole_mm is None else mm(design, m.hole_mm),
                m.remark,
            )
        )
    columns = (
        Column("No", "end"),
        Column("Mark"),
        Column("From|corner", "end"),
        Column("Above|subfloor", "end"),
        Column("Above|fin. floor", "end"),
        Column(TRAP_HEAD if any(m.trap_only for m in found) else WINDOW_HEAD, "end"),
        Column("Hole", "end"),
        Column("Remark"),
    )
    return Grid(title, columns, tuple(rows), "marks")


def play(design: Design, play_mm: float) -> str:
    """Return a tolerance rounded down, to the millimetre or 1/16 in: it must not promise more than there is."""
    step = 1.0 if design.house.job.units == "mm" else 25.4 / 16
    return mm(design, math.floor(play_mm / step + 1e-6) * step)


def back_pages(
    paper: Paper, grid: Grid, title: str, code: str, notes: tuple[str, ...], under: WindowTable | None
) -> tuple[list[Sheet], bool]:
    """Return the table of marks on pages of its own, the back of the drawing, and whether the windows stand there too.

    Args:
        paper: The paper of the job.
        grid: The table of marks.
        title: Title of the drawing.
        code: Id of the drawing.
        notes: What the table needs to be read.
        under: The windows of the same marks with their notes: under the marks where there is room.
    """
    area = body(paper)
    width, height = area[2] - area[0], area[3] - area[1]
    foot = notes_height(notes, width) + 2.0
    fit = max(1, rows_that_fit(grid, height - foot))
    pages = max(1, -(-len(grid.rows) // fit))
    out = []
    joined = False
    for k in range(pages):
        canvas = Canvas(paper, area)
        words = f"Marks of {title[0].lower()}{title[1:]}" + (f", page {k + 1} of {pages}" if pages > 1 else "")
        part = grid.part(k * fit, (k + 1) * fit, words)
        edge = draw_grid(canvas, part, area[0], area[3], _squeezed(grid.widths, width))
        said, name = notes, f"{title}: marks"
        if under is not None and k == pages - 1:
            both = (*notes, *under.notes)
            need = GAP_MM + under.grid.height() + notes_height(both, width) + 2.0
            if under.grid.width <= width and edge - need >= area[1]:
                draw_grid(canvas, under.grid, area[0], edge - GAP_MM)
                said, name, joined = both, f"{title}: marks and windows", True
        draw_notes(canvas, said, area[0], area[1] + notes_height(said, width), width)
        suffix = f"-marks{k + 1}" if pages > 1 else "-marks"
        out.append(Sheet(code + suffix, name, "not to scale", paper, tuple(canvas.items), said))
    return out, joined


def _squeezed(widths: tuple[float, ...], width: float) -> tuple[float, ...]:
    total = sum(widths)
    return widths if total <= width else (*widths[:-1], width - sum(widths[:-1]))
