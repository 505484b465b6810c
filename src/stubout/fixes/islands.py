"""Island loops drawn, brought back where they belong, opened for a cleanout. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from stubout import units
from stubout.catalog import queries as catalog
from stubout.fixes.facts import Fact
from stubout.fixes.model import MARK, OPENING, VENT, Candidate, Case, once
from stubout.fixes.openings import CLEAR_MM, free_id
from stubout.fixes.redraw import End, Line, Of, On, Redraw
from stubout.fixes.vents import ABOVE_RIM_MM, RISE, height, rim, targets
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.house.model import HouseFixture
from stubout.layout.model import CleanoutPlan, PointKind, Role, TrapPlan, VentMethod
from stubout.network.model import Pipe

ASIDE_MM = (300.0, 260.0, 360.0)  # the leg down stands so far beside the leg up: two bends and a hand
HEAD_MM = (32.0, 62.0)  # of the bends below the counter
ABOVE_DRAIN_MM = (
    376.0,
    320.0,
    440.0,
)  # of the foot vent above the drain it comes back to: two fittings, one above the other
ROLL_MM = (170.0, 240.0)  # the foot vent leaves the leg down at 45 degrees and turns along its way after so much
OPEN_MM = (400.0, 600.0)  # of the cleanout in the riser above the finished floor
LOOP_IN = (1.5, 2.0)


def loops(case: Case) -> Iterator[Candidate]:
    """Yield a loop under the counter for an island fixture: back into its drain, and a foot vent to a wall."""
    for trap in _islanders(case):
        body = next(f for f in case.design.house.fixtures if f.tag == trap.tag)
        box = next((c.box for c in case.design.house.cabinets if c.id == body.cabinet_id), None)
        if box is None or not trap.takeoff:
            continue
        for drain in _lying(case, trap):
            yield from _loop(case, trap, body, box.hi.z, drain)


def _islanders(case: Case) -> tuple[TrapPlan, ...]:
    """Return the traps of island fixtures that a finding names, or whose vent or valve it names."""
    near = {i for n in case.nodes for i in (*n.inflow, *n.outflow)} | case.about
    island = {f.tag for f in case.design.house.fixtures if f.in_island}
    ours = (t for t in case.net.traps if t.tag in island and t.method is not VentMethod.LOOP)
    return tuple(t for t in ours if t in case.traps or near & set(t.vent_runs))


def _lying(case: Case, trap: TrapPlan) -> tuple[Pipe, ...]:
    """Return the first lying drain below the foot of a trap's drop."""
    net = case.net
    down = next((net.pipe(i) for i in net.node(trap.takeoff).outflow if net.pipe(i).system == "drain"), None)
    ways = (down, *net.downstream(down)) if down is not None else ()
    return tuple(p for p in ways if not p.vertical and p.tags == (trap.tag,))[:1]


def _loop(case: Case, trap: TrapPlan, body: HouseFixture, under_z: float, drain: Pipe) -> Iterator[Candidate]:
    up = case.net.node(trap.takeoff).at
    along = drain.b.minus(drain.a).at_z(0.0).unit()
    gone = trap.vent_runs
    for aside in ASIDE_MM:
        over = up.plus(along.times(aside))
        back = drain.a.plus(
            drain.b.minus(drain.a).times(min(1.0, (aside + drain.a.minus(up).at_z(0.0).dot(along)) / drain.plan_mm))
        )
        if back.at_z(0.0).to(over.at_z(0.0)) > 1.0:
            continue
        for head in HEAD_MM:
            top = under_z - head
            for foot_z in (back.z + above for above in ABOVE_DRAIN_MM):
                if foot_z > body.finished_z_mm - 150.0 or top < up.z + 150.0:
                    continue
                foot = over.at_z(foot_z)
                for size in LOOP_IN:
                    leg = Line(
                        f"V-{trap.tag}",
                        "vent",
                        size,
                        trap.takeoff,
                        End(foot, PointKind.TIE_IN),
                        (up.at_z(top), over.at_z(top)),
                        trap.tag,
                    )
                    ret = Line(f"R-{trap.tag}", "vent", size, Of(0), On(drain.id, back), (), trap.tag)
                    for line, tap, words, far in _foot_vents(case, trap, foot, along, size):
                        told = (
                            f"Vent {trap.tag} by a loop under the counter, back into {drain.id}, its foot vent {words}"
                        )
                        yield once(
                            Redraw(
                                "vent",
                                (trap.tag,),
                                "as drawn",
                                "island loop",
                                told,
                                gone=gone,
                                lines=(leg, line, ret),
                                taps=((1, *tap),),
                            ),
                            cost=3 * VENT + far + aside,
                        )


