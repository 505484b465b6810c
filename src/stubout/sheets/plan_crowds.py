"""Which parts of a plan are crowded, and how they are cut to sheets that show them larger."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.model import Paper
from stubout.sheets.plan_house import EDGE_MM, JOIST_MARGIN_MM, RIGHT_MM, Extent, PlanView
from stubout.sheets.titleblock import body

CLOSE_MM = 9.0  # what labels speak of lies nearer than this on paper: one crowd
PAD_MM = 5.0  # paper of the plan shown larger round a crowd
LEAST_MM = 1200.0  # house in a part drawn larger, each way
GAIN = 1.5  # a part is drawn at least so much larger
JOIN_RATIO = 32.0  # crowds share a sheet while it is drawn no smaller than this
EASY_RATIO = 50.0  # no part is drawn smaller than this
NOTES_MM = 14.0  # paper kept under a part for its notes
RULER_MM = 10.0  # right of a part, for the distances from the corner


def crowds(canvas: Canvas, view: PlanView, paper: Paper, least: float, known: list[Extent]) -> list[Extent]:
    """Return the parts of the house whose words found no good place, with those known, as few as sheets can enlarge."""
    groups: list[list[XY]] = []
    left = sorted(set(canvas.spoken))
    while left:
        group = [left.pop(0)]
        for at in group:  # grows while it is walked
            near = [o for o in left if math.dist(at, o) < CLOSE_MM]
            group += near
            left = [o for o in left if o not in near]
        groups.append(group)
    strained = set(canvas.strained)
    boxes = [*known, *(_framed(view, g) for g in groups if strained.intersection(g))]
    return _merged(boxes, lambda box: _fits(box, min(least, JOIN_RATIO), paper))


def _framed(view: PlanView, group: list[XY]) -> Extent:
    """Return the part of the house round points on paper."""
    house = [view.back(at) for at in group]
    pad = PAD_MM * view.ratio
    lo_x, hi_x = _wide(min(p.x for p in house) - pad, max(p.x for p in house) + pad)
    lo_y, hi_y = _wide(min(p.y for p in house) - pad, max(p.y for p in house) + pad)
    x0, y0, x1, y1 = view.extent
    return max(lo_x, x0), max(lo_y, y0), min(hi_x, x1), min(hi_y, y1)


def _wide(lo: float, hi: float) -> tuple[float, float]:
    more = max(0.0, LEAST_MM - (hi - lo)) / 2
    return lo - more, hi + more


def _merged(boxes: list[Extent], fits: Callable[[Extent], bool]) -> list[Extent]:
    """Return boxes of which none meets another, joined where one sheet can show both."""
    out = sorted(boxes)
    while True:
        pairs = [(i, j) for j in range(len(out)) for i in range(j)]
        hit = next((k for k in pairs if _meet(out[k[0]], out[k[1]])), None)
        if hit is None:
            joined = [(_area(_union(out[i], out[j])), i, j) for i, j in pairs if fits(_union(out[i], out[j]))]
            if not joined:
                return out
            hit = min(joined)[1:]
        both = _union(out[hit[0]], out[hit[1]])
        out = sorted([*(b for k, b in enumerate(out) if k not in hit), both])


def _union(a: Extent, b: Extent) -> Extent:
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])


def _area(a: Extent) -> float:
    return (a[2] - a[0]) * (a[3] - a[1])


def _meet(a: Extent, b: Extent) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _room(paper: Paper) -> tuple[float, float]:
    """Return the paper a part may fill, without its margins [mm]."""
    area = body(paper)
    wide = area[2] - area[0] - RULER_MM - JOIST_MARGIN_MM - RIGHT_MM
    return wide, area[3] - area[1] - NOTES_MM - JOIST_MARGIN_MM - EDGE_MM


def least_scale(offered: Sequence[int], than: float) -> int | None:
    """Return the smallest scale that is worth a sheet of its own beside a plan; None if there is none."""
    fits = [s for s in offered if s * GAIN <= than and s <= EASY_RATIO]
    return max(fits, default=None)


def room(paper: Paper, turned: bool = False) -> tuple[float, float]:
    """Return the paper for the x and y of a part, without its margins [mm]."""
    area = body(paper)
    wide = area[2] - area[0] - RULER_MM - JOIST_MARGIN_MM - RIGHT_MM
    tall = area[3] - area[1] - NOTES_MM - JOIST_MARGIN_MM - EDGE_MM
    return (tall, wide) if turned else (wide, tall)


def _fits(box: Extent, ratio: float, paper: Paper) -> bool:
    """Return whether one sheet can show a part at a scale."""
    return any(
        box[2] - box[0] <= x * ratio and box[3] - box[1] <= y * ratio for x, y in (room(paper), room(paper, True))
    )


def cut_to_sheets(box: Extent, ratio: float, paper: Paper) -> list[Extent]:
    """Return a part cut so that each piece fits a sheet at a scale; their frames are the match lines."""
    best: tuple[int, int] | None = None
    for x, y in (room(paper), room(paper, True)):
        nx = math.ceil((box[2] - box[0]) / (x * ratio) - 1e-9)
        ny = math.ceil((box[3] - box[1]) / (y * ratio) - 1e-9)
        if best is None or nx * ny < best[0] * best[1]:
            best = (nx, ny)
    nx, ny = best or (1, 1)
    dx, dy = (box[2] - box[0]) / nx, (box[3] - box[1]) / ny
    return [
        (box[0] + i * dx, box[1] + j * dy, box[0] + (i + 1) * dx, box[1] + (j + 1) * dy)
        for j in range(ny)
        for i in range(nx)
    ]


def halves(box: Extent, at: Sequence[XY]) -> tuple[Extent, ...]:
    """Return a part cut across its longer side, where words lie apart; nothing if the pieces would be too small.

    Args:
        box: The part of the house.
        at: What its labels speak of, in house x, y.
    """
    dx, dy = box[2] - box[0], box[3] - box[1]
    if max(dx, dy) < 2 * LEAST_MM:
        return ()
    k = 0 if dx >= dy else 1
    lo, hi = box[k], box[k + 2]
    near, far = lo + 0.35 * (hi - lo), lo + 0.65 * (hi - lo)
    marks = sorted({near, far, *(p[k] for p in at if near < p[k] < far)})
    _, mid = max((round(b - a, 1), (a + b) / 2) for a, b in pairwise(marks))
    first, last = list(box), list(box)
    first[k + 2] = last[k] = mid
    return (first[0], first[1], first[2], first[3]), (last[0], last[1], last[2], last[3])
