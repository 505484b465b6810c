"""Closets of an upper floor: each to a stack, in the order that serves all. Lengths [mm], sizes in nominal inches."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import partial

from stubout import units
from stubout.house.model import HouseFixture
from stubout.layout.back_to_back import beside_mate, halfway, mate_of
from stubout.layout.draft import DStack
from stubout.layout.drain_zone import DrainZone
from stubout.layout.main_vent import MAIN_VENT_COST
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.route import Ask, Path, Target
from stubout.layout.space_shapes import XY, Gauge
from stubout.layout.stacks import StackSpot, on_footings
from stubout.layout.work import TrapDraft, Work
from stubout.layout.zone_stacks import airs, stack_corners, stack_targets, with_stack

UNVENTED_COST = 6_000.0  # a closet that its stack does not vent still needs a vent of its own


def closets_to_stacks(zone: DrainZone, closets: Sequence[HouseFixture]) -> None:
    """Draw the closets of an upper floor to stacks, in the order that serves all of them best."""
    if not closets:
        return
    orders = list(itertools.permutations(closets)) if len(closets) <= 3 else [tuple(closets)]
    main = [s for s in zone.spots if s.vent_in >= zone.main_vent_in]
    between = [s for s in zone.spots if any(math.dist(s.xy, p) < 1.0 for p in halfway(zone.work, closets))]
    firsts = [main, zone.spots, *([between] if between else [])]
    zone.best_of([partial(_closets_in_order, zone, order, first) for order in orders for first in firsts])


def _closets_in_order(zone: DrainZone, order: Sequence[HouseFixture], first: Sequence[StackSpot]) -> float:
    """Draw closets in one order, the first to one of some places for a stack; return the cost."""
    spots = zone.spots
    cost = 0.0
    for i, f in enumerate(order):
        zone.spots = spots if i else list(first)
        cost += _closet_to_stack(zone, f)
    zone.spots = spots
    if zone.main_vent_in and not any(s.vent_in >= zone.main_vent_in for s in zone.work.board.stacks):
        cost += MAIN_VENT_COST
    return cost


def _closet_to_stack(zone: DrainZone, f: HouseFixture) -> float:
    """Draw one closet to the stack that costs least, within its trap arm if it can be; return the cost."""
    work, board = zone.work, zone.work.board
    need = work.needs[f.tag]
    g = work.gauge(need.arm_in)
    xy = _flange_xy(zone, f, g)
    if xy is None:
        work.block(
            (f.tag,),
            f"a joist stands under the flange of {f.tag} and it may move "
            f"{units.both(f.may_move_mm, work.house.job.units)} only",
            "move the closet, or head off the joist with the builder",
        )
        return 1.0e6
    zone.router.keys.add(xy)
    lat = zone.router.lattice(stack_corners(zone, xy))
    slope = work.demands.slope(need.arm_in)
    reach = need.arm_left(closet_start_cap(zone.work, f))

    def found(targets: Sequence[Target], reach: float | None) -> Path | None:
        room = zone.bends(need.arm_in, zone.fits.closet(need.arm_in))
        limits = Ask(xy, zone.start_layers, None, max_length=reach, **room)
        return zone.router.search(limits, g, slope, targets, lat)

    targets = stack_targets(zone, True, need.arm_in)
    path, within = found(targets, reach), True
    if path is None:
        path, within = found(targets, None), False
    shares = beside_mate(zone, need)
    shared = found(shares, reach) if shares else None
    mate: TrapDraft | None = None
    if shared is not None and (path is None or shared.cost < path.cost + _unvented(zone, path, within)):
        path, within, mate = shared, True, mate_of(zone, shared.target)
    if path is None:
        none = not targets  # no stack stands, and no wall below takes one
        footings = on_footings(work, zone.level, g) if none else ()
        under = "; ".join(f"{o} lies under {w}" for w, o in footings)
        gap = ", ".join(dict.fromkeys(o for _, o in footings))
        work.block(
            (f.tag,),
            f"no stack can be reached from {f.tag}: "
            + (
                "no wall below it takes one" + (f" ({under})" if under else "")
                if none
                else f"a {need.arm_in:g} in pipe cannot cross the joists and no space below them is free"
            ),
            (f"a gap in {gap} or a sleeve through it where the engineer allows one, or " if gap else "")
            + f"a wall below deep enough for a {need.arm_in:g} in hub, or a furred one"
            if none
            else "a dropped ceiling, a soffit, or a stack in the closet's own joist bay",
        )
        return 1.0e6
    node = board.node(xy, PointKind.FLANGE, None, f.tag)
    node.cap = closet_start_cap(zone.work, f)
    path = with_stack(zone, path, need.arm_in)
    role = Role.TRAP_ARM if within else Role.BRANCH
    edges, joint = zone.router.draw(path, node, size_in=need.arm_in, slope=slope, role=role, tag=f.tag)
    trap = TrapDraft(need, node.id, joint.id if within else 0)
    stack = board.stacks[joint.stack] if joint.stack >= 0 else None
    if mate is not None:
        trap.method, trap.arm, trap.partner, mate.partner = VentMethod.STACK, [e.id for e in edges], mate.tag, f.tag
    elif within and stack is not None and _vents(zone, stack):
        trap.method, joint.on_top = VentMethod.STACK, True
        trap.arm = [e.id for e in edges]
    else:
        trap.takeoff = 0
        for e in edges:
            e.role = Role.BRANCH
    trap.closet_tail = [e.id for e in edges]
    work.traps[f.tag] = trap
    return path.cost + (0.0 if trap.method is VentMethod.STACK else UNVENTED_COST)


def _unvented(zone: DrainZone, path: Path, within: bool) -> float:
    """Return what it weighs that the stack a way ends at does not vent a closet."""
    ref = path.target.ref
    if ref.startswith("new"):
        vents = zone.spots[int(ref[3:])].vent_in > 0
    else:
        vents = _vents(zone, zone.work.board.stacks[int(ref[1:])])
    return 0.0 if within and vents else UNVENTED_COST


def _vents(zone: DrainZone, stack: DStack) -> bool:
    """Return whether a stack vents one more closet of this storey, at a joint of its own."""
    return stack.vent_ok and airs(zone, stack) and not _breathes(zone, stack)


def _breathes(zone: DrainZone, stack: DStack) -> bool:
    """Return whether a closet breathes through the top of a stack already: a second one would drain past its vent."""
    traps = zone.work.traps.values()
    return any(t.need.closet and t.method is VentMethod.STACK and t.takeoff in stack.nodes for t in traps)


def _flange_xy(zone: DrainZone, f: HouseFixture, g: Gauge) -> XY | None:
    """Return the flange's place, moved as far as it may where a joist stands under it."""
    xy = zone.work.xy(f)
    frame = zone.layers[0].frame
    if frame is None or zone.work.space.bay_of(frame, xy, g) is not None:
        return xy
    step = 1.0
    moved = step
    while moved <= f.may_move_mm:
        for dx, dy in ((moved, 0.0), (-moved, 0.0), (0.0, moved), (0.0, -moved)):
            p = (xy[0] + dx, xy[1] + dy)
            if zone.work.space.bay_of(frame, p, g) is not None:
                u = zone.work.house.job.units
                zone.work.notes.append(
                    f"{f.tag}: flange moved {units.both(moved, u)} to {units.on_plan(*p, u)} on the plan, to "
                    "clear the joist with its hub; the closet may move "
                    f"{units.both(f.may_move_mm, u)}"
                )
                return p
        moved += step
    return None


def closet_start_cap(work: Work, f: HouseFixture) -> float:
    """Return the highest centre line of the pipe under a closet's flange [mm]."""
    g = work.gauge(3.0)
    return f.finished_z_mm - 40.0 - g.hub_mm - g.r * 0.2
