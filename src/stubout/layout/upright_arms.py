"""A tub, shower or floor drain of an upper floor on a stack of its own: the tee stands upright in the wall beside it.

Its arm goes straight into the tee, at whatever angle it lies: trap and tee can both be turned. The stack goes down in
the wall below, its vent up in the wall above. Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout.house.model import HouseFixture
from stubout.layout.drain_zone import VENT_WEIGHT, DrainZone
from stubout.layout.floor_traps import floor_trap, trap_arm_ask
from stubout.layout.model import Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.route import Ask, Path, Target
from stubout.layout.space_shapes import XY
from stubout.layout.stacks import StackSpot, spots_around
from stubout.layout.swung_traps import from_weir, swung
from stubout.layout.work import STACK, TrapDraft, spot_key, stack_key
from stubout.layout.zone_stacks import with_stack

LEAST_STACK_IN = 2.0
OWN_STACK = 4000.0  # what it weighs beside a longer arm and a drain on to a stack that stands [mm of pipe]
MOST_SPOTS = 8  # places for such a stack that are looked at, the nearest that an arm may reach


@dataclass(frozen=True, slots=True)
class UprightArm:
    """One way into a stack of its own, from the trap weir on."""

    path: Path
    spot: StackSpot
    cost: float


def upright_arm(zone: DrainZone, f: HouseFixture, need: Need, cap: float) -> UprightArm | None:
    """Return the cheapest arm of a floor outlet into a stack of its own, None if none can be.

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
    xy, g = work.xy(f), work.gauge(need.arm_in)
    vents = tuple(v for v in (LEAST_STACK_IN, 1.5) if v >= need.vent_in - 1e-6)
    room = zone.fits.trap(need.arm_in) + zone.fits.tee(size, need.arm_in)
    near, far = reach + max(need.arm_min, room), need.arm_max + reach
    best: UprightArm | None = None
    looked = 0
    for spot in spots_around(work, zone.level, work.gauge(size), vents, xy, near, far):
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
        targets = [Target(spot.xy, layer.key, None, frozenset(), 0.0, f"new{index}", rooms) for layer in zone.layers]
        limits = trap_arm_ask(zone, need, xy, zone.start_layers, cap)

        def again(at: XY, limits: Ask = limits, targets: list[Target] = targets) -> Path | None:
            lines = zone.router.lattice((at, xy, targets[0].xy))
            return zone.router.search(swung(limits, at, reach), g, need.slope, targets, lines)

        path = zone.router.search(limits, g, need.slope, targets, zone.router.lattice((xy, spot.xy)))
        if path is None:
            continue
        path = from_weir(zone, f, need, path, again)
        cost = path.cost + OWN_STACK + spot.extra + out * VENT_WEIGHT
        if best is None or cost < best.cost - 0.05:
            best = UprightArm(path, spot, cost)
    return best


def _known(zone: DrainZone, spot: StackSpot) -> int:
    """Return the number of a place for a stack among those of the zone."""
    for i, s in enumerate(zone.spots):
        if math.dist(s.xy, spot.xy) < 1.0:
            return i
    zone.spots.append(spot)
    return len(zone.spots) - 1


def draw_upright(zone: DrainZone, f: HouseFixture, need: Need, cap: float, way: UprightArm) -> None:
    """Draw such an arm with its stack."""
    weir = floor_trap(zone, f, cap, way.path)
    path = with_stack(zone, way.path, max(need.branch_in, need.arm_in, LEAST_STACK_IN))
    edges, joint = zone.router.draw(path, weir, size_in=need.arm_in, slope=need.slope, role=Role.TRAP_ARM, tag=f.tag)
    joint.on_top = True
    zone.work.traps[f.tag] = TrapDraft(need, weir.id, joint.id, [e.id for e in edges], VentMethod.STACK)
