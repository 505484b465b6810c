"""How far a thing that rests somewhere may still be off in each direction: the windows of a place it was dragged to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.live.drag import Drag
from stubout.live.follows import goes_along
from stubout.live.model import Answer, Handle, Ways
from stubout.windows.course import Course
from stubout.windows.judge import Judge
from stubout.windows.solve import MOST


def rested(drag: Drag, answer: Answer) -> Answer:
    """Return an answer with the windows of the place, as far as the sheets look: 4 in, 100 mm."""
    return replace(answer, windows=tuple(_ways(drag, answer)))


def _ways(drag: Drag, answer: Answer) -> Iterator[Ways]:
    design, g = answer.design, drag.ground
    if design is None or not drag.seeds or drag.handle.kind == "wall":
        return  # of a wall: marks are off in it, it is not off itself
    most = MOST[design.house.job.units]
    judges: dict[frozenset[str], Judge] = {}
    for way in drag.handle.ways:
        nodes = goes_along(design, drag.handle, drag.seeds, way)
        if nodes not in judges:
            judges[nodes] = Judge(design, nodes, (most + 1) * g.step_mm, g.boxes, g.looks, g.answers)
        for one in (way, way.times(-1.0)):
            steps, said = Course(judges[nodes], one, g.step_mm, most).first()
            yield Ways(words_of(design, drag.handle, one), one, steps * g.step_mm, said is not None, said)


def words_of(design: Design, handle: Handle, way: Vec) -> str:
    """Return a direction in words: up, down, along a wall from its corner, or by the compass."""
    if way.z:
        return "up" if way.z > 0 else "down"
    if handle.kind != "wall" and len([w for w in handle.ways if not w.z]) == 1:
        along = next(w for w in handle.ways if not w.z)
        return "away from the corner" if way.dot(along) > 0 else "back to the corner"
    if abs(way.x) > abs(way.y):
        return "east" if way.x > 0 else "west"
    return "north" if way.y > 0 else "south"
