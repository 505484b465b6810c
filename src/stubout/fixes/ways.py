"""Pipes led another way: round what stands there, straight, joined where they should be, or taken out. [mm]."""

from __future__ import annotations

from collections.abc import Iterator

from stubout import units
from stubout.fixes.facts import MoveThing
from stubout.fixes.model import OTHERS, VENT, Candidate, Case, Edit, once
from stubout.fixes.moves import Shift
from stubout.fixes.redraw import End, Line, On, Redraw
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind, TrapPlan, VentMethod
from stubout.layout.places import roof_surface_z
from stubout.network.model import Node, Pipe

JOG_MM = (60.0, 90.0, 120.0, 160.0, 200.0, 260.0, 320.0, 400.0, 480.0)
OFFSET_MM = (300.0, 600.0, 900.0, 1300.0, 1800.0, 2400.0, 3000.0)
RISE = 1 / 48
ARM_FALL = 1 / 48
CLEAR_MM = 150.0
BESIDE = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
JOIN_MM = 600.0


def jogs(case: Case) -> Iterator[Candidate]:
    """Yield upright pipes of a finding offset by eighth bends round what they meet, and back above it."""
    for p in case.pipes:
        if not p.vertical or p.plan_mm > 1.0 or p.length_mm < 400.0:
            continue
        lo, hi = (p.a, p.b) if p.a.z < p.b.z else (p.b, p.a)
        for below, above in _spans(case, lo.z, hi.z):
            for aside in JOG_MM:
                for x, y in BESIDE:
                    yield from _jog(case, p, (below, above), Vec(x * aside, y * aside))


def _spans(case: Case, lo: float, hi: float) -> Iterator[tuple[float, float]]:
    """Yield from where to where an upright pipe may stand aside: round the place of the finding, or all its height."""
    place = case.finding.at
    house = case.design.house
    boxes = [o.box for o in house.obstacles if o.id in case.about]
    spots = [(b.lo.z, b.hi.z) for b in boxes]
    spots += [(o.sill_z_mm, o.header_top_z_mm) for w in house.walls for o in w.openings if o.id in case.about]
    if place is not None:
        spots.append((place[2] - 100.0, place[2] + 100.0))
    for a, b in spots:
        yield max(a - CLEAR_MM, lo + CLEAR_MM), min(b + CLEAR_MM, hi - CLEAR_MM)


def _jog(case: Case, p: Pipe, span: tuple[float, float], by: Vec) -> Iterator[Candidate]:
    aside = by.plan_length
    lo, hi = (p.a, p.b) if p.a.z < p.b.z else (p.b, p.a)
    below, above = span
    points = (
        lo.at_z(below - aside),
        lo.plus(by).at_z(below),
        lo.plus(by).at_z(above),
        lo.at_z(above + aside),
    )
    if below - aside < lo.z + 60.0 or above + aside > hi.z - 60.0 or above < below + 60.0:
        return
    through = points if p.a.z < p.b.z else points[::-1]
    line = Line(p.id, p.system, p.size_in, p.start, p.end, through, p.tag)
    u = case.design.house.job.units
    told = f"Offset {p.id} by {units.both(aside, u)} with eighth bends and bring it back past the place"
    edit = Redraw("route", (p.id,), "straight", "offset", told, gone=(p.id,), lines=(line,))
    yield once(edit, cost=VENT + 2 * aside)


def offset_terminals(case: Case) -> Iterator[Candidate]:
    """Yield vents offset under the roof and brought out elsewhere."""
    net, house = case.net, case.design.house
    for node in net.nodes:
        if node.kind is not PointKind.TERMINAL or node.id not in case.about:
            continue
        (up,) = [net.pipe(i) for i in node.inflow][:1]
        roof = roof_surface_z(house, node.at)
        if not up.vertical or roof is None:
            continue
        for low in (up.a.z + 200.0, up.a.z + 60.0):
            for far in OFFSET_MM:
                for x, y in BESIDE:
                    over = up.a.plus(Vec(x * far, y * far)).at_z(low + far * RISE)
                    there = roof_surface_z(house, over)
                    if there is None or over.z > there - 200.0:
                        continue
                    top = End(over.at_z(there + node.at.z - roof), PointKind.TERMINAL)
                    line = Line(up.id, "vent", up.size_in, up.start, top, (up.a.at_z(low), over), up.tag)
                    u = case.design.house.job.units
                    told = f"Offset {up.id} by {units.both(far, u)} under the roof and bring it out there"
                    edit = Redraw("route", (up.id,), "straight up", "offset", told, gone=(up.id,), lines=(line,))
                    yield once(edit, cost=VENT + far)


def straight_arms(case: Case) -> Iterator[Candidate]:
    """Yield arms laid straight from the weir to their vent fitting, the fitting raised or lowered to the arm."""
    net = case.net
    for trap in case.traps:
        runs = _to_vent(case, trap)
        if len(runs) < 2:
            continue
        a, b = net.node(trap.weir), net.node(runs[-1].end)
        far = b.at.minus(a.at).plan_length
        fall = (a.at.z - far * ARM_FALL) - b.at.z
        ids = tuple(p.id for p in runs)
        line = Line(trap.arm_runs[0].partition(".")[0], "drain", runs[0].size_in, a.id, b.id, (), trap.tag)
        told = f"Lay the arm of {trap.tag} straight from the trap to its vent fitting"
        edits: list[Edit] = [Redraw("route", ids, f"{len(ids)} pieces", "straight", told, gone=ids, lines=(line,))]
        if abs(fall) > 1.0:
            edits.insert(0, Shift(((b.id, Vec(0.0, 0.0, fall)),), b.id))
        yield once(*edits, cost=100.0)


