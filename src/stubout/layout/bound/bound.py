"""A cost no layout made of the engine's candidates can stay below, before anything is drawn.

A relaxation, part by part, priced with the same rows as the cost itself (`catalog.costs`): what is counted in two parts
is never the same thing. Left out is what a layout may do without: bends, supports, bores, plates, cleanouts, second
terminals, and where in the plan vents run.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from stubout.catalog.costs import Costs
from stubout.catalog.model import MM_PER_INCH
from stubout.house.model import House
from stubout.layout.bound.facts import Served, alone, served
from stubout.layout.bound.least import Least
from stubout.layout.bound.plan import least_pipe
from stubout.layout.model import StubMark
from stubout.layout.needs import Demands
from stubout.layout.outlook import tie_above_rim
from stubout.layout.space_shapes import XY
from stubout.layout.weights import LEAST_HELD_MM, MOST_STEEPER, STEEPEST_USUAL
from stubout.problems import NotInBook
from stubout.rulebooks.model import RuleBook

STEEPEST = MOST_STEEPER * STEEPEST_USUAL  # no lying drain is laid steeper
INVERT_TO_CENTRE = 0.6  # of the nominal size, rather more than half the bore
TRAP_ADAPTER_MOST_IN = 2.0  # a wall stub-out ends in a trap adapter, 2 in at most


@dataclass(frozen=True, slots=True)
class BoundPart:
    """What one kind of thing costs at least [min], and why."""

    kind: str  # as in the cost: "pipe", "trench", ...
    minutes: float
    words: str


@dataclass(frozen=True, slots=True)
class Bound:
    """What every layout costs at least, by kind [min]."""

    parts: tuple[BoundPart, ...]

    @property
    def minutes(self) -> float:
        """Return the whole bound [min]."""
        return sum(p.minutes for p in self.parts)


def lower_bound(
    house: House, book: RuleBook, framing: RuleBook, marks: tuple[StubMark, ...], costs: Costs
) -> Bound | None:
    """Return what every layout of a house made of the engine's candidates costs at least.

    None where the book leaves away a figure the engine could not do without: then there are no such layouts.

    Args:
        house: The house.
        book: Rule book, amendments laid over it.
        framing: Rule book for cuts in the frame.
        marks: The bands of the stub-outs.
        costs: The rows of the data with those of the job.
    """
    least = Least(costs)
    try:
        fixtures = served(house, Demands(house, book, framing, {}), marks, tie_above_rim(book))
    except NotInBook:
        return None
    if not fixtures:
        return None
    singles = alone(fixtures)
    root = (house.sewer.at.x, house.sewer.at.y)
    parts = (
        _lying(fixtures, root, least),
        _plumb(house, fixtures, singles, least),
        _trench(house, fixtures, root, least),
        _ends(fixtures, least),
        _branches(house, fixtures, singles, least),
        _clamps(fixtures, singles, least),
        _roof(singles, least),
    )
    return Bound(tuple(BoundPart(p.kind, round(p.minutes, 3), p.words) for p in parts if p.minutes > 0.0))


def _lying(fixtures: Sequence[Served], root: XY, least: Least) -> BoundPart:
    """Lying drains: a shortest tree for all, and one more for those that want a larger size, at what it costs more."""
    total, below = 0.0, 0.0
    for size in sorted({s.need.arm_in for s in fixtures}):
        rate = least.pipe(size)
        points = [(s.at, s.slack_mm) for s in fixtures if s.need.arm_in >= size]
        total += max(rate - below, 0.0) * least_pipe(root, points) / 1000
        below = max(rate, below)
    return BoundPart("pipe", total * (1.0 - STEEPEST), "lying drains, the shortest tree to the connection, by size")


def _plumb(house: House, fixtures: Sequence[Served], singles: Sequence[Served], least: Least) -> BoundPart:
    """Plumb pipe: what must pass each height - drops that no two fixtures share, what comes from above, vents."""
    bottom = house.sewer.at.z + house.sewer.size_in * MM_PER_INCH * INVERT_TO_CENTRE
    marks = {bottom}
    for s in fixtures:
        marks.update(z for z in (s.low_z_mm, *(s.drop or ()), *(s.vent or ())) if z is not None and z >= bottom)
        if s.vent is not None and s.wall is not None:
            marks.add(s.wall.top_z_mm - s.wall.top_plate_mm)
    total = 0.0
    for low, high in pairwise(sorted(marks)):
        total += (high - low) / 1000 * _through(fixtures, singles, low, high, least)
    return BoundPart("pipe", total, "plumb pipe: drops, stacks and vents that must pass each height")


def _through(fixtures: Sequence[Served], singles: Sequence[Served], low: float, high: float, least: Least) -> float:
    """Return what a metre of height costs at least between two heights [min/m]."""
    above = [s.need.arm_in for s in fixtures if s.low_z_mm is not None and s.low_z_mm >= high]
    drops = [least.pipe(s.need.arm_in) for s in singles if s.drop and s.drop[0] <= low and high <= s.drop[1]]
    drains = 0.0
    if above:  # what comes from above may be one of the drops, the largest
        through = least.pipe(max(above))
        drains = through if not drops else sum(drops) - max(drops) + max(through, *drops)
    vents = sorted(least.pipe(s.need.vent_in) for s in singles if s.vent and s.vent[0] <= low and high <= s.vent[1])
    if not vents:
        over = [s for s in singles if s.vent and s.wall and s.vent[1] <= low and high <= _top(s)]
        vents = [min(least.pipe(s.need.vent_in) for s in over)] if over else []
    if any(_storey_over(s, fixtures, low) for s in singles):
        vents = vents[:-1]  # one of them may be the stack that comes from above
    return drains + sum(vents)


def _top(s: Served) -> float:
    assert s.wall is not None
    return s.wall.top_z_mm - s.wall.top_plate_mm


def _storey_over(s: Served, fixtures: Iterable[Served], z: float) -> bool:
    """Return whether drains from a storey above may pass a height beside a fixture."""
    own = s.need.fixture
    return any(o.need.fixture.subfloor_z_mm > own.subfloor_z_mm and (o.low_z_mm or 0.0) > z for o in fixtures)


def _trench(house: House, fixtures: Sequence[Served], root: XY, least: Least) -> BoundPart:
    """Trenches: drains under a slab, and outside from the house to the connection."""
    slabs = {v.id for v in house.levels if v.kind == "slab"}
    under = [
        (s.at, s.slack_mm + (s.need.arm_max if s.wall is not None else 0.0))
        for s in fixtures
        if s.need.fixture.level_id in slabs and (s.wall is not None or s.need.fixture.floor_outlet)
    ]
    lo, hi = house.footprint.lo, house.footprint.hi
    out = ((max(lo.x - root[0], 0.0, root[0] - hi.x)) ** 2 + (max(lo.y - root[1], 0.0, root[1] - hi.y)) ** 2) ** 0.5
    mm = max(least_pipe(root, under), out)
    return BoundPart("trench", mm / 1000 * least.of("trench", 0.0), "under a slab, and outside to the connection")


def _ends(fixtures: Sequence[Served], least: Least) -> BoundPart:
    """Ends: what every fixture's pipe begins with, with its joint; and the coupling to the sewer."""
    total = 0.0
    for s in fixtures:
        size = min(s.need.arm_in, TRAP_ADAPTER_MOST_IN) if s.wall is not None else s.need.arm_in
        total += least.of("fitting end", size) + least.of("joint", size)
    largest = max(s.need.arm_in for s in fixtures)
    total += least.of("fitting straight", largest) + least.of("joint", largest)
    return BoundPart("fittings", total, "a trap adapter, trap or flange a fixture, the coupling to the sewer, joints")


