"""Every code number that the "Facts to get right" of the three example houses name, put to the books.

The numbers and their statuses are those of the plan sets; `read-ON` counts as secondary in the NPC book.
"""

import pytest

from stubout.kinds import FixtureKind as K
from stubout.problems import NotInBook, Status
from stubout.rulebooks import queries as q
from stubout.rulebooks.model import Cell, RuleBook

IN = 25.4
QUARTER, EIGHTH = 0.25 / 12, 0.125 / 12


def number(cell: Cell | None) -> float:
    assert cell is not None
    return cell.number


# -- house 01, NPC 2020 and NBC 9.23.5 ---------------------------------------------------------------------------


def test_01_loads(npc: RuleBook) -> None:
    bath = number(q.group_load(npc, [K.WATER_CLOSET, K.LAVATORY, K.BATHTUB]))
    shower_2, shower_1 = (q.fixture_load(npc, K.SHOWER, heads=h).number for h in (2, 1))
    powder = q.fixture_load(npc, K.WATER_CLOSET).number + q.fixture_load(npc, K.LAVATORY, trap_in=1.25).number
    sinks = 2 * q.fixture_load(npc, K.KITCHEN_SINK, disposer_or_dishwasher=True).number
    dishwasher = q.fixture_load(npc, K.DISHWASHER, disposer_or_dishwasher=True).number
    laundry = q.fixture_load(npc, K.CLOTHES_WASHER).number + q.fixture_load(npc, K.LAUNDRY_TRAY).number
    drain = q.fixture_load(npc, K.FLOOR_DRAIN, trap_in=3.0).number
    assert (bath, bath + shower_2, bath + shower_1) == (6, 9, 7.5)
    assert (powder, sinks, dishwasher, laundry, drain) == (5, 3, 0, 3, 3)
    total = bath + (bath + shower_2) + powder + sinks + dishwasher + laundry + drain + bath
    assert total == 35
    assert total - shower_2 + shower_1 == 33.5


def test_01_drain_sizes(npc: RuleBook) -> None:
    assert q.building_drain_least_size(npc, 3).number == 4.0
    assert q.building_drain_capacity(npc, 3.0, 1 / 50).number == 27
    assert q.building_drain_capacity(npc, 4.0, 1 / 100).number == 180
    assert q.stack_storey_capacity(npc, 3.0).number == 18
    assert q.stack_capacity(npc, 3.0).number == 102
    assert number(q.max_closets(npc, 3.0, "horizontal")) == 2  # from the third connection on 4 in
    assert q.min_slope(npc, 4.0).number == pytest.approx(1 / 100)
    assert q.min_slope(npc, 3.0).number == pytest.approx(1 / 50)


def test_01_kitchen_arm(npc: RuleBook) -> None:
    arm_mm = 1867.5
    assert q.arm_max_length(npc, 1.5).number == 1800 < arm_mm
    assert q.arm_max_length(npc, 2.0).number == 2400 > arm_mm
    assert arm_mm / 50 < q.arm_max_fall(npc, 2.0).number == pytest.approx(51, abs=0.5)
    turn = q.arm_max_turn(npc, K.KITCHEN_SINK, 2.0)
    assert (turn.number, turn.status) == (135, Status.READ)
    assert q.arm_max_length(npc, 1.5).status is Status.SECONDARY
    assert q.arm_max_fall(npc, 2.0).status is Status.READ


def test_01_bores(nbc: RuleBook) -> None:
    knee = q.stud_bore_limit(nbc, 89, bearing=False, exterior=False)
    assert (knee.number, knee.status) == (49, Status.READ)
    assert q.stud_bore_limit(nbc, 140, bearing=False, exterior=False).number == 100
    assert q.stud_bore_limit(nbc, 140, bearing=True, exterior=False).number == pytest.approx(46, abs=0.7)
    joist = q.joist_bore_limit(nbc, 235)
    assert joist.number == 58.75
    assert joist.printed.startswith("58.7 mm")  # rounded down, not up
    assert q.joist_edge(nbc).number == 50


