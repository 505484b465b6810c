"""Where a vent may come out, how high it must end, and the enlargement against frost. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from stubout.layout.draft import DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.space_shapes import XY
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import Work
from stubout.problems import NotInBook, Question
from stubout.rulebooks import queries as ask

Lengths: TypeAlias = NDArray[np.float64]
"""Of many places at once [mm]."""

ASSUMED_ABOVE_MM = 152.4  # asked of the authority where the book has no figure
GRID_MM = 406.0
ROOF_LEAN_MM = 110.0  # how far below the top of its wall a vent starts to lean
LEANS_MM = (120.0, 160.0, 200.0, 260.0, 320.0)
LEAST_HEADER_MM = 400.0  # a header in an attic takes two turns and a tie-in, the largest in 3 in; an estimate
FROST_MARGIN_MM = 10.0  # below the height the book asks for
BRACED_ABOVE_MM = 2000.0
BORED_TOO = 4.0  # times as bad where the vent that has to grow runs through studs


@dataclass(frozen=True, slots=True)
class AtticEnd:
    """A vent that has come up into the attic: where, how large, how far it may yet run level before it must grow."""

    node: DNode
    size_in: float
    left: float
    bored: bool = False  # it passes studs, which may not take a larger hole

    @property
    def xy(self) -> XY:
        """Return its plan position."""
        return self.node.xy


class Roof:
    """The roof asked for a place."""

    def __init__(self, work: Work) -> None:
        self.work = work
        self._known = work.space.memory("roof")
        b = work.book
        self.above = self._above()
        try:
            far, high = ask.terminal_from_opening(b)
            self.far, self.high = far.number, high.number
        except NotInBook:
            self.far, self.high = 0.0, 0.0

    def _above(self) -> float:
        """Return how far above the roof a vent ends by the book [mm]; a question where the book leaves it open."""
        work = self.work
        try:
            return ask.terminal_above_roof(work.book, work.house.climate.frost_prone_vents).number
        except NotInBook:
            question = Question(
                "Q-terminal-above-roof",
                "How far above the roof must a vent end here? The book leaves the figure to the authority.",
                "inspector",
                "length of the vents above the roof",
                f"{ASSUMED_ABOVE_MM / 25.4:.0f} in",
                ("terminal.above_roof",),
            )
            if all(q.id != question.id for q in work.questions):
                work.questions.append(question)
            return ASSUMED_ABOVE_MM

    def may(self, xy: XY) -> bool:
        """Return whether a pipe may come out of the roof here."""
        key = ("may", xy)
        if key not in self._known.answers:
            self._known.answers[key] = self._may(xy)
        found: bool = self._known.answers[key]
        return found

    def _may(self, xy: XY) -> bool:
        planes = [
            r
            for r in self.work.house.roof
            if r.x0_mm - 1 <= xy[0] <= r.x1_mm + 1 and r.y0_mm - 1 <= xy[1] <= r.y1_mm + 1
        ]
        if not planes or not all(p.may_pierce for p in planes):
            return False
        if any(
            z.x0_mm - 60 <= xy[0] <= z.x1_mm + 60 and z.y0_mm - 60 <= xy[1] <= z.y1_mm + 60
            for z in self.work.house.roof_zones
        ):
            return False
        return not any(
            o.box.lo.x - 150 <= xy[0] <= o.box.hi.x + 150 and o.box.lo.y - 150 <= xy[1] <= o.box.hi.y + 150
            for o in self.work.house.roof_openings
        )

    def exit(self, xy: XY, top: float) -> XY | None:
        """Return where a pipe that comes up here may leave the roof: straight, or leaned aside at 45 degrees."""
        if self.may(xy):
            return xy
        for shift in LEANS_MM:
            for ux, uy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                p = (xy[0] + ux * shift, xy[1] + uy * shift)
                roof = self.work.space.roof_z(p)
                if roof is not None and self.may(p) and top - ROOF_LEAN_MM + shift < roof - 60.0:
                    return p
        return None

    def end_z(self, xy: XY) -> float:
        """Return how high a terminal must end here: above the roof, and above openings that are near."""
        key = ("end", xy)  # the book is the same for all that shares this memory
        if key not in self._known.answers:
            self._known.answers[key] = self._end_z(xy)
        found: float = self._known.answers[key]
        return found

    def _end_z(self, xy: XY) -> float:
        roof = self.work.space.roof_z(xy)
        z = (roof if roof is not None else 0.0) + self.above
        climate = self.work.house.climate
        snow = climate.snow_mm if climate.frost_prone_vents else 0.0
        z = max(z, (roof or 0.0) + snow + 0.0)
        for o in self.work.house.roof_openings:
            if o.opens and self._distance(xy, (o.box.lo.x, o.box.lo.y), (o.box.hi.x, o.box.hi.y)) < self.far:
                z = max(z, o.box.hi.z + self.high)
        for w in self.work.house.walls:
            for op in w.openings:
                if not (op.opens and op.exterior):
                    continue
                a, b = w.point(op.station_mm, 0), w.point(op.station_mm + op.width_mm, 0)
                lo = (min(a.x, b.x), min(a.y, b.y))
                hi = (max(a.x, b.x), max(a.y, b.y))
                if self._distance(xy, lo, hi) < self.far:
                    z = max(z, op.head_z_mm + self.high)
        return z

    def _distance(self, xy: XY, lo: XY, hi: XY) -> float:
        dx = max(lo[0] - xy[0], 0.0, xy[0] - hi[0])
        dy = max(lo[1] - xy[1], 0.0, xy[1] - hi[1])
        return math.hypot(dx, dy)

    def groups(self, ends: Sequence[AtticEnd]) -> list[list[AtticEnd]]:
        """Return the vents that share a terminal: all one, or two where that spares more than a hole in the roof.

        A vent that runs level too far has to be larger over its whole length in some books; a terminal of its own may
        save that.
        """
        best = (self._cost(ends), [list(ends)])
        if self.work.house.wishes.max_terminals not in (None, 0, 1):
            for axis in (0, 1):
                order = sorted(ends, key=lambda e: (e.xy[axis], e.xy[1 - axis]))
                for k in range(1, len(order)):
                    cost = self._cost(order[:k]) + self._cost(order[k:]) + WEIGHTS.roof
                    if cost < best[0] - 0.01:
                        best = (cost, [order[:k], order[k:]])
        return best[1]

    def _cost(self, ends: Sequence[AtticEnd]) -> float:
        found = self.placed(ends)
        return found[0] if found is not None else 1.0e6

    def placed(self, ends: Sequence[AtticEnd]) -> tuple[float, XY] | None:
        """Return cost and plan position of the terminal that costs least pipe in the attic and above the roof."""
        key = ("placed", *((e.xy, e.size_in, e.left, e.bored) for e in ends))
        if key not in self._known.answers:
            self._known.answers[key] = self._placed(ends)
        found: tuple[float, XY] | None = self._known.answers[key]
        return found

    def _placed(self, ends: Sequence[AtticEnd]) -> tuple[float, XY] | None:
        size_in = max(e.size_in for e in ends)
        reckoned = ((xy, self._there(xy, size_in)) for xy in self._candidates([e.xy for e in ends]))
        tried = [(xy, there) for xy, there in reckoned if there is not None]
        if not tried:
            return None
        x, y = np.array([xy for xy, _ in tried]).T
        costs = np.array([there for _, there in tried]) + sum(
            self._run_costs(e, np.abs(e.xy[0] - x) + np.abs(e.xy[1] - y)) for e in ends
        )
        best: tuple[float, XY] | None = None
        for (xy, _), cost in zip(tried, costs.tolist(), strict=True):
            if best is None or cost < best[0] - 0.01:
                best = (cost, xy)
        return best

    def _there(self, xy: XY, size_in: float) -> float | None:
        """Return what a terminal of a size weighs at a place; None where none can be."""
        key = ("there", xy, size_in)
        if key not in self._known.answers:
            self._known.answers[key] = self._reckoned_there(xy, size_in)
        found: float | None = self._known.answers[key]
        return found

    def _reckoned_there(self, xy: XY, size_in: float) -> float | None:
        space = self.work.space
        if not self.may(xy) or space.roof_z(xy) is None:
            return None
        layer = next((v for v in space.layers.values() if v.kind == "attic"), None)
        if layer is not None and space.leg(layer, xy, xy, self.work.gauge(size_in)) is None:
            return None
        return self.terminal_cost(xy)

    def terminal_cost(self, xy: XY) -> float:
        """Return what a terminal weighs at a place on the roof: how far it stands above it, and its braces."""
        tall = self.end_z(xy) - (self.work.space.roof_z(xy) or 0.0)
        return 3 * tall + (5000.0 if tall > BRACED_ABOVE_MM else 0.0)

    def _run_costs(self, end: AtticEnd, away: Lengths) -> Lengths:
        """Return what it costs to bring a vent to terminals so far away through the attic: pipe and two turns."""
        grows = np.where(away > end.left, WEIGHTS.grown_vent * (BORED_TOO if end.bored else 1.0), 0.0)
        tight = np.where(away < LEAST_HEADER_MM, WEIGHTS.short_leg, 0.0)
        lies = (away + 2 * WEIGHTS.turn_90) * (1 + end.size_in / 3) + tight
        return np.where(away < 1.0, 0.0, lies) + grows

    def most_flat(self, size_in: float) -> float:
        """Return how much of a vent may lie level before it has to grow [mm], infinite where the book has no rule."""
        book = self.work.book
        part = book.find("vent.horizontal_part")
        if part is None:
            return math.inf
        most = ask.vent_max_length(book, vent_in=size_in, load=0.0, stack=False, stack_in=0.0)
        return math.inf if most is None else part.number * most.number

    def away(self, xy: XY) -> float:
        """Return how far level it is at least to a place where a pipe may come out of the roof [mm]."""
        key = ("away", xy)
        if key not in self._known.answers:
            x, y = self._open()
            here = self.may(xy) or not x.size
            self._known.answers[key] = 0.0 if here else float((np.abs(x - xy[0]) + np.abs(y - xy[1])).min())
        found: float = self._known.answers[key]
        return found

    def _open(self) -> tuple[Lengths, Lengths]:
        """Return the places of a grid at which a pipe may come out of the roof, x and y [mm]."""
        if ("open",) not in self._known.answers:
            open_ = [p for p in self._candidates([]) if self.may(p)]
            self._known.answers["open",] = tuple(np.array(open_, dtype=float).reshape(-1, 2).T)
        found: tuple[Lengths, Lengths] = self._known.answers["open",]
        return found

    def _candidates(self, points: list[XY]) -> list[XY]:
        fp = self.work.house.footprint
        out = list(points)
        xs = {p[0] for p in points}
        ys = {p[1] for p in points}
        n_x = int((fp.hi.x - fp.lo.x) / GRID_MM)
        n_y = int((fp.hi.y - fp.lo.y) / GRID_MM)
        xs |= {fp.lo.x + GRID_MM * i for i in range(1, n_x)}
        ys |= {fp.lo.y + GRID_MM * i for i in range(1, n_y)}
        out += [(x, y) for x in sorted(xs) for y in sorted(ys)]
        return out

    def enlarged(self, xy: XY, size: float) -> tuple[float, float] | None:
        """Return the size a vent is enlarged to against frost, and the height it must have it from; None if not.

        It grows in the warm part of the house: so far below a sloped ceiling, the ceiling under a cold attic, or else
        the roof, as the book says.
        """
        work = self.work
        try:
            frost = ask.terminal_frost_size(work.book)
        except NotInBook:
            return None
        roof = work.space.roof_z(xy)
        if not work.house.climate.frost_prone_vents or frost.number <= size or roof is None:
            return None
        inside = work.book.find("terminal.frost_inside")
        warm = roof
        for plane in work.house.roof:
            if plane.ceiling_below_mm is not None and abs(plane.z_at(*xy) - roof) < 1.0:
                warm = roof - plane.ceiling_below_mm
        if warm == roof and "attic" in work.house.wishes.cold_spaces:
            lofts = [v.ceiling_z_mm for v in work.house.levels if v.attic_above and v.ceiling_z_mm is not None]
            warm = max((z for z in lofts if z < roof), default=roof)
        return frost.number, warm - (inside.number if inside is not None else 0.0) - FROST_MARGIN_MM

    def terminal(self, start: DNode, size: float, tag: str) -> list[int]:
        """Draw from under the roof to the open air, enlarged where frost asks for it; return the edges."""
        work, board = self.work, self.work.board
        xy = start.xy
        roof = work.space.roof_z(xy)
        if roof is None:
            work.block((tag or "vent",), "no roof over the vent", "describe the roof plane in the job file")
            return []
        ids: list[int] = []
        at = start
        z_end = self.end_z(xy)
        frost = self.enlarged(xy, size)
        out_in = frost[0] if frost is not None else size
        if frost is not None:
            fits = board.fits
            room = fits.quarter(size) + fits.room("reducing coupling", (size, out_in), "inlet")
            z_change = max(frost[1], (start.z or 0.0) + room)
            mid = board.node(xy, PointKind.REDUCER, min(z_change, roof - 60.0), tag)
            ids.append(board.edge(at, mid, "vent", Role.STACK_VENT, Place("attic"), size, tag=tag, plumb=True).id)
            at = mid
        end = board.node(xy, PointKind.TERMINAL, z_end, tag)
        ids.append(board.edge(at, end, "vent", Role.STACK_VENT, Place("roof"), out_in, tag=tag, plumb=True).id)
        return ids
