"""The search for the place of a label: rings round the points it may stand at, directions on each ring.

The place that costs least is taken: near its point, over no words, over few pipes and lines, its leader line clear.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from stubout.sheets.metrics import Rect
from stubout.sheets.taken import XY, Patch, Taken

LEADER_COST, PIPE_COST = 14.0, 4.0  # of a leader line that crosses another, or a pipe [mm it would rather go]
FAR_MM = 18.0  # rather lie over a pipe than stand farther off than this
NEAR_MM, NEAR_COST = 1.0, 0.15  # a label that stands away from its point keeps off what it does not speak of

# Rings and directions a label tries round its point, nearest first [mm], [deg].
_RINGS = (1.6, 2.6, 4.0, 5.5, 7.5, 10.0, 13.0, 16.5, 20.5, 25.0, 30.0, 36.0, 43.0, 51.0, 60.0, 72.0, 86.0, 104.0)

Turn = tuple[int, float, float, float, float]  # direction [deg], cosine, sine, and how far the box hangs out to it


def _turn(deg: int) -> Turn:
    """Return a direction; the box touches the ring with the corner or side that faces its point."""
    c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return deg, c, s, max(-1.0, min(1.0, 1.6 * c)), max(-1.0, min(1.0, 1.6 * s))


_TURNS = tuple(_turn(deg) for deg in range(0, 360, 15))
_FINE = tuple(_turn(deg) for deg in range(0, 360, 4))  # in the last resort

Line = tuple[XY, XY]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a label may stand, and what that costs [mm]."""

    cost: float
    box: Rect
    end: XY | None  # of its leader line
    anchor: XY
    careful: bool  # its leader line crosses no words


@dataclass(slots=True)
class _Open:
    """A place on a ring where no words stand."""

    turn: int
    box: Rect
    patch: Patch
    firm: int  # cells of pipes it would cover
    crossed: bool | None = None  # whether its leader line crosses words, once asked


