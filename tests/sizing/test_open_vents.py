"""Vents taken together: one large vent, area to the open air, frost. Sizes by hand from the rules named beside them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from small_systems import halved, joined, roofs, saying, settled, vents

from stubout.house.facts import Climate
from stubout.sizing.openair import building_vent, frost, nominal_area_in2, required_drain, terminals, total_area
from stubout.sizing.vents import base_of, drain_of


def test_required_drain_is_the_lowest_ones_need(sketch):
    s = roofs(sketch(), (1.5,), ("LV1",))
    sizes = settled(s, 4.0)
    sizes.needed["a0"] = 6.0
    assert required_drain(sizes) == 4.0
    s = roofs(sketch(), (1.5,), ("LV1",), drain_role="branch")
    sizes = settled(s, 3.0)
    sizes.needed["a0"] = 6.0
    assert required_drain(sizes) == 6.0  # no building drain drawn: the largest of all
    sizes.needed.clear()
    assert required_drain(sizes) == 0.0


def test_terminals_are_the_vents_that_end_in_the_open_air(sketch):
    s = roofs(sketch(), (1.5, 1.5), ("LV1", "LV2"))
    s.at("r1", 1000, 0, 6000, "junction")
    assert [p.id for p in terminals(settled(s, 3.0))] == ["V0"]


# --- one vent of enough size (npc-2020 2.5.8.4(5): 3 in for a house drain) --------------------------------------------


def test_the_largest_vent_is_the_one_raised(sketch):
    sizes = settled(roofs(sketch(), (1.5, 2.0, 1.5), ("WC1", "LV1", "LV2")), 3.0)
    assert building_vent(sizes) is True
    assert vents(sizes) == [1.5, 3.0, 1.5]
    assert sizes.needs["V1"][-1].words.startswith("one open vent of the building drain: one vent of 3 in")
    assert building_vent(sizes) is False  # done


def test_among_equals_a_stack_vent_then_the_load_then_the_id(sketch):
    sizes = settled(roofs(sketch(), (1.5,) * 3, ("WC1", "LV1", "LV2"), ("vent", "vent", "stack vent")), 3.0)
    building_vent(sizes)
    assert vents(sizes) == [1.5, 1.5, 3.0]
    sizes = settled(roofs(sketch(), (1.5,) * 3, ("LV1", "WC1", "LV2")), 3.0)
    building_vent(sizes)
    assert vents(sizes) == [1.5, 3.0, 1.5]
    sizes = settled(roofs(sketch(), (1.5,) * 3, ("LV1", "LV2", "LV3")), 3.0)
    building_vent(sizes)
    assert vents(sizes) == [3.0, 1.5, 1.5]


def test_no_drain_or_no_way_to_the_air_raises_nothing(sketch):
    sizes = settled(roofs(sketch(), (1.5,), ("WC1",)), 3.0)
    sizes.needed.clear()
    assert building_vent(sizes) is False
    s = roofs(sketch(), (1.5,), ("WC1",))
    s.at("r0", 500, 0, 6000, "junction")
    sizes = settled(s, 3.0)
    assert building_vent(sizes) is False
    assert vents(sizes) == [1.5]


def test_a_foot_vent_is_not_the_one(sketch):
    sizes = settled(roofs(sketch(), (2.0, 1.5), ("KS", "LV1"), ("foot vent", "vent")), 3.0)
    assert building_vent(sizes) is True
    assert vents(sizes) == [2.0, 3.0]


def test_a_vent_that_is_3_in_all_the_way_is_enough_and_3_in_halfway_is_not(sketch):
    assert building_vent(settled(roofs(sketch(), (3.0, 1.5), ("LV1", "WC1")), 3.0)) is False
    sizes = settled(halved(roofs(sketch(), (3.0,), ("WC1",)), 0, 1.5), 3.0)
    assert building_vent(sizes) is True
    assert vents(sizes) == [3.0, 3.0]


# --- area (upc-2021: vents together at least the section of the required sewer) ---------------------------------------


def test_area_is_the_section_of_the_nominal_size():
    assert nominal_area_in2(3.0) == pytest.approx(7.07, abs=0.005)
    assert nominal_area_in2(2.0) == pytest.approx(math.pi)


@pytest.mark.parametrize(
    ("drawn", "grown"),
    [
        ((2.0, 2.0, 1.5), None),  # 8.05 of 7.07
        ((3.0,), None),  # equal
        ((2.0, 2.0), (3.0, 2.0)),  # 6.28: the first grows past 2-1/2, hardly made
        ((1.5, 1.5), (3.0, 1.5)),
        ((2.0, 1.5, 1.5), (3.0, 1.5, 1.5)),  # 6.68; the closet's vent has most load
    ],
)
def test_vents_make_up_the_area_of_the_sewer(sketch, drawn, grown):
    tags = ["WC1", "LV1", "LV2"][: len(drawn)]
    sizes = settled(roofs(sketch(book_id="upc-2021"), drawn, tags), 3.0)
    grew = total_area(sizes)
    assert (grew, tuple(vents(sizes))) == (grown is not None, grown or drawn)
    if grown:
        assert "vent area to the open air, required sewer 3 in: " in sizes.needs["V0"][-1].words
        assert f"of {math.pi * 9 / 4:.2f} sq in, so 3 in" in sizes.needs["V0"][-1].words
        assert total_area(sizes) is False


def test_area_is_no_rule_elsewhere(sketch):
    sizes = settled(roofs(sketch(), (1.5, 1.5), ("WC1", "LV1")), 3.0)  # npc-2020: none
    assert total_area(sizes) is False
    sizes = settled(roofs(sketch(book_id="upc-2021"), (1.5,), ("WC1",)), 3.0)
    sizes.needed.clear()
    assert total_area(sizes) is False
    s = roofs(sketch(book_id="upc-2021"), (1.5,), ("WC1",))
    s.at("r0", 500, 0, 6000, "junction")
    assert total_area(settled(s, 3.0)) is False


def test_a_wide_mouth_on_narrow_vents_does_not_count(sketch):
    # two 1-1/2 in vents join; one 3 in terminal: 7.07 at the roof, 3.53 where they leave the drains
    sizes = settled(joined(roofs(sketch(book_id="upc-2021"), (1.5, 1.5), ("WC1", "LV1")), 3.0), 3.0)
    assert total_area(sizes) is True
    assert sizes.final["V0"] == 3.0
    assert sizes.final["V1"] == 1.5
    assert "vent area at the drains, required sewer 3 in: 3.53 of 7.07" in sizes.needs["V0"][-1].words


# --- frost ------------------------------------------------------------------------------------------------------------


def cold(s, vent_in, winter_f, prone=False):
    s = roofs(s, (vent_in,), ("LV1",))
    s.climate = Climate(prone, winter_f, None)
    return settled(s, 3.0)


@pytest.mark.parametrize(("winter_f", "grew"), [(-8.0, True), (0.0, True), (0.5, False), (34.0, False), (None, False)])
def test_frost_by_the_winter_design_temperature(sketch, winter_f, grew):
    # irc-2021 P3103.2: 0 F or lower
    sizes = cold(sketch(book_id="irc-2021"), 1.5, winter_f)
    assert frost(sizes) is grew
    assert vents(sizes) == [3.0 if grew else 1.5]


@pytest.mark.parametrize(("vent_in", "final"), [(1.5, 3.0), (2.0, 3.0), (2.5, 3.0), (3.0, 4.0), (4.0, 6.0)])
def test_frost_one_size_up_and_3_in_at_least(sketch, vent_in, final):
    # npc-2020: one size larger than what comes, 3 in at least; 5 in is hardly made
    sizes = cold(sketch(), vent_in, None, prone=True)
    assert frost(sizes) is True
    assert vents(sizes) == [final]
    assert frost(sizes) is False


def test_frost_by_what_comes_from_below(sketch):
    s = halved(roofs(sketch(), (3.0,), ("LV1",)), 0, 1.5)
    s.climate = Climate(True, None, None)
    sizes = settled(s, 3.0)
    assert frost(sizes) is True
    assert vents(sizes) == [3.0, 4.0]
    assert sizes.needs["V0b"][-1].words.startswith("frost at the terminal: 3 in")
    assert len(sizes.needs["V0b"][-1].bases) == 2


def test_frost_where_the_book_has_no_size(sketch):
    s = roofs(sketch(), (1.5,), ("LV1",))
    s.book = saying(s.book, {"terminal.frost_least": None})
    s.climate = Climate(True, None, None)
    assert frost(settled(s, 3.0)) is False


# --- which drain a vent is measured by --------------------------------------------------------------------------------


def test_drain_of_a_trap_is_its_arm_or_its_wet_vent(sketch):
    sizes = settled(roofs(sketch(), (1.5,), ("LV1",)), 3.0)
    (trap,) = sizes.network.traps
    sizes.needed["a0"] = 2.0
    assert drain_of(sizes, trap) == 2.0
    assert drain_of(sizes, replace(trap, arm_runs=(), trap_in=1.5)) == 1.5
    assert drain_of(sizes, replace(trap, arm_runs=("gone",), trap_in=1.5)) == 1.5


def test_only_a_stack_vent_has_a_stack_at_its_foot(sketch):
    s = sketch()
    s.at("air", 0, 0, 6000, "terminal")
    s.at("mid", 0, 0, 4500)
    s.at("top", 0, 0, 3000, "stack top")
    s.at("low", 0, 0, 1000, "junction")
    s.at("foot", 0, 0, -1000, "stack foot")
    s.at("end", 0, -3000, -1100, "sewer connection")
    s.vent("U", "mid", "air", "stack vent")
    s.vent("SV", "top", "mid", "stack vent")
    s.drain("S2", "top", "low", "stack", 3.0)
    s.drain("S1", "low", "foot", "stack", 3.0)
    s.drain("D", "foot", "end", "building drain", 3.0)
    sizes = settled(s, 3.0)
    assert base_of(sizes, sizes.network.pipe("U")).id == "S1"
    assert base_of(sizes, sizes.network.pipe("SV")).id == "S1"
    assert base_of(sizes, replace(sizes.network.pipe("SV"), role=sizes.network.pipe("D").role)) is None
    flat = settled(roofs(sketch(), (1.5,), ("LV1",), ("stack vent",)), 3.0)
    assert base_of(flat, flat.network.pipe("V0")) is None  # what leaves its foot lies
