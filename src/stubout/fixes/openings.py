"""Cleanouts set, turned, moved elsewhere, in another size: places are those the layout itself would look for. [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout import units
from stubout.design import Change, Design
from stubout.fixes.graph import Sketch, layout_of, relaid
from stubout.fixes.model import OPENING, SIZE, TURN, Candidate, Case, once
from stubout.fixes.redraw import End, Line, On, Redraw
from stubout.geometry.vec import Vec
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.model import CleanoutPlan, Layout, PointKind, Role
from stubout.sizing.cleanouts import sized_cleanouts

CLEAR_MM = 457.0  # kept free in front of a new plug where the book says less: 18 in, common practice, no source
STUB_MM = (120.0, 220.0)  # of the branch to a plug
BELOW_MM = (180.0, 300.0)  # of a cleanout tee below the vent fitting
PLUGS_IN = (1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 6.0)
SQUARE = 0.1  # cosine up to which a branch stands square to its pipe
WAYS = (Vec(0, 0, 1), Vec(0, 0, -1), Vec(1, 0), Vec(-1, 0), Vec(0, 1), Vec(0, -1))
WORDS = ("up", "down", "east", "west", "north", "south")


@dataclass(frozen=True, slots=True)
class Opening:
    """One cleanout changed: size or direction."""

    plan: CleanoutPlan
    words: str
    was: str
    to: str

    def on(self, design: Design) -> Design:
        """Return the design with that cleanout."""
        return replace(design, cleanouts=tuple(self.plan if c.id == self.plan.id else c for c in design.cleanouts))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        return Change("cleanout", (self.plan.id,), self.was, self.to, self.words)


@dataclass(frozen=True, slots=True)
class Opened:
    """Cleanouts set, with the pipes that lead to them; one that is given up goes."""

    layout: Layout
    plans: tuple[CleanoutPlan, ...]
    gone: tuple[str, ...] = ()

    def on(self, design: Design) -> Design:
        """Return the design with the cleanouts."""
        sketch = Sketch({p.id: p for p in self.layout.points}, {r.id: r for r in self.layout.runs})
        new = relaid(design, sketch)
        kept = tuple(c for c in new.cleanouts if c.id not in self.gone)
        return replace(new, cleanouts=(*kept, *sized_cleanouts(self.plans, new.network, design.book)))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        at = {p.id: p.at for p in self.layout.points}
        u = design.house.job.units
        said = []
        for plan in self.plans:
            place = ", ".join(f"{axis} {units.length(c, u)}" for axis, c in zip("xyz", at[plan.point], strict=True))
            way = max(zip(WAYS, WORDS, strict=True), key=lambda w: w[0].dot(plan.opens))[1]
            said.append(
                f"a {units.size(plan.size_in)} in cleanout in {plan.access or 'the drain'} at {place}, opening {way}"
            )
        text = f"Set {'; '.join(said)}" + (f", instead of {', '.join(self.gone)}" if self.gone else "")
        return Change(
            "cleanout", tuple(p.id for p in self.plans), ", ".join(self.gone) or "none", "; ".join(said), text
        )


def changed(case: Case) -> Iterator[Candidate]:
    """Yield the cleanouts of a finding in larger sizes, and turned."""
    for c in case.design.cleanouts:
        if c.id not in case.about and c.point not in case.about:
            continue
        for size in PLUGS_IN:
            if size > c.size_in:
                told = f"Make cleanout {c.id} {units.size(size)} in"
                edit = Opening(replace(c, size_in=size), told, f"{units.size(c.size_in)} in", f"{units.size(size)} in")
                yield once(edit, cost=SIZE * size)
        for way, words in _directions(case, c):
            edit = Opening(replace(c, opens=way), f"Turn cleanout {c.id} so that it opens {words}", "as drawn", words)
            yield once(edit, cost=TURN)


def _directions(case: Case, plan: CleanoutPlan) -> Iterator[tuple[Vec, str]]:
    """Yield the ways a plug can face without another bend: on from the end of its pipe, or square off a run."""
    net = case.net
    node = net.node(plan.point)
    away = [net.pipe(i).a.minus(net.pipe(i).b).unit() for i in node.outflow if net.pipe(i).length_mm > 1.0]
    if not node.inflow:
        for u in away:
            yield u, "straight on from the end of its pipe"
    yield plan.opens.times(-1.0), "the other way"
    along = [*away, *(net.pipe(i).a.minus(net.pipe(i).b).unit() for i in node.inflow if net.pipe(i).length_mm > 1.0)]
    for way, word in zip(WAYS, WORDS, strict=True):
        if all(abs(u.dot(way)) < SQUARE for u in along):
            yield way, word


def added(case: Case) -> Iterator[Candidate]:
    """Yield cleanouts where the layout would set them: those the design lacks, and another place for a bad one."""
    layout = layout_of(case.design)
    yield from _proposed(case, layout, ())
    for c in case.design.cleanouts:
        if c.id in case.about:
            yield from _proposed(case, _without(layout, c), (c.id,))


def _without(layout: Layout, plan: CleanoutPlan) -> Layout:
    """Return a layout without a cleanout and the pipe that leads to it alone."""
    runs = {r.id: r for r in layout.runs}
    node = plan.point
    gone: set[str] = set()
    while True:
        down = [r for r in runs.values() if r.start == node and r.role is Role.CLEANOUT_EXT and r.id not in gone]
        if not down:
            break
        gone.add(down[0].id)
        node = down[0].end
    left = tuple(r for r in layout.runs if r.id not in gone)
    used = {n for r in left for n in (r.start, r.end)}
    points = tuple(p for p in layout.points if p.id in used)
    return replace(layout, runs=left, points=points, cleanouts=tuple(c for c in layout.cleanouts if c.id != plan.id))


def _proposed(case: Case, layout: Layout, gone: tuple[str, ...]) -> Iterator[Candidate]:
    new = with_cleanouts(layout, case.design.house, case.design.book)
    have = {c.point for c in layout.cleanouts}
    plans = tuple(c for c in new.cleanouts if c.point not in have)
    names = {c.id for c in case.design.cleanouts} - set(gone)
    free = (f"CO{n}" for n in range(1, 1000) if f"CO{n}" not in names)
    plans = tuple(replace(c, id=next(free)) for c in plans)
    points = {p.id for p in layout.points}
    for plan in plans:
        if plan.point in points:
            yield once(Opened(layout, (plan,), gone), cost=OPENING)
    if plans:
        yield once(Opened(new, plans, gone), cost=OPENING * (1 + len(plans)))


def risers(case: Case) -> Iterator[Candidate]:
    """Yield cleanouts at grade: a riser from a buried drain up to the ground, just outside or on a long drain."""
    house, u = case.design.house, case.design.house.job.units
    box = house.footprint
    z = house.ground.at_house_z_mm
    if z is None:
        return
    for p in case.net.drains():
        if p.vertical or p.role is Role.CLEANOUT_EXT:
            continue
        steps = max(2, int(p.plan_mm // 600.0))
        spots = [p.a.plus(p.b.minus(p.a).times(k / steps)) for k in range(steps + 1)]
        out = [
            s for s in spots if not (box.lo.x <= s.x <= box.hi.x and box.lo.y <= s.y <= box.hi.y) and s.z < z - 200.0
        ]
        if not (case.about & {p.id, *(d.id for d in case.net.downstream(p))}) and not out:
            continue
        for place in (*out[:2], *out[len(out) // 2 : len(out) // 2 + 1]):
            plan = CleanoutPlan(
                free_id(case), "", p.size_in, Vec(0, 0, 1), CLEAR_MM, "building drain and sewer", "grade"
            )
            line = Line(plan.id, "drain", p.size_in, End(place.at_z(z), PointKind.CLEANOUT), On(p.id, place))
            far = units.both(place.minus(p.a).plan_length, u)
            told = f"Set a cleanout at grade on {p.id}, {far} from its upper end"
            edit = Redraw("cleanout", (plan.id,), "none", "at grade", told, lines=(line,), plans=((0, plan),))
            yield once(edit, cost=OPENING + place.minus(p.a).plan_length / 10)
        if len(out) > 20:  # a long sewer: several, evenly
            for many in (2, 3):
                spread = [out[len(out) * k // (many + 1)] for k in range(many, 0, -1)]
                names = [f"{free_id(case)}{letter}" for letter in "abc"[:many]]
                lines = tuple(
                    Line(n, "drain", p.size_in, End(s.at_z(z), PointKind.CLEANOUT), On(p.id, s))
                    for n, s in zip(names, spread, strict=True)
                )
                plans = tuple(
                    (k, CleanoutPlan(n, "", p.size_in, Vec(0, 0, 1), CLEAR_MM, "building sewer", "grade"))
                    for k, n in enumerate(names)
                )
                told = f"Set {many} cleanouts at grade on {p.id}, evenly along it"
                edit = Redraw("cleanout", tuple(names), "none", "at grade", told, lines=lines, plans=plans)
                yield once(edit, cost=many * OPENING + out[0].to(out[-1]) / 10)


def free_id(case: Case) -> str:
    """Return a name that no cleanout has yet."""
    names = {c.id for c in case.design.cleanouts}
    return next(f"CO{n}" for n in range(1, 1000) if f"CO{n}" not in names)


def in_drops(case: Case) -> Iterator[Candidate]:
    """Yield cleanout tees in the drop below a fixture's vent fitting, opening where the fixture stands."""
    net, u = case.net, case.design.house.job.units
    for trap in case.traps:
        arm = [net.pipe(i) for i in trap.arm_runs if i in {p.id for p in net.pipes}]
        if not arm:
            continue
        drops = [net.pipe(i) for i in net.node(arm[-1].end).outflow if net.pipe(i).system == "drain"]
        towards = arm[-1].a.minus(arm[-1].b).at_z(0.0)
        ways = [towards, *(w for w in WAYS[2:] if abs(w.dot(towards)) < SQUARE * max(towards.length, 1.0))]
        for p in (d for d in drops if d.vertical):
            for below in BELOW_MM:
                for way in ways:
                    if below > p.length_mm - 150.0 or way.plan_length < 0.5:
                        continue
                    at = p.a.plus(p.b.minus(p.a).unit().times(below))
                    for far in STUB_MM:
                        out = at.plus(way.unit().times(far)).plus(Vec(0, 0, far / 48))
                        plan = CleanoutPlan(free_id(case), "", p.size_in, way.unit(), CLEAR_MM, trap.tag, "the cabinet")
                        line = Line(plan.id, "drain", p.size_in, End(out, PointKind.CLEANOUT), On(p.id, at))
                        told = (
                            f"Set a cleanout tee in {p.id}, {units.both(below, u)} below the vent fitting of {trap.tag}"
                        )
                        edit = Redraw(
                            "cleanout", (plan.id,), "none", "in the drop", told, lines=(line,), plans=((0, plan),)
                        )
                        yield once(edit, cost=OPENING + far + TURN * ways.index(way))