def _foot_vents(
    case: Case, trap: TrapPlan, foot: Vec, along: Vec, size_in: float
) -> Iterator[tuple[Line, tuple[Vec, CleanoutPlan], str, float]]:
    """Yield foot vents to the nearest walls across the way of the drain, each with the cleanout in its riser."""
    across = Vec(-along.y, along.x)
    low = rim(case, trap.tag)
    for wall in case.design.house.walls:
        for roll in ROLL_MM:
            for sign in (1.0, -1.0):
                turn = foot.plus(along.plus(across.times(sign)).times(roll))
                far = _to_wall(wall, turn, along)
                if far is None:
                    continue
                turn = turn.plus(Vec(0.0, 0.0, roll * 2**0.5 * RISE))
                riser = turn.plus(along.times(far)).plus(Vec(0.0, 0.0, far * RISE))
                for above in ABOVE_RIM_MM[:2]:
                    for target, ways, more in targets(case, riser, low + above):
                        line = Line(f"F-{trap.tag}", "vent", size_in, Of(0), target, (turn, riser, *ways), trap.tag)
                        for tap in _taps(case, trap, wall, riser, size_in):
                            yield (
                                line,
                                tap,
                                f"to wall {wall.id} and up to {height(case, low + above)}",
                                far + more + above,
                            )


def _to_wall(wall: Wall, p: Vec, along: Vec) -> float | None:
    """Return how far a wall's line lies from a point in a direction square to it; None where it is not met."""
    out = along.dot(wall.leftward)
    if abs(out) < 0.99 or not 0.0 < wall.station(p) < wall.length_mm:
        return None
    far = -wall.offset(p) / out
    return far if far > 100.0 else None


def _taps(case: Case, trap: TrapPlan, wall: Wall, riser: Vec, size_in: float) -> Iterator[tuple[Vec, CleanoutPlan]]:
    floor = next(v.subfloor_z_mm for v in case.design.house.levels if v.id == wall.level_id)
    for z in OPEN_MM:
        for way in (wall.leftward, wall.leftward.times(-1.0)):
            at = riser.at_z(floor + z)
            yield (
                at,
                CleanoutPlan(
                    free_id(case), "", size_in, way, CLEAR_MM, f"foot vent of {trap.tag}", room_at(case, wall, at, way)
                ),
            )


def room_at(case: Case, wall: Wall, at: Vec, way: Vec) -> str:
    """Return the room one stands in before a wall at a place, looking against a direction."""
    before = at.plus(way.times(wall.depth_mm))
    rooms = (r for r in case.design.house.rooms if r.level_id == wall.level_id and r.holds(before))
    return next((r.title or r.id for r in rooms), "the room")


