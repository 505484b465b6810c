"""Worked cases O1 to O10 of the I family, as far as look-ups reach; i-family reference, section 13."""

import pytest

from stubout.kinds import FixtureKind as K
from stubout.problems import NotInBook, Status
from stubout.rulebooks import queries as q
from stubout.rulebooks.drains import Turn
from stubout.rulebooks.model import RuleBook

FT = 304.8
EIGHTH, QUARTER, HALF = 0.125 / 12, 0.25 / 12, 0.5 / 12


def least_drain(book: RuleBook, load: float, slope: float) -> float:
    for size in (2.0, 2.5, 3.0, 4.0, 5.0, 6.0):
        try:
            if q.building_drain_capacity(book, size, slope).number >= load:
                return size
        except NotInBook:
            continue
    raise AssertionError("nothing carries it")


def test_o1_44_units_at_an_eighth_need_four_inch(ipc: RuleBook) -> None:
    assert q.building_drain_capacity(ipc, 3.0, EIGHTH).number == 36
    assert least_drain(ipc, 44, EIGHTH) == 4.0


def test_o2_stack_vent_of_25_feet(ipc: RuleBook) -> None:
    """4 in stack, up to 140 dfu: 2 in vent, limit 27 ft."""
    cell = q.vent_capacity(ipc, load=140, length_mm=25 * FT, stack=True, stack_in=4.0)
    assert cell.number == 2.0
    limit = q.vent_max_length(ipc, vent_in=2.0, load=140, stack=True, stack_in=4.0)
    assert limit is not None
    assert limit.number == pytest.approx(27 * FT)


def test_o3_o4_two_and_three_stacks(ipc: RuleBook) -> None:
    assert q.building_drain_capacity(ipc, 3.0, EIGHTH).number >= 25 + 10
    assert q.building_drain_capacity(ipc, 3.0, QUARTER).number == 42 < 45
    assert q.building_drain_capacity(ipc, 3.0, HALF).number == 50
    assert least_drain(ipc, 45, EIGHTH) == 4.0


def test_o5_branch_and_building_drain_differ(ipc: RuleBook) -> None:
    assert q.branch_capacity(ipc, 3.0).number == 20
    assert q.building_drain_capacity(ipc, 3.0, EIGHTH).number == 36


def test_o6_230_feet_of_two_inch_vent_is_too_long(ipc: RuleBook) -> None:
    with pytest.raises(NotInBook):  # 2 in stack: the table ends at 2 in, 150 ft
        q.vent_capacity(ipc, load=20, length_mm=230 * FT, stack=True, stack_in=2.0)
    assert q.vent_capacity(ipc, load=10, length_mm=230 * FT, stack=True, stack_in=3.0).number == 2.5


def test_o7_four_groups_on_a_three_inch_branch(ipc: RuleBook) -> None:
    group = q.group_load(ipc, [K.WATER_CLOSET, K.LAVATORY, K.BATHTUB])
    assert group is not None
    assert 4 * group.number == 20 == q.branch_capacity(ipc, 3.0).number


def test_o8_two_groups_of_six_need_three_inch_for_the_closets(ipc: RuleBook) -> None:
    group = q.group_load(ipc, [K.WATER_CLOSET, K.LAVATORY, K.SHOWER], gpf_over_1_6=True)
    assert group is not None
    assert 2 * group.number == 12 <= q.branch_capacity(ipc, 2.5).number
    assert q.closet_drain_least_size(ipc).number == 3.0
    none_on_less = q.max_closets(ipc, 2.5, "horizontal")
    assert none_on_less is not None
    assert none_on_less.number == 0


def test_o9_three_inch_at_an_eighth(irc: RuleBook, ipc: RuleBook) -> None:
    for book in (irc, ipc):
        assert q.building_drain_capacity(book, 3.0, EIGHTH).number == 36


