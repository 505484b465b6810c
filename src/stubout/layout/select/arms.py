"""The arms of all fixtures on walls as one choice: candidates with their prices, what is in whose way, what is shared.

Seen on a desk on which nothing but drawn routes lies, so that no fixture takes a place only because it came first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from stubout.catalog.costs import Costs
from stubout.house.model import HouseFixture
from stubout.layout.arms import ARMS_APART_MM, ArmCandidate, arm_candidates
from stubout.layout.drain_zone import VENT_WEIGHT, DrainZone
from stubout.layout.needs import SHARERS, Need
from stubout.layout.select.model import Choice
from stubout.layout.wall_fixtures import WALL_FIXTURES, drop_problem, drop_xy, vent_problem
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import Work, spot_key

MOST_CANDIDATES = 8  # of one fixture, the cheapest
HUNDREDTH = 100  # whole numbers are hundredths of a minute
DRAIN_WEIGHT = 0.5  # the way on to the connection is shared with others, as a vent's way out is
PIPES_APART_MM = 6.0  # between two hubs (`Work.taken`)


@dataclass(frozen=True, slots=True)
class Arm:
    """One candidate with its price."""

    need: Need
    cand: ArmCandidate
    price: int
    out: float  # its vent's way out [min]

    @property
    def low(self) -> float:
        """Return the lower end of its run along the wall [mm]."""
        return min(self.cand.stub_station, self.cand.spot.station)

    @property
    def high(self) -> float:
        """Return the upper end [mm]."""
        return max(self.cand.stub_station, self.cand.spot.station)


@dataclass(frozen=True, slots=True)
class ArmChoice:
    """The choice with the arms it is between, by fixture."""

    choice: Choice
    arms: tuple[tuple[Arm, ...], ...]

    @property
    def tags(self) -> tuple[str, ...]:
        """Return the fixtures, in the order of the choice's groups."""
        return tuple(group[0].need.fixture.tag for group in self.arms)

    def place(self, group: int, candidate: int) -> str:
        """Return the place of a candidate's vent fitting, as a ban names it."""
        return spot_key(self.arms[group][candidate].cand.spot)

    def places(self, picks: tuple[int, ...]) -> dict[str, str]:
        """Return the place of each fixture's vent fitting."""
        return {tag: self.place(g, k) for (g, tag), k in zip(enumerate(self.tags), picks, strict=True)}


def arm_choice(work: Work, trap_reach: dict[float, float], costs: Costs) -> ArmChoice | None:
    """Return the arms of all fixtures on walls as one choice, None if there are none.

    Args:
        work: An empty desk; floor zones are opened on it.
        trap_reach: How far a trap reaches, by size [mm].
        costs: The rows of the data with those of the job.
    """
    groups = []
    for level in reversed(work.space.levels):
        zone = DrainZone(work, level, trap_reach)
        on_walls = [f for f in work.of_level(level) if _on_wall(work, f)]
        groups += [arms for f in on_walls if (arms := _arms(zone, work.needs[f.tag], costs))]
    if not groups:
        return None
    conflicts, savings = [], []
    for (g, one), (h, other) in combinations(enumerate(groups), 2):
        for i, a in enumerate(one):
            for j, b in enumerate(other):
                if a.cand.spot.wall.id != b.cand.spot.wall.id:
                    continue
                if _shared(a, b):
                    savings.append(((g, i), (h, j), round(min(a.out, b.out) * HUNDREDTH)))
                elif _clash(work, a, b):
                    conflicts.append(((g, i), (h, j)))
    prices = tuple(tuple(a.price for a in arms) for arms in groups)
    return ArmChoice(Choice(prices, frozenset(conflicts), tuple(savings)), tuple(groups))


def _on_wall(work: Work, f: HouseFixture) -> bool:
    return f.kind in WALL_FIXTURES and bool(f.wall_id) and not f.in_island and f.tag not in work.traps


def _arms(zone: DrainZone, need: Need, costs: Costs) -> tuple[Arm, ...]:
    """Return the candidates of a fixture that have a drop and a way out for the vent, cheapest first."""
    work = zone.work
    f = need.fixture
    out = []
    for cand in arm_candidates(work, need, zone.trap_reach.get(need.arm_in, 100.0))[0]:
        if drop_problem(zone, f, cand, need.branch_in) or vent_problem(zone, cand, need):
            continue
        way = zone.outlook.cost(cand.spot, cand.z_takeoff, need.vent_in)
        if way is None:
            continue
        vent = way / 1000 * VENT_WEIGHT * costs.pipe(need.vent_in).minutes
        price = _price(cand, need, costs) + vent + _drain(zone, f, cand, need, costs)
        out.append(Arm(need, cand, round(price * HUNDREDTH), vent))
    out.sort(key=lambda a: (a.price, a.cand.spot.wall.id, a.cand.spot.station))
    return tuple(out[:MOST_CANDIDATES])


def _price(cand: ArmCandidate, need: Need, costs: Costs) -> float:
    """Return what an arm costs: pipe, bores and bends by the data, what else the engine holds against it as pipe."""
    size = need.arm_in
    bends = cand.turn_deg / 90.0
    plain = cand.length + cand.bores * WEIGHTS.bore + bends * WEIGHTS.turn_90
    metre = costs.pipe(size).minutes
    bend = costs.price("fitting bend", size).minutes + 2 * costs.price("joint", size).minutes
    real = cand.length / 1000 * metre + cand.bores * costs.price("bore stud", size).minutes + bends * bend
    return real + max(cand.cost - plain, 0.0) / 1000 * metre


def _drain(zone: DrainZone, f: HouseFixture, cand: ArmCandidate, need: Need, costs: Costs) -> float:
    """Return what the way on to the connection may cost."""
    sewer = zone.work.house.sewer.at
    far = math.dist(drop_xy(zone, f, cand), (sewer.x, sewer.y))
    return far / 1000 * DRAIN_WEIGHT * costs.pipe(need.branch_in).minutes


def _shared(a: Arm, b: Arm) -> bool:
    """Return whether two arms would go into one vent fitting."""
    kinds = {a.need.fixture.kind, b.need.fixture.kind}
    same = abs(a.cand.spot.station - b.cand.spot.station) <= 1.0
    return same and kinds <= SHARERS and a.need.fixture.level_id == b.need.fixture.level_id


def _clash(work: Work, a: Arm, b: Arm) -> bool:
    """Return whether two arms cannot both be: their drops too near, or one run through the other's drop or run."""
    hubs = (work.gauge(a.need.branch_in).hub_mm + work.gauge(b.need.branch_in).hub_mm) / 2 + PIPES_APART_MM
    if abs(a.cand.spot.station - b.cand.spot.station) < hubs:
        return True
    for one, other in ((a, b), (b, a)):
        room = work.gauge(one.need.arm_in).r + work.gauge(other.need.branch_in).hub_r
        if one.low - room < other.cand.spot.station < one.high + room:
            return True
    apart = work.gauge(a.need.arm_in).r + work.gauge(b.need.arm_in).r + ARMS_APART_MM
    level = abs(a.cand.z_takeoff - b.cand.z_takeoff) < apart
    return level and a.low < b.high and b.low < a.high
