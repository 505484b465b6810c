"""Where a vent may come out, how high it must end, and the enlargement against frost. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.layout.draft import DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.space import XY
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import Work
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask

GRID_MM = 406.0
ROOF_LEAN_MM = 110.0  # how far below the top of its wall a vent starts to lean
LEANS_MM = (120.0, 160.0, 200.0, 260.0, 320.0)
BRACED_ABOVE_MM = 2000.0


class Roof:
    """The roof asked for a place."""

    def __init__(self, work: Work) -> None:
        self.work = work
        b = work.book
        self.above = ask.terminal_above_roof(b).number
        try:
            far, high = ask.terminal_from_opening(b)
            self.far, self.high = far.number, high.number
        except NotInBook:
            self.far, self.high = 0.0, 0.0

    def may(self, xy: XY) -> bool:
        """Return whether a pipe may come out of the roof here."""
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

    def place(self, ends: list[tuple[XY, float]]) -> XY | None:
        """Return the plan position of the terminal that costs least pipe in the attic and above the roof."""
        best: tuple[float, XY] | None = None
        for xy in self._candidates([p for p, _ in ends]):
            if not self.may(xy):
                continue
            roof = self.work.space.roof_z(xy)
            if roof is None:
                continue
            layer = next((v for v in self.work.space.layers.values() if v.kind == "attic"), None)
            if (
                layer is not None
                and self.work.space.leg(layer, xy, xy, self.work.gauge(max(s for _, s in ends))) is None
            ):
                continue
            tall = self.end_z(xy) - roof
            cost = sum(self._run_cost(abs(p[0] - xy[0]) + abs(p[1] - xy[1]), s) for p, s in ends) + 3 * tall
            if tall > BRACED_ABOVE_MM:
                cost += 5000.0
            if best is None or cost < best[0] - 0.01:
                best = (cost, xy)
        return best[1] if best else None

    def _run_cost(self, away: float, size: float) -> float:
        """Return what it costs to bring a vent to a terminal so far away through the attic: pipe and two turns."""
        if away < 1.0:
            return 0.0
        tight = WEIGHTS.short_leg if away < 2 * self.work.board.fits.quarter(size) else 0.0
        return (away + 2 * WEIGHTS.turn_90) * (1 + size / 3) + tight

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

    def terminal(self, start: DNode, size: float, tag: str) -> list[int]:
        """Draw from under the roof to the open air, enlarged where frost asks for it; return the edges."""
        work, board = self.work, self.work.board
        xy = start.xy
        roof = work.space.roof_z(xy)
        if roof is None:
            work.block((tag or "vent",), "no roof over the vent", "describe the roof plane in the job file")
            return []
        ids: list[int] = []
        out_in = size
        try:
            frost = ask.terminal_frost_size(work.book)
        except NotInBook:
            frost = None
        if frost is not None and work.house.climate.frost_prone_vents:
            out_in = max(size, frost.number)
        at = start
        z_end = self.end_z(xy)
        if out_in > size:
            inside = work.book.find("terminal.frost_inside")
            fits = board.fits
            room = fits.quarter(size) + fits.room("reducing coupling", (size, out_in), "inlet")
            z_change = max(roof - (inside.number if inside is not None else 0.0), (start.z or 0.0) + room)
            mid = board.node(xy, PointKind.REDUCER, min(z_change, roof - 60.0), tag)
            ids.append(board.edge(at, mid, "vent", Role.STACK_VENT, Place("attic"), size, tag=tag, plumb=True).id)
            at = mid
        end = board.node(xy, PointKind.TERMINAL, z_end, tag)
        ids.append(board.edge(at, end, "vent", Role.STACK_VENT, Place("roof"), out_in, tag=tag, plumb=True).id)
        return ids