def _branches(house: House, fixtures: Sequence[Served], singles: Sequence[Served], least: Least) -> BoundPart:
    """Branches: where drains come together, where vents leave arms, where vents come together."""
    total = least.all_but_dearest(s.need.arm_in for s in fixtures)
    highest = max(house.level(s.need.fixture.level_id).order for s in fixtures)
    top = [s for s in singles if house.level(s.need.fixture.level_id).order == highest]
    total += sum(least.branch(s.need.arm_in) for s in top)
    vented = [s.need.vent_in for s in singles if s.vent is not None]
    through_roof = least.of("roof penetration", min(vented, default=1.5))
    total += sum(sorted(min(least.branch(v), through_roof) for v in vented)[:-1])
    return BoundPart("fittings", total, "fittings where drains and vents come together, with their joints")


def _clamps(fixtures: Sequence[Served], singles: Sequence[Served], least: Least) -> BoundPart:
    """Clamps: one a vent that rises on its own; one of them may be a stack that comes from above."""
    clamps = 0
    for level in sorted({s.need.fixture.level_id for s in singles}):
        tall = [s for s in singles if s.need.fixture.level_id == level and s.vent is not None]
        tall = [s for s in tall if s.vent is not None and s.vent[1] - s.vent[0] >= LEAST_HELD_MM]
        over = any(_storey_over(s, fixtures, s.vent[0]) for s in tall if s.vent is not None)
        clamps += max(len(tall) - over, 0)
    return BoundPart("supports", clamps * least.of("riser clamp", 0.0), "one clamp a vent that rises on its own")


def _roof(singles: Sequence[Served], least: Least) -> BoundPart:
    vented = [s.need.vent_in for s in singles if s.vent is not None]
    one = least.of("roof penetration", min(vented)) if vented else 0.0
    return BoundPart("roof penetrations", one, "one terminal")
