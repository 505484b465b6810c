"""Whether a vent that starts at a place would get out, asked while the drains are still being chosen. Lengths [mm].

Drains and vents want the same walls and floors. A bay that takes a drain is no use if its vent is shut in, so what the
vent would cost from there is part of the price of the drain.
"""

from __future__ import annotations

from stubout.layout.cavity_shapes import Spot
from stubout.layout.space_shapes import XY
from stubout.layout.vent_ways import VentWays
from stubout.layout.work import Work
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook

USUAL_TIE_IN_MM = 150.0  # where a book is silent; common practice, no source


def tie_in_margin(work: Work) -> float:
    """Return how far above the flood rims a vent may turn, by the book [mm]."""
    return tie_above_rim(work.book)


def tie_above_rim(book: RuleBook) -> float:
    """Return the same of a book [mm]."""
    try:
        return ask.tie_in_above_rim(book).number
    except NotInBook:
        return USUAL_TIE_IN_MM


class Outlook:
    """Looks ahead for vents over the drains that are on the board."""

    def __init__(self, work: Work) -> None:
        self.work = work
        self.ways = VentWays(work, tie_in_margin(work))
        self._known = work.space.memory("outlook").answers

    def cost(self, spot: Spot, z: float, size_in: float) -> float | None:
        """Return what the cheapest vent from a spot costs, None if there is none.

        Args:
            spot: Where it rises.
            z: Height it starts from [mm]; the foot of the wall where the drain lies lower.
            size_in: Its size.
        """
        self._look()
        w = spot.wall
        g = self.work.gauge(size_in)
        level = self.work.house.level(w.level_id)
        top = w.under_plates_at(spot.station) - g.r
        tie = min(self.ways.tie_height(level), top - 5.0)
        try:
            # one house gives one answer wherever the same pipes stand, in whatever drawing
            key = (w.id, spot.station, spot.offset, max(z, w.bottom_z_mm), tie, size_in, self._standing())
            if key not in self._known:
                self._known[key] = self.ways.least(spot, max(z, w.bottom_z_mm), tie, size_in)
            cost: float | None = self._known[key]
            return cost
        finally:
            self._done()

    def _standing(self) -> tuple[object, ...]:
        """Return all that stands or lies in the way of a vent beside the house itself."""
        cavity = self.work.cavity
        floors = tuple((ref, tuple(lying)) for ref, lying in cavity.floors.items())
        risers = tuple((r.wall.id, r.station, hub) for r, hub in self.work.risers)
        return floors, tuple(cavity.plumbs), tuple(cavity.pipes), risers

    def _look(self) -> None:
        """Put the drains of the upper floors, whose heights are open, and the stacks in the way of the vents."""
        work = self.work
        board, cavity = work.board, work.cavity
        floors: dict[str, list[tuple[XY, XY, float]]] = {}
        for e in board.edges.values():
            if e.plumb or e.place.kind != "joist bay":
                continue
            a, b = board.nodes[e.up].xy, board.nodes[e.down].xy
            floors.setdefault(e.place.ref, []).append((a, b, work.gauge(e.size_in).r))
        cavity.floors = floors
        cavity.plumbs = [
            (s.xy[0], s.xy[1], s.places[-1][0], s.places[0][1], work.gauge(s.size_in).r) for s in board.stacks
        ]

    def _done(self) -> None:
        self.work.cavity.floors, self.work.cavity.plumbs = {}, []
