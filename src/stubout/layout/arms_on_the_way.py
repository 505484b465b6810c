"""Floor fixtures that drain straight to the tree and take their vent on the way. Lengths [mm], sizes [in]."""

from __future__ import annotations

from stubout.house.model import HouseFixture
from stubout.layout.cavity_shapes import Spot
from stubout.layout.drain_targets import fit_targets
from stubout.layout.drain_zone import DrainZone
from stubout.layout.floor_traps import floor_trap
from stubout.layout.jogs import dear, swing
from stubout.layout.leaning_vents import leaning_vent, vent_leaning
from stubout.layout.model import Role
from stubout.layout.needs import Need
from stubout.layout.route import Ask, Path
from stubout.layout.space_shapes import XY
from stubout.layout.swung_traps import from_weir, swung
from stubout.layout.trap_drops import lift_wanted_mm
from stubout.layout.work import TrapDraft


def arm_on_the_way(zone: DrainZone, f: HouseFixture, need: Need, cap: float) -> tuple[float, Spot] | None:
    """Draw a floor fixture's drain by its cheapest way, with a vent that leans into a wall beside it.

    Return what it costs and where its vent rises; None, with nothing drawn, where no vent gets into a wall.
    """
    work = zone.work
    if not work.order.short or not zone.lowest or not zone.edges():
        return None
    xy, size = work.xy(f), max(need.branch_in, need.arm_in)
    g, slope = work.gauge(size), work.demands.slope(size)
    reach = zone.trap_reach.get(need.arm_in, 100.0)
    limits = Ask(
        xy,
        zone.start_layers,
        cap,
        jog=swing(reach),
        turn_free=zone.turn_free,
        **zone.bends(size, reach + zone.fits.trap(size)),
    )

    def looked(limits: Ask) -> Path | None:
        lat = zone.router.lattice((limits.xy,), branch_in=size)
        return zone.router.search(limits, g, slope, fit_targets(zone, lat, size, need), lat)

    def again(at: XY) -> Path | None:
        return looked(swung(limits, at, reach))

    path = looked(limits)
    if path is None or not path.steps or any(s.place is None for s in path.steps):
        return None
    before = zone.snapshot()
    path = from_weir(zone, f, need, path, again)
    weir = floor_trap(zone, f, cap, path)
    edges, _ = zone.router.draw(path, weir, size_in=size, slope=slope, role=Role.BRANCH, tag=f.tag)
    one = leaning_vent(zone, need, edges, need.vent_in, lift_wanted_mm(work, need, weir))
    if one is None:
        zone.restore(before)
        return None
    trap = work.traps[f.tag] = TrapDraft(need, weir.id, 0, dear=dear(path))
    vent_leaning(zone, trap, one, need.vent_in)
    return path.cost + one.cost, one.spot
