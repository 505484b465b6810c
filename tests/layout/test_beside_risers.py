"""Where an arm may come into a wall whose fixture stands before a pipe in it. Expected: by the tape. Lengths [mm]."""

from __future__ import annotations

import pytest

from stubout.layout.arms import STAND_GAP_MM, arm_candidates
from stubout.layout.cavity import Spot
from stubout.layout.stubs import stub_marks

STACK_HUB = 70.0


@pytest.fixture
def lavatory(desk):
    work = desk("04-stacked-baths")
    work.marks = {m.tag: m for m in stub_marks(work.house, work.book, {t: n.arm_in for t, n in work.needs.items()})}
    return work, work.needs["LV1"]


def stubs(work, need):
    return {c.stub_station for c in arm_candidates(work, need, 100.0)[0] if not c.front}


def test_the_arm_comes_in_on_the_fixtures_centre_where_nothing_stands(lavatory):
    work, need = lavatory
    assert min(abs(s - need.fixture.station_mm) for s in stubs(work, need)) < 1.0


def test_the_trap_swings_past_a_pipe_on_the_centre(lavatory):
    work, need = lavatory
    wall, middle = work.house.wall(need.fixture.wall_id), need.fixture.station_mm
    work.risers.append((Spot(wall, wall.bay_at(middle), middle, 0.0), STACK_HUB))
    ways = stubs(work, need)
    assert ways
    apart = STACK_HUB / 2 + work.gauge(need.arm_in).hub_r + STAND_GAP_MM
    assert all(abs(s - middle) >= apart - 0.5 for s in ways)
    assert all(abs(s - middle) <= 100.0 for s in ways)
