"""What the lying drains cost at least: pipe, trench, and what it takes to work where they lie."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stubout.geometry.distance import point_rect
from stubout.house.framing import Wall
from stubout.house.model import House
from stubout.layout.bound.facts import Served
from stubout.layout.bound.least import Least
from stubout.layout.bound.plan import BETWEEN_AXES, Points, least_pipe
from stubout.layout.weights import MOST_STEEPER, STEEPEST_USUAL

STEEPEST = MOST_STEEPER * STEEPEST_USUAL  # no lying drain is laid steeper
AXIS = 1e-3  # of a unit vector along one of eight directions


class Lying:
    """The lying drains of a house before they are drawn.

    The fixtures of the lowest storey drain in eight directions, each by its own way to the connection or to what
    joins it: there the path search knows no other (`route.py`). Above, a drain may go straight to a stack.
    """

    def __init__(self, house: House, fixtures: Sequence[Served], least: Least) -> None:
        self.house, self.fixtures, self.least = house, fixtures, least
        self.root = (house.sewer.at.x, house.sewer.at.y)
        self.square = all(_along_axis(s.wall) for s in fixtures if s.wall is not None)

    def pipe(self) -> float:
        """Return the pipe [min]: a shortest tree for all, one more for those that want a larger size at what it adds.

        A pipe falls at most at `STEEPEST`: the height it gains is counted as plumb pipe. That a drain may begin farther
        off in a cabinet is told where such a drop is priced (`Risers`).
        """
        total, below = 0.0, 0.0
        for size in sorted({s.need.arm_in for s in self.fixtures}):
            rate = self.least.pipe(size)
            those = [s for s in self.fixtures if s.need.arm_in >= size]
            low = [s for s in those if s.lowest] if self.square else []
            mm = max(self._tree(group, group is low) for group in ((low,) if len(low) == len(those) else (those, low)))
            total += max(rate - below, 0.0) * mm / 1000
            below = max(rate, below)
        return total * (1.0 - STEEPEST)

    def _tree(self, those: Sequence[Served], eight_ways: bool = False) -> float:
        return least_pipe(self.root, [(s.at, s.slack_mm) for s in those], eight_ways)

    def trench(self) -> float:
        """Return the trenches [min]: under a slab, and outside from the house to the connection."""
        slabs = {v.id for v in self.house.levels if v.kind == "slab"}
        under = self._below_floor(s for s in self.fixtures if s.need.fixture.level_id in slabs and s.lowest)
        mm = max(least_pipe(self.root, under, self.square), self.outside_mm)
        return mm / 1000 * self.least.of("trench", 0.0)

    def _below_floor(self, those: Iterable[Served]) -> Points:
        """Return where drains begin under the floor: a drop in a wall stands no farther off than its arm is long."""
        return [
            (s.at, s.slack_mm + s.cabinet_mm + (s.need.arm_max if s.wall is not None else 0.0))
            for s in those
            if s.wall is not None or s.need.fixture.floor_outlet
        ]

    def crawling(self) -> float:
        """Return what it adds to work in a crawl space [min], or to dig there.

        What drains into the lowest storey's floor lies in it, as far as it takes to bring the fixtures together and the
        farthest of them out of the house.
        """
        if not any(v.kind == "ground" for v in self.house.levels):
            return 0.0
        those = [s for s in self.fixtures if s.lowest and self.house.level(s.need.fixture.level_id).kind == "frame"]
        total, below = 0.0, 0.0
        for size in sorted({s.need.arm_in for s in those}):
            more = min(self.least.placed(size, "crawl"), self.least.of("trench", 0.0))
            mm = self._inside_mm(self._below_floor(s for s in those if s.need.arm_in >= size))
            total += max(more - below, 0.0) * mm / 1000
            below = max(more, below)
        return total * (1.0 - STEEPEST)

    def _inside_mm(self, points: Points) -> float:
        """Return how much pipe lies inside the house at least [mm]."""
        if not points:
            return 0.0
        (root, aside), *others = sorted(points, key=lambda p: (p[1], p[0]))
        together = least_pipe(root, others, self.square) - BETWEEN_AXES * aside
        lo, hi = self.house.footprint.lo, self.house.footprint.hi
        out = max(min(x - lo.x, hi.x - x, y - lo.y, hi.y - y) - slack for (x, y), slack in points)
        return max(together, out, 0.0)

    @property
    def outside_mm(self) -> float:
        """Return how far the connection is from the house, in plan [mm]."""
        return point_rect(*self.root, self.house.outline)


def _along_axis(wall: Wall) -> bool:
    """Return whether an arm in a wall lies along one of the eight directions."""
    x, y = abs(wall.along.x), abs(wall.along.y)
    return min(x, y, abs(x - y)) < AXIS