@dataclass(slots=True)
class Search:
    """A label that looks for its place.

    `leaders` and `pipes` are lines its own leader line should not cross. What was found to be free is kept: the search
    goes over the same rings again with less care.
    """

    taken: Taken
    leaders: Sequence[Line]
    pipes: Sequence[Line]
    spots: Sequence[XY]  # the points the label may stand at
    width: float  # of its box [mm]
    height: float
    area: Rect  # where it must stay
    reach: float  # how far it may move [mm]
    clear: float  # radius round the point that stays free [mm]
    boxed: bool
    over_pipes: bool
    optional: bool
    off_pipes: bool
    prefer_deg: float | None
    _known: dict[tuple[XY, float, bool], tuple[_Open, ...]] = field(default_factory=dict)

    def best(self) -> Place | None:
        """Return the best place; None if there is none."""
        best: Place | None = None
        # First without covering a pipe, then with; in the last resort in finer directions, and then the leader line
        # may cross words.
        tries = ((not self.over_pipes, True, False), (False, True, False), (False, True, True), (False, False, True))
        for strict, careful, fine in tries:
            if (fine and (self.optional or best is not None)) or (self.off_pipes and not strict):
                break
            for ring in _RINGS:
                if ring > self.reach or (best is not None and best.cost <= ring):
                    break
                for spot in self.spots:
                    best = self._on_ring(spot, ring, best, strict=strict, careful=careful, fine=fine)
            if best is not None and best.cost < FAR_MM:
                break
        return best

    def _on_ring(
        self, spot: XY, ring: float, best: Place | None, *, strict: bool, careful: bool, fine: bool
    ) -> Place | None:
        """Return the best place on a ring round a point, or the best so far if none is better."""
        key = (spot, ring, fine)
        if key not in self._known:
            self._known[key] = tuple(self._open(spot, ring, _FINE if fine else _TURNS))
        for one in self._known[key]:
            if one.firm and strict:
                continue
            cost = ring + (0.2 if self.over_pipes else 1.8) * one.firm
            if best is not None and cost >= best.cost:
                continue
            cost += (0.04 if self.boxed else 0.14) * self.taken.count(one.patch, "soft")
            if self.prefer_deg is not None:
                cost += abs((one.turn - self.prefer_deg + 180) % 360 - 180) / 60
            if best is not None and cost >= best.cost:
                continue
            if ring > 3.5 or self.boxed:
                best = self._led(spot, one, cost, best, careful=careful)
            else:
                best = Place(cost, one.box, None, spot, careful)
        return best

    def _led(self, spot: XY, one: _Open, cost: float, best: Place | None, *, careful: bool) -> Place | None:
        """Return a place away from its point, with its leader line, or the best so far if that is better."""
        box = one.box
        end = (max(box[0], min(spot[0], box[2])), max(box[1], min(spot[1], box[3])))
        go = math.hypot(end[0] - spot[0], end[1] - spot[1])
        if go <= 1e-6:
            return Place(cost + self._beside(box), box, end, spot, careful)
        if careful and one.crossed:
            return best
        skip = min(0.95, (self.clear + 0.8) / go)
        start = (spot[0] + (end[0] - spot[0]) * skip, spot[1] + (end[1] - spot[1]) * skip)
        stop = (end[0] - (end[0] - spot[0]) / go * 0.6, end[1] - (end[1] - spot[1]) / go * 0.6)
        walk = self.taken.clear_walk(start, stop) if careful else self.taken.walk(start, stop)
        if careful:
            one.crossed = walk is None
        if walk is None:
            return best
        # From here on each cost is looked for only while the place is still the cheapest.
        cost += self._beside(box)
        if best is not None and cost >= best.cost:
            return best
        cost += 1.5 * self.taken.met(walk, "hard") + 1.2 * self.taken.met(walk, "firm")
        if best is not None and cost >= best.cost:
            return best
        cost += self._tangled(start, stop)
        if best is not None and cost >= best.cost:
            return best
        return Place(cost, box, end, spot, careful)

    def _beside(self, box: Rect) -> float:
        """Return what it costs a label to stand close beside words it does not speak of."""
        return NEAR_COST * self.taken.count(self.taken.patch(_grown(box)), "hard")

    def _open(self, spot: XY, ring: float, turns: Sequence[Turn]) -> Iterator[_Open]:
        """Yield the places on a ring round a point where no words stand."""
        ax, ay = spot
        x_lo, y_lo, x_hi, y_hi = self.area
        far, half_w, half_h = ring + self.clear, self.width / 2, self.height / 2
        taken, hard_at = self.taken, self.taken.hard_at(self.area)
        for deg, c, s, out_x, out_y in turns:
            x, y = ax + c * far + half_w * out_x, ay + s * far + half_h * out_y
            box = (x - half_w, y - half_h, x + half_w, y + half_h)
            if box[0] < x_lo or box[1] < y_lo or box[2] > x_hi or box[3] > y_hi:
                continue
            patch = None if hard_at(x, y) else taken.free(box)
            if patch is not None:
                yield _Open(deg, box, patch, taken.count(patch, "firm"))

    def _tangled(self, a: XY, b: XY) -> float:
        """Return what a leader line costs for the leaders and pipes it would cross."""
        return LEADER_COST * _crossings(a, b, self.leaders) + PIPE_COST * _crossings(a, b, self.pipes)


def _grown(box: Rect) -> Rect:
    return box[0] - NEAR_MM, box[1] - NEAR_MM, box[2] + NEAR_MM, box[3] + NEAR_MM


def _crossings(a: XY, b: XY, lines: Sequence[Line]) -> int:
    """Return how many of some lines a segment crosses."""
    ax, ay = a
    dx, dy = b[0] - ax, b[1] - ay
    out = 0
    for c, d in lines:
        if (dx * (c[1] - ay) - dy * (c[0] - ax)) * (dx * (d[1] - ay) - dy * (d[0] - ax)) < 0:
            ex, ey = d[0] - c[0], d[1] - c[1]
            if (ex * (ay - c[1]) - ey * (ax - c[0])) * (ex * (b[1] - c[1]) - ey * (b[0] - c[0])) < 0:
                out += 1
    return out
