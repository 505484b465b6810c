"""What the vents cost at least beyond where they may turn: together, up, and out through the roof."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import combinations

from stubout.house.model import House
from stubout.layout.bound.facts import Served
from stubout.layout.bound.least import Least
from stubout.layout.bound.risers import Risers
from stubout.layout.roof import ASSUMED_ABOVE_MM, LEANS_MM
from stubout.layout.weights import LEAST_HELD_MM
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook

VENT_ASIDE_MM = 200.0  # of a vent that leans back from a box into its wall, or over to another lane of it
CLEAR_BELOW_MM = 700.0  # from where vents may turn to a floor over them: room for headers, and a piece that is clamped
UNDER_HEADER_MM = 250.0  # a vent from the storey below enters a header of this one no deeper below its usual height


class Vents:
    """The vents of a house, as far as every layout has them: those of fixtures that may not have a valve."""

    def __init__(self, house: House, book: RuleBook, risers: Risers, largest_in: float, least: Least) -> None:
        self.house, self.book, self.risers, self.least = house, book, risers, least
        self.largest_in = largest_in
        self.all = tuple(s for s in risers.all if s.vent is not None and not s.valve)

    def branches(self) -> float:
        """Return what joins them [min]: every one but one ends in a branch, or goes out through the roof by itself."""
        return max(self.risers.joins() - max(map(self.risers.join, self.risers.all), default=0.0), 0.0)

    def _out(self) -> float:
        return self.least.of("roof penetration", min(s.need.vent_in for s in self.all))

    def apart(self) -> tuple[float, float]:
        """Return bend and pipe [min] between the two vents that stand farthest apart, less than a hole in the roof.

        Vents in two places either come together, for which one of them turns and runs level as far as they are apart,
        or each has a terminal. What joins them is counted elsewhere.
        """
        pairs = [(a, b) for a, b in combinations(self.all, 2) if self.risers.apart(a, b)]
        if not pairs:
            return 0.0, 0.0
        size = min(s.need.vent_in for s in self.all)
        most = max(self._out() - max(map(self.risers.join, self.all)), 0.0)
        bend = min(self.least.bend(size), most)
        far = max(_between(a, b) for a, b in pairs)
        return bend, min(far / 1000 * self.least.pipe(size), most - bend)

    def upward(self) -> float:
        """Return the pipe from where the vents of a storey may turn up to those of the next, or the open air [min].

        A storey's vents join no vent of a higher one below where that one may turn.
        """
        total = 0.0
        for z, size, end in self.stretches():
            total += max(end - z, 0.0) / 1000 * self.least.pipe(size)
        return total

    def stretches(self) -> list[tuple[float, float, float]]:
        """Return by storey where its vents have turned, the least size of one, and how far up one goes at least.

        One of the highest is the one open vent that the book asks of the building drain.
        """
        storeys: dict[int, list[Served]] = defaultdict(list)
        for s in self.all:
            storeys[self.house.level(s.need.fixture.level_id).order].append(s)
        out, end, least_in = [], self.roof_z(), self._open_in()
        for order in sorted(storeys, reverse=True):
            ties = [s.vent[1] for s in storeys[order] if s.vent is not None]
            size = max(min(s.need.vent_in for s in storeys[order]), least_in)
            out.append((max(ties), size, end))
            end, least_in = min(end, min(ties) - UNDER_HEADER_MM), 0.0
        return out

    def _open_in(self) -> float:
        """Return the least size of the one vent to the open air that every layout has, 0 where none is asked [in].

        `main_riser.main_vent_out` blocks a layout without it, and `sizing.openair` makes it so large.
        """
        try:
            cell = ask.building_vent_least(self.book, self.largest_in)
        except NotInBook:
            return 0.0
        return 0.0 if cell is None else cell.number

    def roof_z(self) -> float:
        """Return how high a terminal ends at least [mm]: over the lowest place of the roof by what the book asks."""
        lo, hi, lean = self.house.footprint.lo, self.house.footprint.hi, max(LEANS_MM)
        z = math.inf
        for r in self.house.roof:
            xs = [min(max(x, r.x0_mm), r.x1_mm) for x in (lo.x - lean, hi.x + lean)]
            ys = [min(max(y, r.y0_mm), r.y1_mm) for y in (lo.y - lean, hi.y + lean)]
            z = min(z, *(r.z_at(x, y) for x in xs for y in ys))
        return z + self._above() if math.isfinite(z) else -math.inf

    def _above(self) -> float:
        try:
            return ask.terminal_above_roof(self.book, self.house.climate.frost_prone_vents).number
        except NotInBook:
            return ASSUMED_ABOVE_MM

    def floor_clamps(self) -> float:
        """Return the clamps [min]: one at every floor that a storey's vents pass on their way up.

        Below it nothing joins them but near where they may turn, above it nothing but where the next storey's may.
        """
        floors = [v.subfloor_z_mm for v in self.house.levels if v.kind == "frame"]
        passed = [
            z for low, _, end in self.stretches() for z in floors if low + CLEAR_BELOW_MM < z < end - LEAST_HELD_MM
        ]
        return len(passed) * self.least.of("riser clamp", 0.0)

    def top_plates(self) -> float:
        """Return the top plates [min]: one vent of every storey that has vents leaves it through its wall."""
        sizes = [size for _, size, _ in self.stretches()]
        return sum(self.least.of("bore plate", size) for size in sizes)

    def terminal(self) -> float:
        """Return one hole in the roof [min], as large as the vent and as the book wants it against frost."""
        stretches = self.stretches()
        size = stretches[0][1] if stretches else self._open_in()
        return self.least.of("roof penetration", max(self._frost_in(), size)) if size else 0.0

    def _frost_in(self) -> float:
        if not self.house.climate.frost_prone_vents:
            return 0.0
        try:
            return ask.terminal_frost_size(self.book).number
        except NotInBook:
            return 0.0

    def reducer(self) -> float:
        """Return what a vent that grows against frost costs [min]: a reducer, or it is large all the way.

        A vent that leaves its drain in that size is so large from where it may turn up to the roof, at the least.
        """
        frost, stretches = self._frost_in(), self.stretches()
        if not stretches or frost <= max(stretches[0][1], *(s.need.vent_in for s in self.all)):
            return 0.0
        z, size, end = stretches[0]
        whole = (self.least.pipe(frost) - self.least.pipe(size)) * max(end - z, 0.0) / 1000
        return max(min(self.least.of("fitting straight", frost) + self.least.of("joint", frost), whole), 0.0)


def _between(a: Served, b: Served) -> float:
    """Return how far the vents of two fixtures are apart in plan at least [mm]."""
    return max(
        math.dist(a.at, b.at) - sum(s.slack_mm + s.cabinet_mm + s.need.arm_max + VENT_ASIDE_MM for s in (a, b)), 0.0
    )
