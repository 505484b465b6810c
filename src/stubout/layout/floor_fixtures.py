"""Fixtures that drain through the floor: onto a wet vent, without a vent where the book allows, or to their own.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

from dataclasses import replace

from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.drain_targets import tree_targets
from stubout.layout.drain_zone import DrainZone
from stubout.layout.floor_arms import floor_own_vent
from stubout.layout.floor_traps import floor_cap, floor_trap, outlet_pipe, trap_arm_ask, trap_places
from stubout.layout.jogs import dear, near, swing
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.route import Ask, Path
from stubout.layout.space_shapes import XY
from stubout.layout.swung_traps import from_weir, swung
from stubout.layout.wet_vents import MOST_WET_IN, collected_size, places_on, roomy, spine_of
from stubout.layout.work import BY_WET, TrapDraft, Work
from stubout.layout.zone_targets import joint_targets
from stubout.rulebooks import queries as ask


def floor_fixture(zone: DrainZone, f: HouseFixture, wet_from: HouseFixture | None) -> list[int]:
    """Draw a fixture that drains through the floor."""
    work = zone.work
    need = work.needs[f.tag]
    zone.router.keys.add(work.xy(f))
    cap = floor_cap(f, work.gauge(need.arm_in))
    if wet_from is not None and _join_wet(zone, f, need, cap, wet_from):
        return []
    if f.kind is FixtureKind.FLOOR_DRAIN and _unvented_floor_drain(zone, f, need, cap):
        return []
    floor_own_vent(zone, f, need, cap)
    return []


def _join_wet(zone: DrainZone, f: HouseFixture, need: Need, cap: float, lav: HouseFixture) -> bool:
    """Run an arm into the drain of a lavatory that is vented, and so be vented through it."""
    work = zone.work
    spine = spine_of(zone, lav)
    if (f.tag, BY_WET) in work.bans:
        return False
    g = work.gauge(need.arm_in)
    reach = zone.trap_reach.get(need.arm_in, 100.0)
    best: tuple[float, Path, XY] | None = None
    for xy, layers in trap_places(zone, f, g, False):
        limits = trap_arm_ask(zone, need, xy, layers, cap)

        def looked(limits: Ask) -> Path | None:
            onto = [work.board.edges[i] for i in spine]
            lying = [(work.board.nodes[e.up].xy, work.board.nodes[e.down].xy) for e in onto if not e.plumb]
            for places in ((), places_on(lying)):
                lat = zone.router.lattice((limits.xy, *places))
                targets = list(joint_targets(zone.router, lat, onto, size_in=need.arm_in))
                targets = roomy(targets) if places else targets
                path = zone.router.search(limits, g, need.slope, targets, lat) if targets else None
                if path is not None:
                    return path
            return None

        def again(at: XY, limits: Ask = limits) -> Path | None:
            return looked(swung(limits, at, reach))

        path = looked(limits)
        if path is None or not path.steps or (best is not None and path.cost >= best[0]):
            continue
        path = from_weir(zone, f, need, path, again)
        if best is not None and path.cost >= best[0]:
            continue
        if collected_size(zone, lav, spine, f, path.target) <= MOST_WET_IN:
            best = (path.cost, path, xy)
    if best is None:
        return False
    _, path, xy = best
    weir = floor_trap(zone, f, cap, path)
    edges, joint = zone.router.draw(path, weir, size_in=need.arm_in, slope=need.slope, role=Role.TRAP_ARM, tag=f.tag)
    joint.kind = PointKind.TAKEOFF
    if not near(xy, work.xy(f), 5.0):
        outlet_pipe(zone, f, weir, xy, g)
    work.traps[f.tag] = TrapDraft(need, weir.id, joint.id, [e.id for e in edges], VentMethod.WET, dear=dear(path))
    return True


def _unvented_floor_drain(zone: DrainZone, f: HouseFixture, need: Need, cap: float) -> bool:
    """Run a floor drain without a vent far enough down stream, where the book allows that."""
    work = zone.work
    least = ask.floor_drain_unvented_min(work.book)
    if least is None:
        return False
    need = _with_trap(work, f, need)
    size = max(3.0, need.arm_in)
    g = work.gauge(size)
    xy = work.xy(f)
    reach = zone.trap_reach.get(size, 100.0)
    limits = Ask(
        xy,
        zone.start_layers,
        cap,
        least_length=least.number + reach,
        jog=swing(reach),
        **zone.bends(size, reach + zone.fits.trap(size)),
    )

    def looked(limits: Ask) -> Path | None:
        lat = zone.router.lattice((limits.xy,))
        return zone.router.search(limits, g, work.demands.slope(size), tree_targets(zone, lat, size), lat)

    path = looked(limits)
    if path is None:
        return False
    path = from_weir(zone, f, replace(need, arm_in=size), path, lambda at: looked(swung(limits, at, reach)))
    weir = floor_trap(zone, f, cap, path)
    edges, _joint = zone.router.draw(
        path, weir, size_in=size, slope=work.demands.slope(size), role=Role.TRAP_ARM, tag=f.tag
    )
    work.traps[f.tag] = TrapDraft(need, weir.id, 0, [e.id for e in edges], VentMethod.NONE)
    return True


def _with_trap(work: Work, f: HouseFixture, need: Need) -> Need:
    """Return what a floor drain without a vent asks for: as large a trap as the book wants there, if none is said."""
    least = ask.floor_drain_unvented_trap(work.book)
    if f.trap_in is not None or least is None or need.trap_in >= least.number:
        return need
    return replace(work.demands.need(replace(f, trap_in=least.number)), fixture=f)