def test_01_reference_bores(nbc: RuleBook) -> None:
    """n-family reference, section 11, derived rows."""
    assert [q.joist_bore_limit(nbc, d).number for d in (184, 235, 286)] == [46, 58.75, 71.5]
    assert q.stud_bore_limit(nbc, 89, bearing=True, exterior=False).number == pytest.approx(29, abs=0.7)
    assert q.joist_bore_limit(nbc, 140).number == 35
    assert q.top_plate_limit(nbc, 140).number == 90


def test_01_vents(npc: RuleBook) -> None:
    reach = q.closet_vent_reach(npc)
    assert (number(reach.flat), number(reach.upright), reach.along) == (3000, 1000, None)
    assert [number(c) for c in q.terminal_from_opening(npc)] == [3500, 1000]
    assert q.terminal_frost_size(npc).number == 3.0
    assert number(q.building_vent_least(npc, 4.0)) == 3.0
    sizes = [q.vent_least_size(npc, trap_in=t, drain_in=t).number for t in (1.25, 1.5, 2.0, 3.0)]
    assert sizes == [1.25, 1.25, 1.5, 1.5]
    assert number(q.floor_drain_unvented_min(npc)) == 450
    assert npc.value("floor_drain.unvented_trap").number == 3.0


def test_01_foot_and_standpipe(npc: RuleBook) -> None:
    assert q.stack_foot_clear(npc, 3.0).number == 1500
    assert q.stack_foot_applies(npc, load=15, storeys=2)
    assert not q.stack_foot_applies(npc, load=15, storeys=1)
    lo, hi = q.standpipe_height(npc)
    assert lo.number == 600
    assert hi is None


# -- house 02, UPC 2021 and IRC framing --------------------------------------------------------------------------


def test_02_loads(upc: RuleBook) -> None:
    def load(kind: K, joined: bool = False) -> float:
        return q.fixture_load(upc, kind, disposer_or_dishwasher=joined).number

    bath_1 = load(K.WATER_CLOSET) + load(K.LAVATORY) + load(K.SHOWER)
    bath_2 = load(K.WATER_CLOSET) + load(K.LAVATORY) + load(K.BATHTUB)
    kitchen = load(K.KITCHEN_SINK, joined=True) + load(K.DISHWASHER, joined=True) + load(K.BAR_SINK)
    assert (bath_1, bath_2, kitchen, load(K.CLOTHES_WASHER)) == (6, 6, 3, 3)
    assert bath_1 + bath_2 + kitchen + load(K.CLOTHES_WASHER) == 18
    assert q.fixture_load(upc, K.WATER_CLOSET).status is Status.READ


def test_02_drains(upc: RuleBook) -> None:
    assert q.building_drain_capacity(upc, 3.0, QUARTER).number == 35
    assert number(q.max_closets(upc, 3.0, "horizontal")) == 3
    assert q.building_drain_capacity(upc, 4.0, EIGHTH).number == 172
    with pytest.raises(NotInBook):
        q.building_drain_capacity(upc, 3.0, EIGHTH)
    assert number(q.branch_least_size(upc, K.KITCHEN_SINK)) == 2.0
    assert q.branch_least_size(upc, K.BAR_SINK) is None
    assert q.branch_capacity(upc, 2.0).number == 8
    assert q.branch_capacity(upc, 1.5).number == 1


def test_02_arms(upc: RuleBook) -> None:
    got = [q.arm_max_length(upc, s).number / IN for s in (1.25, 1.5, 2.0)]
    assert got == [pytest.approx(x) for x in (30, 42, 60)]
    assert q.arm_min_length(upc, 2.0).number == pytest.approx(4 * IN)
    assert q.tailpiece_max(upc).number == pytest.approx(24 * IN)


