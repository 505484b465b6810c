"""The layout engine: candidates from the frame, a deterministic selection among them, heights, vents, names.

The house is drawn whole, the engine looks at it (`judge`), takes back one choice that turned out badly and draws it
again, as long as that makes it better. Order of work in one drawing: levels from the top down (closets and stacks,
baths around them, the rest), the building drain in the steepest slope the fall allows, heights from the sewer up, vents
last. What cannot be done is `Blocked`, with the constraint and what would free it.
"""

from __future__ import annotations

import gc
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass, replace

from stubout import units
from stubout.catalog import queries as catalog
from stubout.catalog.queries import costs_of
from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.adopt import adopt_drawn
from stubout.layout.assemble import assemble, placed_marks, raise_stacks
from stubout.layout.cavity import Cavity
from stubout.layout.choices import bans_said, chosen, order_said
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.complete import drawn_layout
from stubout.layout.draft import Board
from stubout.layout.drawn import Drawing, read_drawing
from stubout.layout.finish import finish
from stubout.layout.judge import SUNK_MM, doubts, faults, makeshifts, sunk, worst
from stubout.layout.level_drains import draw_level
from stubout.layout.model import Layout, StubMark
from stubout.layout.needs import SIZES, Demands, gauges
from stubout.layout.off_turns import set_off_turns
from stubout.layout.outlook import tie_in_margin
from stubout.layout.rodding import Rodded, rodded
from stubout.layout.select import guide
from stubout.layout.select.arms import ArmChoice, arm_choice
from stubout.layout.settle import settle
from stubout.layout.space import Space
from stubout.layout.straighten import straighten
from stubout.layout.stubs import stub_marks
from stubout.layout.takeup import TakeUp
from stubout.layout.trap_drops import drop_behind_vents
from stubout.layout.venting import Venting
from stubout.layout.weights import MOST_STEEPER, STEEPEST_USUAL
from stubout.layout.work import Ban, Order, Work, spot_key
from stubout.layout.worth import worth
from stubout.problems import Derivation, LayoutError, NotInBook
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook

LEAST_EFFORT = 60_000  # search steps that missing cleanouts may cost in any house
COLLECT_AFTER = 50_000  # new objects between two looks
MOST_EFFORT = 250_000  # no further drawing is begun once the path searches have taken so many steps
FOOTING_PLANE_DEG = 45.0  # where the book is silent: common practice, no source
LIFT_MARGIN_MM = 20.0
MOST_LIFTS = 3
MOST_IN_VAIN = 4  # times in a row that nothing is won
MOST_REPAIRS = 10  # times a whole house is drawn again without a choice that turned out badly
FIRST_ORDER = Order()
NOTHING_PREFERRED: Mapping[str, str] = {}
OTHER_ORDERS = (Order(short=True), Order(last_first=True), Order(near_first=True))  # the last if something is blocked
NO_FAULT = (0, 0.0)  # nothing blocked, and nothing to doubt
TRAP_REACH_MM = {s: catalog.trap_reach_mm(s) for s in (1.25, 1.5, 2.0, 3.0)}


@contextmanager
def _few_collections() -> Iterator[None]:
    """Let the interpreter look less often for dead objects that hold each other: what the engine makes lives on."""
    before = gc.get_threshold()
    gc.set_threshold(COLLECT_AFTER, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)