@pytest.mark.parametrize("size_in", [1.25, 1.5, 2.0])
def test_o10_arm_falls_exactly_one_diameter(ipc: RuleBook, irc: RuleBook, size_in: float) -> None:
    for book in (ipc, irc):
        fall = q.arm_max_length(book, size_in).number * q.arm_slope(book, size_in).number
        assert fall == pytest.approx(q.arm_max_fall(book, size_in).number)


def test_half_size_rule_and_forty_feet(irc: RuleBook) -> None:
    """P3113.1 read in 2018: half the required drain, 1-1/4 in at least, one size larger over 40 ft."""
    assert q.vent_least_size(irc, trap_in=3.0, drain_in=3.0, kind=K.WATER_CLOSET).number == 1.5
    assert q.vent_least_size(irc, trap_in=1.5, drain_in=2.0).number == 1.25
    short = q.vent_capacity(irc, load=14, length_mm=40 * FT, stack=True, stack_in=3.0)
    long = q.vent_capacity(irc, load=14, length_mm=40 * FT + 1, stack=True, stack_in=3.0)
    assert (short.number, long.number) == (1.5, 2.0)
    assert short.status is Status.READ


def test_disagreements_are_data(ipc: RuleBook, irc: RuleBook) -> None:
    """Section 14 of the reference."""
    assert q.building_drain_capacity(ipc, 2.0, HALF).number == 26
    assert q.building_drain_capacity(irc, 2.0, HALF).number == 27
    assert (ipc.value("load.continuous").number, irc.value("load.continuous").number) == (2, 1.5)
    washer = q.branch_least_size(ipc, K.CLOTHES_WASHER)
    assert washer is not None
    assert washer.number == 3.0
    assert q.branch_least_size(irc, K.CLOTHES_WASHER) is None
    assert q.wet_vent_size(irc, load=30, closets=2, other_load=20).number == 4.0
    with pytest.raises(NotInBook):
        q.wet_vent_size(ipc, load=30, closets=2, other_load=20)
    assert q.test_head(ipc).number == pytest.approx(10 * FT)
    assert q.test_head(irc).number == pytest.approx(5 * FT)


def test_fittings_table(ipc: RuleBook, irc: RuleBook) -> None:
    """Section 8, read in three texts."""
    for book in (ipc, irc):

        def ok(pattern: str, turn: Turn, size: float, alone: bool, book: RuleBook = book) -> bool:
            return bool(q.fitting_allowed(book, pattern, turn, size_in=size, fixture_drain=alone).value)

        assert ok("1/4 bend", "h-v", 3.0, False)
        assert ok("1/4 bend", "v-h", 2.0, True)
        assert not ok("1/4 bend", "v-h", 3.0, True)
        assert not ok("1/4 bend", "v-h", 2.0, False)
        assert not ok("1/4 bend", "h-h", 2.0, False)
        assert ok("short sweep", "v-h", 3.0, False)
        assert not ok("short sweep", "v-h", 2.0, False)
        assert ok("sanitary tee", "h-v", 2.0, False)
        assert not ok("sanitary tee", "v-h", 2.0, True)
        assert not ok("sanitary tee", "h-h", 2.0, True)
        for pattern in ("1/8 bend", "1/16 bend", "wye", "combination", "long-turn 1/4 bend"):
            assert all(ok(pattern, t, 3.0, False) for t in ("h-v", "v-h", "h-h"))


def test_house_groups_of_the_residential_code(irc: RuleBook) -> None:
    bath, half = [K.WATER_CLOSET, K.LAVATORY, K.BATHTUB], [K.WATER_CLOSET, K.LAVATORY]
    for kinds, load in ((bath, 5), (half, 4), (bath + half, 7), (bath * 2, 8), (bath * 3 + half, 11)):
        cell = q.group_load(irc, kinds)
        assert cell is not None
        assert cell.number == load
    assert q.group_load(irc, [K.WATER_CLOSET]) is None
