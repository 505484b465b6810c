"""Drawings that several tests look at, drawn once for each design. That the same comes out again is tried elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from stubout.design import Design
from stubout.sheets import all as whole
from stubout.sheets import isometric as isometrics
from stubout.sheets import plan, wall
from stubout.sheets.model import Sheet

Draw = Callable[[Design], tuple[Sheet, ...]]


def _once(draw: Draw) -> Draw:
    known: dict[int, tuple[Design, tuple[Sheet, ...]]] = {}  # with the design, lest another gets its number

    @wraps(draw)
    def drawn(design: Design) -> tuple[Sheet, ...]:
        if id(design) not in known:
            known[id(design)] = design, draw(design)
        return known[id(design)][1]

    return drawn


floor_plans = _once(plan.floor_plans)
isometric = _once(isometrics.isometric)
sheets = _once(whole.sheets)
wall_marks = _once(wall.wall_marks)