@_few_collections()
def lay_out(house: House, book: RuleBook, framing: RuleBook, known: Known | None = None) -> Layout:
    """Lay out a house.

    Args:
        house: The house resolved in 3D.
        book: Rule book, amendments laid over it.
        framing: Rule book for cuts in the frame.
        known: What was found out about the same house by the same books, where one layout of several is tried: a
            choice that leaves something blocked is not mended then.
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
    desk = _Desk(house, book, framing, demands, space, drawing, TakeUp(house.measured))
    order_wanted, left_out = order_said(house.choices), bans_said(house.choices)
    best = desk.draw(left_out, order=order_wanted or FIRST_ORDER)
    doubted = order_wanted is None or (best.layout.blocked and known is None)
    if doubted:  # what is said is drawn as said
        best = _bettered(desk, best, left_out)
    done = desk.opened(best)
    done = _rodded(desk, best, done) if doubted else done
    memory.remember(done.layout, done.bare, desk.drawn)
    return replace(done.layout, effort=space.effort)


class Known:
    """What was found out about a house while it was laid out: it is the same house however it is drawn again."""

    def __init__(self) -> None:
        self._space: Space | None = None
        self._bare: dict[tuple[object, ...], Layout] = {}
        self.drawn: list[Layout] = []  # whatever was drawn of it, without cleanouts

    def remember(self, opened: Layout, bare: Layout, drawn: Sequence[Layout]) -> None:
        """Remember what a layout was before it got its cleanouts, and what else was drawn on the way to it."""
        self._bare[opened.points, opened.runs] = bare
        self.drawn += drawn

    def bare(self, opened: Layout) -> Layout:
        """Return a layout as it was drawn, without the cleanouts its book asks for."""
        return self._bare[opened.points, opened.runs]

    def of(self, house: House, book: RuleBook, demands: Demands) -> Space:
        """Return the house asked for room, its work counted from here."""
        if self._space is None:
            limits, edges = demands.joist_limits()
            plane = book.find("ground.footing_plane")
            steep = math.tan(math.radians(plane.number if plane is not None else FOOTING_PLANE_DEG))
            self._space = Space(house, limits, edges, demands.stud_limit, steep)
        self._space.effort = 0
        return self._space


def _bettered(desk: _Desk, best: _Drawn, left_out: frozenset[Ban]) -> _Drawn:
    """Return the best that is found in other orders, without choices that turned out badly, with places chosen."""
    space = desk.space
    for order in OTHER_ORDERS:  # what was in the way of something else may not be if it comes later
        if best.rank[:2] == NO_FAULT or space.effort > MOST_EFFORT:
            break
        if (order.near_first and not best.layout.blocked) or (order.short and not desk.low):
            continue
        other = desk.draw(left_out, order=order, lift=best.work.lift_mm)
        if other.rank < best.rank:
            best = other
    tried: set[Ban] = set()
    in_vain = 0
    for _ in range(MOST_REPAIRS):
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


def _rodded(desk: _Desk, best: _Drawn, done: Rodded) -> Rodded:
    """Return the house drawn another way where fewer cleanouts are missing then."""
    slope = None if best.layout.blocked else best.work.trunk_slope
    orders = tuple(o for o in OTHER_ORDERS[:2] if desk.low or not o.short)

    def draw(bans: frozenset[Ban], order: Order) -> Rodded:
        return desk.opened(desk.draw(bans, slope, order, best.work.lift_mm, best.work.preferred))

    most = desk.space.effort + max(LEAST_EFFORT, desk.space.effort // 4)
    return rodded(done, draw, orders, lambda: desk.space.effort > most)


def _guided(desk: _Desk, best: _Drawn) -> _Drawn:
    """Return the house with the places of vent fittings in walls chosen all at once, where that comes out better."""
    if desk.space.effort > guide.MOST_EFFORT:
        return best
    found = desk.arms(best.work)
    slope = None if best.layout.blocked else best.work.trunk_slope
    bans, order, lift = best.work.bans, best.work.order, best.work.lift_mm

    def placed(drawn: _Drawn) -> dict[str, str]:
        return {t.tag: spot_key(t.spot) for t in drawn.work.traps.values() if t.spot is not None}

    def draw(wanted: Mapping[str, str]) -> _Drawn:
        return desk.draw(bans, slope, order, lift, wanted)

    return best if found is None else guide.guided(best, found, placed, draw, lambda: desk.space.effort)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One whole drawing, how good it is, and which of its choices to doubt."""

    work: Work
    layout: Layout
    rank: tuple[int, float, float]
    doubts: tuple[Ban, ...]


