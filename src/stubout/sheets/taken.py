"""Where paper is taken, so that no text lands on text.

Taken paper is kept as rows of bits, one bit a half millimetre. A label tries places and counts what it would cover: the
rows are strung together in bands that overlap, so that a box is one number, which is held against one band. Texts and
symbols are `hard` (never covered), pipes are `firm` (covered only in need), thin lines are `soft`. What a line would
meet is looked up cell by cell in a second copy, one byte a cell.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import lru_cache
from math import ceil
from typing import Literal

from stubout.sheets.metrics import Rect

CELL_MM = 0.5
PER_MM = 1.0 / CELL_MM  # cells: a power of two, so that nothing is rounded
Cover = Literal["none", "soft", "firm", "hard"]
Met = Literal["hard", "firm", "words"]
XY = tuple[float, float]
Patch = tuple[int, int]  # the band that holds a box, and the cells of the box in it
Walk = list[int]  # the cells along a line

_STRIDE = 4  # cells: words are taller and wider, so a line through them is nearly always found by every fourth
_STEP, _BAND = 8, 40  # rows from band to band, and rows in a band: a label of five lines is 33 rows high at most
_WHOLE = -1  # the band of all rows, for what is higher
_BESIDE = 64  # cells right of the paper that are kept apart from the next row


class _Layer:
    """The cells one kind of thing takes, as rows of bits; bands are strung together when they are asked for."""

    __slots__ = ("_bytes", "bands", "rows")

    def __init__(self, rows: int, wide: int) -> None:
        self.rows = [0] * rows
        self._bytes = wide // 8
        self.bands: list[int | None] = [None] * (rows // _STEP + 2)  # None: not strung yet; the last is _WHOLE

    def changed(self, first: int, last: int) -> None:
        """Forget the bands that hold any of some rows; rows off the paper are in none."""
        if last <= 0 or first >= len(self.rows):
            return
        lo, hi = max((first - _BAND) // _STEP + 1, 0), min((last - 1) // _STEP + 1, len(self.bands) - 1)
        self.bands[lo:hi] = [None] * (hi - lo)
        self.bands[_WHOLE] = None

    def met(self, patch: Patch) -> int:
        """Return the cells of a patch that are taken."""
        number, cells = patch
        band = self.bands[number]
        if band is None:
            rows = self.rows if number == _WHOLE else self.rows[number * _STEP : number * _STEP + _BAND]
            band = int.from_bytes(b"".join([row.to_bytes(self._bytes, "little") for row in rows]), "little")
            self.bands[number] = band
        return band & cells


@lru_cache(maxsize=4096)
def _block(row: int, high: int, wide: int) -> int:
    """Return the cells of a box that lies at the first of some rows and columns.

    Args:
        row: Cells from one row to the next.
        high: Rows of the box.
        wide: Its columns.
    """
    every_row = ((1 << row * high) - 1) // ((1 << row) - 1) if high > 0 else 0
    return every_row * ((1 << wide) - 1)


class Taken:
    """The paper of one sheet: which half-millimetre cells are taken, and by what."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.rows = ceil(height_mm / CELL_MM) + 1
        self.wide = ceil(width_mm / CELL_MM) + 1
        self._kept = -(-(self.wide + _BESIDE) // 8) * 8  # cells of a row that are kept: whole bytes
        self._layers = {k: _Layer(self.rows, self._kept) for k in ("soft", "firm", "hard")}
        self._hard = self._layers["hard"]
        self._cells: dict[str, bytearray] = {k: bytearray(self.rows * self.wide) for k in ("firm", "hard", "words")}

    def _span(self, box: Rect) -> tuple[int, int, int, int]:
        """Return first row, row after the last, first column, columns of a box.

        What sticks out of the paper at its low ends or below it counts at its edge.
        """
        x0, y0, x1, y1 = box
        first, last = int(y0 * PER_MM), ceil(y1 * PER_MM)
        lo, hi = int(x0 * PER_MM), ceil(x1 * PER_MM)
        if first < 0 or lo < 0 or last < 1 or last > self.rows or hi > self._kept:
            first, last = min(max(first, 0), self.rows - 1), min(max(last, 1), self.rows)
            lo, hi = min(max(lo, 0), self._kept - 1), min(hi, self._kept)
        return first, last, lo, hi - lo if hi > lo else 1

    def patch(self, box: Rect) -> Patch:
        """Return the cells of a box."""
        first, last, lo, wide = self._span(box)
        band = first // _STEP
        top = band * _STEP
        if last - top > _BAND:
            band, top = _WHOLE, 0
        return band, _block(self._kept, last - first, wide) << ((first - top) * self._kept + lo)

    def take(self, box: Rect, cover: Literal["soft", "firm", "hard", "words"]) -> None:
        """Mark a box as taken."""
        self._fill(*self._span(box), cover)

    def _fill(self, first: int, last: int, lo: int, wide: int, cover: Literal["soft", "firm", "hard", "words"]) -> None:
        """Mark some columns of some rows as taken, as far as they are on the paper."""
        wide = min(wide, self.wide - lo)
        if wide <= 0:
            return
        layer, cells = self._layers.get(cover), self._cells.get(cover)
        if layer is not None:
            there = ((1 << wide) - 1) << lo
            for row in range(first, last):
                layer.rows[row] |= there
            layer.changed(first, last)
        if cells is not None:
            ones = b"\x01" * wide
            for at in range(first * self.wide + lo, last * self.wide + lo, self.wide):
                cells[at : at + wide] = ones

    def take_line(self, a: XY, b: XY, cover: Literal["soft", "firm", "hard"]) -> None:
        """Mark the cells along a line as taken."""
        steps = max(1, ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / CELL_MM))
        dx, dy = b[0] - a[0], b[1] - a[1]
        for k in range(steps + 1):
            t = k / steps
            row, col = int((a[1] + dy * t) / CELL_MM), int((a[0] + dx * t) / CELL_MM)
            if 0 <= row < self.rows and 0 <= col < self.wide:
                self._layers[cover].rows[row] |= 1 << col
                if cover != "soft":
                    self._cells[cover][row * self.wide + col] = 1
        rows = sorted((int(a[1] / CELL_MM), int(b[1] / CELL_MM)))
        self._layers[cover].changed(max(rows[0], 0), rows[1] + 1)

    def count(self, patch: Patch, cover: Literal["soft", "firm", "hard"]) -> int:
        """Return how many cells of a patch are taken."""
        return self._layers[cover].met(patch).bit_count()

    def free(self, box: Rect) -> Patch | None:
        """Return the patch of a box in which no text and no symbol is, None if there is one."""
        patch = self.patch(box)
        return None if self._hard.met(patch) else patch

    def hard_at(self, area: Rect) -> Callable[[float, float], bool]:
        """Return the question whether a point of an area lies in a text or symbol."""
        cells, wide = self._cells["hard"], self.wide
        if area[0] < 0.0 or area[1] < 0.0 or area[2] * PER_MM >= wide or area[3] * PER_MM >= self.rows:
            return lambda _x, _y: False  # partly off the paper: not told

        return lambda x, y: cells[int(y * PER_MM) * wide + int(x * PER_MM)] == 1

    def crossed(self, a: XY, b: XY) -> bool:
        """Return whether a line would run through words."""
        return self.clear_walk(a, b) is None

    def clear_walk(self, a: XY, b: XY) -> Walk | None:
        """Return the cells of a line, None if it would run through words."""
        words = self._cells["words"]
        if any(words[at] for at in self._walk(a, b, _STRIDE)):
            return None
        walk = self.walk(a, b)
        return None if any(map(words.__getitem__, walk)) else walk

    def walk(self, a: XY, b: XY) -> Walk:
        """Return the cells of a line step by step, as far as they are on the paper; one that it stays in each time."""
        return list(self._walk(a, b, 1))

    def met(self, walk: Walk, cover: Met) -> int:
        """Return how many taken cells a line runs through; one that it stays in is counted at every step."""
        return sum(map(self._cells[cover].__getitem__, walk))

    def _walk(self, a: XY, b: XY, stride: int) -> Iterable[int]:
        steps = max(1, ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / CELL_MM))
        x, y = a[0] / CELL_MM, a[1] / CELL_MM
        dx, dy = (b[0] - a[0]) / CELL_MM / steps, (b[1] - a[1]) / CELL_MM / steps
        x1, y1, wide = x + dx * steps, y + dy * steps, self.wide
        if min(x, x1) > -1.0 and min(y, y1) > -1.0 and max(x, x1) < wide and max(y, y1) < self.rows:
            return (int(y + dy * k) * wide + int(x + dx * k) for k in range(0, steps + 1, stride))
        cells = ((int(y + dy * k), int(x + dx * k)) for k in range(0, steps + 1, stride))
        return (row * wide + col for row, col in cells if 0 <= row < self.rows and 0 <= col < wide)
