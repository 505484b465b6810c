"""What the fixtures on walls cost at least where they rise: vent fitting, drop and vent of each, in the wall.

Every one has a vent fitting of its own that nothing else drains into - two share one where the engine lets their arms
into it - with the drop below and the vent above (`wall_fixtures.py`, `common_vent.py`, `cabinets.py`). Stacks that come
from the storeys above and the vents of those below stand elsewhere: they are no part of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import combinations

from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.bound.facts import Served, may_share
from stubout.layout.bound.least import Least
from stubout.layout.bound.plan import BETWEEN_AXES
from stubout.layout.bound.sharing import most_spared
from stubout.layout.weights import LEAST_HELD_MM

Price = Callable[[Served], float]
Both = Callable[[Served, Served], float]


def join(s: Served, least: Least, run_in: float = 0.0) -> float:
    """Return what it costs at least to bring a fixture's drain to another, or to one of a size [min].

    The lowest storey drains into lying pipe; those above also into stacks, by tees.
    """
    both = least.branch(s.need.arm_in, run_in=run_in), least.lying_branch(s.need.arm_in, run_in)
    return both[1] if s.lowest else min(both)


def joins(fixtures: Sequence[Served], least: Least) -> float:
    """Return what it costs at least to bring all drains together [min]: every one but one ends in a branch.

    Where some want a larger size than others, what is smaller comes to what is larger in one place at least, and the
    fitting there has a run so large.
    """
    sizes = {s.need.arm_in for s in fixtures}
    smaller = [s for s in fixtures if s.need.arm_in < max(sizes)]
    mixed = min((join(s, least, max(sizes)) - join(s, least) for s in smaller), default=0.0)
    return sum(sorted(join(s, least) for s in fixtures)[:-1]) + max(mixed, 0.0)


class Risers:
    """The fixtures on walls, and which of them may share."""

    def __init__(self, house: House, fixtures: Sequence[Served], least: Least, common: bool) -> None:
        self.all = tuple(s for s in fixtures if s.drop is not None)
        self.least = least
        self.solid_z_mm = [v.subfloor_z_mm for v in house.levels if v.kind != "frame"]
        pairs = combinations(range(len(self.all)), 2) if common else ()
        self.pairs = tuple((a, b) for a, b in pairs if may_share(self.all[a], self.all[b]))
        self._parts = {s.tag: self._split(s) for s in self.all}

    def apart(self, a: Served, b: Served) -> bool:
        """Return whether two of them have each a vent of its own in every layout."""
        return tuple(sorted((self.all.index(a), self.all.index(b)))) not in self.pairs

    def together(self, price: Price, spared: Both) -> float:
        """Return what all cost at least: each its price, less the most that pairs can spare [min]."""
        most = most_spared({(a, b): spared(self.all[a], self.all[b]) for a, b in self.pairs})
        return sum(map(price, self.all)) - most

    def _dearer_spared(self, price: Price) -> float:
        """Return what all cost at least where of two that share either may be the one that is left."""
        return self.together(price, lambda a, b: max(price(a), price(b)))

    def pipe(self) -> float:
        """Return the pipe [min]: the drop from the lowest place of the fitting, the vent from its highest.

        Between the two stands one or the other.
        """
        return self._dearer_spared(lambda s: self._parts[s.tag][0])

    def joins(self) -> float:
        """Return what brings the vents together [min], each to another, or out through the roof by itself."""
        return self._dearer_spared(self.join)

    def join(self, s: Served) -> float:
        """Return what that costs for one at least [min]."""
        return self._parts[s.tag][1]

    def plates(self) -> float:
        """Return the bottom plates [min]: every drop in a wall goes through that of its storey."""
        return self._dearer_spared(lambda s: self._parts[s.tag][2])

    def clamps(self) -> float:
        """Return the clamps [min]: one a vent whose straight piece up to where it may turn is long enough."""
        return self._dearer_spared(lambda s: self._parts[s.tag][3])

    def drop_clamps(self) -> float:
        """Return the clamps [min]: one a drop that is long enough, of what stands in no ground.

        Nothing joins it but a cleanout in a tee, which costs no less.
        """
        return self._dearer_spared(self.drop_clamp)

    def drop_clamp(self, s: Served) -> float:
        """Return what that costs for one at least [min]."""
        assert s.drop is not None
        top = s.drop[1] if s.cabinet_low_z_mm is None else min(s.drop[1], s.cabinet_low_z_mm)
        solid = max((z for z in self.solid_z_mm if z < top), default=-math.inf)
        if top - max(s.drop[0], solid) < LEAST_HELD_MM:
            return 0.0
        in_tee = self.least.tee(s.need.arm_in) - self.least.of("joint", s.need.arm_in)
        return min(self.least.of("riser clamp", 0.0), in_tee)

    def _split(self, s: Served) -> tuple[float, ...]:
        """Return pipe, join of the vent, plate and clamp of a fixture in its wall [min].

        No more together than where it does not come down in the wall, nor each more than what then is left of that.
        """
        least, left, out = self.least, self._elsewhere(s), []
        held = s.vent is not None and s.vent[1] - s.vent[0] >= LEAST_HELD_MM
        plate, clamp = least.of("bore plate", s.need.arm_in), least.of("riser clamp", 0.0) if held else 0.0
        for price in (self._in_wall(s), self._vent_join(s), plate, clamp):
            out.append(min(price, left))
            left -= out[-1]
        return tuple(out)

    def _elsewhere(self, s: Served) -> float:
        """Return what pipe, join of the vent and its bends cost at least where no drop is in the wall [min].

        In a box before the wall (`arms._in_front`) the vent leans back into it by two bends; in a cabinet it is a loop,
        which turns down again by two and goes up in a wall from under the floor, or it has a valve; its drain may be so
        much shorter as it begins farther off. A standpipe stands in its wall.
        """
        if s.need.fixture.kind is FixtureKind.CLOTHES_WASHER:
            return math.inf
        bends = 2 * self.least.bend(s.need.vent_in) + self._vent_join(s) if s.vent is not None else 0.0
        ways = [self._in_wall(s) + bends]
        if s.cabinet_low_z_mm is not None and s.drop is not None:
            drop = max(s.cabinet_low_z_mm - s.drop[0], 0.0) / 1000 * self.least.pipe(s.need.arm_in)
            drop -= s.cabinet_mm * BETWEEN_AXES / 1000 * self.least.pipe(s.need.arm_in)
            up = (s.vent[1] - s.drop[0]) / 1000 * self.least.pipe(s.need.vent_in) if s.vent is not None else 0.0
            ways += [drop + up + bends, drop + self.least.of("valve", s.need.vent_in) if s.valve else math.inf]
        return max(min(ways), 0.0)

    def _in_wall(self, s: Served) -> float:
        assert s.drop is not None
        drain, vent = self.least.pipe(s.need.arm_in), self.least.pipe(s.need.vent_in)
        total = (s.drop[1] - s.drop[0]) * drain
        if s.vent is not None:
            total += (s.vent[0] - s.drop[1]) * min(drain, vent) + (s.vent[1] - s.vent[0]) * vent
        return total / 1000

    def _vent_join(self, s: Served) -> float:
        if s.vent is None:
            return 0.0
        return min(self.least.vent_branch(s.need.vent_in), self.least.of("roof penetration", s.need.vent_in))

    def take_offs(self) -> float:
        """Return the vent fittings [min]: a branch for the arm, and for that of a second fixture one more.

        Two that share are brought together by it: the branch that does so elsewhere is spared.
        """

        def spared(a: Served, b: Served) -> float:
            more = min(self._second(a), self._second(b))
            elsewhere = max(join(a, self.least), join(b, self.least))
            return min(self._take_off(a), self._take_off(b)) - more + elsewhere

        return self.together(self._take_off, lambda a, b: max(spared(a, b), 0.0))

    def _take_off(self, s: Served) -> float:
        return self.least.tee(s.need.arm_in)

    def _second(self, s: Served) -> float:
        return self.least.of("extra branch", s.need.arm_in) + self.least.of("joint", s.need.arm_in)