class _Desk:
    """What stays the same however often a house is drawn."""

    def __init__(
        self,
        house: House,
        book: RuleBook,
        framing: RuleBook,
        demands: Demands,
        space: Space,
        drawing: Drawing,
        fits: TakeUp,
    ) -> None:
        self.house, self.book, self.framing = house, book, framing
        self.demands, self.space, self.drawing, self.fits = demands, space, drawing, fits
        self.drawn: list[Layout] = []  # all that was, one after the other
        self.needs = {f.tag: demands.need(f) for f in house.fixtures}
        self.marks = stub_marks(house, book, {t: n.arm_in for t, n in self.needs.items()})
        low = [f for f in house.fixtures if any(v.lowest for v in space.floor_layers(house.level(f.level_id)))]
        self.low = 2 * len(low) >= len(house.fixtures)  # most of it drains into the ground, where short ways matter
        closets = sum(1 for f in house.fixtures if f.kind is FixtureKind.WATER_CLOSET)
        try:
            trunk_in = ask.building_drain_least_size(book, closets).number
        except NotInBook:
            trunk_in = 3.0 if closets else 2.0
        trunk_in = _with_closets(book, trunk_in, closets)
        self.choices = _trunk_choices(book, trunk_in, sum(n.load for n in self.needs.values()))

    def draw(
        self,
        bans: frozenset[Ban],
        steepest: float | None = None,
        order: Order = FIRST_ORDER,
        lift: float = 0.0,
        preferred: Mapping[str, str] = NOTHING_PREFERRED,
    ) -> _Drawn:
        """Draw the house without some choices, with the steepest building drain that serves it.

        Args:
            bans: The choices not to be made.
            steepest: Slope that is known to serve it where steeper ones do not; None if none is.
            order: What is drawn first.
            lift: How far the building drain rises inside the house, where that is known to be needed [mm].
            preferred: Places of vent fittings in walls that are tried first, by fixture.
        """
        above = self._above(bans, order, preferred)
        choices = [c for c in self.choices if steepest is None or c[0] <= steepest * 1.001] or self.choices[-1:]
        drawn: dict[int, _Drawn] = {}
        least = math.inf  # that is blocked by a steeper one
        left: list[int] = []  # given up at the first fixture that finds no way: a flatter drain may serve it
        for i, (slope, size) in enumerate(choices):
            one, flatter_helps = self._drawn(above, slope, size, lift, impatient=i + 1 < len(choices))
            if one is None:
                left.append(i)
                continue
            if len(one.layout.blocked) >= least:
                break  # flatter did not help
            least = len(one.layout.blocked)
            drawn[i] = self._raised(above, one)
            if not flatter_helps or not drawn[i].layout.blocked:
                break
        if all(d.layout.blocked for d in drawn.values()):
            for i in left:
                drawn[i] = self._raised(above, self._whole(above, *choices[i], lift))
        self.drawn += [replace(d.layout, chosen=chosen(d.work)) for d in drawn.values()]
        return min((drawn[i] for i in sorted(drawn)), key=lambda d: d.rank)

    def opened(self, one: _Drawn) -> Rodded:
        """Return a drawing with the cleanouts its book asks for."""
        bare = replace(one.layout, chosen=chosen(one.work))
        return Rodded(one.work, with_cleanouts(bare, self.house, self.book), bare, one.rank)

    def _raised(self, above: Work, one: _Drawn) -> _Drawn:
        """Return a drawing whose traps do not sink with a deep sewer: its drain steeper, or with a drop at the end."""
        slope, size, lift = one.work.trunk_slope, one.work.trunk_in, one.work.lift_mm
        deep, run = sunk(one.work)
        if deep <= SUNK_MM:
            return one
        if not lift and run > 0.0 and (steeper := slope + (deep + LIFT_MARGIN_MM) / run) <= MOST_STEEPER * slope:
            other = self._whole(above, steeper, size)
            if len(other.layout.blocked) <= len(one.layout.blocked) and sunk(other.work)[0] <= SUNK_MM:
                return other
        best = one
        for _ in range(MOST_LIFTS):  # what lies deepest then may be another trap
            lift = max(lift + deep + LIFT_MARGIN_MM, self.fits.drop(size))
            other = self._whole(above, slope, size, lift)
            deep = sunk(other.work)[0]
            best = min(best, other, key=lambda d: d.rank)
            if deep <= SUNK_MM:
                break
        if sunk(best.work)[0] > SUNK_MM:
            other = self._whole(above, slope, size, best.work.lift_mm, drop_traps=True)
            best = min(best, other, key=lambda d: d.rank)
        return best

    def _whole(self, above: Work, slope: float, size: float, lift: float = 0.0, *, drop_traps: bool = False) -> _Drawn:
        """Return one whole drawing, whatever is blocked in it."""
        one, _ = self._drawn(above, slope, size, lift, drop_traps=drop_traps)
        assert one is not None
        return one

    def _drawn(
        self,
        above: Work,
        slope: float,
        size: float,
        lift: float = 0.0,
        *,
        impatient: bool = False,
        drop_traps: bool = False,
    ) -> tuple[_Drawn | None, bool]:
        """Return one drawing, None if given up; and whether a flatter building drain could free what is blocked."""
        work = _copied(above)
        work.trunk_slope, work.trunk_in, work.lift_mm, work.impatient = slope, size, lift, impatient
        work.drop_traps = drop_traps
        tried = _try(work, self.marks)
        if tried is None:
            return None, True
        layout, flatter_helps = tried
        found = faults(work)
        rank = (len(layout.blocked), worst(found) + makeshifts(work), layout.cost)
        return _Drawn(work, layout, rank, tuple(dict.fromkeys(doubts(work, found)))), flatter_helps

    def arms(self, like: Work) -> ArmChoice | None:
        """Return the arms of all wall fixtures as one choice, without the choices banned on a desk."""
        return arm_choice(self._empty(like.bans, like.order), TRAP_REACH_MM, costs_of(self.house.costs))

    def _above(self, bans: frozenset[Ban], order: Order, preferred: Mapping[str, str]) -> Work:
        """Return the desk with every level drawn that drains into stacks: the trunk's slope changes nothing there."""
        work = self._empty(bans, order)
        work.preferred = preferred
        for level in reversed(self.space.levels):
            if not any(v.lowest for v in self.space.floor_layers(level)):
                draw_level(work, level, TRAP_REACH_MM)
        return work

    def _empty(self, bans: frozenset[Ban], order: Order) -> Work:
        """Return the desk with the drawn routes on it and nothing else."""
        cavity = Cavity(self.house, self.space, self.demands.stud_limit)
        board, marks = Board(self.fits, self.demands.short_bends()), {m.tag: m for m in self.marks}
        work = Work(
            self.house, self.book, self.framing, self.demands, self.space, cavity, board, dict(self.needs), marks
        )
        work.bans, work.order = bans, order
        work.trunk_slope, work.trunk_in = self.choices[0]
        adopt_drawn(work, self.drawing)
        return work


