"""Drains that vent what joins them by a method the job says: given more vents, or no longer said so. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout import units
from stubout.design import Change, Design
from stubout.fixes.graph import leg_of, relaid, sketch_of
from stubout.fixes.model import FACT, VENT, Candidate, Case, listed, once
from stubout.fixes.moves import Shift
from stubout.fixes.redraw import Anchor, End, Line, On, Redraw
from stubout.fixes.vents import ABOVE_RIM_MM, ABOVE_ROOF_MM, RISE, height, led, rim, targets
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind, VentMethod
from stubout.layout.places import roof_surface_z
from stubout.network.model import Pipe

STEP_MM = 150.0  # between places tried along a drain
MOST_PLACES = 12  # of one pipe
SIZES_IN = (1.5, 2.0, 3.0)


@dataclass(frozen=True, slots=True)
class Unsaid:
    """Routes that no longer vent what joins them: each trap gets its air as it is drawn."""

    legs: tuple[str, ...]
    method: VentMethod

    def on(self, design: Design) -> Design:
        """Return the design with the method taken out of the routes, and out of the pipes on them."""
        routes = tuple(replace(g, vents_by="") if g.id in self.legs else g for g in design.house.routes)
        sketch = sketch_of(design)
        for i, run in sketch.runs.items():
            if leg_of(i) in self.legs or i in self.legs:
                sketch.runs[i] = replace(run, vents_by=None)
        return replace(relaid(design, sketch), house=replace(design.house, routes=routes))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        names = listed(self.legs)
        told = f"Take `vents by: {self.method.value}` out of {names}: what joins gets its air as it is drawn"
        return Change("method", self.legs, self.method.value, "as drawn", told)


def _said(case: Case) -> tuple[Pipe, ...]:
    """Return the drains of the method that a finding speaks of, all that are of one route."""
    named = {leg_of(p.id) for p in case.pipes if p.vents_by is not None}
    tags = {t.tag for t in case.traps}
    if not named:
        named = {leg_of(p.id) for p in case.net.drains() if p.vents_by is not None and tags & set(p.tags)}
    return tuple(p for p in case.net.drains() if p.vents_by is not None and leg_of(p.id) in named)


def unsaid(case: Case) -> Iterator[Candidate]:
    """Yield the method taken out of the routes, where every trap has, or is given, air by other means."""
    ours = _said(case)
    for method in dict.fromkeys(p.vents_by for p in ours):
        legs = tuple(dict.fromkeys(leg_of(p.id) for p in ours if p.vents_by is method))
        if method is not None:
            yield once(Unsaid(legs, method), cost=FACT)


def more_vents(case: Case) -> Iterator[Candidate]:
    """Yield another vent on a drain of a method, or below its last fixture: up in the wall and over, or out."""
    ours = _said(case)
    if not ours:
        return
    after = tuple(p for p in case.net.downstream(ours[-1])[:1] if not p.vertical)
    for k, p in enumerate((*ours, *after)):
        if p.vertical:
            continue
        for start, foot in _places(case, p):
            tags = p.tags
            low = max([rim(case, t) for t in tags], default=foot.z)
            for size in SIZES_IN:
                cost = VENT + 100.0 * size + 20.0 * k
                yield from _vent(case, p, start, foot, low, size, cost)


def _places(case: Case, p: Pipe) -> Iterator[tuple[Anchor, Vec]]:
    """Yield places along a drain where a vent may leave: its ends first, then between."""
    for node in (p.start, p.end):
        if not any(case.net.pipe(i).system == "vent" for i in case.net.node(node).outflow):
            yield node, case.net.node(node).at
    steps = min(MOST_PLACES, int(p.plan_mm // STEP_MM))
    for k in sorted(range(1, steps), key=lambda k: abs(k - steps / 2)):
        at = p.a.plus(p.b.minus(p.a).times(k / steps))
        yield On(p.id, at), at


def _vent(case: Case, p: Pipe, start: Anchor, foot: Vec, flood: float, size: float, cost: float) -> Iterator[Candidate]:
    u = case.design.house.job.units
    where = f"{units.both(foot.minus(p.a).plan_length, u)} from its upper end"
    for above in ABOVE_RIM_MM[:2]:
        low = max(flood + above, foot.z + 150.0)
        for target, ways, far in targets(case, foot, low):
            told = f"Set another vent on {p.id}, {where}, in {units.size(size)} in: {led(case, target, ways, low)}"
            line = Line(f"V-{p.id.partition('.')[0]}", "vent", size, start, target, ways)
            yield once(
                Redraw("vent", (p.id,), "none", height(case, low), told, lines=(line,)), cost=cost + above + far / 4
            )
    roof = roof_surface_z(case.design.house, foot)
    if roof is not None:
        top = End(foot.at_z(roof + ABOVE_ROOF_MM[0]), PointKind.TERMINAL)
        told = f"Set another vent on {p.id}, {where}, in {units.size(size)} in: straight up through the roof"
        line = Line(f"V-{p.id.partition('.')[0]}", "vent", size, start, top)
        yield once(Redraw("vent", (p.id,), "none", "roof", told, lines=(line,)), cost=cost + 3 * VENT)


def laid_in(case: Case) -> Iterator[Candidate]:
    """Yield arms that drop into a drain of a method laid so that they come in lying: the trap as much lower."""
    net, u = case.net, case.design.house.job.units
    for trap in case.traps:
        way = [net.pipe(i) for i in trap.arm_runs if i in {p.id for p in net.pipes}]
        if not way or way[-1].vents_by is not None or net.node(trap.weir).kind is not PointKind.TRAP:
            continue
        a, b = net.node(trap.weir).at, way[-1].b
        z = b.z + b.minus(a).plan_length * RISE
        ids = tuple(p.id for p in way)
        line = Line(leg_of(ids[0]), "drain", way[0].size_in, trap.weir, way[-1].end, (), trap.tag)
        told = f"lay its arm straight into {net.node(way[-1].end).outflow[0]}"
        edits = (
            Shift(((trap.weir, Vec(0.0, 0.0, z - a.z)),), trap.weir),
            Redraw("route", ids, f"{len(ids)} pieces", "lying", told, gone=ids, lines=(line,)),
        )
        if abs(z - a.z) > 1.0 and units.both(z - a.z, u):
            yield once(*edits, cost=100.0 + abs(z - a.z) / 4)
