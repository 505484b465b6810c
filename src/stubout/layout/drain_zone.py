"""What one level's floor zone holds while its drains are drawn, and how ways of drawing them are tried.

Lengths [mm], sizes in nominal inches, heights from the datum of the house [mm].
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from typing import TypedDict

from stubout.geometry.vec import Vec
from stubout.house.model import HouseLevel
from stubout.layout.adopt import zone_of
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import DEdge, Mark
from stubout.layout.main_vent import main_vent_in
from stubout.layout.model import Blocked
from stubout.layout.outlook import Outlook
from stubout.layout.route import Target
from stubout.layout.space_shapes import XY, Layer, off_line
from stubout.layout.stacks import StackSpot
from stubout.layout.traffic import Post
from stubout.layout.ways_round import ways_round
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import TrapDraft, Work
from stubout.layout.zone_router import ZoneRouter
from stubout.problems import NotInBook, Question
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook

BEND_COST_MM = 150.0  # what a bend weighs beside pipe when two ways of drawing the same are compared
SHORT_OF_ROOM = 1.5  # how much a joint without room weighs beside a fixture left blocked
MOST_ARM_TRIES = 6  # places for the vent of one fixture that are drawn to see what they cost
VENT_WEIGHT = 0.5  # the way out of a vent is shared with others that tie into it
ROUND_WEIGHT = (
    2.0  # how much pipe that goes a long way round weighs beside pipe that does not; a plumber shakes his head
)
MOST_STEPS = 60  # pipes between a trap and its stack: more would be going round in a ring


Rank = tuple[float, int, float]
"""What a way of drawing leaves blocked or undone, what it asks, what it weighs: the less the better."""


class Room(TypedDict):
    """The room that bends take beside their centres [mm]; keywords of `Ask`."""

    swivel: bool
    half_45: float
    half_90: float
    half_start: float
    drop: float


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The desk and the zone at one moment, to come back to."""

    board: Mark
    traps: dict[str, TrapDraft]
    blocked: list[Blocked]
    questions: list[Question]
    notes: list[str]
    risers: list[tuple[Spot, float]]
    edge_layer: dict[int, str]
    planned: list[Post]
    keys: set[XY]
    in_walls: list[tuple[Vec, Vec, float]]
    shy: dict[str, tuple[XY, XY]]


def turn_free_deg(book: RuleBook) -> float:
    """Return by how much a lying drain may turn in all without a cleanout [deg]; infinite where none adds turns up."""
    rule = book.find("cleanout.turn_rule")
    if rule is None or rule.text != "total":
        return math.inf
    try:
        return ask.cleanout_turn(book).number
    except NotInBook:
        return math.inf


