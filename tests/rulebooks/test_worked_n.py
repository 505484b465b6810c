"""Worked cases of the N family, as far as look-ups reach.

W = published (unattributed quotes, study notes, teaching text), D = arithmetic from the tables, not published.
Tables: n-family reference, mostly read in Ontario's twin of the NPC.
"""

import math

import pytest

from stubout.kinds import FixtureKind as K
from stubout.problems import NotInBook, Status
from stubout.rulebooks import queries as q
from stubout.rulebooks.model import RuleBook


def test_w1_three_45s_in_a_trap_arm_are_within_the_limit(npc: RuleBook) -> None:
    assert q.arm_max_turn(npc, K.LAVATORY, 1.5).number == 135
    assert q.arm_max_turn(npc, K.WATER_CLOSET, 3.0).number == 225


def test_w2_four_kitchen_sinks_on_one_wet_vented_stack(npc: RuleBook) -> None:
    """Unattributed: 6 FU in all, 2 in stack takes 24 and branch 6; as a wet vent 4.5 FU exceed 4 by 0.5, so 3 in."""
    sink = q.fixture_load(npc, K.KITCHEN_SINK).number
    assert 4 * sink == 6
    assert q.stack_capacity(npc, 2.0).number == 24
    assert q.branch_capacity(npc, 2.0).number == 6
    assert q.wet_vent_rules(npc)["last_left_out"].value is True
    assert q.wet_vent_rules(npc)["storey_load"].number == 4
    assert q.wet_vent_size(npc, load=4 * sink - sink, closets=0, other_load=4.5).number == 3.0


def test_w3_tub_wet_vented_through_a_lavatory(npc: RuleBook) -> None:
    """Trade-school study notes: the vertical wet-vent part of a tub and a 1-1/4 in lavatory is 1-1/2 in."""
    lavatory = q.fixture_load(npc, K.LAVATORY, trap_in=1.25).number  # the tub, lowest, is left out
    assert q.wet_vent_size(npc, load=lavatory, closets=0, other_load=lavatory).number <= 1.5
    assert q.trap_size(npc, K.BATHTUB).number == 1.5  # nor smaller than the tub's own drain


def test_w4_two_inch_arm(npc: RuleBook) -> None:
    """Trade-school study notes: least 4 in (100 mm) long, slope 1:50."""
    assert q.arm_min_length(npc, 2.0).number == pytest.approx(4 * 25.4)
    assert q.arm_slope(npc, 2.0).number == pytest.approx(1 / 50)


def test_w5_fixture_outlet_pipe(npc: RuleBook) -> None:
    assert q.tailpiece_max(npc).number == 1200


def test_w6_valve_for_an_island_is_for_the_inspector(npc: RuleBook) -> None:
    rules = q.aav_rules(npc)
    assert rules["allowed"].text == "ask"
    assert "islands" in rules["where"].text


def test_w7_tub_outlet_to_trap_900_mm_complies(npc: RuleBook) -> None:
    assert q.tailpiece_max(npc).number >= 900


def test_w8_one_stack_house_keeps_three_inch_to_open_air(npc: RuleBook) -> None:
    cell = q.building_vent_least(npc, 4.0)
    assert cell is not None
    assert (cell.number, cell.status) == (3.0, Status.READ)


def test_d1_load_of_a_house_and_its_drain(npc: RuleBook) -> None:
    group = q.group_load(npc, [K.WATER_CLOSET, K.LAVATORY, K.BATHTUB])
    assert group is not None
    single = [K.WATER_CLOSET, K.LAVATORY, K.KITCHEN_SINK, K.CLOTHES_WASHER, K.LAUNDRY_TRAY]
    assert group.number + sum(q.fixture_load(npc, k).number for k in single) == 15.5
    assert q.building_drain_least_size(npc, 2).number == 4.0
    assert q.building_drain_capacity(npc, 3.0, 1 / 50).number == 27


