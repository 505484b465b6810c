"""Tables on a drawing: marks, inverts, stations. Columns are as wide as their words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stubout.sheets.canvas import Canvas
from stubout.sheets.metrics import line_height, text_width
from stubout.sheets.model import Style

SIZE_PT = 9.0
PAD_MM = 1.1
ROW_MM = line_height(SIZE_PT) + 0.75


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading (lines broken at `|`) and how it is set."""

    head: str
    align: Literal["start", "end"] = "start"


@dataclass(frozen=True, slots=True)
class Grid:
    """A table ready to be drawn."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    layer: str = "table"

    @property
    def widths(self) -> tuple[float, ...]:
        """Return the width of each column [mm on paper]."""
        out = []
        for i, col in enumerate(self.columns):
            words = [text_width(h, SIZE_PT, bold=True) for h in col.head.split("|")]
            words += [text_width(r[i], SIZE_PT) for r in self.rows]
            out.append(max(words) + 2 * PAD_MM)
        return tuple(out)

    @property
    def width(self) -> float:
        """Return the width of the table [mm on paper]."""
        return max(sum(self.widths), text_width(self.title, SIZE_PT, bold=True) + 2 * PAD_MM)

    @property
    def head_mm(self) -> float:
        """Return the height of title and heading [mm on paper]."""
        lines = max(len(c.head.split("|")) for c in self.columns)
        return ROW_MM + lines * line_height(SIZE_PT) + 1.2

    def height(self, rows: int | None = None) -> float:
        """Return the height with so many rows, all if not said [mm on paper]."""
        return self.head_mm + (len(self.rows) if rows is None else rows) * ROW_MM

    def part(self, first: int, last: int, title: str) -> Grid:
        """Return some of the rows as a table of their own, columns as wide as in the whole."""
        return Grid(title, self.columns, self.rows[first:last], self.layer)


def rows_that_fit(grid: Grid, height_mm: float) -> int:
    """Return how many rows a table of this height can hold."""
    return max(0, int((height_mm - grid.head_mm) / ROW_MM + 1e-9))


def draw_grid(canvas: Canvas, grid: Grid, x: float, top: float, widths: Sequence[float] | None = None) -> float:
    """Draw a table with its upper left corner at a point; return its lower edge [mm on paper]."""
    wide = tuple(widths) if widths is not None else grid.widths
    total = sum(wide)
    em = SIZE_PT * 25.4 / 72
    y = top - 0.78 * em
    canvas.text((x, y), grid.title, f"{grid.layer}:title", bold=True)
    y = top - ROW_MM
    edge = y
    rule, thin = Style("medium"), Style("hair")
    canvas.line(((x, edge), (x + total, edge)), rule, grid.layer, cover="none")
    heads = [c.head.split("|") for c in grid.columns]
    lines = max(len(h) for h in heads)
    lead = line_height(SIZE_PT)
    left = x
    for col, words, width in zip(grid.columns, heads, wide, strict=True):
        for i, text in enumerate(words):
            at = edge - 0.9 - 0.78 * em - i * lead
            place = left + PAD_MM if col.align == "start" else left + width - PAD_MM
            canvas.text((place, at), text, f"{grid.layer}:head", bold=True, anchor=col.align)
        left += width
    edge -= lines * lead + 1.2
    canvas.line(((x, edge), (x + total, edge)), rule, grid.layer, cover="none")
    for row in grid.rows:
        left = x
        base = edge - ROW_MM + 0.24 * em + 0.35
        for col, text, width in zip(grid.columns, row, wide, strict=True):
            if text:
                place = left + PAD_MM if col.align == "start" else left + width - PAD_MM
                canvas.text((place, base), text, f"{grid.layer}:cell", anchor=col.align)
            left += width
        edge -= ROW_MM
        canvas.line(((x, edge), (x + total, edge)), thin, grid.layer, cover="none")
    left = x
    for width in (*wide, 0.0):
        canvas.line(((left, top - ROW_MM), (left, edge)), thin, grid.layer, cover="none")
        left += width
    canvas.take((x, edge, x + total, top))
    return edge
