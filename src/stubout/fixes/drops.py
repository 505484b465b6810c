"""Arms led to a drop and a vent of their own beside what they would join; fixtures joined elsewhere. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from stubout import units
from stubout.catalog import queries as catalog
from stubout.fixes.graph import leg_of
from stubout.fixes.model import VENT, Candidate, Case, listed, once
from stubout.fixes.redraw import End, Line, Of, On, Redraw
from stubout.fixes.vents import ABOVE_RIM_MM, VENT_IN, over, rim, targets, unvented
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind, Role, TrapPlan
from stubout.network.model import Pipe

FAR_MM = 2400.0  # a longer arm is another layout
APART_MM = 200.0  # between places where it may join
ON_MM = 2400.0  # a branch is led on beside its drain no farther
ASIDE_MM = (250.0,)  # of it: two eighth bends
STEP_MM = 100.0  # between places tried along a drain
VENTS = 2  # ways of the vent tried at each place
DROP_MM = 150.0  # at least, from the arm to the drain below it
ARM_FALL = 1 / 48 + 1e-4


def own_drops(case: Case) -> Iterator[Candidate]:
    """Yield arms led straight to a drop beside, over a drain that lies below a wall, where the vent can rise."""
    for trap in unvented(case):
        way = _alone(case, trap)
        if not way:
            continue
        first = next((i for i, p in enumerate(way) if not p.vertical), None)
        if first is None:
            continue
        start, gone = way[first].start, tuple(p.id for p in way[first:])
        for drain in case.net.drains():
            yield from _beside(case, trap, start, gone, drain)


def _alone(case: Case, trap: TrapPlan) -> tuple[Pipe, ...]:
    """Return the drains of a fixture from its weir to where others join."""
    net = case.net
    out: list[Pipe] = []
    node = net.node(trap.weir)
    while True:
        onward = [net.pipe(i) for i in node.outflow if net.pipe(i).system == "drain"]
        if not onward or onward[0] in out or any(net.pipe(i).system == "vent" for i in node.outflow):
            return tuple(out)
        if out and len(node.inflow) > 1:
            return tuple(out)
        out.append(onward[0])
        node = net.node(onward[0].end)


def _beside(case: Case, trap: TrapPlan, start: str, gone: tuple[str, ...], drain: Pipe) -> Iterator[Candidate]:
    net, u = case.net, case.design.house.job.units
    size = net.pipe(gone[0]).size_in
    a = net.node(start).at
    if drain.vertical or drain.role is Role.CLEANOUT_EXT or drain.id in gone or drain.size_in < size:
        return
    steps = max(1, int(drain.plan_mm // STEP_MM))
    for k in range(steps + 1):
        foot = drain.a.plus(drain.b.minus(drain.a).times(k / steps))
        far = foot.minus(a).plan_length
        take = foot.at_z(a.z - far * ARM_FALL)
        if not 100.0 < far < FAR_MM or take.z - foot.z < DROP_MM or not _free(case, foot, size):
            continue
        vent_in = max(VENT_IN[0], min(VENT_IN[1], trap.trap_in))
        ways = [
            (above, target, through, more)
            for above in ABOVE_RIM_MM
            for target, through, more in targets(case, take, max(rim(case, trap.tag) + above, take.z + 150.0))
        ]
        for above, target, through, more in sorted(ways, key=lambda w: w[0] + w[3])[:VENTS]:
            arm = Line(leg_of(gone[0]), "drain", size, start, End(take, PointKind.TAKEOFF), (), trap.tag)
            drop = Line(f"D-{trap.tag}", "drain", size, Of(0), On(drain.id, foot))
            vent = Line(f"V-{trap.tag}", "vent", vent_in, Of(0), target, through, trap.tag)
            told = (
                f"Lead the arm of {trap.tag} straight to a drop of its own into {drain.id}, "
                f"{units.both(foot.minus(drain.a).plan_length, u)} from its upper end, and vent it there"
            )
            edit = Redraw("route", (trap.tag,), listed(gone), drain.id, told, gone=gone, lines=(arm, drop, vent))
            yield once(edit, cost=3 * VENT + far + above / 4 + more / 4)


def _free(case: Case, p: Vec, size_in: float) -> bool:
    """Return whether a pipe of a size stands in a bay of every wall over a place, and there is one."""
    walls = [w for w in case.design.house.walls if over(w, p)]
    half = catalog.pipe(case.design.house.job.material, size_in).od_mm / 2
    bays = [w.bay_at(w.station(p)) for w in walls]
    clear = (
        b is not None and b.lo_mm + half <= w.station(p) <= b.hi_mm - half for w, b in zip(walls, bays, strict=True)
    )
    return bool(walls) and all(clear)


def joined_on(case: Case) -> Iterator[Candidate]:
    """Yield lying branches led on beside the drain they join, and into it farther down."""
    net, u = case.net, case.design.house.job.units
    for p in case.net.drains():
        head = p.role is Role.CLEANOUT_EXT or len(net.node(p.start).inflow) > 1  # the drain that others join
        if p.id not in case.about or p.vertical or head or not net.node(p.end).outflow:
            continue
        start = net.node(p.start).at
        walked = 0.0
        for drain in (q for q in net.downstream(p) if not q.vertical):
            along = drain.b.minus(drain.a).at_z(0.0).unit()
            for k in range(1, max(2, int(drain.plan_mm // APART_MM))):
                spot = drain.a.plus(drain.b.minus(drain.a).times(k * APART_MM / max(drain.plan_mm, APART_MM)))
                far = walked + k * APART_MM
                if far > ON_MM or spot.z > start.z:
                    continue
                for aside in ASIDE_MM:
                    for sign in (1.0, -1.0):
                        side = Vec(-along.y, along.x).times(sign * aside)
                        ways = (start.plus(along.times(aside)).plus(side), spot.minus(along.times(aside)).plus(side))
                        if ways[1].minus(ways[0]).dot(along) < aside:
                            continue
                        told = f"Lead {p.id} on beside {drain.id} and into it {units.both(far, u)} farther down"
                        line = Line(
                            leg_of(p.id), "drain", p.size_in, p.start, On(drain.id, spot), _falling(start, ways, spot)
                        )
                        edit = Redraw("join", (p.id,), p.end, drain.id, told, gone=(p.id,), lines=(line,))
                        yield once(edit, cost=VENT + far + aside)
            walked += drain.plan_mm


def _falling(start: Vec, ways: tuple[Vec, ...], end: Vec) -> tuple[Vec, ...]:
    """Return points between two ends at heights of one even fall."""
    line = (start, *ways, end)
    legs = [b.minus(a).plan_length for a, b in pairwise(line)]
    whole, out, walked = sum(legs), [], 0.0
    for p, leg in zip(ways, legs, strict=False):
        walked += leg
        out.append(p.at_z(start.z + (end.z - start.z) * walked / whole))
    return tuple(out)