def _with_closets(book: RuleBook, size: float, closets: int) -> float:
    """Return the size of a lying drain that takes so many closets by the book, a given one at least [in]."""
    for s in SIZES:
        if s >= size - 1e-9:
            most = ask.max_closets(book, s, "horizontal")
            if most is None or most.number >= closets:
                return s
    return size


def _trunk_choices(book: RuleBook, size: float, load: float) -> list[tuple[float, float]]:
    """Return (slope, size) for the building drain: steepest usual slope first, then flatter ones the book offers."""
    usual = _usual_slope(book)
    out: list[tuple[float, float]] = []
    for s in [size, *[x for x in SIZES if x > size and x <= 4.0]]:
        try:
            least = ask.min_slope(book, s).number
            offered = sorted({c.number for c in ask.slopes_offered(book, s)} | {usual, least}, reverse=True)
        except NotInBook:
            continue
        for slope in offered:
            if slope > usual * 1.001 or slope < least - 1e-9:
                continue
            try:
                if ask.building_drain_capacity(book, s, slope).number + 1e-9 < load:
                    continue
            except NotInBook:
                continue
            out.append((slope, s))
        if out:
            break
    return out or [(usual, size)]


def _why_slope(book: RuleBook, slope: float, size_in: float) -> str:
    """Return in words why the building drain has its slope."""
    fall = f"{slope * 100:.2f} % in {size_in:g} in"
    if slope > _usual_slope(book) * 1.001:
        return f"steeper than usual, so that no trap lies deeper below its outlet than the book lets it: {fall}"
    return f"steepest usual slope that leaves no trap without fall: {fall}"