def risers(case: Case) -> Iterator[Candidate]:
    """Yield a cleanout in the riser of a foot vent: at a turn that is there, or a tee set in."""
    net, u = case.net, case.design.house.job.units
    for trap in case.net.traps:
        if trap.tag not in case.about or trap.method is not VentMethod.LOOP:
            continue
        for p in (net.pipe(i) for i in trap.vent_runs):
            wall = next((w for w in case.design.house.walls if p.place.kind == "wall" and w.id == p.place.ref), None)
            if wall is None or not p.vertical or p.role not in (Role.FOOT_VENT, Role.VENT):  # below the floor, above it
                continue
            floor = next(v.subfloor_z_mm for v in case.design.house.levels if v.id == wall.level_id)
            for z in OPEN_MM:
                at = p.a.at_z(floor + z)
                if not min(p.a.z, p.b.z) - 1.0 <= at.z < max(p.a.z, p.b.z) - 100.0:
                    continue
                for way in (wall.leftward, wall.leftward.times(-1.0)):
                    room = room_at(case, wall, at, way)
                    plan = CleanoutPlan(free_id(case), "", p.size_in, way, CLEAR_MM, f"foot vent of {trap.tag}", room)
                    high = f"{units.both(z, u)} above subfloor"
                    told = f"Set a cleanout in the riser {p.id} of the foot vent of {trap.tag}, {high}, into {room}"
                    through = (at,) if at.to(p.a) > 1.0 else ()
                    at_turn = Redraw("cleanout", (plan.id,), "none", "in the riser", told)
                    if through:
                        line = Line(p.id, "vent", p.size_in, p.start, p.end, through, p.tag)
                        edit = replace(at_turn, gone=(p.id,), lines=(line,), taps=((0, at, plan),))
                    else:
                        kinds = ((p.start, PointKind.CLEANOUT),)
                        edit = replace(at_turn, kinds=kinds, at_points=((p.start, plan),))
                    yield once(edit, cost=OPENING)


def returns(case: Case) -> Iterator[Candidate]:
    """Yield the return of a loop brought straight down into the fixture's own drain."""
    net = case.net
    for trap in net.traps:
        if trap.tag not in case.about or trap.method is not VentMethod.LOOP:
            continue
        drains = [p for p in net.drains() if p.tags == (trap.tag,) and not p.vertical]
        for p in net.vents():
            ends = net.node(p.end)
            if (
                p.tags != (trap.tag,)
                or p.b.z > p.a.z + 1.0
                or not any(net.pipe(i).system == "drain" for i in (*ends.inflow, *ends.outflow))
            ):
                continue
            way = _back(case, p)
            top = way[0].a
            for d in drains:
                share = top.minus(d.a).at_z(0.0).dot(d.b.minus(d.a).at_z(0.0)) / d.plan_mm**2
                at = d.a.plus(d.b.minus(d.a).times(min(1.0, max(0.0, share))))
                if at.at_z(0.0).to(top.at_z(0.0)) > 2.0 or at.z > top.z - 60.0:
                    continue
                line = Line(p.id.partition(".")[0], "vent", p.size_in, way[0].start, On(d.id, at), (), p.tag)
                told = f"Bring the loop of {trap.tag} straight down into {d.id}"
                ids = tuple(q.id for q in way)
                yield once(
                    Redraw("route", ids, "as drawn", d.id, told, gone=ids, lines=(line,)), cost=20.0 + top.z - at.z
                )


def _back(case: Case, p: Pipe) -> tuple[Pipe, ...]:
    """Return the pipes of a return, from where it leaves the loop."""
    net = case.net
    way = [p]
    while len(net.node(way[0].start).outflow) == 1 and len(net.node(way[0].start).inflow) == 1:
        way.insert(0, net.pipe(net.node(way[0].start).inflow[0]))
    return tuple(way)


def traps(case: Case) -> Iterator[Candidate]:
    """Yield traps hung where their arm begins, the weir at its invert."""
    net, u = case.net, case.design.house.job.units
    for trap in net.traps:
        body = next((f for f in case.design.house.fixtures if f.tag == trap.tag), None)
        arm = next((net.pipe(i) for i in trap.arm_runs[:1]), None)
        if trap.tag not in case.about or body is None or arm is None:
            continue
        weir = arm.a.z - catalog.pipe(case.design.house.job.material, arm.size_in).id_mm / 2
        if abs(weir - trap.weir_z_mm) < 1.0:
            continue
        said = units.both(weir - body.finished_z_mm, u)
        told = f"Hang the trap of {trap.tag} where its arm begins, its weir {said} above finished floor"
        was = units.both(trap.weir_z_mm - body.finished_z_mm, u)
        yield once(Fact("trap", (trap.tag,), was, said, told, (("traps", trap.tag, "weir_z_mm", weir),)), cost=MARK)
