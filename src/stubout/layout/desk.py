"""The desk on which one house is drawn, as often as wanted: with one slope of its building drain after the other.

Levels from the top down, the building drain in the steepest slope the fall allows, heights from the sewer up, vents
last; `engine` says without which choices and in which order. Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stubout import units
from stubout.catalog import queries as catalog
from stubout.catalog.queries import costs_of
from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.adopt import adopt_drawn
from stubout.layout.assemble import assemble, placed_marks, raise_stacks
from stubout.layout.cavity import Cavity
from stubout.layout.choices import chosen
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.draft import NOWHERE, Board
from stubout.layout.drawn import Drawing
from stubout.layout.finish import finish
from stubout.layout.judge import SUNK_MM, cramped_mm, doubts, faults, makeshifts, sunk, worst
from stubout.layout.level_drains import draw_level
from stubout.layout.members_along import members_asked
from stubout.layout.model import Layout, StubMark
from stubout.layout.needs import Demands
from stubout.layout.off_turns import set_off_turns
from stubout.layout.outlook import tie_in_margin
from stubout.layout.premises import lowest_hung_mm
from stubout.layout.rodding import Rodded
from stubout.layout.select.arms import ArmChoice, arm_choice
from stubout.layout.settle import settle
from stubout.layout.space import Space
from stubout.layout.straighten import straighten
from stubout.layout.stub_place import in_place
from stubout.layout.stubs import stub_marks
from stubout.layout.takeup import TakeUp
from stubout.layout.too_low import block_too_low
from stubout.layout.trap_drops import drop_behind_vents, hold_fixed_weirs
from stubout.layout.trunk_choices import trunk_choices, why_slope
from stubout.layout.unused import take_up_unused
from stubout.layout.vent_orders import copied, vent_first
from stubout.layout.venting import Venting
from stubout.layout.way_out import way_out
from stubout.layout.weights import MOST_STEEPER
from stubout.layout.work import Ban, Order, Work
from stubout.layout.worth import asked_worth, pipe_tops, worth
from stubout.problems import Derivation
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook

LIFT_MARGIN_MM = 20.0
DROP_MOST_MM = 600.0  # a drain that lies farther too deep rises, lest it be dug for: own choice, digging has no price
MOST_LIFTS = 3
FIRST_ORDER = Order()
NOTHING_PREFERRED: Mapping[str, str] = {}
TRAP_REACH_MM = {s: catalog.trap_reach_mm(s) for s in (1.25, 1.5, 2.0, 3.0)}


@dataclass(frozen=True, slots=True)
class Served:
    """How a building drain lies that serves a house, each trap with its fall: begun with where it is drawn again."""

    rank: tuple[int, float, float]
    slope: float
    size_in: float
    lift_mm: float
    drop_traps: bool


@dataclass(frozen=True, slots=True)
class Drawn:
    """One whole drawing, how good it is, and which of its choices to doubt."""

    work: Work
    drained: Work  # the same before any vent was drawn
    layout: Layout
    rank: tuple[int, float, float]
    doubts: tuple[Ban, ...]


class Drawings:
    """What was drawn of one house: nothing is drawn twice, and what served is begun with."""

    def __init__(self) -> None:
        self.layouts: list[Layout] = []  # one after the other, without cleanouts
        self.served: Served | None = None  # the building drain of the best drawing in which nothing is blocked
        self._by_choice: dict[tuple[frozenset[Ban], Order], Drawn] = {}

    def of(self, bans: frozenset[Ban], order: Order) -> Drawn | None:
        """Return what was drawn in an order without some choices; None if nothing was, or something is blocked in it.

        A building drain that is blocked at one slope may not be at that of a later drawing.
        """
        return self._by_choice.get((bans, order))

    def keep(self, drawn: Iterable[Drawn]) -> None:
        """Keep some drawings of the same choices, and how the building drain lies in the best of all."""
        for one in drawn:
            self.layouts.append(replace(one.layout, chosen=chosen(one.work)))
            work = one.work
            if not one.layout.blocked and (self.served is None or one.rank < self.served.rank):
                self.served = Served(one.rank, work.trunk_slope, work.trunk_in, work.lift_mm, work.drop_traps)

    def choose(self, one: Drawn) -> Drawn:
        """Return a drawing, kept as what becomes of its choices."""
        if not one.layout.blocked and not one.work.preferred:
            self._by_choice[one.work.bans, one.work.order] = one
        return one


class Desk:
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
        drawings: Drawings,
    ) -> None:
        self.drawings = drawings
        self.house, self.book, self.framing = house, book, framing
        self.demands, self.space, self.drawing, self.fits = demands, space, drawing, fits
        self.needs = {f.tag: demands.need(f) for f in house.fixtures}
        self.marks = stub_marks(house, book, {t: n.arm_in for t, n in self.needs.items()})
        low = [f for f in house.fixtures if any(v.lowest for v in space.floor_layers(house.level(f.level_id)))]
        self.low = 2 * len(low) >= len(house.fixtures)  # most of it drains into the ground, where short ways matter
        closets = sum(1 for f in house.fixtures if f.kind is FixtureKind.WATER_CLOSET)
        self.choices = trunk_choices(book, closets, sum(n.load for n in self.needs.values()))

    def draw(
        self,
        bans: frozenset[Ban],
        steepest: float | None = None,
        order: Order = FIRST_ORDER,
        lift: float = 0.0,
        preferred: Mapping[str, str] = NOTHING_PREFERRED,
    ) -> Drawn:
        """Draw the house without some choices, with the steepest building drain that serves it.

        Args:
            bans: The choices not to be made.
            steepest: Slope that is known to serve it where steeper ones do not; None if none is.
            order: What is drawn first.
            lift: How far the building drain rises inside the house, where that is known to be needed [mm].
            preferred: Places of vent fittings in walls that are tried first, by fixture.
        """
        there = None if preferred else self.drawings.of(bans, order)
        if there is not None:
            return there
        above = self._above(bans, order, preferred)
        again = self._as_served(above)
        if again is not None and _serves(again):
            self.drawings.keep([again])
            return self.drawings.choose(again)
        if again is not None and again.layout.blocked:  # where that blocks something a steeper one seldom frees it
            steepest = min(again.work.trunk_slope, math.inf if steepest is None else steepest)
        choices = [c for c in self.choices if steepest is None or c[0] <= steepest * 1.001] or self.choices[-1:]
        drawn: dict[int, Drawn] = {}
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
        self.drawings.keep(drawn.values())
        return self.drawings.choose(min((drawn[i] for i in sorted(drawn)), key=lambda d: d.rank))

    def _as_served(self, above: Work) -> Drawn | None:
        """Return a drawing with the building drain that served before, None where none did, or what is begun with."""
        how = self.drawings.served
        if how is None or (how.slope == self.choices[0][0] and not how.lift_mm and not how.drop_traps):
            return None
        return self._whole(above, how.slope, how.size_in, how.lift_mm, drop_traps=how.drop_traps)

    def opened(self, one: Drawn) -> Rodded:
        """Return a drawing with the cleanouts its book asks for."""
        bare = replace(one.layout, chosen=chosen(one.work))
        return Rodded(one.work, with_cleanouts(bare, self.house, self.book), bare, one.rank, one.drained)

    def _raised(self, above: Work, one: Drawn) -> Drawn:
        """Return a drawing whose traps do not sink with a deep sewer: its drain steeper, or with a drop at the end."""
        slope, size, lift = one.work.trunk_slope, one.work.trunk_in, one.work.lift_mm
        deep, run = sunk(one.work)
        if deep <= SUNK_MM:
            cramped = 0.0 if lift else cramped_mm(one.work)
            if cramped <= SUNK_MM:
                return one
            other = self._whole(above, slope, size, max(cramped + LIFT_MARGIN_MM, self.fits.drop(size)))
            return min(one, other, key=lambda d: d.rank)
        if not lift and run > 0.0 and (steeper := slope + (deep + LIFT_MARGIN_MM) / run) <= MOST_STEEPER * slope:
            other = self._whole(above, steeper, size)
            if len(other.layout.blocked) <= len(one.layout.blocked) and sunk(other.work)[0] <= SUNK_MM:
                return other
        best = one
        if deep < DROP_MOST_MM:
            other = self._whole(above, slope, size, lift, drop_traps=True)
            if sunk(other.work)[0] <= SUNK_MM:
                best = min(best, other, key=lambda d: d.rank)
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

    def _whole(self, above: Work, slope: float, size: float, lift: float = 0.0, *, drop_traps: bool = False) -> Drawn:
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
    ) -> tuple[Drawn | None, bool]:
        """Return one drawing, None if given up; and whether a flatter building drain could free what is blocked."""
        work = copied(above)
        lift = max(lift, self._over_basement(slope, size))
        work.trunk_slope, work.trunk_in, work.lift_mm, work.impatient = slope, size, lift, impatient
        work.drop_traps = drop_traps
        if not _drained(work):
            return None, True
        one = self._vented(work, "")
        house, space = self.house, self.space
        low = {f.tag for f in house.fixtures if any(v.lowest for v in space.floor_layers(house.level(f.level_id)))}
        return one, any(tag in low or tag in ("drain", "stack") for b in one.work.blocked for tag in b.about)

    def _over_basement(self, slope: float, size: float) -> float:
        """Return how far a building drain must rise inside that hangs over a basement, for one to walk under it."""
        below, g = self.space.undrained, self.demands.gauge(size)
        if below is None:
            return 0.0
        low = lowest_hung_mm(below) + g.r - way_out(self.house, slope, g).z_mm
        return max(low + LIFT_MARGIN_MM, self.fits.drop(size)) if low > 0.0 else 0.0

    def _vented(self, drained: Work, first: str) -> Drawn:
        """Return a desk with all drains drawn finished, the vent of one fixture led out before the others."""
        work = copied(drained)
        layout = _finished(work, self.marks, first)
        found = faults(work)
        cost = layout.cost + asked_worth(layout, self.house.fixtures)
        rank = (len(layout.blocked), worst(found) + makeshifts(work), cost)
        return Drawn(work, drained, layout, rank, tuple(dict.fromkeys(doubts(work, found))))

    def led_out(self, one: Rodded) -> Rodded | None:
        """Return a drawing with its vents led out in another order, where the engine thinks more of that."""
        first = vent_first(one.drained) if one.drained is not None else ""
        if one.drained is None or not first:
            return None
        other = self._vented(one.drained, first)
        if not other.rank < one.rank:
            return None
        self.drawings.keep([other])
        return self.opened(other)

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
        block_too_low(work, TRAP_REACH_MM)
        return work


def _serves(one: Drawn) -> bool:
    """Return whether a building drain leaves nothing blocked and no trap too deep."""
    return not one.layout.blocked and sunk(one.work)[0] <= SUNK_MM


def _drained(work: Work) -> bool:
    """Draw the drains of the lowest level and solve all heights; return whether that was not given up."""
    space, u = work.space, work.house.job.units
    before = len(work.blocked)
    for level in reversed(space.levels):
        if any(v.lowest for v in space.floor_layers(level)):
            draw_level(work, level, TRAP_REACH_MM)
    if work.impatient and len(work.blocked) > before:
        return False
    take_up_unused(work)
    for t in work.board.solve_drains():
        node = work.board.nodes[t.node]
        at = f"{units.on_plan(*node.xy, u)} on the plan"
        if t.what == NOWHERE:
            found = f"the drain at {at} runs into nothing: no way on to the sewer was found for it"
            work.block((node.tag or "drain",), found, "first what else is blocked: this one waits for it")
            continue
        work.block(
            (node.tag or "drain",),
            f"heights do not work out at {at}: wants {units.both(t.want, u)}, has {units.both(t.have, u)} ({t.what})",
            "more fall, another place, or a flatter slope the book allows",
        )
    if work.drop_traps:
        drop_behind_vents(work)
    hold_fixed_weirs(work)
    raise_stacks(work)
    return True


def _finished(work: Work, marks: tuple[StubMark, ...], first: str) -> Layout:
    """Return the layout of a desk with all drains drawn, the vent of one fixture led out before the others."""
    house, book, u = work.house, work.book, work.house.job.units
    slope, trunk_in = work.trunk_slope, work.trunk_in
    vents = Venting(work, tie_in_margin(work), first)
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
                (why_slope(book, slope, trunk_in),),
                (ask.min_slope(book, trunk_in).basis,),
            )
        )
    over = work.space.undrained
    if work.lift_mm and over is None:
        work.notes.append(
            f"The building drain comes in at the depth of its connection and rises {units.both(work.lift_mm, u)} "
            "inside, lest a trap lie deeper below its outlet than the book lets it"
        )
    if over is not None:
        sleeve, by = ask.sleeve(book, trunk_in, u)
        whence = "common practice, no source" if by is None else f"{by.book} {by.section}; {by.status.value}"
        out = f"; it passes the wall of the foundation in a sleeve{sleeve} ({whence}): ask the engineer"
        outside = not work.space.inside((house.sewer.at.x, house.sewer.at.y))
        work.notes.append(
            f"The building drain hangs over {over.title or over.id}, where nothing under the slab falls to the "
            f"connection{out if outside else ''}"
        )
    if house.sewer.valve_drop_mm:
        drop = units.both(house.sewer.valve_drop_mm, u)
        work.notes.append(f"{drop} of fall is kept for the body of the backwater valve")
    work.questions += members_asked(work)
    layout = in_place(house, finish(work, assemble(work, placed_marks(work, marks), vents.trap_runs)))
    return replace(layout, cost=worth(layout, costs_of(house.costs), pipe_tops(house.fixtures)))
