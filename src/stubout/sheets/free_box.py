"""The largest empty rectangle of a drawing: room for one more."""

from __future__ import annotations

from stubout.sheets.canvas import Canvas
from stubout.sheets.metrics import Rect

STEP_MM = 3.0


def free_box(canvas: Canvas, least: tuple[float, float]) -> Rect | None:
    """Return the largest rectangle of the body of a drawing in which nothing stands [mm], None if all are too small.

    Args:
        canvas: The drawing.
        least: Width and height it must have [mm].
    """
    x0, y0, x1, y1 = canvas.body
    wide, high = int((x1 - x0) / STEP_MM), int((y1 - y0) / STEP_MM)
    up = [0] * wide  # empty cells from the row that is looked at down, by column
    best: tuple[float, Rect] | None = None
    for row in range(high):
        y = y0 + row * STEP_MM
        for col in range(wide):
            x = x0 + col * STEP_MM
            up[col] = up[col] + 1 if _empty(canvas, (x, y, x + STEP_MM, y + STEP_MM)) else 0
        for first in range(wide):
            rows = up[first]
            for last in range(first, wide):
                rows = min(rows, up[last])
                w, h = (last - first + 1) * STEP_MM, rows * STEP_MM
                if h < least[1]:
                    break
                if w >= least[0] and (best is None or w * h > best[0]):
                    x = x0 + first * STEP_MM
                    best = w * h, (x, y + STEP_MM - h, x + w, y + STEP_MM)
    return best[1] if best is not None else None


def _empty(canvas: Canvas, box: Rect) -> bool:
    return not any(canvas.covered(box, cover) for cover in ("soft", "firm", "hard"))
