"""The layout engine: candidates from the frame, a deterministic selection among them, heights, vents, names.

The house is drawn whole, the engine looks at it (`judge`), takes back one choice that turned out badly and draws it
again, as long as that makes it better. Order of work in one drawing: levels from the top down (closets and stacks,
baths around them, the rest), the building drain in the steepest slope the fall allows, heights from the sewer up, vents
last. What cannot be done is `Blocked`, with the constraint and what would free it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from stubout.collecting import uncollected
from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.choices import bans_said, order_said
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.complete import drawn_layout
from stubout.layout.desk import FIRST_ORDER, Desk, Drawings, Drawn
from stubout.layout.drawn import read_drawing
from stubout.layout.model import Layout
from stubout.layout.needs import Demands, gauges
from stubout.layout.rodding import Rodded, rodded
from stubout.layout.select import guide
from stubout.layout.space import Space
from stubout.layout.takeup import TakeUp
from stubout.layout.trunk_choices import least_trunk_in
from stubout.layout.way_out import way_out
from stubout.layout.work import Ban, Order, spot_key
from stubout.problems import LayoutError
from stubout.rulebooks.model import RuleBook

LEAST_EFFORT = 60_000  # search steps that missing cleanouts may cost in any house
MOST_EFFORT = 250_000  # no further drawing is begun once the path searches have taken so many steps
FOOTING_PLANE_DEG = 45.0  # where the book is silent: common practice, no source
MOST_IN_VAIN = 4  # times in a row that nothing is won
LARGEST_IN = 4.0  # what a building drain is laid in at the most: it may lie flattest
MOST_REPAIRS = 10  # times a whole house is drawn again without a choice that turned out badly
OTHER_ORDERS = (Order(short=True), Order(last_first=True), Order(near_first=True))  # the last if something is blocked
NO_FAULT = (0, 0.0)  # nothing blocked, and nothing to doubt


@uncollected()
def lay_out(
    house: House,
    book: RuleBook,
    framing: RuleBook,
    known: Known | None = None,
    *,
    mend: bool = False,
    until_free: bool = False,
) -> Layout:
    """Lay out a house.

    Args:
        house: The house resolved in 3D.
        book: Rule book, amendments laid over it.
        framing: Rule book for cuts in the frame.
        known: What was found out about the same house by the same books, where one layout of several is tried: a
            choice that leaves something blocked is not mended then.
        mend: Whether a drawing in an order that the house says is mended as one in an order of the engine's own is;
            one in which nothing goes through walls never is, it came out as without them.
        until_free: Whether nobody looks at the layout but at what is blocked in it: the first drawing in which nothing
            is blocked will do, without cleanouts. Where something stays blocked, all is tried as ever.
    Raises:
        LayoutError: If the house has no fixture or nothing to drain into.
    """
    if not house.fixtures:
        raise LayoutError("the job has no fixtures: nothing to lay out")
    if not house.levels:
        raise LayoutError("the job has no levels")
    drawing = read_drawing(house)
    if (by_hand := drawn_layout(house, book, drawing)) is not None:
        return with_cleanouts(by_hand, house, book)
    girth = gauges(house.job.material)
    demands = Demands(house, book, framing, girth)
    memory = known or Known()
    space = memory.of(house, book, demands)
    desk = Desk(house, book, framing, demands, space, drawing, TakeUp(house.measured), memory.drawings)
    memory.low = desk.low
    order_wanted, left_out = order_said(house.choices), bans_said(house.choices)
    best = desk.draw(left_out, order=order_wanted or FIRST_ORDER)
    mended = mend and bool(best.work.in_walls())
    doubted = mended or order_wanted is None or (best.layout.blocked and known is None)
    if doubted:  # what is said is drawn as said
        best = _bettered(desk, best, left_out, until_free=until_free)
    if until_free and not best.layout.blocked:
        return replace(best.layout, effort=space.effort)
    done = desk.opened(best)
    done = _rodded(desk, best, done) if doubted else done
    memory.remember(done, desk.led_out(done))
    return replace(done.layout, effort=space.effort)


class Known:
    """What was found out about a house while it was laid out: it is the same house however it is drawn again."""

    def __init__(self) -> None:
        self._space: Space | None = None
        self._bare: dict[tuple[object, ...], Layout] = {}
        self._led_out: dict[tuple[object, ...], Layout] = {}
        self.drawings = Drawings()
        self.low = False  # whether most of it drains into the ground, where short ways matter

    @property
    def walls(self) -> bool:
        """Return whether a drop of this house could go on through the studs of a wall below its floor."""
        space = self._space
        return space is not None and any(space.wall_layers(space.house.level(f.level_id)) for f in space.house.fixtures)

    def remember(self, done: Rodded, led_out: Rodded | None) -> None:
        """Remember what a layout was before it got its cleanouts, and its vents in another order if there is one."""
        for one in (done, led_out):
            if one is not None:
                self.remember_bare(one.layout, one.bare)
        if led_out is not None:
            self._led_out[done.layout.points, done.layout.runs] = led_out.layout

    def remember_bare(self, opened: Layout, bare: Layout) -> None:
        """Remember what a layout was before it got its cleanouts."""
        self._bare[opened.points, opened.runs] = bare

    def bare(self, opened: Layout) -> Layout:
        """Return a layout as it was drawn, without the cleanouts its book asks for."""
        return self._bare[opened.points, opened.runs]

    def led_out(self, opened: Layout) -> Layout | None:
        """Return a layout with its vents led out in another order, None where the usual one is thought the best."""
        return self._led_out.get((opened.points, opened.runs))

    def of(self, house: House, book: RuleBook, demands: Demands) -> Space:
        """Return the house asked for room, its work counted from here."""
        if self._space is None:
            limits, edges = demands.joist_limits()
            plane = book.find("ground.footing_plane")
            steep = math.tan(math.radians(plane.number if plane is not None else FOOTING_PLANE_DEG))
            size = least_trunk_in(book, sum(f.kind is FixtureKind.WATER_CLOSET for f in house.fixtures))
            fall = min(demands.slope(s) for s in (size, LARGEST_IN))
            out = way_out(house, fall, demands.gauge(size))
            self._space = Space(house, limits, edges, demands.stud_limit, steep, out)
        self._space.effort = 0
        return self._space


def _bettered(desk: Desk, best: Drawn, left_out: frozenset[Ban], *, until_free: bool) -> Drawn:
    """Return the best that is found in other orders, without choices that turned out badly, with places chosen.

    Args:
        desk: The desk.
        best: The house as drawn first.
        left_out: Choices not to be made.
        until_free: Whether the first in which nothing is blocked will do.
    """
    space = desk.space
    for order in _others(best):  # what was in the way of something else may not be if it comes later
        if until_free and not best.layout.blocked:
            return best
        if best.rank[:2] == NO_FAULT or space.effort > MOST_EFFORT:
            break
        if (order.near_first and not best.layout.blocked) or (order.short and not desk.low):
            continue
        other = desk.draw(left_out, order=order)
        if other.rank < best.rank:
            best = other
    tried: set[Ban] = set()
    in_vain = 0
    for _ in range(MOST_REPAIRS):
        if until_free and not best.layout.blocked:
            return best
        ban = next((b for b in best.doubts if b not in tried), None)
        if ban is None or space.effort > MOST_EFFORT or in_vain >= MOST_IN_VAIN:
            break
        tried.add(ban)
        slope = None if best.layout.blocked else best.work.trunk_slope
        other = desk.draw(best.work.bans | {ban}, slope, best.work.order, best.work.lift_mm)
        in_vain += 1
        if other.rank < best.rank:
            best, in_vain = other, 0
    return _guided(desk, best)


def _others(like: Drawn) -> tuple[Order, ...]:
    """Return the other orders, with drops that go on through walls where those of a drawing may."""
    return tuple(replace(o, in_walls=like.work.order.in_walls) for o in OTHER_ORDERS)


def _rodded(desk: Desk, best: Drawn, done: Rodded) -> Rodded:
    """Return the house drawn another way where fewer cleanouts are missing then."""
    slope = None if best.layout.blocked else best.work.trunk_slope
    orders = tuple(o for o in _others(best)[:2] if desk.low or not o.short)

    def draw(bans: frozenset[Ban], order: Order) -> Rodded:
        return desk.opened(desk.draw(bans, slope, order, best.work.lift_mm, best.work.preferred))

    most = desk.space.effort + max(LEAST_EFFORT, desk.space.effort // 4)
    return rodded(done, draw, orders, lambda: desk.space.effort > most)


def _guided(desk: Desk, best: Drawn) -> Drawn:
    """Return the house with the places of vent fittings in walls chosen all at once, where that comes out better."""
    if desk.space.effort > guide.MOST_EFFORT:
        return best
    found = desk.arms(best.work)
    slope = None if best.layout.blocked else best.work.trunk_slope
    bans, order, lift = best.work.bans, best.work.order, best.work.lift_mm

    def placed(drawn: Drawn) -> dict[str, str]:
        return {t.tag: spot_key(t.spot) for t in drawn.work.traps.values() if t.spot is not None}

    def draw(wanted: Mapping[str, str]) -> Drawn:
        return desk.draw(bans, slope, order, lift, wanted)

    return best if found is None else guide.guided(best, found, placed, draw, lambda: desk.space.effort)