def test_d2_d3_horizontal_wet_vent_with_closet(npc: RuleBook) -> None:
    lav = q.fixture_load(npc, K.LAVATORY, trap_in=1.5).number
    tub = q.fixture_load(npc, K.BATHTUB).number
    shower = q.fixture_load(npc, K.SHOWER).number
    assert q.wet_vent_size(npc, load=7, closets=1, other_load=lav + tub).number == 2.0
    assert q.wet_vent_size(npc, load=8.5, closets=1, other_load=lav + tub + shower).number == 3.0
    assert q.closet_drain_least_size(npc).number == 3.0


def test_d4_lavatory_arm(npc: RuleBook) -> None:
    limit, fall = q.arm_max_length(npc, 1.5).number, q.arm_max_fall(npc, 1.5).number
    assert limit == 1800
    assert fall >= 1800 / 50
    assert limit < 1900


def test_d5_branch_vent(npc: RuleBook) -> None:
    assert q.vent_capacity(npc, load=8, length_mm=35_000, stack=False, stack_in=3.0).number == 2.0
    assert q.vent_capacity(npc, load=8, length_mm=30_000, stack=False, stack_in=3.0).number == 1.5


def test_d6_stack_vent(npc: RuleBook) -> None:
    assert q.vent_capacity(npc, load=21, length_mm=12_000, stack=True, stack_in=3.0).number == 2.0
    assert q.vent_capacity(npc, load=21, length_mm=9_000, stack=True, stack_in=3.0).number == 1.5


def test_d7_sinks_on_a_branch(npc: RuleBook) -> None:
    sink = q.fixture_load(npc, K.KITCHEN_SINK).number
    assert 2 * sink <= q.branch_capacity(npc, 1.5).number < 3 * sink <= q.branch_capacity(npc, 2.0).number


def test_stack_vent_is_at_least_half_its_stack(npc: RuleBook) -> None:
    """2.5.8.4(3): a short lightly loaded vent of a 4 in stack stays 2 in."""
    assert q.vent_capacity(npc, load=20, length_mm=1000, stack=True, stack_in=4.0).number == 2.0


def test_vent_by_trap_overrides(npc: RuleBook) -> None:
    """Table 2.5.7.1, read in the teaching text."""
    got = [q.vent_least_size(npc, trap_in=t, drain_in=t, kind=None).number for t in (1.25, 1.5, 2.0, 3.0, 4.0, 5.0)]
    assert got == [1.25, 1.25, 1.5, 1.5, 1.5, 2.0]


def test_not_permitted_and_not_limited(npc: RuleBook) -> None:
    assert q.vent_max_length(npc, vent_in=1.25, load=42, stack=False, stack_in=2.0) is None
    free = q.vent_max_length(npc, vent_in=3.0, load=8, stack=False, stack_in=2.0)
    assert free is not None
    assert math.isinf(free.number)


def test_outside_the_table_is_an_error(npc: RuleBook) -> None:
    with pytest.raises(NotInBook, match=r"no row for size_in 2\.5"):
        q.stack_capacity(npc, 2.5)
    with pytest.raises(NotInBook):
        q.fixture_load(npc, K.SHOWER, heads=7)
    with pytest.raises(NotInBook):
        q.wet_vent_size(npc, load=20, closets=3, other_load=4)


def test_unread_rows_say_so(npc: RuleBook) -> None:
    assert q.branch_capacity(npc, 3.0).status is Status.MEMORY
    assert q.branch_capacity(npc, 2.0).status is Status.SECONDARY
    assert "recalled as 2 FU" in q.fixture_load(npc, K.CLOTHES_WASHER).note


def test_table_length_is_diameter_times_slope_ratio(npc: RuleBook) -> None:
    """Derived check of the reference: the arm's fall at its longest stays within one nominal size."""
    for size in (1.25, 1.5, 2.0, 3.0, 4.0):
        fall = q.arm_max_length(npc, size).number * q.arm_slope(npc, size).number
        assert fall <= q.arm_max_fall(npc, size).number
