"""The lattice of one floor zone: lines through what matters there, and where diagonals meet them. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence

from stubout.house.bearings import strips_of
from stubout.house.model import House
from stubout.layout.charted import charted, crossing_lines
from stubout.layout.lattice import MERGE_MM, Lattice, Short
from stubout.layout.space_shapes import XY, Layer, off_line

LEAST_DIAGONAL_MM = 90.0
MOST_DIAGONAL_MM = 4000.0
LANE_MM = 95.0
ROUND_MM = 400.0  # so far beside what lies there a drain goes round it
APART_MM = 30.0
FOOTING_LANE_MM = 450.0  # so far beside a footing a drain may want to run
LANE_EDGE_MM = 37.0
BULKHEAD_MM = 900.0  # a boxed space so narrow is a bulkhead: pipes lie in lanes along it
MOST_ASIDE_MM = 350.0  # from lane to lane a pipe goes over at 45 degrees
ASIDE_MM = 700.0  # so far beside the wall it came down in a branch wants to reach a drain
BEYOND_MM = 1000.0  # so far past what lies in a floor a pipe looks for a place to cross engineered joists
STRAIGHT_MM = (0.0, 200.0)  # straight pipe before it does: none at a stack, some past a trap or a bend


def zone_lattice(
    house: House,
    layers: Collection[Layer],
    pts: Sequence[XY],
    *,
    diagonals: bool,
    start: XY | None,
    lines: tuple[tuple[XY, XY], ...],
    drops: Sequence[XY] = (),
    corners: Collection[XY] = (),
    spots: Sequence[XY] = (),
) -> Lattice:
    """Return the lines through all places that matter, the gaps beside obstacles, and the corners of diagonals.

    Args:
        house: The house.
        layers: The layers of the zone.
        pts: The plan positions that matter.
        diagonals: Whether the corners of diagonals towards the sewer are wanted.
        start: The asked place, if diagonals from it to the drains that lie there are wanted.
        lines: Those drains as plan segments.
        drops: Where a pipe from the asked place may come down into a wall below.
        corners: Those of the positions where a jog would only begin or end: nothing goes from lane to lane there.
        spots: Single points to be on it.
    """
    xs = {p[0] for p in pts}
    ys = {p[1] for p in pts}
    fp = house.footprint
    lows = [layer for layer in layers if layer.lowest]
    if lows:
        sewer = house.sewer.at
        xs |= {sewer.x}
        ys |= {sewer.y}
        for v, lo, hi, into in ((sewer.x, fp.lo.x, fp.hi.x, xs), (sewer.y, fp.lo.y, fp.hi.y, ys)):
            if v < lo:
                into |= {lo - 300, lo + 600}
            if v > hi:
                into |= {hi + 300, hi - 600}
        for o in house.obstacles:
            if o.kind in ("pad", "duct", "beam"):
                for m in (150.0,):
                    if o.box.hi.x - o.box.lo.x < 2000:
                        xs |= {o.box.lo.x - m, o.box.hi.x + m}
                    if o.box.hi.y - o.box.lo.y < 2000:
                        ys |= {o.box.lo.y - m, o.box.hi.y + m}
            if o.kind == "footing":  # beside it, outside its load plane
                wide_x, wide_y = o.box.hi.x - o.box.lo.x, o.box.hi.y - o.box.lo.y
                if wide_x < wide_y:
                    xs |= {o.box.lo.x - FOOTING_LANE_MM, o.box.hi.x + FOOTING_LANE_MM}
                else:
                    ys |= {o.box.lo.y - FOOTING_LANE_MM, o.box.hi.y + FOOTING_LANE_MM}
    for layer in layers:
        if layer.kind == "bay" and layer.frame is not None and charted(layer.frame) and pts:
            frame, (a, into) = layer.frame, ((0, xs) if layer.frame.runs == "x" else (1, ys))
            reach = [p[a] for p in pts]
            into |= set(crossing_lines(frame, strips_of(house, frame), min(reach) - BEYOND_MM, max(reach) + BEYOND_MM))
    short_xs: dict[float, tuple[float, float]] = {}
    short_ys: dict[float, tuple[float, float]] = {}
    for layer in layers:
        for r in layer.regions:
            if r.kind != "soffit":
                continue
            for across, into, along in ((0, xs, short_ys), (1, ys, short_xs)):
                lo, hi = ((r.x0, r.x1), (r.y0, r.y1))[across]
                if hi - lo >= BULKHEAD_MM:
                    continue
                n = max(1, int((hi - lo - 2 * LANE_EDGE_MM) / LANE_MM))
                lanes = [lo + LANE_EDGE_MM + (hi - lo - 2 * LANE_EDGE_MM) * i / n for i in range(n + 1)]
                into |= set(lanes)
                held = [p for p in pts if r.holds(p) and p not in corners]
                if start is not None and not r.holds(start):  # a pipe that comes down at its edge out of a joist bay
                    held += [
                        p
                        for v in (lanes[0], lanes[-1])
                        if r.holds(p := (v, start[1]) if across == 0 else (start[0], v))
                    ]
                along.update((v, (lo, hi)) for v in _lane_changes(lanes, held, across))
    if diagonals and lows:
        sewer_xy = (house.sewer.at.x, house.sewer.at.y)
        for p in pts:
            dx, dy = abs(sewer_xy[0] - p[0]), abs(sewer_xy[1] - p[1])
            sx, sy = math.copysign(1, sewer_xy[0] - p[0]), math.copysign(1, sewer_xy[1] - p[1])
            if dx < dy:
                ys |= {p[1] + sy * dx, sewer_xy[1] - sy * dx}
            else:
                xs |= {p[0] + sx * dy, sewer_xy[0] - sx * dy}
    if start is not None:
        more_xs, more_ys = _diagonals(start, lines)
        xs |= set(more_xs)
        ys |= set(more_ys)
    for p in drops:
        short_xs[p[0]], short_ys[p[1]] = (p[1] - ASIDE_MM, p[1] + ASIDE_MM), (p[0] - ASIDE_MM, p[0] + ASIDE_MM)
        more_xs, more_ys = _diagonals(p, [v for v in lines if off_line(p, *v) < ASIDE_MM])
        short_xs.update(more_xs)
        short_ys.update(more_ys)
    for p in spots:
        _reach(short_xs, p[0], p[1])
        _reach(short_ys, p[1], p[0])
    return Lattice(xs, ys, short_xs, short_ys)


def _reach(short: dict[float, tuple[float, float]], line: float, at: float) -> None:
    """Let a short line go through a place on it."""
    lo, hi = short.get(line, (at, at))
    short[line] = (min(lo, at - MERGE_MM), max(hi, at + MERGE_MM))


def _diagonals(start: XY, lines: Iterable[tuple[XY, XY]]) -> tuple[Short, Short]:
    """Return the lines on which diagonals from a place meet the drains that lie there, and from where to where."""
    xs: dict[float, tuple[float, float]] = {}
    ys: dict[float, tuple[float, float]] = {}
    px, py = start
    for a, b in lines:
        if abs(a[0] - b[0]) < 0.5 and LEAST_DIAGONAL_MM < abs(a[0] - px) < MOST_DIAGONAL_MM:
            reach = (min(a[0], px) - MERGE_MM, max(a[0], px) + MERGE_MM)
            ends = (py - abs(a[0] - px), py + abs(a[0] - px))
            ys.update((y, reach) for y in ends if min(a[1], b[1]) < y < max(a[1], b[1]))
        elif abs(a[1] - b[1]) < 0.5 and LEAST_DIAGONAL_MM < abs(a[1] - py) < MOST_DIAGONAL_MM:
            reach = (min(a[1], py) - MERGE_MM, max(a[1], py) + MERGE_MM)
            ends = (px - abs(a[1] - py), px + abs(a[1] - py))
            xs.update((x, reach) for x in ends if min(a[0], b[0]) < x < max(a[0], b[0]))
        elif abs(abs(a[0] - b[0]) - abs(a[1] - b[1])) < 0.5:  # straight on to a drain that lies at 45 degrees
            up = 1.0 if (b[0] - a[0]) * (b[1] - a[1]) > 0 else -1.0
            if min(a[0], b[0]) < px < max(a[0], b[0]):
                y = a[1] + up * (px - a[0])
                ys[y] = (px - MERGE_MM, px + MERGE_MM)
            if min(a[1], b[1]) < py < max(a[1], b[1]):
                x = a[0] + up * (py - a[1])
                xs[x] = (py - MERGE_MM, py + MERGE_MM)
    return xs, ys


def _lane_changes(lanes: Sequence[float], pts: Sequence[XY], across: int) -> set[float]:
    """Return where along a bulkhead a pipe goes over from the places that matter to a lane, or the other way."""
    out: set[float] = set()
    for p in pts:
        for aside in {abs(lane - p[across]) for lane in lanes}:
            if LANE_EDGE_MM < aside < MOST_ASIDE_MM:
                for straight in STRAIGHT_MM:
                    out |= {p[1 - across] + side * d for side in (-1, 1) for d in (straight, straight + aside)}
    return out


def wider_lattice(lat: Lattice, start: XY, lines: Iterable[tuple[XY, XY]]) -> Lattice:
    """Return a lattice with lanes beside the drains that lie there and beside the start."""
    xs, ys = {start[0] - ROUND_MM, start[0] + ROUND_MM}, {start[1] - ROUND_MM, start[1] + ROUND_MM}
    for a, b in lines:
        if abs(a[0] - b[0]) < 0.5:
            xs |= {a[0] - ROUND_MM, a[0] + ROUND_MM}
        elif abs(a[1] - b[1]) < 0.5:
            ys |= {a[1] - ROUND_MM, a[1] + ROUND_MM}
    more_x = [x for x in xs if min(abs(x - v) for v in lat.xs) > APART_MM]
    more_y = [y for y in ys if min(abs(y - v) for v in lat.ys) > APART_MM]
    return Lattice((*lat.xs, *more_x), (*lat.ys, *more_y))
