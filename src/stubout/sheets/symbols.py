"""Symbols shared by the sheets. Sizes are millimetres on paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.metrics import text_width
from stubout.sheets.model import Style

BALLOON_MM = 2.5
FILLED = Style("thin", fill="black")


def _turns(step_deg: int) -> tuple[XY, ...]:
    rads = [math.radians(turn + 30) for turn in range(0, 360, step_deg)]
    return tuple((math.cos(rad), math.sin(rad)) for rad in rads)


_TURNS, _FINE = _turns(15), _turns(4)  # directions a balloon tries round its point


def balloon(canvas: Canvas, at: XY, number: int | str, layer: str, point: XY | None = None) -> None:
    """Draw a mark number or letter in a ring, with a line to its point."""
    words = str(number)
    radius = max(BALLOON_MM, text_width(words, 9.0) / 2 + 0.7)
    if point is not None:
        away = math.hypot(point[0] - at[0], point[1] - at[1])
        if away > radius + 0.2:
            t = radius / away
            start = (at[0] + (point[0] - at[0]) * t, at[1] + (point[1] - at[1]) * t)
            crossing = canvas.crosses_words(start, point)
            canvas.line((start, point), Style("hair"), "leader", cover="hard")
            if crossing:
                canvas.sink()
    canvas.circle(at, radius, Style("thin", fill="white"), layer)
    canvas.take_words((at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius))
    canvas.text((at[0], at[1] - 1.13), words, layer, anchor="middle")


def place_balloon(canvas: Canvas, point: XY, number: int | str, layer: str, clear: float = 0.0) -> None:
    """Put a mark number near its point where it covers nothing."""
    if canvas.hides(point):
        return
    radius = max(BALLOON_MM, text_width(str(number), 9.0) / 2 + 0.7)
    best: tuple[float, XY] | None = None
    crosses = False
    # First its line crosses no words, nor in finer directions; in the last resort it does.
    for careful, turns in ((True, _TURNS), (True, _FINE), (False, _FINE)):
        for ring in (0.8, 1.6, 2.6, 4.0, 6.0, 8.5, 11.5, 15.0, 19.0, 24.0, 30.0, 38.0, 48.0, 60.0):
            if best is not None and best[0] <= ring:
                break
            best = _on_ring(canvas, point, ring, radius, clear, turns, best, careful=careful)
        if best is not None:
            crosses = not careful
            break
    if best is None:
        canvas.missing.append(layer)
    canvas.told(point, best[0] if best is not None and not crosses else None)
    at = best[1] if best is not None else (point[0], point[1])
    edge = point
    if clear and best is not None:
        away = math.hypot(at[0] - point[0], at[1] - point[1])
        edge = (point[0] + (at[0] - point[0]) / away * clear, point[1] + (at[1] - point[1]) / away * clear)
    balloon(canvas, at, number, layer, edge)


def _on_ring(
    canvas: Canvas,
    point: XY,
    ring: float,
    radius: float,
    clear: float,
    turns: Sequence[XY],
    best: tuple[float, XY] | None,
    *,
    careful: bool,
) -> tuple[float, XY] | None:
    """Return cost and middle of the best balloon on a ring round its point, or the best so far if none is better."""
    x0, y0, x1, y1 = canvas.body
    far = ring + clear + radius
    for c, s in turns:
        x, y = point[0] + c * far, point[1] + s * far
        box = (x - radius, y - radius, x + radius, y + radius)
        if box[0] < x0 or box[1] < y0 or box[2] > x1 or box[3] > y1 or not canvas.free(box):
            continue
        cost = ring + 1.0 * canvas.covered(box, "firm") + 0.05 * canvas.covered(box, "soft")
        if best is not None and cost >= best[0]:
            continue
        if ring > 1.0 and careful:
            a = (point[0] + c * (clear + 0.8), point[1] + s * (clear + 0.8))
            b = (x - c * radius, y - s * radius)
            if canvas.crosses_words(a, b):
                continue
            cost += 1.2 * canvas.met(a, b, "hard") + 1.6 * canvas.met(a, b, "firm")
            if best is not None and cost >= best[0]:
                continue
        best = (cost, (x, y))
    return best


def cross_circle(canvas: Canvas, at: XY, radius: float, layer: str, style: Style) -> None:
    """Draw a circle with a cross through its centre: a pipe end to be met exactly."""
    canvas.circle(at, radius, style, layer)
    reach = radius + 1.2
    thin = Style("thin")
    canvas.line(((at[0] - reach, at[1]), (at[0] + reach, at[1])), thin, layer, cover="hard")
    canvas.line(((at[0], at[1] - reach), (at[0], at[1] + reach)), thin, layer, cover="hard")


def stub_symbol(canvas: Canvas, at: XY, radius: float, layer: str, *, clear: bool) -> None:
    """Draw a stub-out as a crossed circle; one clear of the wall as a dashed square: there is nothing to be bored."""
    if not clear:
        cross_circle(canvas, at, radius, layer, Style("thick", fill="white"))
        return
    x, y = at
    half = radius + 0.4
    corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    canvas.line(corners, Style("medium", "short"), layer, closed=True, cover="hard")
    for a, b in (((x - 0.8, y), (x + 0.8, y)), ((x, y - 0.8), (x, y + 0.8))):
        canvas.line((a, b), Style("thin"), layer, cover="hard")


def datum(canvas: Canvas, at: XY, layer: str, side: float) -> None:
    """Draw the filled triangle that points at a control corner, from the left (side -1) or the right (+1)."""
    x, y = at
    canvas.line(
        ((x, y), (x + 3.4 * side, y - 1.8), (x + 3.4 * side, y + 1.8)), FILLED, layer, closed=True, cover="hard"
    )


def arrow(canvas: Canvas, tip: XY, towards: XY, layer: str, size: float = 2.4) -> None:
    """Draw a filled arrow head at a point, along a direction."""
    n = math.hypot(*towards) or 1.0
    ux, uy = towards[0] / n, towards[1] / n
    back = (tip[0] - ux * size, tip[1] - uy * size)
    half = size * 0.38
    a, b = (back[0] - uy * half, back[1] + ux * half), (back[0] + uy * half, back[1] - ux * half)
    canvas.line((tip, a, b), FILLED, layer, closed=True, cover="firm")


def in_place(canvas: Canvas, a: XY, b: XY, layer: str, half: float = 0.0, along: float = 0.5) -> None:
    """Draw the sign of an installed pipe: two strokes across it; `half` is half its width, `along` where (0 to 1)."""
    n = math.dist(a, b)
    if n < 3.0:
        return
    ux, uy = (b[0] - a[0]) / n, (b[1] - a[1]) / n
    out = half + 1.3
    for off in (-0.6, 0.6):
        x, y = a[0] + ux * (n * along + off), a[1] + uy * (n * along + off)
        ends = ((x - uy * out, y + ux * out), (x + uy * out, y - ux * out))
        canvas.line(ends, Style("medium"), layer, cover="firm")


def north(canvas: Canvas, at: XY, turn_deg: float, layer: str = "north") -> None:
    """Draw the north arrow; `turn_deg` is the paper direction of north, 90 = up."""
    rad = math.radians(turn_deg)
    ux, uy = math.cos(rad), math.sin(rad)
    tip = (at[0] + ux * 6.5, at[1] + uy * 6.5)
    canvas.circle(at, 4.2, Style("thin"), layer)
    canvas.line(((at[0] - ux * 4.2, at[1] - uy * 4.2), tip), Style("medium"), layer, cover="hard")
    arrow(canvas, tip, (ux, uy), layer, 3.6)
    canvas.text((tip[0] + ux * 2.6, tip[1] + uy * 2.6 - 1.2), "N", layer, bold=True, anchor="middle")


def cleanout(canvas: Canvas, at: XY, towards: XY, layer: str) -> None:
    """Draw a cleanout: a flat plug across the line, ISO 6412-style bar and cap."""
    n = math.hypot(*towards) or 1.0
    ux, uy = towards[0] / n, towards[1] / n
    for off, half in ((0.0, 1.7), (0.9, 1.1)):
        x, y = at[0] + ux * off, at[1] + uy * off
        canvas.line(
            ((x - uy * half, y + ux * half), (x + uy * half, y - ux * half)), Style("thick"), layer, cover="hard"
        )


def zigzag(canvas: Canvas, x: float, lo: float, hi: float, layer: str = "break") -> None:
    """Draw a break line, upright."""
    mid = (lo + hi) / 2
    points = ((x, lo), (x, mid - 2.0), (x - 1.4, mid - 0.8), (x + 1.4, mid + 0.8), (x, mid + 2.0), (x, hi))
    canvas.line(points, Style("thin"), layer)