def test_02_standpipe_and_island(upc: RuleBook) -> None:
    lo, hi = q.standpipe_height(upc)
    assert [c.number / IN for c in (lo, hi) if c] == [pytest.approx(18), pytest.approx(30)]
    trap = q.standpipe_trap_height(upc)
    assert trap is not None
    assert [c.number / IN for c in trap] == [pytest.approx(6), pytest.approx(18)]
    rules = q.island_rules(upc)
    assert rules["foot_slope"].number == pytest.approx(QUARTER)
    assert rules["foot_above_rim"].number == pytest.approx(6 * IN)
    assert "drainboard" in rules["rise_rule"].text


def test_02_bores_plates_clearances(irc_framing: RuleBook, upc: RuleBook) -> None:
    depth = 3.5 * IN
    bearing = q.stud_bore_limit(irc_framing, depth, bearing=True, exterior=False)
    doubled = q.stud_bore_limit(irc_framing, depth, bearing=True, exterior=False, doubled=True)
    free = q.stud_bore_limit(irc_framing, depth, bearing=False, exterior=False)
    assert [round(c.number / IN, 3) for c in (bearing, doubled, free)] == [1.4, 2.1, 2.1]
    assert free.printed.startswith("2.10 in")
    assert q.top_plate_limit(irc_framing, depth).number / depth == pytest.approx(0.5)
    assert q.top_plate_limit(irc_framing, depth).number < 2.0 * IN  # the 2 in hole of the facts needs a strap
    assert q.plate_trigger(upc).number == pytest.approx(1 * IN)
    assert q.plate_beyond(upc).number == pytest.approx(1.5 * IN)
    assert q.closet_side_clear(upc).number == pytest.approx(15 * IN)


def test_02_wet_vents_area_terminal(upc: RuleBook) -> None:
    assert q.wet_vent_size(upc, load=3, closets=0, other_load=3).number == 2.0
    assert q.wet_vent_size(upc, load=5, closets=1, other_load=2).number == 3.0
    assert upc.value("wet_vent.order").status is Status.SECONDARY
    assert q.vent_least_size(upc, trap_in=3.0, drain_in=3.0, kind=K.WATER_CLOSET).number == 2.0
    assert q.tie_in_above_rim(upc).number == pytest.approx(6 * IN)
    distance, height = q.terminal_from_opening(upc)
    assert distance.number == pytest.approx(120 * IN)
    assert height.number == pytest.approx(36 * IN)


# -- house 03, IRC 2021 over IPC 2021, IRC framing ---------------------------------------------------------------


def test_03_loads(irc: RuleBook) -> None:
    single = [K.WATER_CLOSET, K.LAVATORY, K.BATHTUB]
    bath = sum(q.fixture_load(irc, k).number for k in single)
    half = q.fixture_load(irc, K.WATER_CLOSET).number + q.fixture_load(irc, K.LAVATORY).number
    kitchen = q.fixture_load(irc, K.KITCHEN_SINK, disposer_or_dishwasher=True).number
    washer = q.fixture_load(irc, K.CLOTHES_WASHER).number
    assert (bath, half, kitchen, washer) == (6, 4, 2, 2)
    assert bath + half + kitchen + washer == 14
    assert number(q.group_load(irc, single)) == 5
    assert number(q.group_load(irc, [K.WATER_CLOSET, K.LAVATORY])) == 4
    assert number(q.group_load(irc, [*single, K.WATER_CLOSET, K.LAVATORY])) + kitchen + washer == 11


def test_03_drains_and_slopes(irc: RuleBook) -> None:
    assert q.building_drain_capacity(irc, 3.0, EIGHTH).number == 36
    assert q.building_drain_capacity(irc, 3.0, QUARTER).number == 42
    assert q.closet_drain_least_size(irc).number == 3.0
    assert q.min_slope(irc, 2.5).number == pytest.approx(QUARTER)
    assert q.min_slope(irc, 3.0).number == pytest.approx(EIGHTH)
    assert [round(c.number * 12, 4) for c in q.slopes_offered(irc, 3.0)] == [0.125, 0.25, 0.5]


