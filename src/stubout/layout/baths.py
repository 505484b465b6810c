"""Ways to draw a bath: lavatory first, floor outlets first, or a tub's drain as the spine of all.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.closet_vents import closet_own_vent
from stubout.layout.drain_targets import let_through, tree_targets
from stubout.layout.drain_zone import DrainZone
from stubout.layout.floor_traps import floor_cap, floor_trap
from stubout.layout.main_vent import MAIN_VENT_COST, main_vent_missing
from stubout.layout.model import Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.one_fixture import draw_fixture
from stubout.layout.route import Ask, Path
from stubout.layout.space_shapes import XY
from stubout.layout.swung_traps import from_weir, swung
from stubout.layout.wall_fixtures import wall_fixture
from stubout.layout.wet_vents import MOST_WET_IN, vent_wet, wet_places, wet_size, wet_targets
from stubout.layout.work import BY_WET, TrapDraft
from stubout.layout.zone_stacks import stack_targets, with_stack
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask


def draw_bath(zone: DrainZone, members: Sequence[HouseFixture]) -> None:
    """Draw a bath: every way of ordering its fixtures is tried, the best one kept."""
    wet_ok = "wet" not in zone.work.house.wishes.methods_not_wanted
    lavs = [f for f in members if f.kind is FixtureKind.LAVATORY]
    wets = [f for f in members if f.kind in (FixtureKind.SHOWER, FixtureKind.BATHTUB)]
    ways: list[Callable[[], float]] = []
    collects: list[int] = []
    if wet_ok and lavs and wets:
        open_closets = (True, False) if _wettable(zone, members) else (False,)
        ways += [
            partial(_spine_first, zone, members, first, wet)
            for first in wets
            for wet in open_closets
            if wet_size(zone, (lavs[0], first), closets=int(wet)) <= MOST_WET_IN
        ]
    if wet_ok and lavs:
        ways.append(partial(_lavatory_first, zone, members, True))
    if wet_ok and lavs and wets:
        for order in itertools.islice(itertools.permutations(wets), 2):
            collects.append(len(ways))
            ways.append(partial(_lavatory_first, zone, [*order, *members], True, True))
    ways.append(partial(_lavatory_first, zone, members, False))
    if len(wets) > 1:
        ways += [partial(_floor_first, zone, members, tuple(order)) for order in itertools.permutations(wets)][:4]
    if zone.lowest and _open_closets(zone, members):
        needs_own = not (wet_ok and lavs and _wettable(zone, members))
        if needs_own or main_vent_missing(zone.work):
            ways.append(partial(_closet_first, zone, members))
    zone.best_of([partial(_with_main_vent, zone, way) for way in ways], collects)


def _with_main_vent(zone: DrainZone, way: Callable[[], float]) -> float:
    """Draw a bath one way; return its cost, with what it costs that the house still lacks its one large vent."""
    cost = way()
    return cost + (MAIN_VENT_COST if zone.lowest and main_vent_missing(zone.work) else 0.0)


def _open_closets(zone: DrainZone, members: Sequence[HouseFixture]) -> list[TrapDraft]:
    return [
        t
        for t in zone.work.traps.values()
        if t.need.closet and t.need.fixture.group == members[0].group and t.method is VentMethod.NONE and not t.drawn
    ]


def _wettable(zone: DrainZone, members: Sequence[HouseFixture]) -> list[TrapDraft]:
    """Return the closets of a bath that may yet be vented through another's drain."""
    return [t for t in _open_closets(zone, members) if (t.tag, BY_WET) not in zone.work.bans]


def _lavatory_first(zone: DrainZone, members: Sequence[HouseFixture], wet_ok: bool, collect: bool = False) -> float:
    """Draw the lavatories first: onto the closet's drain near enough to vent it, where that can be.

    With `collect` the first lavatory's drain is laid large enough to vent the tubs and showers along its way.
    """
    lavs = [f for f in members if f.kind is FixtureKind.LAVATORY]
    wets = [f for f in members if f.kind in (FixtureKind.SHOWER, FixtureKind.BATHTUB)]
    first: HouseFixture | None = None
    for lav in lavs:
        want = next(iter(_wettable(zone, members)), None) if wet_ok else None
        size = wet_size(zone, (lav,), closets=1) if want is not None else 0.0
        if collect and first is None:
            size = max(size, min(MOST_WET_IN, wet_size(zone, (lav, *wets), closets=int(want is not None))))
        tail = draw_fixture(zone, lav, wet_closet=want, wet_size=size)
        if tail and first is None:
            first = lav
    for f in members:
        if f.kind is not FixtureKind.LAVATORY:
            draw_fixture(zone, f, wet_from=first if wet_ok else None)
        if zone.beaten():
            return zone.weight()
    _vent_open_closets(zone, members)
    return zone.weight()


