"""Where paper is taken, so that no text lands on text.

Taken paper is kept as rows of bits, one bit a half millimetre: a label tries places and counts what it would cover.
Texts and symbols are `hard` (never covered), pipes are `firm` (covered only in need), thin lines are `soft`. What a
line would meet is looked up cell by cell in a second copy, one byte a cell.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import reduce
from math import ceil
from operator import or_
from typing import Literal

from stubout.sheets.metrics import Rect

CELL_MM = 0.5
PER_MM = 1.0 / CELL_MM  # cells: a power of two, so that nothing is rounded
Cover = Literal["none", "soft", "firm", "hard"]
Met = Literal["hard", "firm", "words"]
XY = tuple[float, float]
Span = tuple[int, int, int, int]  # first row, row after the last, first column, mask of the columns

_STRIDE = 4  # cells: words are taller and wider, so a line through them is nearly always found by every fourth


class Taken:
    """The paper of one sheet: which half-millimetre cells are taken, and by what."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.rows = ceil(height_mm / CELL_MM) + 1
        self.wide = ceil(width_mm / CELL_MM) + 1
        self._bits: dict[str, list[int]] = {k: [0] * self.rows for k in ("soft", "firm", "hard", "words")}
        self._cells: dict[str, bytearray] = {k: bytearray(self.rows * self.wide) for k in ("firm", "hard", "words")}

    def span(self, box: Rect) -> Span:
        """Return the rows and columns of a box; what sticks out at the low ends of the paper counts at its edge."""
        x0, y0, x1, y1 = box
        first, last = int(y0 * PER_MM), ceil(y1 * PER_MM)
        lo, hi = int(x0 * PER_MM), ceil(x1 * PER_MM)
        if first < 0 or lo < 0 or last < 1 or last > self.rows:
            first, last, lo = max(first, 0), min(max(last, 1), self.rows), max(lo, 0)
        return first, last, lo, (1 << (hi - lo if hi > lo else 1)) - 1

    def take(self, box: Rect, cover: Literal["soft", "firm", "hard", "words"]) -> None:
        """Mark a box as taken."""
        first, last, shift, mask = self.span(box)
        bits = self._bits[cover]
        for row in range(first, last):
            bits[row] |= mask << shift
        cells = self._cells.get(cover)
        long = min(mask.bit_length(), self.wide - shift)
        if cells is not None and long > 0:
            ones = b"\x01" * long
            for row in range(first, last):
                at = row * self.wide + shift
                cells[at : at + long] = ones

    def take_line(self, a: XY, b: XY, cover: Literal["soft", "firm", "hard"]) -> None:
        """Mark the cells along a line as taken."""
        steps = max(1, ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / CELL_MM))
        bits, cells = self._bits[cover], self._cells.get(cover)
        for k in range(steps + 1):
            t = k / steps
            row = int((a[1] + (b[1] - a[1]) * t) / CELL_MM)
            col = int((a[0] + (b[0] - a[0]) * t) / CELL_MM)
            if 0 <= row < self.rows and col >= 0:
                bits[row] |= 1 << col
                if cells is not None and col < self.wide:
                    cells[row * self.wide + col] = 1

    def count(self, span: Span, cover: Literal["soft", "firm", "hard"]) -> int:
        """Return how many cells of a span are taken."""
        first, last, shift, mask = span
        rows = self._bits[cover][first:last]
        if not reduce(or_, rows, 0) & (mask << shift):
            return 0
        return sum([((bits >> shift) & mask).bit_count() for bits in rows if bits])

    def free(self, box: Rect) -> Span | None:
        """Return the span of a box in which no text and no symbol is, None if there is one."""
        span = first, last, shift, mask = self.span(box)
        bits = self._bits["hard"]
        there = mask << shift
        middle = (first + last) // 2  # most that is not free is not so in the middle
        if (middle < last and bits[middle] & there) or reduce(or_, bits[first:last], 0) & there:
            return None
        return span

    def hard_at(self, area: Rect) -> Callable[[float, float], bool]:
        """Return the question whether a point of an area lies in a text or symbol."""
        cells, wide = self._cells["hard"], self.wide
        if area[0] < 0.0 or area[1] < 0.0 or area[2] * PER_MM >= wide or area[3] * PER_MM >= self.rows:
            return lambda _x, _y: False  # partly off the paper: not told

        return lambda x, y: cells[int(y * PER_MM) * wide + int(x * PER_MM)] == 1

    def crossed(self, a: XY, b: XY) -> bool:
        """Return whether a line would run through words."""
        found = self._along(a, b)
        if found is None:
            return self.met(a, b, "words") > 0
        cells, wide = self._cells["words"], self.wide
        x, y, dx, dy, steps = found
        for k in range(0, steps + 1, _STRIDE):
            if cells[int(y + dy * k) * wide + int(x + dx * k)]:
                return True
        return any(cells[int(y + dy * k) * wide + int(x + dx * k)] for k in range(steps + 1))

    def met(self, a: XY, b: XY, cover: Met) -> int:
        """Return how many taken cells a line would run through; one that it stays in is counted at every step."""
        found = self._along(a, b)
        if found is None:
            return self._met_off_paper(a, b, cover)
        cells, wide = self._cells[cover], self.wide
        x, y, dx, dy, steps = found
        return sum([cells[int(y + dy * k) * wide + int(x + dx * k)] for k in range(steps + 1)])

    def _along(self, a: XY, b: XY) -> tuple[float, float, float, float, int] | None:
        """Return start, step and count of steps along a line, in cells; None if it leaves the paper."""
        x, y, dx, dy, steps = _steps(a, b)
        x1, y1 = x + dx * steps, y + dy * steps
        on = min(x, x1) > -1.0 and min(y, y1) > -1.0 and max(x, x1) < self.wide and max(y, y1) < self.rows
        return (x, y, dx, dy, steps) if on else None

    def _met_off_paper(self, a: XY, b: XY, cover: Met) -> int:
        bits = self._bits[cover]
        x, y, dx, dy, steps = _steps(a, b)
        cells = [(int(y + dy * k), int(x + dx * k)) for k in range(steps + 1)]
        return sum((bits[row] >> col) & 1 for row, col in cells if 0 <= row < self.rows and col >= 0)


def _steps(a: XY, b: XY) -> tuple[float, float, float, float, int]:
    steps = max(1, ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / CELL_MM))
    return a[0] / CELL_MM, a[1] / CELL_MM, (b[0] - a[0]) / CELL_MM / steps, (b[1] - a[1]) / CELL_MM / steps, steps