def test_03_cleanout_in_the_crawl_space(irc: RuleBook) -> None:
    height = irc.value("cleanout.crawl_height")
    assert (round(height.number / IN, 6), height.status) == (24, Status.READ)
    clear = q.cleanout_clearance(irc, 3.0)
    assert (round(clear.number / IN, 6), clear.status) == (18, Status.MEMORY)


def test_03_bores(irc_framing: RuleBook) -> None:
    assert q.joist_bore_limit(irc_framing, 9.25 * IN).number / IN == pytest.approx(3.08, abs=0.005)
    assert q.joist_bore_limit(irc_framing, 7.25 * IN).number / IN == pytest.approx(2.42, abs=0.005)
    assert q.stud_bore_limit(irc_framing, 5.5 * IN, bearing=False, exterior=True).number / IN == pytest.approx(2.2)
    assert q.stud_bore_limit(irc_framing, 5.5 * IN, bearing=False, exterior=False).number / IN == pytest.approx(3.3)


def test_03_reference_bores(irc_framing: RuleBook) -> None:
    """dimensions reference, section 4.1, derived table; 1.50 in for a 2x6 is what its edges leave."""
    depths = (5.5, 7.25, 9.25, 11.25)
    bores = [q.joist_bore_limit(irc_framing, d * IN).number / IN for d in depths]
    assert bores == [pytest.approx(x, abs=0.005) for x in (1.50, 2.42, 3.08, 3.75)]
    notches = [q.joist_notch_limit(irc_framing, d * IN).number / IN for d in depths]
    assert notches == [pytest.approx(x, abs=0.005) for x in (0.92, 1.21, 1.54, 1.875)]
    ends = [q.joist_notch_limit(irc_framing, d * IN, at_end=True).number / IN for d in depths]
    assert ends == [pytest.approx(x, abs=0.005) for x in (1.375, 1.81, 2.31, 2.81)]
    assert q.stud_edge(irc_framing).number == pytest.approx(0.625 * IN)


def test_03_arm_and_standpipe(irc: RuleBook) -> None:
    limit = q.arm_max_length(irc, 1.5)
    assert (round(limit.number / IN, 6), limit.status) == (72, Status.READ)
    assert 62.75 * QUARTER < 1.5  # the fall of the facts, 1.31 in
    lo, hi = q.standpipe_height(irc)
    assert [round(c.number / IN, 6) for c in (lo, hi) if c] == [18, 42]
    assert q.trap_size(irc, K.CLOTHES_WASHER).number == 2.0


def test_03_vents_terminal_plates(irc: RuleBook) -> None:
    assert q.vent_least_size(irc, trap_in=3.0, drain_in=3.0).number == 1.5
    assert q.vent_least_size(irc, trap_in=2.0, drain_in=2.0).number == 1.25
    distance, height = q.terminal_from_opening(irc)
    assert (round(distance.number / IN, 6), round(height.number / IN, 6)) == (120, 36)
    assert q.terminal_frost_size(irc).number == 3.0
    assert irc.value("terminal.frost_below").number == 0
    assert irc.value("terminal.frost_inside").number == pytest.approx(12 * IN)
    trigger = q.plate_trigger(irc)
    assert (trigger.number / IN, trigger.status) == (pytest.approx(1.25), Status.MEMORY)
    side = q.closet_side_clear(irc)
    assert (round(side.number / IN, 6), side.status) == (15, Status.SECONDARY)  # read in the plumbing code


def test_trade_entry_drop_is_marked_as_trade() -> None:
    """50 mm in house 01, 2 in in houses 02 and 03: common practice, no source."""
    assert q.trap_entry_drop("mm").number == 50
    assert q.trap_entry_drop("inch").number == pytest.approx(2 * IN)
    assert "no source" in q.trap_entry_drop("mm").note
    assert not q.trap_entry_drop("mm").status.verified