def _closet_first(zone: DrainZone, members: Sequence[HouseFixture]) -> float:
    """Give the closets their own vents while their drains are still theirs alone, then draw what joins them."""
    _vent_open_closets(zone, members)
    for f in (*(f for f in members if f.kind is FixtureKind.LAVATORY), *members):
        draw_fixture(zone, f)
    _vent_open_closets(zone, members)
    return zone.weight()


def _vent_open_closets(zone: DrainZone, members: Sequence[HouseFixture]) -> None:
    """Give every closet of a bath that nothing vents a vent of its own."""
    for tag in [t.tag for t in _open_closets(zone, members)]:
        closet_own_vent(zone, tag)


def _floor_first(zone: DrainZone, members: Sequence[HouseFixture], wets: Sequence[HouseFixture]) -> float:
    """Draw the tubs and showers first, whose arms have the least choice, then what drops down a wall."""
    for f in (*wets, *members):
        draw_fixture(zone, f)
        if zone.beaten():
            return zone.weight()
    _vent_open_closets(zone, members)
    return zone.weight()


def _spine_first(zone: DrainZone, members: Sequence[HouseFixture], first: HouseFixture, closet_wet: bool) -> float:
    """Draw a tub's or shower's drain first, let the lavatory join it within the trap arm, the closet after both."""
    lavs = [f for f in members if f.kind is FixtureKind.LAVATORY]
    closets = _wettable(zone, members)
    lav = lavs[0]
    closet = closets[0] if closets and closet_wet else None
    size = max(wet_size(zone, (lav, first), closets=int(closet is not None)), zone.work.needs[first.tag].arm_in)
    before = zone.snapshot()
    if not _spine(zone, first, closet, lav, size):
        zone.restore(before)
        draw_fixture(zone, first)
    for f in (*lavs, *members):
        if f.kind is not FixtureKind.WATER_CLOSET:
            draw_fixture(zone, f)
        if zone.beaten():
            return zone.weight()
    _vent_open_closets(zone, members)
    return zone.weight()


def as_laid(zone: DrainZone, need: Need, size_in: float) -> Need:
    """Return the need of a fixture whose arm is laid as large as the drain it goes on in: it may be as long as that."""
    try:
        return replace(need, arm_max=max(need.arm_max, ask.arm_max_length(zone.work.book, size_in).number))
    except NotInBook:
        return need


def _spine(zone: DrainZone, f: HouseFixture, closet: TrapDraft | None, lav: HouseFixture, size: float) -> bool:
    """Draw one fixture's drain and the lavatory's onto it; return whether both are vented by that."""
    work = zone.work
    need = work.needs[f.tag]
    if (f.tag, BY_WET) in work.bans:
        return False
    g = work.gauge(size)
    xy = work.xy(f)
    cap = floor_cap(f, work.gauge(need.arm_in))
    slope = work.demands.slope(size)
    reach = zone.trap_reach.get(need.arm_in, 100.0)

    def looked(limits: Ask) -> Path | None:
        path = looked_on(limits, ())
        return path if path is not None or closet is None else looked_on(limits, wet_places(zone, closet))

    def looked_on(limits: Ask, places: Sequence[XY]) -> Path | None:
        lat = zone.router.lattice((limits.xy, work.xy(lav), *places))
        targets = wet_targets(zone, lat, closet, size) if closet is not None else tree_targets(zone, lat, size)
        if closet is None and not zone.lowest:
            targets += [t for t in stack_targets(zone, True, size) if t.ref.startswith("new")]
        targets = let_through(zone, need, targets)
        return zone.router.search(limits, g, slope, targets, lat) if targets else None

    def again(at: XY) -> Path | None:
        return looked(swung(replace(limits, half_start=reach + zone.fits.trap(size)), at, reach))

    limits = Ask(
        xy,
        zone.start_layers,
        cap,
        turn_free=zone.turn_free,
        **zone.bends(g.size_in, zone.fits.closet(g.size_in)),
    )
    path = looked(limits)
    if path is None or not path.steps:
        return False
    path = from_weir(zone, f, need, path, again)
    weir = floor_trap(zone, f, cap, path)
    path = with_stack(zone, path, max(size, 2.0))
    edges, joint = zone.router.draw(path, weir, size_in=size, slope=slope, role=Role.BRANCH, tag=f.tag)
    trap = TrapDraft(need, weir.id, 0, [])
    trap.closet_tail = [e.id for e in edges]
    work.traps[f.tag] = trap
    probe = TrapDraft(as_laid(zone, need, size), weir.id, 0, closet_tail=list(trap.closet_tail))
    tail = wall_fixture(zone, lav, probe, wet_size(zone, (lav,), closets=int(closet is not None)))
    if tail is None or probe.method is not VentMethod.WET:
        work.traps.pop(f.tag, None)
        return False
    trap.arm, trap.takeoff, trap.method = probe.arm, probe.takeoff, VentMethod.WET
    if closet is not None:
        vent_wet(zone, closet, joint)
    return True
