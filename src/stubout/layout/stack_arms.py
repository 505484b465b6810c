"""A lavatory that lets its arm into the stack of its storey above the floor, where its vent goes on. Lengths [mm].

The joint stands in the wall, not in the crowd of joints between the joists; what else drains into that stack on this
storey breathes through the piece of stack between (an upright wet vent).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stubout.geometry.vec import Vec
from stubout.kinds import FixtureKind
from stubout.layout.arms import STUB_PAST_WALL_MM, least_run, meets_arm, passes_riser, stubs_to
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import DStack
from stubout.layout.drain_zone import DrainZone
from stubout.layout.model import Place, PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import STACK, TrapDraft, spot_key, stack_key


@dataclass(frozen=True, slots=True)
class StackArm:
    """One way into a stack."""

    stack: int
    spot: Spot  # the stack in the wall over the floor
    stub: float  # station
    run: float  # along the wall
    z_weir: float
    z_take: float
    trap_out: float
    cost: float


def stack_arm(zone: DrainZone, need: Need, trap_reach: float) -> StackArm | None:
    """Return the cheapest way a lavatory's arm goes into a stack that begins in this floor, None if there is none.

    Args:
        zone: The floor zone.
        need: What the fixture asks of the book.
        trap_reach: How far its trap reaches, inlet to weir [mm].
    """
    f = need.fixture
    if f.kind is not FixtureKind.LAVATORY or not f.wall_id or "wet" in zone.work.house.wishes.methods_not_wanted:
        return None
    ways = sorted(_ways(zone, need, trap_reach), key=lambda w: (round(w.cost, 1), w.stack, w.stub))
    return ways[0] if ways else None


def _ways(zone: DrainZone, need: Need, trap_reach: float) -> Iterator[StackArm]:
    work, f = zone.work, need.fixture
    mark = work.marks.get(f.tag)
    if mark is None or not mark.feasible or f.station_mm is None:
        return
    w, g = work.house.wall(f.wall_id), work.gauge(need.arm_in)
    for i, stack in enumerate(work.board.stacks):
        spot = _above(zone, stack, need)
        if spot is None or spot.wall.id != w.id or (f.tag, spot_key(spot)) in work.bans:
            continue
        for stub in stubs_to(w, f, g, trap_reach, spot.station, _least_run(zone, stack, need)):
            run = abs(spot.station - stub)
            face = abs(w.face_offset(f.side, stub, mark.mark_z_mm))
            trap_out = max(face + STUB_PAST_WALL_MM, f.from_wall_mm + face - trap_reach)
            aside = abs(stub - f.station_mm)
            length = trap_out + run + aside * 0.42
            if not need.arm_min <= length <= need.arm_max or (90.0 if run > 1.0 else 0.0) > need.arm_turn + 0.5:
                continue
            bores, why = work.cavity.along(w, stub, spot.station, mark.mark_z_mm, g) if run > 1.0 else (0, "")
            if why or passes_riser(work, spot, stub) or meets_arm(work, w, stub, spot.station, mark.mark_z_mm, g):
                continue
            z_weir = mark.mark_z_mm + need.slope * max(0.0, trap_out - face)
            z_take = mark.mark_z_mm - need.slope * (face + run)
            if work.cavity.stands(w, spot.station, w.bottom_z_mm, z_take, work.gauge(stack.size_in), spot.offset):
                continue
            cost = length + bores * WEIGHTS.bore + aside * 3 + (WEIGHTS.turn_90 if run > 1.0 else 0.0)
            yield StackArm(i, spot, stub, run, z_weir, z_take, trap_out, cost)


def _least_run(zone: DrainZone, stack: DStack, need: Need) -> float:
    fits = zone.fits
    return max(least_run(zone.work, need.arm_in), fits.sweep(need.arm_in) + fits.tee(stack.size_in, need.arm_in))


def _above(zone: DrainZone, stack: DStack, need: Need) -> Spot | None:
    """Return where a stack goes on up in a wall of this storey, None where it may not take a lavatory there."""
    work = zone.work
    if stack.drawn or stack.vented or not stack.vent_ok or stack.zone != zone.level.id:
        return None
    if (STACK, stack_key(stack.xy)) in work.bans or not _may_breathe_wet(zone, stack):
        return None
    p, g = Vec(stack.xy[0], stack.xy[1], 0.0), work.gauge(stack.size_in)
    for w in work.cavity.walls_of(zone.level):
        st, off = w.station(p), w.offset(p)
        if not 0.0 < st < w.length_mm or abs(off) > max(0.0, w.depth_mm / 2 - g.hub_r) + 0.5:
            continue
        bay = w.bay_at(st)
        frame = zone.layers[0].frame
        if bay is None or w.knee or not work.cavity.fits_depth(w, g):
            continue
        if frame is not None and work.cavity.passes(frame, stack.xy, g):
            continue
        spot = Spot(w, bay, st, off)
        if zone.outlook.cost(spot, w.bottom_z_mm + need.arm_min, max(need.vent_in, _breathers(zone, stack))) is None:
            continue
        return spot
    return None


def _may_breathe_wet(zone: DrainZone, stack: DStack) -> bool:
    """Return whether the book lets as many closets onto one wet vent as a stack vents on this storey."""
    if len([t for t in _on(zone, stack) if not t.partner]) > 1:
        return False  # two at two levels have a common vent there
    closets = sum(t.need.closet for t in _on(zone, stack))
    most = zone.work.book.find("wet_vent.max_closets")
    return closets < 2 or (most is not None and closets <= most.number)


def _breathers(zone: DrainZone, stack: DStack) -> float:
    """Return the largest vent that what drains into a stack on this storey asks for [in]."""
    return max((t.need.vent_in for t in _on(zone, stack)), default=0.0)


def _on(zone: DrainZone, stack: DStack) -> list[TrapDraft]:
    """Return the traps of this storey that a stack vents."""
    return [t for t in zone.work.traps.values() if t.method is VentMethod.STACK and t.takeoff in stack.nodes]


def draw_stack_arm(zone: DrainZone, need: Need, way: StackArm) -> None:
    """Draw an arm into a stack; what the stack vented on this storey is wet vented from now on."""
    work, board, f = zone.work, zone.work.board, need.fixture
    stack, w = board.stacks[way.stack], way.spot.wall
    place = Place("wall", w.id, way.spot.bay.index)
    side = 1.0 if f.side == "left" else -1.0
    front = w.point(way.stub, 0.0, side * way.trap_out)
    weir = board.node((front.x, front.y), PointKind.TRAP, way.z_weir, f.tag, f"stub-out at station {way.stub:.1f}")
    weir.fixed = True
    take = board.node(stack.xy, PointKind.TAKEOFF, way.z_take, f.tag)
    trap = TrapDraft(need, weir.id, take.id, method=VentMethod.INDIVIDUAL, spot=way.spot)
    trap.stub_station = way.stub
    at = weir
    if way.run > 1.0:
        p = w.point(way.stub, 0.0, way.spot.offset)
        at = board.node((p.x, p.y), PointKind.TURN, None, f.tag)
        trap.arm.append(
            board.edge(weir, at, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope).id
        )
    trap.arm.append(board.edge(at, take, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope).id)
    for t in _on(zone, stack):
        t.method = VentMethod.WET
    take.stack = way.stack
    stack.nodes.append(take.id)
    frame = zone.layers[0].frame
    over = [(w.bottom_z_mm, w.top_z_mm, place)]
    if frame is not None:
        over.append((frame.bottom_z_mm, frame.top_z_mm + frame.panel_mm, Place("joist bay", frame.id)))
    stack.places = (*over, *stack.places)
    stack.vented = True
    work.traps[f.tag] = trap
    zone.router.shy.pop(f.tag, None)
    for i in trap.arm:
        a, b = board.nodes[board.edges[i].up].xy, board.nodes[board.edges[i].down].xy
        work.cavity.pipes.append((Vec(*a, way.z_take), Vec(*b, way.z_take), work.gauge(need.arm_in).r))
    if not any(r.wall.id == w.id and abs(r.station - way.spot.station) < 1.0 for r, _ in work.risers):
        work.risers.append((way.spot, work.gauge(stack.size_in).hub_mm))
