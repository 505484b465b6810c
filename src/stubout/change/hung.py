"""Drains of a crawl space, or over a basement, hung close under the joists over one drop of the building drain. [mm].

A plumber hangs them as high as fall and fittings let him and lets the building drain drop once, just inside the wall it
leaves by: hangers and drops from the fixtures are short, and nobody crawls under pipe. What was laid out from a deep
connection up keeps its ways in plan and is raised as one, so nothing of it comes nearer to anything but the floor over
it; whether that is worth two bends is told by the finished house.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from stubout import units
from stubout.change.easing import moved
from stubout.change.reshaped import PLUMB, free_name
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import Layout, Place, Point, PointKind, Role, Run
from stubout.layout.takeup import TakeUp
from stubout.layout.weights import HANG_GAP_MM

LEAST_MM = 100.0  # drains that may lie no more than so much higher stay
SPARE_MM = 6.0  # kept of the height that there is: points are moved a little afterwards
INSIDE_MM = 300.0  # the drop stands so far inside the footprint at the least
CRAWL, OPEN = "crawl", "below frame"


def hung(layout: Layout, house: House, fits: TakeUp) -> Layout | None:
    """Return a layout with the drains of its crawl space raised, or those over its basement; None where none can be.

    Args:
        layout: The layout, without cleanouts.
        house: The house.
        fits: The room that fittings take.
    """
    if any(r.drawn for r in layout.runs):
        return None
    return _Hanging(layout, house, fits).raised()


def where_eased(bare: Layout, eased: Layout, house: House) -> Layout:
    """Return a layout without cleanouts with its points where easing put them once they were set; or as it is.

    Where easing has drawn other shapes, not all of its points are there any more.
    """
    now = {p.id: p.at for p in eased.points}
    if any(p.id not in now for p in bare.points) or {r.id for r in bare.runs} - {r.id for r in eased.runs}:
        return bare
    return moved(bare, house, {p.id: by for p in bare.points if (by := now[p.id].minus(p.at)).length > 0.0})


class _Hanging:
    def __init__(self, layout: Layout, house: House, fits: TakeUp) -> None:
        self.layout, self.house, self.fits = layout, house, fits
        self.at = {p.id: p.at for p in layout.points}
        self.under = {f.id: f.bottom_z_mm for f in house.frames}
        main = next((r.place for r in layout.runs if r.role is Role.BUILDING_DRAIN and r.place.kind == OPEN), None)
        self.over = "" if main is None else main.ref  # the frame that the building drain hangs from over a basement
        self.joists = min((self._under(r) for r in layout.runs if self._hangs(r)), default=-math.inf)
        self.meets = Counter(n for r in layout.runs for n in (r.start, r.end))
        self.into: dict[str, list[Run]] = {}
        self.vents: dict[str, list[Run]] = {}
        for r in layout.runs:
            if r.system == "drain":
                self.into.setdefault(r.end, []).append(r)
            else:
                self.vents.setdefault(r.start, []).append(r)

    def raised(self) -> Layout | None:
        """Return the layout with all up stream of the drop raised as far as it goes."""
        found = self._drop()
        if found is None:
            return None
        drop, cut = found
        by = min(self._room(drop.start), self._below(self.joists, drop, drop.start)) - SPARE_MM
        if by < (LEAST_MM if cut is None else max(LEAST_MM, self.fits.drop(drop.size_in))):
            return None
        made = moved(self.layout, self.house, dict.fromkeys(self._lifted(drop.start, by), Vec(0.0, 0.0, by)))
        if cut is not None:
            hangs = (r.place for r in self.into.get(drop.start, ()) if self._hangs(r))
            made = _let_drop(made, drop, cut, by, next(hangs, drop.place))  # what lay in the ground may hang now
        rise = units.both(by, self.house.job.units)
        where = "over the basement" if self.over else "of the crawl space"
        note = f"The drains {where} hang close under the joists: {rise} higher than the sewer asks"
        return replace(made, notes=(*made.notes, f"{note}, over one drop of the building drain just inside the house"))

    def _drop(self) -> tuple[Run, Vec | None] | None:
        """Return the run in which the building drain drops, or may be let drop and where: before anything joins it."""
        sewer = next((p.id for p in self.layout.points if p.kind is PointKind.SEWER), None)
        into = self.into.get(sewer, []) if sewer is not None else []
        while len(into) == 1:
            (run,) = into
            if self._plumb(run):
                return (run, None) if run.role is Role.BUILDING_DRAIN else None
            if (at := self._cut(run)) is not None:
                return run, at
            into = self.into.get(run.start, [])
        return None

    def _cut(self, run: Run) -> Vec | None:
        """Return where a run of the building drain may drop, as near to the wall it leaves by as fittings let it."""
        up, down = self.at[run.start], self.at[run.end]
        long, size = up.minus(down).length, run.size_in
        lo = self.fits.sweep(size) + self.fits.bend(size, 2)
        hi = long - self.fits.quarter(size) - self.fits.joint(size, size, False, "outlet")
        if not self._hangs(run) and not self._inside(up, INSIDE_MM):
            return None
        for mm in range(math.ceil(lo), math.floor(hi) + 1, 50):
            at = down.plus(up.minus(down).times(mm / long))
            if self._inside(at, INSIDE_MM):
                return at
        return None

    def _inside(self, at: Vec, by_mm: float) -> bool:
        lo, hi = self.house.footprint.lo, self.house.footprint.hi
        return lo.x + by_mm <= at.x <= hi.x - by_mm and lo.y + by_mm <= at.y <= hi.y - by_mm

    def _hangs(self, run: Run) -> bool:
        return run.place.kind == CRAWL or (run.place.kind == OPEN and run.place.ref == self.over)

    def _plumb(self, run: Run) -> bool:
        way = self.at[run.end].minus(self.at[run.start])
        return way.plan_length <= PLUMB * abs(way.z)

    def _under(self, run: Run) -> float:
        """Return the underside of the joists that a run hangs from; infinitely low where it hangs from none."""
        return self.under.get(run.place.ref, -math.inf) if self._hangs(run) else -math.inf

    def _room(self, n: str) -> float:
        """Return how much higher a point may lie with all that lies level up stream of it [mm]."""
        room = math.inf
        for run in self.into.get(n, ()):
            if not self._plumb(run):
                ends = min(self._under_joists(run, run.start), self._under_joists(run, run.end))
                room = min(room, ends, self._room(run.start))
            elif self._below_joists(run):  # it stays, or goes along
                room = min(room, max(self._spare(run), self._room(run.start)))
            else:
                room = min(room, self._spare(run))
        return min([room, *map(self._vent_room, self.vents.get(n, ()))])

    def _vent_room(self, vent: Run) -> float:
        """Return how much higher the foot of a vent may lie: it gets shorter, or goes along into the wall [mm]."""
        return max(self._rise(vent), self._along(vent))

    def _rise(self, vent: Run) -> float:
        """Return how much shorter the plumb foot of a vent may be [mm]; 0 where it leaves its drain another way."""
        least = self.fits.tee(vent.size_in, vent.size_in, "upper") + self.fits.eighth(vent.size_in)
        return self.at[vent.end].z - self.at[vent.start].z - least if self._plumb(vent) else 0.0

    def _along(self, vent: Run) -> float:
        """Return how much higher a vent may lie or lean in the crawl space with all of its foot [mm]."""
        on = self.vents.get(vent.end, ())
        if len(on) != 1 or self.meets[vent.end] > 2:
            return 0.0
        high = self.at[vent.end].z + self.fits.eighth(vent.size_in) + HANG_GAP_MM
        return min(self.joists - high, self._vent_room(on[0]))

    def _lifted(self, n: str, by_mm: float) -> Iterator[str]:
        """Yield a point and all that go up with it."""
        yield n
        for run in self.into.get(n, ()):
            stays = self._plumb(run) and (not self._below_joists(run) or self._spare(run) >= by_mm)
            if not stays:
                yield from self._lifted(run.start, by_mm)
        for vent in self.vents.get(n, ()):
            yield from self._going_along(vent, by_mm)

    def _going_along(self, vent: Run, by_mm: float) -> Iterator[str]:
        """Yield the points of a vent that go up with its foot."""
        if self._rise(vent) < by_mm:
            yield vent.end
            yield from self._going_along(self.vents[vent.end][0], by_mm)

    def _below_joists(self, run: Run) -> bool:
        """Return whether a drop begins below the joists, and not in a wall or floor over them."""
        return self.at[run.start].z < self.joists

    def _spare(self, run: Run) -> float:
        """Return how much shorter a drop may be: two bends, or a tee over the foot of a stack, keep their room [mm]."""
        return self.at[run.start].z - self.at[run.end].z - self.fits.drop(run.size_in)

    def _under_joists(self, run: Run, end: str) -> float:
        """Return how much higher the end of a lying run may hang under the joists [mm]."""
        return self._below(self._under(run), run, end)

    def _below(self, joists: float, run: Run, end: str) -> float:
        return joists - HANG_GAP_MM - self.fits.parts.hub_od_mm(run.size_in) / 2 - self.at[end].z


def _let_drop(layout: Layout, run: Run, at: Vec, by_mm: float, over: Place) -> Layout:
    """Return a layout whose building drain drops at a point of a run; all above is raised, into a place `over` it."""
    points_there, runs_there = {p.id: p for p in layout.points}, {r.id: r for r in layout.runs}
    foot, head = (free_name(f"{name}h", points_there) for name in (run.end, run.start))
    low, drop = (free_name(f"{run.id}{end}", runs_there) for end in ("h", "v"))
    points = (Point(head, at.plus(Vec(0.0, 0.0, by_mm)), PointKind.TURN), Point(foot, at, PointKind.TURN))
    runs: list[Run] = []
    for r in layout.runs:
        if r.id != run.id:
            runs.append(r)
            continue
        above = replace(r, end=head, place=over)
        runs += (above, replace(above, id=drop, start=head, end=foot), replace(r, id=low, start=foot))
    return replace(layout, points=(*layout.points, *points), runs=tuple(runs))
