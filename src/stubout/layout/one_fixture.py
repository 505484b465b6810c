"""One fixture, trapped, vented and drained the way of its kind."""

from __future__ import annotations

from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.cabinets import cabinet_drop
from stubout.layout.drain_zone import DrainZone
from stubout.layout.floor_fixtures import floor_fixture
from stubout.layout.trunk_drains import late_closet
from stubout.layout.wall_fixtures import WALL_FIXTURES, wall_fixture
from stubout.layout.work import TrapDraft


def draw_fixture(
    zone: DrainZone,
    f: HouseFixture,
    *,
    wet_closet: TrapDraft | None = None,
    wet_size: float = 0.0,
    wet_from: HouseFixture | None = None,
) -> list[int]:
    """Trap, vent and drain one fixture; return the edges of its own drain beyond the vent."""
    if f.tag in zone.work.traps:
        return []
    if f.kind is FixtureKind.WATER_CLOSET:
        late_closet(zone, f)
        return []
    if f.kind in WALL_FIXTURES and f.wall_id and not f.in_island:
        got = wall_fixture(zone, f, wet_closet, wet_size)
        if got is not None:
            return got
        if f.cabinet_id or f.kind in (FixtureKind.KITCHEN_SINK, FixtureKind.SINK, FixtureKind.BAR_SINK):
            return cabinet_drop(zone, f)
        return []
    if f.in_island:
        return cabinet_drop(zone, f)
    return floor_fixture(zone, f, wet_from)
