"""Where an arm may come into a wall whose fixture stands before a pipe in it. Expected: by the tape. Lengths [mm]."""

from __future__ import annotations

import pytest

from stubout.layout.arms import STAND_GAP_MM, arm_candidates, stubs_to
from stubout.layout.cavity_shapes import Spot
from stubout.layout.stacks import _beside_a_vent
from stubout.layout.stubs import stub_marks
from stubout.layout.takeup import TakeUp
from stubout.layout.weights import WEIGHTS

STACK_HUB = 70.0
APART = TakeUp(()).vent_apart(2.0)


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


@pytest.mark.parametrize(
    ("aside", "stubs"),
    [
        (0.0, [0.0]),
        (60.0, [60.0]),  # straight into it
        (89.0, [89.0, -79.0]),
        (90.0, [-78.0]),  # farther than the trap swings: away from it, with room for a bend
        (165.0, [-3.0]),  # a bend and its fitting want 168 between them
        (230.0, [0.0, 62.0]),
        (260.0, [0.0]),
    ],
)
def test_a_trap_swings_into_line_with_a_stack_or_as_near_beside_it_as_bend_and_fitting_go(lavatory, aside, stubs):
    work, need = lavatory
    wall, f, g = work.house.wall(need.fixture.wall_id), need.fixture, work.gauge(need.arm_in)
    bay = wall.bay_at(f.station_mm)
    free = [s for s in stubs if bay.lo_mm + g.hole_mm / 2 <= f.station_mm + s <= bay.hi_mm - g.hole_mm / 2]
    found = [v - f.station_mm for v in stubs_to(wall, f, g, 89.0, f.station_mm + aside, 168.0)]
    found = [v for v in found if wall.bay_at(f.station_mm + v) is bay]
    assert found == pytest.approx(free)


@pytest.mark.parametrize(
    ("away", "weighs"), [(0.0, 0.0), (-1.5, 1.0), (40.0, 1.0), (APART - 0.5, 1.0), (APART + 0.5, 0.0)], ids=str
)
def test_a_stack_beside_a_vent_weighs_where_both_cannot_tie_into_one_header(lavatory, away, weighs):
    """Where the vent stands in the stack itself there is one vent only; the last two stand just within and beyond."""
    work, need = lavatory
    wall = work.house.wall(need.fixture.wall_id)
    at = need.fixture.station_mm
    work.risers.append((Spot(wall, wall.bays[0], at + away, 0.0), 60.0))
    assert _beside_a_vent(work, Spot(wall, wall.bay_at(at), at, 0.0), 2.0) == weighs * WEIGHTS.short_leg
    assert _beside_a_vent(work, Spot(wall, wall.bay_at(at), at, 0.0), 0.0) == 0.0, "none rises from it"
