"""Plumb pipes kicked over at 45 degrees, so that what joins them beside another pipe has its room. [mm].

Where two pipes stand a hand's breadth apart and one goes across to the other, there is no room for the fittings
between them. What stands is led aside above or below by two eighth bends, and comes to the level pipe farther off. A
pipe that leans no more than 45 degrees counts as upright.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from stubout.catalog.queries import measured_catalog
from stubout.change.easing import NOWHERE
from stubout.change.reshaped import STEEPER, Shapes, free_name, served_by
from stubout.fabrication.bores import framed, touching
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import Layout, Point, PointKind, Run

ROOM_MM = 120.0  # of the plumb pipe, left above and below where it is kicked over; easing finds what it needs
IN_LINE = 0.99  # cosine of the angle between two pipes that lie in one line
# of the plumb pipe: in its middle, close to the level pipe, far from it
PLACES = (0.5, 1.0, 0.0, 0.75, 0.25)

Clear = Callable[[Vec, Vec, float], bool]
"""Whether two bends and the pipe between them have room there, by their places and the size of the pipe [in]."""


def kicked(shapes: Shapes, run_id: str, by_mm: float, clear: Clear) -> Iterator[Layout]:
    """Yield the layout with what stands at one end of a level run kicked over, so that the run becomes longer.

    Args:
        shapes: The layout.
        run_id: The level run that is too short.
        by_mm: How much longer it has to be.
        clear: Tells where the bends and the pipe between them are out of the wood.
    """
    run = shapes.runs.get(run_id)
    if run is None or run.drawn or not shapes.level(run) or by_mm <= 0.0:
        return
    for corner, other in ((run.start, run.end), (run.end, run.start)):
        away = shapes.points[corner].at.minus(shapes.points[other].at).unit()
        aside: list[str] = []  # what moves: the corner, and what stands over or under it before the pipe is kicked over
        for stands, near in _standing(shapes, run, corner):
            aside.append(near)
            spare = shapes.way(stands).length - STEEPER * by_mm - 2 * ROOM_MM
            if spare < 0.0:
                continue
            for share in PLACES:
                made = _kicked(shapes, stands, aside, away.times(by_mm), ROOM_MM + share * spare)
                one, two = made.points[-2:]
                if clear(one.at, two.at, stands.size_in):
                    yield made
            break


def out_of_wood(house: House) -> Clear:
    """Return what tells whether bends and the pipe between them are clear of plates, studs and joists of a house."""
    frame, parts = framed(house), measured_catalog(house.measured)

    def clear(one: Vec, two: Vec, size_in: float) -> bool:
        half = Vec(0.0, 0.0, parts.socket_mm(size_in) + parts.od_mm(size_in) / 2)  # of an eighth bend, about
        low, high = (one, two) if one.z < two.z else (two, one)
        return not touching(frame, segment_bounds(low.minus(half), high.plus(half), parts.hub_od_mm(size_in) / 2))

    return clear


def _standing(shapes: Shapes, run: Run, corner: str) -> Iterator[tuple[Run, str]]:
    """Yield the plumb pipes that go on one after the other from a corner of a level run, each with its nearer end.

    Nothing where the corner could not go along that run.
    """
    stands: Run | None = None
    way = shapes.way(run).unit()
    for r in shapes.meet[corner]:
        if r.id == run.id:
            continue
        if shapes.plumb(r):
            if stands is not None or r.system != run.system:
                return
            stands = r
        elif abs(shapes.way(r).unit().dot(way)) < IN_LINE:
            return
    near = corner
    while stands is not None and not stands.drawn and shapes.may_move(near):
        yield stands, near
        near = stands.end if near == stands.start else stands.start
        on = [r for r in shapes.meet[near] if r.id != stands.id]
        stands = on[0] if len(on) == 1 and shapes.plumb(on[0]) and on[0].system == run.system else None


def _kicked(shapes: Shapes, stands: Run, aside: Sequence[str], by: Vec, after: float) -> Layout:
    """Return the layout with one end of a plumb pipe led aside; the other stays.

    Args:
        shapes: The layout.
        stands: The plumb pipe.
        aside: What moves, from the corner of the level run to the nearer end of the plumb pipe.
        by: How far.
        after: How far from the end that stays it is led aside.
    """
    points, runs, (corner, *between) = shapes.points, shapes.runs, aside
    stays = stands.end if aside[-1] == stands.start else stands.start
    along = points[aside[-1]].at.minus(points[stays].at).unit()
    near = points[stays].at.plus(along.times(after))
    flat = Vec(by.x, by.y)
    moved = {corner: by, **dict.fromkeys(between, flat)}
    far = near.plus(flat).plus(along.times(STEEPER * flat.length))
    knees = tuple(
        Point(free_name(f"{corner}{mark}", points), at, PointKind.TURN) for mark, at in (("d", near), ("e", far))
    )
    one, two = knees if stays == stands.start else knees[::-1]
    lean = replace(stands, id=free_name(f"{stands.id}x", runs), start=one.id, end=two.id)
    rest = replace(stands, id=free_name(f"{stands.id}y", runs), start=two.id)
    pieces = (replace(stands, end=one.id), lean, rest)
    return replace(
        shapes.layout,
        points=(*(replace(p, at=p.at.plus(moved.get(p.id, NOWHERE))) for p in shapes.layout.points), *knees),
        runs=tuple(one for r in shapes.layout.runs for one in (pieces if r.id == stands.id else (r,))),
        traps=served_by(shapes.layout, {stands.id: tuple(r.id for r in pieces)}),
    )
