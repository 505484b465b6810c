"""What is near some pipes: the pipes they meet, and the frame they can bore. Lengths [mm]."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import replace

from stubout.design import Design
from stubout.fabrication.bores import framed
from stubout.geometry.distance import segment_bounds
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import Frame, House
from stubout.network.model import Network
from stubout.windows.near import FAR_REACHING, Surroundings

BESIDE_MM = 200.0  # members farther from a pipe than this are not bored by it
RINGS = 3  # joints between a pipe and what can still change its fittings, pieces and supports


def round_about(design: Design, pipes: frozenset[str], most_mm: float) -> Surroundings:
    """Return what some pipes can bore or touch of the frame when they are moved by no more than `most_mm`."""
    boxes = [segment_bounds(p.a, p.b, most_mm + BESIDE_MM) for p in design.network.pipes if p.id in pipes]
    house = frame_round(design.house, boxes)
    near = replace(
        house,
        walls=tuple(w for w in house.walls if any(_meet(_whole(w), b) for b in boxes)),
        obstacles=tuple(
            o
            for o in house.obstacles
            if o.keep_clear_above_below or o.kind in FAR_REACHING or any(_meet(o.box, b) for b in boxes)
        ),
    )
    return Surroundings(near, pipes, framed(near))


def beside(net: Network, pipes: frozenset[str]) -> frozenset[str]:
    """Return some pipes with all that lie so near that they or their hubs can meet."""
    boxes = [segment_bounds(p.a, p.b, BESIDE_MM) for p in net.pipes if p.id in pipes]
    return frozenset(
        p.id for p in net.pipes if p.id in pipes or any(_meet(segment_bounds(p.a, p.b, BESIDE_MM), b) for b in boxes)
    )


def frame_round(house: House, boxes: list[Box]) -> House:
    """Return a house with the members of those walls and frames only that some boxes can touch."""

    def walled(w: Wall) -> Wall:
        whole = _whole(w)
        spans = [_along(w, b) for b in boxes if _meet(whole, b)]
        studs = sorted(w.studs, key=lambda s: s.station_mm)
        return replace(w, studs=tuple(studs[i] for i in _and_next([s.station_mm for s in studs], spans)))

    def framed(f: Frame) -> Frame:
        axis = 1 if f.runs == "x" else 0
        near = [
            (b.lo[axis] - f.width_mm, b.hi[axis] + f.width_mm)
            for b in boxes
            if b.lo.z < f.top_z_mm and b.hi.z > f.bottom_z_mm
        ]
        centres = sorted(f.centres_mm)
        return replace(f, centres_mm=tuple(centres[i] for i in _and_next(centres, near)))

    return replace(house, walls=tuple(map(walled, house.walls)), frames=tuple(map(framed, house.frames)))


def _and_next(places: list[float], spans: list[tuple[float, float]]) -> list[int]:
    """Return which of some places in order lie in any of some spans, with the next one on each side of a span.

    The next one ends the room in which a piece of pipe lies before it is put in.
    """
    out: set[int] = set()
    for lo, hi in spans:
        first, last = bisect_left(places, lo) - 1, bisect_right(places, hi)
        out.update(range(max(first, 0), min(last, len(places) - 1) + 1))
    return sorted(out)


def _whole(wall: Wall) -> Box:
    return segment_bounds(wall.start.at_z(wall.bottom_z_mm), wall.end.at_z(wall.top_z_mm), wall.depth_mm)


def _along(wall: Wall, box: Box) -> tuple[float, float]:
    """Return from which to which station of a wall a box reaches."""
    stations = [wall.station(Vec(x, y)) for x in (box.lo.x, box.hi.x) for y in (box.lo.y, box.hi.y)]
    return min(stations), max(stations)


def _meet(a: Box, b: Box) -> bool:
    return all(al <= bh and bl <= ah for al, ah, bl, bh in zip(a.lo, a.hi, b.lo, b.hi, strict=True))


def joined_near(net: Network, pipes: frozenset[str], rings: int = RINGS) -> frozenset[str]:
    """Return some pipes with those some joints farther; through a point where nothing joins it goes on."""
    far = {n: 0 for i in pipes for n in (net.pipe(i).start, net.pipe(i).end)}
    out, front = set(pipes), list(far)
    while front:
        here = front.pop(0)
        meet = (*net.node(here).inflow, *net.node(here).outflow)
        out |= set(meet)
        steps = far[here] + (len(meet) > 2)
        for p in map(net.pipe, meet):
            for n in (p.start, p.end):
                if steps < rings and far.get(n, rings) > steps:
                    far[n] = steps
                    front.append(n)
    return frozenset(out)
