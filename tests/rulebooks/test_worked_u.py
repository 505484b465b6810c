"""Worked cases of the U family, as far as look-ups reach; ids of the u-family reference, section 12."""

import math

import pytest

from stubout.kinds import FixtureKind as K
from stubout.problems import NotInBook, Status
from stubout.rulebooks import queries as q
from stubout.rulebooks.model import RuleBook

FT = 304.8


def test_w1_long_vent_one_size_larger(upc: RuleBook) -> None:
    """Code body's Q&A: load needs 2 in, 120 ft horizontal then 60 ft vertical: 2-1/2 in over the whole length."""
    cell = q.vent_capacity(upc, load=20, length_mm=180 * FT, stack=False, stack_in=3.0, horizontal_mm=120 * FT)
    assert cell.number == 2.5


def test_one_third_horizontal(upc: RuleBook) -> None:
    """904.2 read: 2 in may be 120 ft long, 40 ft of it horizontal."""
    kw = {"load": 20, "length_mm": 100 * FT, "stack": False, "stack_in": 3.0}
    assert q.vent_capacity(upc, horizontal_mm=40 * FT, **kw).number == 2.0
    assert q.vent_capacity(upc, horizontal_mm=41 * FT, **kw).number == 2.5


def test_w2_total_vent_area(upc: RuleBook) -> None:
    """Code body's answers: two baths, 3 in building sewer, vents 2 + 2 + 1-1/2 in comply (8.05 >= 7.07 sq in)."""
    assert q.building_drain_least_size(upc, 2).number == 3.0
    assert upc.value("vent.area_rule").text == "sewer area"
    area = sum(math.pi / 4 * d * d for d in (2.0, 2.0, 1.5))
    assert area == pytest.approx(8.05, abs=0.005)
    assert area >= math.pi / 4 * 3.0**2


def test_w3_common_vent_sizes(upc: RuleBook) -> None:
    """Code body's note on 908.1.2: with a kitchen sink 1-1/2 in, with a water closet 2 in."""
    closet = q.vent_least_size(upc, trap_in=3.0, drain_in=3.0, kind=K.WATER_CLOSET)
    assert (closet.number, closet.status) == (2.0, Status.READ)
    load = q.fixture_load(upc, K.LAVATORY).number + q.fixture_load(upc, K.KITCHEN_SINK).number
    assert q.vent_capacity(upc, load=load, length_mm=10 * FT, stack=False, stack_in=2.0).number == 1.5


def test_w4_no_parallel_vent_stack_below_ten_storeys(upc: RuleBook) -> None:
    assert "ten storeys" in upc.value("vent.parallel_from").text


def test_w6_four_two_inch_vents_make_a_four_inch_sewer(upc: RuleBook) -> None:
    """Unattributed quote: 12.57 = 4 x 3.14 sq in."""
    assert 4 * math.pi / 4 * 2.0**2 == pytest.approx(math.pi / 4 * 4.0**2)


def test_w7_eighteen_units_on_a_two_inch_vent(upc: RuleBook) -> None:
    """Unattributed page: 3 lavatories, 3 closets of 1.6, 3 tubs: 18 DFU, one 2 in vent takes 24."""
    load = 3 * sum(q.fixture_load(upc, k).number for k in (K.LAVATORY, K.WATER_CLOSET, K.BATHTUB))
    assert load == 18
    assert q.vent_capacity(upc, load=load, length_mm=50 * FT, stack=True, stack_in=3.0).number == 2.0


def test_w8_two_inch_stack(upc: RuleBook) -> None:
    assert q.stack_capacity(upc, 2.0).number == 16


def test_x1_rejected_exam_answer(upc: RuleBook) -> None:
    """An unattributed answer list gives 5 in for 500 DFU; Table 703.2 carries 428."""
    assert q.branch_capacity(upc, 5.0).number == 428 < 500


def test_eighth_slope_only_by_approval(upc: RuleBook) -> None:
    assert q.min_slope(upc, 4.0).number == pytest.approx(0.25 / 12)
    by_approval = q.slope_by_approval(upc, 4.0)
    assert by_approval is not None
    assert by_approval.number == pytest.approx(0.125 / 12)
    assert q.slope_by_approval(upc, 3.0) is None
    assert [c.number for c in q.slopes_offered(upc, 4.0)] == [pytest.approx(0.25 / 12)]
    eighth = q.building_drain_capacity(upc, 4.0, 0.125 / 12)
    assert (eighth.number, eighth.status) == (math.floor(216 * 0.8), Status.MEMORY)


def test_no_group_value_and_no_storey_limit(upc: RuleBook) -> None:
    assert q.group_load(upc, [K.WATER_CLOSET, K.LAVATORY, K.BATHTUB]) is None
    with pytest.raises(NotInBook):
        q.stack_storey_capacity(upc, 3.0)


def test_closets_on_three_inch(upc: RuleBook) -> None:
    flat, upright = q.max_closets(upc, 3.0, "horizontal"), q.max_closets(upc, 3.0, "vertical")
    assert flat is not None
    assert upright is not None
    assert (flat.number, upright.number) == (3, 4)
    assert q.max_closets(upc, 4.0, "horizontal") is None


def test_supports_upright_have_a_rule_but_no_number(upc: RuleBook) -> None:
    with pytest.raises(NotInBook):
        q.hanger_spacing(upc, "abs", "vertical", 2.0)
    assert "each floor" in upc.value("support.vertical").text