class DrainZone:
    """One level's floor zone: its layers, its router, and where new stacks may stand."""

    def __init__(self, work: Work, level: HouseLevel, trap_reach: dict[float, float]) -> None:
        self.work, self.level, self.trap_reach = work, level, trap_reach
        self.fits = work.board.fits
        self.outlook = Outlook(work)
        layers = work.space.floor_layers(level)
        if work.order.in_walls:
            layers += work.space.wall_layers(level)
        self.layers: tuple[Layer, ...] = layers
        self.router = ZoneRouter(work.space, work.board, layers, work.demands.gauges)
        work.routers[level.id] = self.router
        zone_of(work, level.id, self.router)
        self.lowest = any(layer.lowest for layer in layers)
        self.start_layers = tuple(layer.key for layer in layers)
        self.spots: list[StackSpot] = []
        try:
            self.foot_clear = ask.stack_foot_clear(work.book, 3.0).number
        except NotInBook:
            self.foot_clear = 0.0
        self.turn_free = math.inf if self.lowest else turn_free_deg(work.book)
        self.main_vent_in = main_vent_in(work)
        self.first_target: Target | None = (
            None  # the sewer, where the first drain of the lowest zone has yet to reach it
        )
        self.trunk_target: Target | None = None  # the same, kept for whoever redraws the first drain
        self.to_beat: Rank | None = None  # of the ways of drawing the same thing, the best so far
        self.anew = False  # what stands is laid anew: places to turn and join are looked for closely
        self.last_why = ""  # why the fixture looked at last found no bay in a wall

    def bends(self, size_in: float, start: float | None = None) -> Room:
        """Return the room bends of a size take; at the asked position that of a long turn, if nothing else is said."""
        fits = self.fits
        return Room(
            swivel=True,
            half_45=fits.eighth(size_in),
            half_90=fits.sweep(size_in),
            half_start=fits.sweep(size_in) if start is None else start,
            drop=fits.drop(size_in),
        )

    @property
    def fine(self) -> bool:
        """Return whether places where a branch may turn and join best are looked for (`doglegs.py`)."""
        return self.anew or self.work.order.short

    def edges(self) -> list[DEdge]:
        """Return the drains of this zone that others may join."""
        return [
            e
            for e in self.work.board.edges.values()
            if e.id in self.router.edge_layer and e.system == "drain" and not e.apart
        ]

    def snapshot(self) -> Snapshot:
        """Return everything a way of drawing may change, copied."""
        w = self.work
        return Snapshot(
            w.board.mark(),
            _copied(w.traps),
            list(w.blocked),
            list(w.questions),
            list(w.notes),
            list(w.risers),
            dict(self.router.edge_layer),
            list(self.router.planned),
            set(self.router.keys),
            list(w.cavity.pipes),
            dict(self.router.shy),
        )

    def restore(self, then: Snapshot) -> None:
        """Put everything back as it was; the snapshot stays good for another time."""
        w = self.work
        w.board.undo(then.board)
        w.traps = _copied(then.traps)
        w.blocked[:], w.questions[:], w.notes[:], w.risers[:] = then.blocked, then.questions, then.notes, then.risers
        self.router.edge_layer = dict(then.edge_layer)
        self.router.planned[:] = then.planned
        self.router.keys = set(then.keys)
        w.cavity.pipes[:] = then.in_walls
        self.router.shy = dict(then.shy)

    def best_of(self, ways: Sequence[Callable[[], float]], promising: Collection[int] = ()) -> None:
        """Try several ways of drawing the same thing and keep the one that blocks least and then costs least.

        Args:
            ways: The ways; of equal ones the first is kept.
            promising: Which of them are drawn first, so that others can be given up the sooner.
        """
        if len(ways) == 1:
            ways[0]()
            return
        before, outer = self.snapshot(), self.to_beat
        best: tuple[tuple[Rank, int], Snapshot] | None = None
        for i in (*promising, *(i for i in range(len(ways)) if i not in promising)):
            self.to_beat = None if best is None else best[0][0]
            cost = ways[i]()
            undone, near = self._short_of_room()
            rank = (len(self.work.blocked) + undone, len(self.work.questions), round(cost + near, 1))
            if best is None or (rank, i) < best[0]:
                best = ((rank, i), self.snapshot())
            self.restore(before)
        assert best is not None
        self.to_beat = outer
        self.restore(best[1])

    def to_tree(self, xy: XY) -> float:
        """Return how far the nearest drain or stack that a drain from a place may join lies at the least [mm]."""
        board = self.work.board
        far = [off_line(xy, board.nodes[e.up].xy, board.nodes[e.down].xy) for e in self.edges() if not e.plumb]
        far += [math.dist(xy, s.xy) for s in board.stacks] + [math.dist(xy, s.xy) for s in self.spots]
        if self.first_target is not None:
            far.append(math.dist(xy, self.first_target.xy))
        return min(far, default=0.0)

    def beaten(self) -> bool:
        """Return whether the way being tried cannot become better than one that is known: no need to draw it on.

        What is drawn on blocks no less, asks no less and weighs no less.
        """
        if self.to_beat is None:
            return False
        blocked, asked, cost = self.to_beat
        if len(self.work.blocked) > blocked:
            return True
        return len(self.work.blocked) >= blocked and len(self.work.questions) >= asked and self.weight() > cost + 0.1

    def weight(self) -> float:
        """Return what stands on the board so far, to compare two ways: pipe, bends, ways round, fittings too near."""
        board = self.work.board
        pipe = sum(board.plan(e) + BEND_COST_MM for e in board.edges.values())
        near = WEIGHTS.short_leg * sum(t.dear for t in self.work.traps.values())
        return pipe + near + ROUND_WEIGHT * self._ways_round()

    def standing(self) -> tuple[float, float]:
        """Return how much what stands leaves undone, and what it weighs with joints too near each other."""
        undone, near = self._short_of_room()
        return len(self.work.blocked) + undone, self.weight() + near

    def _short_of_room(self) -> tuple[float, float]:
        """Return how much joints without room leave undone, and what joints too near each other weigh."""
        short, tight = self.work.board.short_of_room()
        return SHORT_OF_ROOM * short, tight * WEIGHTS.short_leg

    def _ways_round(self) -> float:
        """Return how much longer branches are than twice the straight way from their drops to their joints [mm]."""
        board = self.work.board
        return math.fsum(way.extra_mm for way in ways_round(board, board.edges.values()))


def _copied(traps: dict[str, TrapDraft]) -> dict[str, TrapDraft]:
    """Return the traps with lists of their own, so that drawing on does not reach into a snapshot."""
    return {
        tag: replace(t, arm=list(t.arm), wet=list(t.wet), closet_tail=list(t.closet_tail)) for tag, t in traps.items()
    }
