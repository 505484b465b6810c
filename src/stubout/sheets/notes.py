"""Notes on a drawing: numbered lines, wrapped to the width they have."""

from __future__ import annotations

from collections.abc import Sequence

from stubout.sheets.canvas import Canvas
from stubout.sheets.metrics import line_height, wrap

SIZE_PT = 9.0
INDENT_MM = 5.0


def _lines(notes: Sequence[str], width_mm: float) -> list[tuple[str, str]]:
    out: list[tuple[str, str]] = []
    for n, note in enumerate(notes, 1):
        for i, line in enumerate(wrap(note, width_mm - INDENT_MM, SIZE_PT)):
            out.append((f"{n}." if i == 0 else "", line))
    return out


def notes_height(notes: Sequence[str], width_mm: float) -> float:
    """Return the height the notes need [mm on paper]."""
    return len(_lines(notes, width_mm)) * line_height(SIZE_PT) + 0.6


def draw_notes(canvas: Canvas, notes: Sequence[str], x: float, top: float, width_mm: float) -> float:
    """Write the notes from a point down; return the lower edge [mm on paper]."""
    y = top
    for number, line in _lines(notes, width_mm):
        base = y - 2.6
        if number:
            canvas.text((x, base), number, "note")
        canvas.text((x + INDENT_MM, base), line, "note")
        y -= line_height(SIZE_PT)
    return y
