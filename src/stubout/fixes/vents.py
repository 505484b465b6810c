"""Vents drawn in: a trap's own, a valve where job and book allow one, a vent carried out or led up first. [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stubout import units
from stubout.fixes.model import VENT, Candidate, Case, once
from stubout.fixes.redraw import Anchor, End, Line, On, Redraw
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.layout.model import PointKind, TrapPlan, VentMethod
from stubout.layout.places import roof_surface_z
from stubout.network.model import Pipe

RISE = 1 / 48  # of a lying vent towards the air, so that it drains back; common practice, no source
ABOVE_RIM_MM = (160.0, 400.0, 800.0)  # over the rim a vent lies or ties in this far; the checks decide
USUAL_RIM_MM = 900.0  # above the finished floor, where no sheet gives the rim: higher than any usual one
VALVE_MM = (160.0, 400.0)  # of a valve above its drain
ABOVE_ROOF_MM = (160.0, 310.0)
VENT_IN = (1.5, 2.0, 3.0)
ASIDE_MM = (180.0, 260.0, 340.0)  # a vent beside the drop it cannot rise over
BACK_MM = (140.0, 200.0)  # the vent fitting of a thin arm stands so far before its end, that of a 3 in one farther
BACK_THICK_MM = (310.0, 400.0)
IN_WALL_MM = 30.0
STRAIGHT_MM = 2.0  # as near above each other two points stand straight
STEEP = 1.02  # a vent rolled up 45 degrees, and a hair more


def own_vents(case: Case) -> Iterator[Candidate]:
    """Yield a vent of its own for each trap a finding speaks of: into a vent near by, through the roof, a valve."""
    for trap in unvented(case):
        for start, foot, through in _takeoffs(case, trap):
            yield from _vent_from(case, trap, start, foot, through)


def unvented(case: Case) -> tuple[TrapPlan, ...]:
    """Return the traps a finding names, and those that get their air through a pipe it names.

    One that has a vent at the end of its arm needs no second, unless the arm is what is wrong.
    """
    ours = {p.id for p in case.pipes}
    named = list(case.traps)
    named += [t for t in case.net.traps if set(t.wet_through) & (ours | case.about) and t not in named]
    wet = {i for t in named for i in t.wet_through}
    for p in case.net.drains():
        if p.id in wet | set(case.about):
            named += [t for t in case.net.traps if t.tag in p.tags and t not in named]
    if case.finding.check.startswith(("ARM", "TRP")):
        return tuple(named)
    return tuple(t for t in named if t.method not in (VentMethod.INDIVIDUAL, VentMethod.COMMON))


def _takeoffs(case: Case, trap: TrapPlan) -> Iterator[tuple[Anchor, Vec, tuple[Vec, ...]]]:
    """Yield where a vent may leave an arm: its start, the foot of the upright vent, the points on the way to it."""
    net = case.net
    here = net.node(trap.weir)
    pipe: Pipe | None = None
    seen: set[str] = set()
    while here.id not in seen:
        seen.add(here.id)
        onward = [net.pipe(i) for i in here.outflow if net.pipe(i).system == "drain"]
        upward = [i for i in (*here.inflow, *here.outflow) if _rises(net.pipe(i), here.id)]
        if pipe is not None and not pipe.vertical:
            if (not onward or onward[0].vertical or len(here.inflow) > 1) and not upward:
                yield here.id, here.at, ()
            yield from _rolled(case, pipe)
        if not onward or (pipe is not None and len(here.inflow) > 1):
            return
        pipe = onward[0]
        here = net.node(pipe.end)


def _rises(p: Pipe, node: str) -> bool:
    far, near = (p.b, p.a) if p.start == node else (p.a, p.b)
    return p.vertical and far.z > near.z


def _rolled(case: Case, arm: Pipe) -> Iterator[tuple[Anchor, Vec, tuple[Vec, ...]]]:
    """Yield take-offs near the end of an arm: rolled up 45 degrees along the wall, a sixth bend, up into the wall."""
    wall = over_wall(case, arm.b)
    for back in BACK_MM if arm.size_in < 3.0 else BACK_THICK_MM:
        if arm.length_mm < back + 40.0:
            continue
        u = arm.a.minus(arm.b).unit()
        start = arm.b.plus(u.times(back))
        yield On(arm.id, start), start, ()
        if wall is None:
            continue
        for aside in ASIDE_MM:
            for sign in (1.0, -1.0):
                side = Vec(wall.along.x, wall.along.y).times(sign * aside)
                rolled = start.plus(side).plus(Vec(0.0, 0.0, aside * STEEP))
                over = arm.b.minus(start).at_z(0.0)
                foot = rolled.plus(over).plus(Vec(0.0, 0.0, over.length * STEEP))
                yield On(arm.id, start), foot, (rolled, foot)


def over_wall(case: Case, p: Vec) -> Wall | None:
    """Return the wall over or at a point, by plan."""
    return next((w for w in case.design.house.walls if over(w, p)), None)


def over(wall: Wall, p: Vec) -> bool:
    """Return whether a place lies in a wall, seen from above."""
    inside = 0.0 <= wall.station(p) <= wall.start.at_z(0.0).to(wall.end.at_z(0.0))
    return inside and abs(wall.offset(p)) < wall.depth_mm / 2


def _vent_from(case: Case, trap: TrapPlan, start: Anchor, foot: Vec, through: tuple[Vec, ...]) -> Iterator[Candidate]:
    cost = VENT + sum(100.0 for _ in through)
    flood = rim(case, trap.tag)
    stem = f"V-{trap.tag}"
    words = f"Vent {trap.tag} by itself"
    size = max(VENT_IN[0], min(VENT_IN[1], trap.trap_in))
    if case.design.house.wishes.aav == "yes":
        floor = next((f.finished_z_mm for f in case.design.house.fixtures if f.tag == trap.tag), math.inf)
        for up in VALVE_MM:
            if foot.z + up < floor + VALVE_MM[0]:
                continue  # in the floor or the ground nobody gets at it
            top = End(foot.plus(Vec(0.0, 0.0, up)), PointKind.AAV, trap.tag)
            line = Line(stem, "vent", size, start, top, through, trap.tag)
            told = f"{words}: an air admittance valve {height(case, foot.z + up)}"
            yield once(_drawn(trap.tag, told, line), cost=cost / 2 + up)
    for above in ABOVE_RIM_MM:
        low = max(flood + above, foot.z + 150.0)
        for target, ways, far in targets(case, foot, low):
            line = Line(stem, "vent", size, start, target, (*through, *ways), trap.tag)
            told = f"{words}: {led(case, target, ways, low)}"
            yield once(_drawn(trap.tag, told, line), cost=cost + above + far)
    yield from _through_roof(case, trap.tag, start, foot, through, stem)


def led(case: Case, target: Anchor, ways: tuple[Vec, ...], low: float) -> str:
    """Return in words how a vent is led into another."""
    into = target.run if isinstance(target, On) else case.net.node(str(target)).outflow[0]
    return f"up to {height(case, low)} and over into {into}" if ways else f"straight up into {into}"


def _drawn(tag: str, told: str, *lines: Line, kind: str = "vent") -> Redraw:
    return Redraw(kind, (tag,), "no vent of its own", told.partition(": ")[2], told, lines=lines)


def height(case: Case, z: float) -> str:
    """Return a height above the subfloor under it, in words."""
    floor = max((v.subfloor_z_mm for v in case.design.house.levels if v.subfloor_z_mm <= z), default=0.0)
    return f"{units.both(z - floor, case.design.house.job.units)} above subfloor"


def rim(case: Case, tag: str) -> float:
    """Return the flood rim of a fixture, or a height that no usual one reaches [mm]."""
    body = next((f for f in case.design.house.fixtures if f.tag == tag), None)
    if body is None:
        return 0.0
    said = [z for z in (body.flood_rim_z_mm, body.standpipe_top_z_mm) if z is not None]
    return max(said, default=body.finished_z_mm + USUAL_RIM_MM)


def targets(case: Case, foot: Vec, low: float) -> Iterator[tuple[Anchor, tuple[Vec, ...], float]]:
    """Yield vents that a vent from a foot can be led into: straight above it, or along its wall line."""
    for n in case.net.nodes:
        above = n.at.at_z(0.0).to(foot.at_z(0.0)) < STRAIGHT_MM and n.at.z > foot.z + 60.0
        if above and n.outflow and not n.inflow and case.net.pipe(n.outflow[0]).system == "vent":
            yield n.id, (), n.at.z - foot.z
    for p in case.net.vents():
        lo, hi = (p.a, p.b) if p.a.z <= p.b.z else (p.b, p.a)
        if p.vertical:
            d = lo.minus(foot)
            far = d.plan_length
            if far < 60.0 or min(abs(d.x), abs(d.y)) > IN_WALL_MM:
                continue
            tie = low + far * RISE
            if lo.z + 60.0 <= tie <= hi.z - 60.0:
                yield On(p.id, lo.at_z(tie)), (foot.at_z(low),), far
        elif p.plan_mm > 120.0:
            share = foot.minus(p.a).at_z(0.0).dot(p.b.minus(p.a).at_z(0.0)) / p.plan_mm**2
            at = p.a.plus(p.b.minus(p.a).times(share))
            if -0.001 <= share <= 1.001 and at.at_z(0.0).to(foot.at_z(0.0)) < STRAIGHT_MM and at.z > foot.z + 60.0:
                yield On(p.id, at.at_z(at.z)), (), at.z - foot.z


def _through_roof(
    case: Case, tag: str, start: Anchor, foot: Vec, through: tuple[Vec, ...], stem: str
) -> Iterator[Candidate]:
    roof = roof_surface_z(case.design.house, foot)
    if roof is None:
        return
    for size in VENT_IN[1:]:
        for up in ABOVE_ROOF_MM:
            top = End(foot.at_z(roof + up), PointKind.TERMINAL)
            line = Line(stem, "vent", size, start, top, through, tag)
            told = f"Vent {tag} by itself: straight up through the roof in {units.size(size)} in"
            yield once(_drawn(tag, told, line), cost=4 * VENT + up + 100.0 * size)


def carried_out(case: Case) -> Iterator[Candidate]:
    """Yield open or refused ends of vents carried on: made a terminal where they are outdoors, else up and out."""
    net, house = case.net, case.design.house
    ends = [n for n in net.nodes if not [i for i in n.outflow if net.pipe(i).system == "vent"]]
    for n in ends:
        come = [net.pipe(i) for i in n.inflow if net.pipe(i).system == "vent"]
        drains = [i for i in (*n.inflow, *n.outflow) if net.pipe(i).system == "drain"]
        if not come or drains or n.kind is PointKind.TERMINAL:
            continue
        roof = roof_surface_z(house, n.at)
        named = n.id in case.about or not (case.about - {"system"})
        if not named or roof is None:
            continue
        by = f"the vent {come[0].id}"
        if n.at.z > roof:
            valve = f", with no {n.kind.value} on it" if n.kind is PointKind.AAV else ""
            told = f"End {by} in the open air as a terminal{valve}"
            yield once(
                Redraw("terminal", (n.id,), n.kind.value, "terminal", told, kinds=((n.id, PointKind.TERMINAL),)),
                cost=20.0,
            )
            continue
        for up in ABOVE_ROOF_MM:
            line = Line(come[0].id, "vent", come[0].size_in, n.id, End(n.at.at_z(roof + up), PointKind.TERMINAL))
            told = f"Carry {by} on through the roof"
            yield once(
                Redraw(
                    "terminal", (n.id,), n.kind.value, "terminal", told, lines=(line,), kinds=((n.id, PointKind.TURN),)
                ),
                cost=VENT + up,
            )
        for above in ABOVE_RIM_MM:
            low = max([rim(case, t) for t in come[0].tags], default=n.at.z) + above
            for target, ways, far in targets(case, n.at, max(low, n.at.z + 60.0)):
                line = Line(come[0].id, "vent", come[0].size_in, n.id, target, ways)
                told = f"Carry {by} on {led(case, target, ways, low)}"
                yield once(
                    Redraw(
                        "vent", (n.id,), n.kind.value, "tie-in", told, lines=(line,), kinds=((n.id, PointKind.TURN),)
                    ),
                    cost=VENT + above + far,
                )
