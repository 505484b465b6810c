"""Drains of one level in the order they are drawn: closets and stacks first, then the baths, then the rest.

Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Sequence

from stubout.house.model import HouseFixture, HouseLevel
from stubout.kinds import FixtureKind
from stubout.layout.baths import draw_bath
from stubout.layout.closet_vents import closet_own_vent
from stubout.layout.closets import closets_to_stacks
from stubout.layout.drain_zone import DrainZone
from stubout.layout.floor_traps import trap_places
from stubout.layout.laid_anew import lay_anew
from stubout.layout.model import VentMethod
from stubout.layout.one_fixture import draw_fixture
from stubout.layout.traffic import Post
from stubout.layout.trunk_drains import draw_trunk
from stubout.layout.wall_fixtures import WALL_FIXTURES
from stubout.layout.wet_vents import narrow_dry_drains, widen_wet_vents
from stubout.layout.work import Work
from stubout.layout.zone_stacks import find_spots

SHY_HALF_MM = 300.0  # so far to either side of a fixture its drop may want to come down


def draw_level(work: Work, level: HouseLevel, trap_reach: dict[float, float]) -> None:
    """Draw everything one level drains.

    Args:
        work: The desk.
        level: The level; those above it are drawn already.
        trap_reach: How far the weir of a trap stands from the outlet over it [mm], by size [in].
    """
    zone = DrainZone(work, level, trap_reach)
    fixtures = work.of_level(level)
    if work.order.last_first:
        fixtures = fixtures[::-1]
    if not fixtures and not (zone.lowest and work.board.stacks):
        return
    if not zone.layers:
        if fixtures:
            work.block(
                tuple(f.tag for f in fixtures),
                f"level {level.id} has no floor frame or slab to drain into",
                "describe the frame under it in the job file",
            )
        return
    before = len(work.blocked)
    _look_ahead(zone, fixtures)
    closets = [f for f in fixtures if f.kind is FixtureKind.WATER_CLOSET]
    if zone.lowest:
        draw_trunk(zone, closets)
    else:
        find_spots(zone, fixtures, closets)
        closets_to_stacks(zone, [c for c in closets if c.tag not in work.traps])
    _vent_lone_closets(zone, closets)  # while their drains are still theirs alone
    done = set(work.traps)
    groups: dict[str, list[HouseFixture]] = {}
    for f in fixtures:
        if f.tag not in done and f.group:
            groups.setdefault(f.group, []).append(f)
    for members in groups.values():
        draw_bath(zone, members)
        if zone.lowest and work.impatient and len(work.blocked) > before:
            return
    for f in fixtures:
        if f.tag not in work.traps:
            draw_fixture(zone, f)
        if zone.lowest and work.impatient and len(work.blocked) > before:
            return
    _vent_lone_closets(zone, closets)
    lay_anew(zone)
    widen_wet_vents(zone)
    narrow_dry_drains(zone)


def _vent_lone_closets(zone: DrainZone, closets: Sequence[HouseFixture]) -> None:
    """Give closets that stand in no bath their vents: nobody else sees to them."""
    for f in closets:
        trap = zone.work.traps.get(f.tag)
        if not f.group and trap is not None and trap.method is VentMethod.NONE and not trap.drawn:
            closet_own_vent(zone, f.tag)


def _look_ahead(zone: DrainZone, fixtures: Sequence[HouseFixture]) -> None:
    """Tell the router where drops and floor outlets will come down, so that what is drawn before them leaves room."""
    work, router = zone.work, zone.router
    for f in fixtures:
        router.keys.add(work.xy(f))
        if f.kind in WALL_FIXTURES and f.wall_id and not f.in_island and f.tag not in work.traps:
            w, s = work.house.wall(f.wall_id), f.station_mm or 0.0
            ends = [w.point(min(max(v, 0.0), w.length_mm), 0.0) for v in (s - SHY_HALF_MM, s + SHY_HALF_MM)]
            router.shy[f.tag] = ((ends[0].x, ends[0].y), (ends[1].x, ends[1].y))
        if f.floor_outlet:
            g = work.gauge(work.needs[f.tag].arm_in)
            router.planned.append(Post(work.xy(f), None, g.r))
            closet = f.kind is FixtureKind.WATER_CLOSET
            for aside, _ in trap_places(zone, f, g, closet)[1:]:
                router.planned.append(Post(aside, None, g.r))
    for stack in work.board.stacks:
        router.keys.add(stack.xy)
