"""A cost no layout made of the engine's candidates can stay below, before anything is drawn.

A relaxation, part by part, priced with the same rows as the cost itself (`catalog.costs`): what is counted in two parts
is never the same thing. Left out is what a layout may do without: bends and hangers on its way, bores on the way, nail
plates, further cleanouts, second terminals, and the vents of what drains through the floor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stubout.catalog.costs import Costs
from stubout.catalog.model import MM_PER_INCH
from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.bound.facts import Served, served, storeys_below
from stubout.layout.bound.least import Least
from stubout.layout.bound.lying import Lying
from stubout.layout.bound.risers import Risers, joins
from stubout.layout.bound.venting import Vents
from stubout.layout.needs import Demands, common_vents
from stubout.layout.outlook import tie_above_rim
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook

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


def lower_bound(house: House, book: RuleBook, framing: RuleBook, costs: Costs) -> Bound | None:
    """Return what every layout of a house made of the engine's candidates costs at least.

    None where the book leaves away a figure the engine could not do without: then there are no such layouts.

    Args:
        house: The house.
        book: Rule book, amendments laid over it.
        framing: Rule book for cuts in the frame.
        costs: The rows of the data with those of the job.
    """
    least = Least(costs)
    try:
        fixtures = served(house, Demands(house, book, framing, {}), tie_above_rim(book))
    except NotInBook:
        return None
    if not fixtures:
        return None
    risers = Risers(house, fixtures, least, common_vents(house, book))
    vents = Vents(house, book, risers, _largest(fixtures), least)
    bend, between = vents.apart()
    lying = Lying(house, fixtures, least)
    trunk = trunk_in(fixtures, book)
    larger = (least.pipe(trunk) - least.pipe(_largest(fixtures))) * lying.outside_mm / 1000
    cover, adapter = _cleanout(fixtures, book, lying.outside_mm, least)
    parts = (
        BoundPart("pipe", lying.pipe(), "lying drains, the shortest tree to the connection, by size"),
        BoundPart("pipe", lying.crawling(), "what lies in a crawl space, what that adds to the work"),
        BoundPart("pipe", larger, "the drain outside, as large as the book wants it"),
        _through(house, fixtures, least),
        BoundPart("pipe", risers.pipe(), "drops and vents in walls, from the floor to where a vent may turn"),
        BoundPart("pipe", vents.upward() + between, "vents from there to the open air, and between the farthest two"),
        BoundPart("trench", lying.trench(), "under a slab, and outside to the connection"),
        _ends(fixtures, trunk, least),
        BoundPart("fittings", joins(fixtures, least), "where drains come together, with their joints"),
        BoundPart("fittings", risers.take_offs(), "vent fittings in the walls, with their joints"),
        BoundPart("fittings", vents.branches() + bend, "where vents turn and come together, with their joints"),
        BoundPart("fittings", vents.reducer(), "a vent grows against frost"),
        BoundPart("bores", risers.plates() + vents.top_plates(), "plates that drops and vents go through"),
        BoundPart("supports", risers.drop_clamps(), "a clamp a drop under which drains hang"),
        BoundPart("supports", risers.clamps() + vents.floor_clamps(), "a clamp a vent, one more at a floor it passes"),
        BoundPart("supports", _stack_clamps(house, fixtures, least), "a clamp a storey that drains come down through"),
        BoundPart("roof penetrations", vents.terminal(), "one terminal"),
        BoundPart("fittings", adapter, "the plug of the cleanout at the sewer, with its joint"),
        BoundPart("cleanouts", cover, "the cleanout at the sewer"),
    )
    return Bound(tuple(BoundPart(p.kind, round(p.minutes, 3), p.words) for p in parts if p.minutes > 0.0))


def _through(house: House, fixtures: Sequence[Served], least: Least) -> BoundPart:
    """Plumb pipe: at each height one pipe at least for all that comes from above, the largest of its fixtures' sizes.

    Of a fixture on a wall that is what lies below the wall; the drop in it is counted with its vent.
    """
    bottom = house.sewer.at.z + house.sewer.size_in * MM_PER_INCH * INVERT_TO_CENTRE
    tops = [(s.drop[0] if s.drop is not None else s.low_z_mm, s.need.arm_in) for s in fixtures]
    heights = {bottom, *(z for z, _ in tops if z is not None and z >= bottom)}
    total = 0.0
    for low, high in pairwise(sorted(heights)):
        largest = max(size for z, size in tops if z is not None and z >= high)
        total += (high - low) / 1000 * least.pipe(largest)
    return BoundPart("pipe", total, "plumb pipe from the highest floor down to the connection")


def _stack_clamps(house: House, fixtures: Sequence[Served], least: Least) -> float:
    """Return the clamps [min] of what comes down from above: one in every storey that it passes on its way down.

    Between that storey's floor and what may hang under its ceiling nothing else drains into it.
    """
    over = [s.need.fixture for s in fixtures if house.level(s.need.fixture.level_id).kind == "frame"]
    passed = {v.id for f in over for v in storeys_below(house, f) if v.subfloor_z_mm >= house.sewer.at.z}
    return len(passed) * least.of("riser clamp", 0.0)


def _largest(fixtures: Sequence[Served]) -> float:
    return max(s.need.arm_in for s in fixtures)


def trunk_in(fixtures: Sequence[Served], book: RuleBook) -> float:
    """Return the least size of the drain that leaves the house: of the largest arm, and as the book has it [in]."""
    closets = sum(s.need.closet for s in fixtures)
    try:
        return max(_largest(fixtures), ask.building_drain_least_size(book, closets).number)
    except NotInBook:
        return _largest(fixtures)


def _ends(fixtures: Sequence[Served], trunk: float, least: Least) -> BoundPart:
    """Ends: what every fixture's pipe begins with, and the coupling to the sewer.

    A trap adapter stands on its stub-out without a joint of its own in the cost. A closet's flange looks down and its
    drain lies: flange, bend and a piece between them.
    """
    total = least.of("fitting straight", trunk) + least.of("joint", trunk)
    for s in fixtures:
        size, joint = s.need.arm_in, least.of("joint", s.need.arm_in)
        if s.wall is not None and s.need.fixture.kind is not FixtureKind.CLOTHES_WASHER:
            total += least.of("fitting end", min(size, TRAP_ADAPTER_MOST_IN))
        else:
            total += least.of("fitting end", size) + joint
        if s.need.closet:
            total += least.bend(size)
    return BoundPart("fittings", total, "an adapter, trap, or flange and bend a fixture; the coupling to the sewer")


def _cleanout(fixtures: Sequence[Served], book: RuleBook, outside: float, least: Least) -> tuple[float, float]:
    """Return cleanout and plug [min] where the drain leaves the house, if the book asks for one there.

    It may stand a few feet up stream, in what is no larger than the smallest drain. A layout in which no place for it
    is found asks a question and is not done.
    """
    asked = book.find("cleanout.sewer_junction")
    if asked is None or asked.value is not True or not outside:
        return 0.0, 0.0
    size = min(s.need.arm_in for s in fixtures)
    return least.of("cleanout", size), least.of("fitting end", size) + least.of("joint", size)
