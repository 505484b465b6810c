"""What the members of a frame bear on, as far as the job says it. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from stubout.house.framing import Wall
from stubout.house.model import Frame, House, Obstacle

PANEL_MM = 60.0  # between a wall or beam and the members on it: furring, a plate


class Strip(NamedTuple):
    """A bearing in plan, in the axes of the frame."""

    along_lo: float
    along_hi: float
    across_lo: float
    across_hi: float


def walls_under(frame: Frame, walls: Iterable[Wall]) -> Iterator[Wall]:
    """Yield the walls that end right under a frame and are not said to bear nothing."""
    for w in walls:
        if not w.not_bearing and not w.knee and abs(w.top_z_mm - frame.bottom_z_mm) <= PANEL_MM:
            yield w


def strips(frame: Frame, walls: Iterable[Wall], obstacles: Iterable[Obstacle]) -> tuple[Strip, ...]:
    """Return the walls and beams under a frame, or that its members hang on, as rectangles in plan."""
    out = [_of_wall(frame, w) for w in walls_under(frame, walls)]
    for o in obstacles:
        if o.kind == "beam" and frame.bottom_z_mm - PANEL_MM <= o.box.hi.z and o.box.lo.z < frame.top_z_mm:
            (x0, y0), (x1, y1) = (o.box.lo.x, o.box.lo.y), (o.box.hi.x, o.box.hi.y)
            out.append(Strip(x0, x1, y0, y1) if frame.runs == "x" else Strip(y0, y1, x0, x1))
    return tuple(out)


def _of_wall(frame: Frame, w: Wall) -> Strip:
    half = w.depth_mm / 2
    corners = [w.point(s, 0.0, side) for s in (0.0, w.length_mm) for side in (-half, half)]
    x0, x1 = min(p.x for p in corners), max(p.x for p in corners)
    y0, y1 = min(p.y for p in corners), max(p.y for p in corners)
    return Strip(x0, x1, y0, y1) if frame.runs == "x" else Strip(y0, y1, x0, x1)


def bearings(frame: Frame, across_mm: float, found: Iterable[Strip]) -> list[tuple[float, float]]:
    """Return from where to where the member at a place across the run bears; an end that nothing carries is one too."""
    half = frame.width_mm / 2
    out = [
        (max(s.along_lo, frame.along_lo_mm), min(s.along_hi, frame.along_hi_mm))
        for s in found
        if s.across_lo < across_mm + half and s.across_hi > across_mm - half
        if s.along_hi >= frame.along_lo_mm and s.along_lo <= frame.along_hi_mm
    ]
    out += [(end, end) for end in (frame.along_lo_mm, frame.along_hi_mm) if not any(lo <= end <= hi for lo, hi in out)]
    return sorted(out)


def from_bearing(frame: Frame, along_mm: float, across_mm: float, found: Iterable[Strip]) -> float:
    """Return how far a place on a member is from the face of the nearest bearing [mm]; 0 over one."""
    return min(max(lo - along_mm, along_mm - hi, 0.0) for lo, hi in bearings(frame, across_mm, found))


def strips_of(house: House, frame: Frame) -> tuple[Strip, ...]:
    """Return the bearings of a frame of a house."""
    return strips(frame, house.walls, house.obstacles)
