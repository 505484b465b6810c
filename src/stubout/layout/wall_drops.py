"""Where a pipe that lies in a joist bay over a wall may come down into that wall and out of its side. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterable

from stubout.house.framing import Wall
from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge, Layer, across

REACH_MM = 1500.0  # so far along the joist bay a place is of interest
MOST_PLACES = 2  # the nearest ones: those farther on only cost more


def drop_places(space: Space, layers: Iterable[Layer], xy: XY, g: Gauge) -> tuple[XY, ...]:
    """Return the middles of free bays in walls below that a pipe from a place runs over, the nearest first.

    Args:
        space: The house.
        layers: The layers of the floor zone.
        xy: Where the pipe comes down into its joist bay.
        g: The pipe.
    """
    bay = next((v for v in layers if v.kind == "bay"), None)
    below = next((v for v in layers if v.under_frame), None)
    if bay is None or below is None or bay.frame is None or (level := space.level_below(below.level)) is None:
        return ()
    along_x = bay.frame.runs == "x"
    found: list[tuple[float, XY]] = []
    for w in space.walls_of(level):
        runs_x = abs(w.along.x) > abs(w.along.y)
        if runs_x != along_x or w.against_concrete or abs(across(w, xy)) > w.depth_mm / 2 - g.r:
            continue
        found += [(abs(p[0] - xy[0]) + abs(p[1] - xy[1]), p) for p in _middles(w, xy, along_x)]
    near = [p for away, p in sorted(found) if away <= REACH_MM and space.plumb_clear(below, p, g)]
    return tuple(near[:MOST_PLACES])


def _middles(w: Wall, xy: XY, along_x: bool) -> Iterable[XY]:
    for b in w.bays:
        p = w.point((b.lo_mm + b.hi_mm) / 2, 0.0)
        yield (round(p.x, 1), xy[1]) if along_x else (xy[0], round(p.y, 1))
