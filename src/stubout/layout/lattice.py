"""The plan lines a search moves on, the eight directions, and the legs it may take from each point. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge, Layer, Leg

MOST_SKIPPED = 5
DIRECTIONS: tuple[XY, ...] = tuple((math.cos(k * math.pi / 4), math.sin(k * math.pi / 4)) for k in range(8))


def direction_index(dx: float, dy: float) -> int | None:
    """Return which of the eight directions a displacement has, None if it has none of them."""
    if abs(dx) < 0.3 and abs(dy) < 0.3:
        return None
    k = round(math.atan2(dy, dx) / (math.pi / 4)) % 8
    ux, uy = DIRECTIONS[k]
    return k if abs(dx * uy - dy * ux) < 0.6 else None


def turn_between(a: int, b: int) -> int:
    """Return the turn between two directions in steps of 45 degrees, 0 to 4."""
    d = abs(a - b) % 8
    return min(d, 8 - d)


def octile(a: XY, b: XY) -> float:
    """Return the shortest length between two points on axes and diagonals [mm]."""
    dx, dy = abs(a[0] - b[0]), abs(a[1] - b[1])
    return max(dx, dy) + 0.41421356 * min(dx, dy)


@dataclass(frozen=True, slots=True)
class Way:
    """One leg that may be gone from a lattice point."""

    to: XY
    direction: int
    run: float
    leg: Leg


class Lattice:
    """The plan lines on which a search may move, and where its diagonals land."""

    def __init__(self, xs: Iterable[float], ys: Iterable[float]) -> None:
        self.xs = _merged(xs)
        self.ys = _merged(ys)
        self.ix = {x: i for i, x in enumerate(self.xs)}
        self.iy = {y: i for i, y in enumerate(self.ys)}
        self._diagonals: dict[XY, tuple[XY, ...]] = {}
        self._ways: dict[tuple[str, float], dict[XY, tuple[Way, ...]]] = {}

    def snap(self, p: XY) -> XY:
        """Return the lattice point nearest to a plan position."""
        return min(self.xs, key=lambda x: abs(x - p[0])), min(self.ys, key=lambda y: abs(y - p[1]))

    def straight(self, p: XY) -> tuple[tuple[XY, ...], ...]:
        """Return the points along the four axis directions, nearest first, as far as a leg may have to jump."""
        i, j = self.ix[p[0]], self.iy[p[1]]
        return (
            tuple((x, p[1]) for x in self.xs[i + 1 : i + 1 + MOST_SKIPPED]),
            tuple((x, p[1]) for x in reversed(self.xs[max(0, i - MOST_SKIPPED) : i])),
            tuple((p[0], y) for y in self.ys[j + 1 : j + 1 + MOST_SKIPPED]),
            tuple((p[0], y) for y in reversed(self.ys[max(0, j - MOST_SKIPPED) : j])),
        )

    def diagonal(self, p: XY) -> tuple[XY, ...]:
        """Return the lattice points that lie exactly on a diagonal, the first of each of the four."""
        if p not in self._diagonals:
            found: list[XY] = []
            i, j = self.ix[p[0]], self.iy[p[1]]
            for sx in (1, -1):
                for sy in (1, -1):
                    a, b = i + sx, j + sy
                    while 0 <= a < len(self.xs) and 0 <= b < len(self.ys):
                        dx, dy = abs(self.xs[a] - p[0]), abs(self.ys[b] - p[1])
                        if abs(dx - dy) < 0.3:
                            found.append((self.xs[a], self.ys[b]))
                            break
                        if dx < dy:
                            a += sx
                        else:
                            b += sy
            self._diagonals[p] = tuple(found)
        return self._diagonals[p]

    def __deepcopy__(self, memo: dict[int, object]) -> Lattice:
        """Return itself: nothing of it changes but what it remembers."""
        return self

    def ways(self, space: Space, layer: Layer, g: Gauge) -> dict[XY, tuple[Way, ...]]:
        """Return the store of the legs from each point in a layer, filled as a search asks."""
        return self._ways.setdefault((layer.key, g.size_in), {})


def ways_from(space: Space, lattice: Lattice, layer: Layer, g: Gauge, p: XY) -> tuple[Way, ...]:
    """Return the legs a pipe may take from a lattice point in a layer: nearest diagonals and axes."""
    out: list[Way] = []
    for n in lattice.diagonal(p):
        _add_way(out, space, layer, g, p, n)
    for axis in lattice.straight(p):
        for n in axis:  # a lattice line may fall on a joist or a stud: jump to the next one where the pipe may be
            if _add_way(out, space, layer, g, p, n):
                break
    return tuple(out)


def _add_way(out: list[Way], space: Space, layer: Layer, g: Gauge, p: XY, n: XY) -> bool:
    leg = space.leg(layer, p, n, g)
    if leg is None:
        return False
    dx, dy = n[0] - p[0], n[1] - p[1]
    k = direction_index(dx, dy)
    if k is not None:
        out.append(Way(n, k, math.hypot(dx, dy), leg))
    return True


def _merged(values: Iterable[float]) -> list[float]:
    out: list[float] = []
    for v in sorted(values):
        if not out or v - out[-1] > 2.0:
            out.append(v)
    return out
