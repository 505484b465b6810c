"""Where a plan is crowded, and the distances from the control corner at the edges of the part drawn larger."""

from __future__ import annotations

import math

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.sheets.canvas import Canvas
from stubout.sheets.metrics import text_width
from stubout.sheets.model import Style
from stubout.sheets.plan_house import PlanView
from stubout.sheets.plan_points import Spot
from stubout.sheets.words import mm

CLOSE_MM = 11.0  # numbered points nearer than this on paper crowd each other
MANY = 6  # so many of them together are worth a page of their own
PAD_MM = 400.0  # house shown round them
NORTH_MM = 18.0  # kept free for the north arrow at the upper right
RULER_STEP_MM = {"mm": 500.0, "inch": 609.6}

Extent = tuple[float, float, float, float]  # house x0, y0, x1, y1 [mm]


def crowd(spots: tuple[Spot, ...], view: PlanView) -> Extent | None:
    """Return the part of the house where numbered points crowd each other on paper, None if nowhere."""
    left = [s for s in spots if view.holds(s.at)]
    best: list[Spot] = []
    while left:
        group = [left.pop(0)]
        for s in group:  # grows while it is walked
            near = [o for o in left if math.dist(view.at(s.at), view.at(o.at)) < CLOSE_MM]
            group += near
            left = [o for o in left if o not in near]
        if len(group) > len(best):
            best = group
    if len(best) < MANY:
        return None
    xs, ys = [s.at.x for s in best], [s.at.y for s in best]
    return min(xs) - PAD_MM, min(ys) - PAD_MM, max(xs) + PAD_MM, max(ys) + PAD_MM


def draw_ruler(design: Design, view: PlanView, canvas: Canvas) -> None:
    """Write distances east of the control corner over a plan that lies north up, and north of it at its right."""
    step = RULER_STEP_MM[design.house.job.units]
    x0, y0, x1, y1 = view.extent
    for k in range(math.ceil(x0 / step), math.floor(x1 / step) + 1):
        x, y = view.at(Vec(k * step, y1))
        words = f"E {mm(design, k * step)}"
        half = text_width(words, 9.0) / 2
        if x + half > view.x0 + view.width:  # the north arrow stands there
            continue
        if canvas.free((x - half, y + 2.0, x + half, y + 6.5)):
            canvas.line(((x, y - 1.5), (x, y + 1.5)), Style("thin"), "ruler", cover="hard")
            canvas.text((x, y + 3.0), words, "ruler", anchor="middle")
    for k in range(math.ceil(y0 / step), math.floor(y1 / step) + 1):
        x, y = view.at(Vec(x1, k * step))
        if y > view.y0 + view.height - NORTH_MM:
            continue
        words = f"N {mm(design, k * step)}"
        if canvas.free((x + 1.6, y - 2.0, x + 2.0 + text_width(words, 9.0), y + 2.6)):
            canvas.line(((x - 1.5, y), (x + 1.5, y)), Style("thin"), "ruler", cover="hard")
            canvas.text((x + 2.0, y - 1.1), words, "ruler")