def _usual_slope(book: RuleBook) -> float:
    return STEEPEST_USUAL if book.family != "n" else 1 / 50


def _copied(work: Work) -> Work:
    """Return a copy of the desk to try something on; house, books and what they answered are shared, not copied."""
    shared = (work.house, work.book, work.framing, work.demands, work.space, work.board.fits)
    return deepcopy(work, {id(one): one for one in shared})


def _try(work: Work, marks: tuple[StubMark, ...]) -> tuple[Layout, bool] | None:
    """Return the layout with one slope of the building drain, and whether a flatter one could free what is blocked.

    None where an impatient desk gives up.
    """
    house, book, space, u = work.house, work.book, work.space, work.house.job.units
    slope, trunk_in = work.trunk_slope, work.trunk_in
    before = len(work.blocked)
    for level in reversed(space.levels):
        if any(v.lowest for v in space.floor_layers(level)):
            draw_level(work, level, TRAP_REACH_MM)
    if work.impatient and len(work.blocked) > before:
        return None
    for t in work.board.solve_drains():
        node = work.board.nodes[t.node]
        work.block(
            (node.tag or "drain",),
            f"heights do not work out at x {units.length(node.xy[0], u)}, y {units.length(node.xy[1], u)} on the plan: "
            f"wants {units.both(t.want, u)}, has {units.both(t.have, u)} ({t.what})",
            "more fall, another place, or a flatter slope the book allows",
        )
    if work.drop_traps:
        drop_behind_vents(work)
    raise_stacks(work)
    vents = Venting(work, tie_in_margin(work))
    vents.run()
    straighten(work)
    settle(work)
    set_off_turns(work)
    if trunk_in and not (work.adopted is not None and work.adopted.root):
        work.derivations.append(
            Derivation(
                "building drain",
                "slope",
                f"{slope * 100:.3f} %",
                (_why_slope(book, slope, trunk_in),),
                (ask.min_slope(book, trunk_in).basis,),
            )
        )
    if work.lift_mm:
        work.notes.append(
            f"the building drain comes in at the depth of its connection and rises {units.both(work.lift_mm, u)} "
            "inside, lest a trap lie deeper below its outlet than the book lets it"
        )
    if house.sewer.valve_drop_mm:
        drop = units.both(house.sewer.valve_drop_mm, u)
        work.notes.append(f"{drop} of fall is kept for the body of the backwater valve")
    low = {f.tag for f in house.fixtures if any(v.lowest for v in space.floor_layers(house.level(f.level_id)))}
    flatter_helps = any(tag in low or tag in ("drain", "stack") for b in work.blocked for tag in b.about)
    layout = finish(work, assemble(work, placed_marks(work, marks), vents.trap_runs))
    return replace(layout, cost=worth(layout, costs_of(house.costs))), flatter_helps
