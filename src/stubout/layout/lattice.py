"""The plan lines a search moves on, the eight directions, and the legs it may take from each point. Lengths [mm]."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence

from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge, Layer, Leg
from stubout.layout.weights import WEIGHTS

MOST_SKIPPED = 5
MERGE_MM = 2.0  # lines no farther apart are one line
ON_DIAGONAL_MM = 0.3  # so near a diagonal a point lies on it
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


# One leg that may be gone from a lattice point: where it leads and the number of that point, its direction, its length,
# what the studs or joists weigh that it passes, and the heights it leaves.
Way = tuple[XY, int, int, float, float, Leg]


Short = Mapping[float, tuple[float, float]]  # a line, and from where to where it goes
EVERYWHERE = (-math.inf, math.inf)


class Lattice:
    """The plan lines on which a search may move, and where its diagonals land.

    Args:
        xs: Lines x = constant.
        ys: Lines y = constant.
        short_xs: More of them that only go from one y to another: lines that matter in one corner of a house.
        short_ys: The same the other way.
    """

    def __init__(
        self, xs: Iterable[float], ys: Iterable[float], short_xs: Short | None = None, short_ys: Short | None = None
    ) -> None:
        self.xs, self._x_reach = _with_short(_merged(xs), short_xs or {})
        self.ys, self._y_reach = _with_short(_merged(ys), short_ys or {})
        self.ix = {x: i for i, x in enumerate(self.xs)}
        self.iy = {y: i for i, y in enumerate(self.ys)}
        self.size = len(self.xs) * len(self.ys)  # points are numbered 0 up to here
        # lines by whole millimetre: a line has at most two, and none shares one with another
        self._x_by_mm, self._y_by_mm = _by_mm(self.xs), _by_mm(self.ys)
        self._rows: dict[float, list[float]] = {}
        self._columns: dict[float, list[float]] = {}
        self._ways: dict[tuple[str, float], dict[int, tuple[Way, ...]]] = {}
        self._diagonals: dict[XY, list[tuple[int, XY]]] = {}  # as asked: the layers of a zone have them in common

    def snap(self, p: XY) -> XY:
        """Return the lattice point nearest to a plan position."""
        return _nearest(self.xs, p[0]), _nearest(self.ys, p[1])

    def number(self, p: XY) -> int:
        """Return the number of a lattice point."""
        return self.ix[p[0]] * len(self.ys) + self.iy[p[1]]

    def holds(self, x: float, y: float) -> bool:
        """Return whether both lines through a point go so far."""
        lo, hi = self._x_reach.get(x, EVERYWHERE)
        low, high = self._y_reach.get(y, EVERYWHERE)
        return lo <= y <= hi and low <= x <= high

    def lines_through(self, p: XY) -> tuple[Sequence[float], int, Sequence[float], int]:
        """Return the lines that cross the two lines through a point, each row of them with the place of the point."""
        if self._x_reach or self._y_reach:
            xs, ys = self._row(p[1]), self._column(p[0])
            return xs, bisect_left(xs, p[0]), ys, bisect_left(ys, p[1])
        return self.xs, self.ix[p[0]], self.ys, self.iy[p[1]]

    def _row(self, y: float) -> list[float]:
        """Return the lines x = constant that cross a line y = constant."""
        if y not in self._rows:
            self._rows[y] = _crossing(self.xs, y, self._x_reach, self._y_reach.get(y, EVERYWHERE))
        return self._rows[y]

    def _column(self, x: float) -> list[float]:
        """Return the lines y = constant that cross a line x = constant."""
        if x not in self._columns:
            self._columns[x] = _crossing(self.ys, x, self._y_reach, self._x_reach.get(x, EVERYWHERE))
        return self._columns[x]

    def diagonal(self, p: XY) -> list[tuple[int, XY]]:
        """Return the lattice points that lie exactly on a diagonal, the first of each of the four directions."""
        if p not in self._diagonals:
            self._diagonals[p] = self._diagonal(p)
        return self._diagonals[p]

    def _diagonal(self, p: XY) -> list[tuple[int, XY]]:
        x, y = p
        i, j = self.ix[x], self.iy[y]
        if len(self.ys) < len(self.xs):  # by the fewer lines
            ne, nw = self._on_diagonals(y, x, self.ys[j + 1 :], flipped=True)
            se, sw = self._on_diagonals(y, x, self.ys[:j][::-1], flipped=True)
        else:
            ne, se = self._on_diagonals(x, y, self.xs[i + 1 :], flipped=False)
            nw, sw = self._on_diagonals(x, y, self.xs[:i][::-1], flipped=False)
        return [(k, v) for k, v in ((1, ne), (7, se), (3, nw), (5, sw)) if v is not None]

    def _on_diagonals(
        self, at: float, aside: float, lines: Sequence[float], *, flipped: bool
    ) -> tuple[XY | None, XY | None]:
        """Return the first points on both diagonals that cross some lines, those that go up across them first.

        Args:
            at: Where the point lies on the axis the lines follow each other on, x or (flipped) y.
            aside: Where it lies on the other axis.
            lines: The lines on one side of it, the nearest first.
            flipped: Whether the lines are y = constant.
        """
        others = self.xs if flipped else self.ys
        find, floor = (self._x_by_mm if flipped else self._y_by_mm).get, math.floor
        room_up, room_down = others[-1] - aside + ON_DIAGONAL_MM, aside - others[0] + ON_DIAGONAL_MM
        up: XY | None = None
        down: XY | None = None
        whole = not (self._x_reach or self._y_reach)
        for v in lines:
            away = v - at if v > at else at - v
            if up is None and away <= room_up:
                o = find(floor(aside + away))
                if o is not None and abs(away - abs(o - aside)) < ON_DIAGONAL_MM:
                    p = (o, v) if flipped else (v, o)
                    up = p if whole or self.holds(*p) else None
            if down is None and away <= room_down:
                o = find(floor(aside - away))
                if o is not None and abs(away - abs(o - aside)) < ON_DIAGONAL_MM:
                    p = (o, v) if flipped else (v, o)
                    down = p if whole or self.holds(*p) else None
            if (up is not None or away > room_up) and (down is not None or away > room_down):
                break
        return up, down

    def __deepcopy__(self, memo: dict[int, object]) -> Lattice:
        """Return itself: nothing of it changes but what it remembers."""
        return self

    def ways(self, layer: Layer, g: Gauge) -> dict[int, tuple[Way, ...]]:
        """Return the store of the legs from each numbered point in a layer, filled as a search asks."""
        return self._ways.setdefault((layer.key, g.size_in), {})


def ways_from(space: Space, lattice: Lattice, layer: Layer, g: Gauge, p: XY) -> tuple[Way, ...]:
    """Return the legs a pipe may take from a lattice point in a layer: nearest diagonals and axes."""
    x, y = p
    ix, iy, row, ask = lattice.ix, lattice.iy, len(lattice.ys), space.legs(layer, g)
    out: list[Way] = []
    for k, n in lattice.diagonal(p):
        if (leg := ask(p, n)) is not None:
            run = math.hypot(n[0] - x, n[1] - y)
            out.append((n, ix[n[0]] * row + iy[n[1]], k, run, leg.bores * WEIGHTS.bore, leg))
    # A lattice line may fall on a joist or a stud: jump to the next one where the pipe may be.
    xs, i, ys, j = lattice.lines_through(p)
    here = iy[y]
    for k, places in ((0, range(i + 1, min(len(xs), i + 1 + MOST_SKIPPED))), (4, _before(i))):
        for m in places:
            n = (xs[m], y)
            if (leg := ask(p, n)) is not None:
                out.append((n, ix[n[0]] * row + here, k, abs(n[0] - x), leg.bores * WEIGHTS.bore, leg))
                break
    here = ix[x] * row
    for k, places in ((2, range(j + 1, min(len(ys), j + 1 + MOST_SKIPPED))), (6, _before(j))):
        for m in places:
            n = (x, ys[m])
            if (leg := ask(p, n)) is not None:
                out.append((n, here + iy[n[1]], k, abs(n[1] - y), leg.bores * WEIGHTS.bore, leg))
                break
    return tuple(out)


def _before(place: int) -> range:
    """Return the places before one in a row, nearest first, as far as a leg may have to jump."""
    return range(place - 1, max(0, place - MOST_SKIPPED) - 1, -1)


def _nearest(values: Sequence[float], v: float) -> float:
    """Return the value nearest to another in a rising row, the lower of two that are equally near."""
    i = bisect_left(values, v)
    if i == len(values) or (i and v - values[i - 1] <= values[i] - v):
        return values[i - 1]
    return values[i]


def _by_mm(lines: Iterable[float]) -> dict[int, float]:
    return {math.floor(v + d): v for v in lines for d in (-ON_DIAGONAL_MM - 0.01, ON_DIAGONAL_MM + 0.01)}


def _merged(values: Iterable[float]) -> list[float]:
    out: list[float] = []
    for v in sorted(values):
        if not out or v - out[-1] > MERGE_MM:
            out.append(v)
    return out


def _crossing(lines: Sequence[float], at: float, reach: Short, along: tuple[float, float]) -> list[float]:
    """Return which of some lines cross another that goes from a place along them to a second one."""
    lo, hi = along
    near = lines[bisect_left(lines, lo) : bisect_right(lines, hi)]
    return [v for v in near if (r := reach.get(v)) is None or r[0] <= at <= r[1]]


def _with_short(lines: list[float], short: Short) -> tuple[list[float], Short]:
    """Return lines with short ones among them, and how far each of those goes."""
    reach: dict[float, tuple[float, float]] = {}
    last = -math.inf
    for v in sorted(short):
        i = bisect_left(lines, v)
        if v - last > MERGE_MM and all(abs(v - line) > MERGE_MM for line in lines[max(i - 1, 0) : i + 1]):
            reach[v] = short[v]
            last = v
    return sorted((*lines, *reach)), reach
