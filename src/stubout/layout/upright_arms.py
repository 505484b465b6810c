"""A tub, shower or floor drain of an upper floor on a stack of its own: the tee stands upright in the wall beside it.

Its arm goes straight into the tee, at whatever angle it lies: trap and tee can both be turned. The stack goes down in
the wall below, its vent up in the wall above. One that stands back to back with another goes into that one's tee from
across, which is then double, or joins its stack a fitting lower (`back_to_back.py`). Lengths [mm], sizes in nominal
inches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stubout.house.model import HouseFixture
from stubout.layout.back_to_back import beside_mate, mate_of, to_come, under_mate
from stubout.layout.drain_zone import VENT_WEIGHT, DrainZone
from stubout.layout.floor_traps import floor_trap, trap_arm_ask
from stubout.layout.model import Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.route import Path, Target
from stubout.layout.space_shapes import XY, off_line
from stubout.layout.stacks import StackSpot, spots_around
from stubout.layout.swung_traps import from_weir, swung
from stubout.layout.weights import LEAST_WON
from stubout.layout.work import STACK, TrapDraft, spot_key, stack_key
from stubout.layout.zone_stacks import with_stack

LEAST_STACK_IN = 2.0
OWN_STACK = 4000.0  # what it weighs beside a longer arm and a drain on to a stack that stands [mm of pipe]
UNDER = 400.0  # what a tee of its own below another weighs beside one that both share [mm of pipe]
FACING = 500.0  # what a place is worth from where another outlet, not drawn yet, has its arm straight across
ON_LINE_MM = 1.0
MOST_SPOTS = 8  # places for such a stack that are looked at, the nearest that an arm may reach


@dataclass(frozen=True, slots=True)
class UprightArm:
    """One way into a stack, its own or that of one it stands back to back with, from the trap weir on."""

    path: Path
    cost: float
    size_in: float  # of the arm
    mate: TrapDraft | None = None  # the other one


def upright_arm(zone: DrainZone, f: HouseFixture, need: Need, cap: float) -> UprightArm | None:
    """Return the cheapest arm of a floor outlet into an upright tee, None if none can be.

    Args:
        zone: The floor zone.
        f: The fixture.
        need: What it asks of the book.
        cap: The highest centre line at its trap weir [mm].
    """
    work = zone.work
    if zone.lowest or f.trap_weir_z_mm is not None:
        return None
    size = max(need.branch_in, need.arm_in, LEAST_STACK_IN)
    reach = zone.trap_reach.get(need.arm_in, 100.0)
    xy = work.xy(f)

    def arm(targets: list[Target], of: Need) -> Path | None:
        limits = trap_arm_ask(zone, of, xy, zone.start_layers, cap)
        g = work.gauge(of.arm_in)

        def again(at: XY) -> Path | None:
            lines = zone.router.lattice((at, xy, targets[0].xy))
            return zone.router.search(swung(limits, at, reach), g, of.slope, targets, lines)

        path = zone.router.search(limits, g, of.slope, targets, zone.router.lattice((xy, targets[0].xy)))
        return path if path is None else from_weir(zone, f, of, path, again)

    best: UprightArm | None = None
    for target in beside_mate(zone, need):
        mate = mate_of(zone, target)
        wide = max(need.arm_in, mate.need.arm_in)
        path = arm([target], replace(need, arm_in=wide, slope=work.demands.slope(wide)))
        if path is not None and (best is None or path.cost < best.cost - LEAST_WON):
            best = UprightArm(path, path.cost, wide, mate)
    for target in under_mate(zone, need):
        path = arm([target], need)
        if path is None or (best is not None and path.cost + UNDER >= best.cost - LEAST_WON):
            continue
        under = UprightArm(path, path.cost + UNDER, need.arm_in)
        if _has_room(zone, f, need, cap, under):
            best = under
    vents = tuple(v for v in (LEAST_STACK_IN, 1.5) if v >= need.vent_in - 1e-6)
    room = zone.fits.trap(need.arm_in) + zone.fits.tee(size, need.arm_in)
    near, far = reach + max(need.arm_min, room), need.arm_max + reach
    looked, others = 0, to_come(work, f)
    for spot in spots_around(work, zone.level, work.gauge(size), vents, xy, near, far, others):
        if looked >= MOST_SPOTS:
            break
        if spot.vent_in <= 0.0 or spot.above is None or (f.tag, spot_key(spot.above)) in work.bans:
            continue
        if (STACK, stack_key(spot.xy)) in work.bans:
            continue
        out = zone.outlook.cost(spot.above, spot.above.wall.bottom_z_mm, spot.vent_in)
        if out is None:
            continue
        looked += 1
        index = _known(zone, spot)
        rooms = (zone.fits.tee(size, need.arm_in),) * 8
        path = arm([Target(spot.xy, v.key, None, frozenset(), 0.0, f"new{index}", rooms) for v in zone.layers], need)
        if path is None:
            continue
        cost = path.cost + OWN_STACK + spot.extra + out * VENT_WEIGHT
        if any(off_line(spot.xy, xy, o) < ON_LINE_MM for o in others):
            cost -= FACING
        if best is None or cost < best.cost - LEAST_WON:
            best = UprightArm(path, cost, need.arm_in)
    return best


def _has_room(zone: DrainZone, f: HouseFixture, need: Need, cap: float, way: UprightArm) -> bool:
    """Return whether an arm that joins a stack at a height of its own finds the height for it."""
    before, short = zone.snapshot(), zone.work.board.short_of_room()
    draw_upright(zone, f, need, cap, way)
    now = zone.work.board.short_of_room()
    zone.restore(before)
    return now[0] <= short[0] and now[1] <= short[1]


def _known(zone: DrainZone, spot: StackSpot) -> int:
    """Return the number of a place for a stack among those of the zone."""
    for i, s in enumerate(zone.spots):
        if math.dist(s.xy, spot.xy) < 1.0:
            return i
    zone.spots.append(spot)
    return len(zone.spots) - 1


def draw_upright(zone: DrainZone, f: HouseFixture, need: Need, cap: float, way: UprightArm) -> None:
    """Draw such an arm, with its stack where it has one of its own."""
    weir = floor_trap(zone, f, cap, way.path)
    size, slope = way.size_in, zone.work.demands.slope(way.size_in)
    path = with_stack(zone, way.path, max(need.branch_in, size, LEAST_STACK_IN))
    edges, joint = zone.router.draw(path, weir, size_in=size, slope=slope, role=Role.TRAP_ARM, tag=f.tag)
    trap = TrapDraft(need, weir.id, joint.id, [e.id for e in edges], VentMethod.STACK)
    if way.mate is not None:
        trap.partner, way.mate.partner = way.mate.tag, f.tag
        for i in way.mate.arm:  # what comes from across into a double tee comes in the same size (FIT004)
            e = zone.work.board.edges[i]
            e.size_in = max(e.size_in, size)
    joint.on_top = True
    zone.work.traps[f.tag] = trap