def _to_vent(case: Case, trap: TrapPlan) -> tuple[Pipe, ...]:
    """Return the pipes from a weir to the first point a vent leaves."""
    net = case.net
    out: list[Pipe] = []
    node = net.node(trap.weir)
    while True:
        onward = [net.pipe(i) for i in node.outflow if net.pipe(i).system == "drain"]
        if not onward or onward[0] in out:
            return ()
        out.append(onward[0])
        node = net.node(onward[0].end)
        if any(net.pipe(i).system == "vent" for i in node.outflow):
            return tuple(out)


def taken_out(case: Case) -> Iterator[Candidate]:
    """Yield dead ends taken out, and second traps taken out."""
    net = case.net
    for p in case.pipes:
        told = f"Take out {p.id}"
        if p.id in case.about and not net.node(p.start).inflow:
            yield once(Redraw("take out", (p.id,), "dead end", "gone", told, gone=(p.id,)), cost=10.0)
    weirs = {t.weir for t in net.traps}
    for n in net.nodes:
        if n.id in case.about and n.kind is PointKind.TRAP and n.id not in weirs:
            kind = PointKind.JUNCTION if len(n.inflow) > 1 else PointKind.TURN
            told = f"Take out the trap at {'/'.join((*n.inflow, *n.outflow))}"
            yield once(Redraw("take out", (n.id,), "trap", kind.value, told, kinds=((n.id, kind),)), cost=10.0)


def joined(case: Case) -> Iterator[Candidate]:
    """Yield loose ends of drains led onto the nearest drain, and arms led into the drain beyond its vent fitting."""
    net = case.net
    for n in net.nodes:
        come = [net.pipe(i) for i in n.inflow if net.pipe(i).system == "drain"]
        if not come or n.outflow or n.kind is PointKind.SEWER or n.id not in case.about | {p.end for p in case.pipes}:
            continue
        last = come[-1]
        for p in net.drains():
            at = _foot(p, last.b)
            if p.id == last.id or p in net.downstream(last) or at is None or at.to(last.b) > JOIN_MM:
                continue
            line = Line(last.id, "drain", last.size_in, last.start, On(p.id, at), (), last.tag)
            told = f"Lead {last.id} into {p.id}"
            edit = Redraw("join", (last.id,), "loose end", p.id, told, gone=(last.id,), lines=(line,))
            yield once(edit, cost=20.0 + at.to(last.b))


def _foot(p: Pipe, at: Vec) -> Vec | None:
    d = p.b.minus(p.a)
    if d.length < 1.0:
        return None
    share = at.minus(p.a).dot(d) / d.dot(d)
    return p.a.plus(d.times(min(1.0, max(0.0, share))))


def arms(case: Case) -> Iterator[Candidate]:
    """Yield trap arms drawn for fixtures that have none, from the outlet to a drop that nothing drains into."""
    net, house = case.net, case.design.house
    for body in house.fixtures:
        if body.tag not in case.about or body.outlet is None or any(t.tag == body.tag for t in net.traps):
            continue
        for n in net.nodes:
            if not _open_drop(case, n):
                continue
            far = n.at.minus(body.outlet).plan_length
            size = max((net.pipe(i).size_in for i in n.outflow if net.pipe(i).system == "drain"), default=1.5)
            for width in dict.fromkeys((body.trap_in or size, 1.5, 2.0)):
                weir = body.outlet.at_z(n.at.z + far * ARM_FALL)
                line = Line(f"A-{body.tag}", "drain", width, End(weir, PointKind.TRAP, body.tag), n.id, (), body.tag)
                trap = TrapPlan(body.tag, width, "", n.id, (), VentMethod.INDIVIDUAL, weir_z_mm=weir.z - width * 12.7)
                told = f"Draw the arm of {body.tag} in {units.size(width)} in, from its outlet to {n.outflow[0]}"
                yield once(
                    Redraw("arm", (body.tag,), "none", n.outflow[0], told, lines=(line,), trap=trap), cost=VENT + far
                )


def _open_drop(case: Case, n: Node) -> bool:
    net = case.net
    drains = [i for i in n.outflow if net.pipe(i).system == "drain"]
    come = [i for i in n.inflow if net.pipe(i).system == "drain"]
    return bool(drains) and not come and n.kind not in (PointKind.TRAP, PointKind.FLANGE, PointKind.CLEANOUT)


def moved_obstacles(case: Case) -> Iterator[Candidate]:
    """Yield what stands in the way moved aside: the builder has to agree."""
    for thing in case.design.house.obstacles:
        if thing.id not in case.about or thing.kind in ("footing", "pad", "beam"):
            continue
        for x, y, z in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)):
            way = Vec(float(x), float(y), float(z))

            def made(mm: float, way: Vec = way, name: str = thing.id) -> tuple[Edit, ...]:
                return (MoveThing(name, way.times(mm)),)

            yield Candidate(made, OTHERS, 1024.0, "builder")
