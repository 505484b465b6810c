"""Which vent grows for one open vent, for area and against frost, and that what is enough already is left in peace."""

from __future__ import annotations

import pytest
from small_systems import framed, halved, joined, placed, roofs, saying, settled, unsettled, vents, words

from stubout.house.facts import Climate
from stubout.sizing.need import Need
from stubout.sizing.openair import building_vent, frost, required_drain, total_area

LARGE, AREA = "one open vent", "vent area"


def two_piece(s, lower_in, upper_in, tag="LV1"):
    return halved(roofs(s, (lower_in,), (tag,)), 0, upper_in)


# --- one vent of enough size (npc-2020 2.5.8.4(5): 3 in) -------------------------------------------------------------


def test_no_drain_at_all_requires_nothing(sketch):
    s = sketch()
    s.at("a", 0, 0, 0)
    s.at("air", 0, 0, 6000, "terminal")
    s.vent("V", "a", "air")
    assert required_drain(unsettled(s)) == 0.0


def test_where_one_is_enough_nothing_is_said_of_any(sketch):
    sizes = settled(roofs(sketch(), (3.0, 1.5), ("LV1", "WC1")), 3.0)
    assert building_vent(sizes) is False
    assert not any(LARGE in words(sizes, v) for v in ("V0", "V1"))


def test_a_vent_is_as_large_as_its_narrowest_piece(sketch):
    # 3 in below and 1-1/2 in above is less than 2 in all the way
    s = halved(roofs(sketch(), (3.0, 2.0), ("LV1", "LV2")), 0, 1.5)
    sizes = settled(s, 3.0)
    assert building_vent(sizes) is True
    assert [sizes.final[v] for v in ("V0", "V0b", "V1")] == [3.0, 1.5, 3.0]


def test_a_stack_vent_that_goes_on_as_a_header_is_a_stack_vent(sketch):
    s = halved(roofs(sketch(), (1.5, 1.5), ("WC1", "LV1"), ("vent", "stack vent")), 1, 1.5, "vent header")
    sizes = settled(s, 3.0)
    assert building_vent(sizes) is True
    assert [sizes.final[v] for v in ("V0", "V1", "V1b")] == [1.5, 3.0, 3.0]


def test_one_piece_that_grew_is_told_although_the_last_was_enough(sketch):
    sizes = settled(two_piece(sketch(), 1.5, 3.0), 3.0)
    assert building_vent(sizes) is True
    assert vents(sizes) == [3.0, 3.0]


def test_a_reason_told_already_grows_nothing_again(sketch):
    # or the rounds would never end
    sizes = settled(two_piece(sketch(), 1.5, 1.5), 3.0)
    assert building_vent(sizes) is True
    sizes.final.update(V0=1.5, V0b=1.5)
    assert building_vent(sizes) is False
    sizes = settled(roofs(sketch(book_id="upc-2021"), (2.0,), ("LV1",)), 3.0)
    for grows in (True, True, False):  # at the openings, at the drains, no more
        assert total_area(sizes) is grows
        sizes.final["V0"] = 2.0


# --- area (upc-2021 904.1: together at least the section of the required sewer) --------------------------------------


def test_area_just_enough_is_left_in_peace(sketch):
    # one 3 in vent on a 3 in sewer: 7.07 of 7.07 sq in
    sizes = settled(roofs(sketch(book_id="upc-2021"), (3.0,), ("LV1",)), 3.0)
    assert total_area(sizes) is False
    assert AREA not in words(sizes, "V0")
    sizes = settled(roofs(sketch(book_id="upc-2021"), (2.0,), ("LV1",)), 3.0)
    assert total_area(sizes) is True
    assert vents(sizes) == [3.0]  # just enough again


def test_the_trunk_of_a_terminal_reaches_down_to_the_last_tie_in(sketch):
    s = two_piece(sketch(book_id="upc-2021"), 2.0, 2.0)
    sizes = settled(s, 3.0)
    total_area(sizes)
    assert "to the open air" in words(sizes, "V0")
    assert "to the open air" in words(sizes, "V0b")
    sizes = settled(joined(roofs(sketch(book_id="upc-2021"), (2.0, 2.0), ("LV1", "LV2")), 2.0), 3.0)
    total_area(sizes)
    assert "to the open air" in words(sizes, "T")
    assert not any("to the open air" in words(sizes, v) for v in ("V0", "V1"))


def test_area_at_the_drains_is_made_up_by_the_largest_of_equal_load(sketch):
    # 1-1/2 and 2 in meet under a 3 in mouth: 4.91 of 7.07 sq in where they leave the drains
    s = joined(roofs(sketch(book_id="upc-2021"), (1.5, 2.0), ("LV1", "LV2")), 3.0)
    sizes = settled(s, 3.0)
    assert total_area(sizes) is True
    assert [sizes.final[v] for v in ("V0", "V1")] == [1.5, 3.0]


def test_a_trunk_partly_in_a_wall_is_not_free(sketch):
    s = halved(roofs(sketch(book_id="upc-2021"), (2.0, 2.0), ("WC1", "LV1")), 1, 2.0)
    sizes = settled(placed(s, "attic", "V1b"), 3.0)
    total_area(sizes)
    assert [sizes.final[v] for v in ("V0", "V1", "V1b")] == [3.0, 2.0, 2.0]  # the one with most load
    s = halved(roofs(sketch(book_id="upc-2021"), (2.0, 2.0), ("WC1", "LV1")), 1, 2.0)
    sizes = settled(placed(s, "attic", "V1", "V1b"), 3.0)
    total_area(sizes)
    assert [sizes.final[v] for v in ("V0", "V1", "V1b")] == [2.0, 3.0, 3.0]


def test_one_piece_in_a_narrow_wall_keeps_the_whole_vent_small(sketch):
    s = halved(roofs(sketch(book_id="upc-2021"), (2.0,), ("LV1",), wall="V0"), 0, 2.0)
    sizes = settled(s, 3.0, walls=(framed(89.0),))  # a 3 in hub is about 102 mm across
    assert total_area(sizes) is False
    assert vents(sizes) == [2.0, 2.0]
    sizes = settled(s, 3.0, walls=(framed(140.0),))
    assert total_area(sizes) is True
    assert vents(sizes) == [3.0, 3.0]


# --- frost (npc-2020 2.5.6.5: one size larger than what comes, 3 in at least) ----------------------------------------


def cold(s):
    s.climate = Climate(True, None, None)
    return s


@pytest.mark.parametrize(("joining", "mouth"), [((3.0, 1.5), 4.0), ((1.5, 1.5), 3.0)])
def test_frost_goes_by_the_largest_that_comes(sketch, joining, mouth):
    sizes = settled(cold(joined(roofs(sketch(), joining, ("LV1", "LV2")), 1.5)), 3.0)
    assert frost(sizes) is True
    assert sizes.final["T"] == mouth


def test_frost_goes_by_the_largest_need_where_nothing_comes(sketch):
    sizes = settled(cold(roofs(sketch(), (1.5,), ("LV1",))), 3.0)
    sizes.settle(sizes.network.pipe("V0"), [Need(1.5, "least vent: x"), Need(3.0, "vent: y"), Need(6.0, "frost: z")])
    assert frost(sizes) is False  # 4 in, and 6 in are there
    assert sizes.needs["V0"][-1].size_in == 4.0


def test_a_vent_that_needs_nothing_takes_the_least_of_the_cold(sketch):
    # invented: 1-1/4 in would do against frost, or one size more than what comes; nothing comes
    s = cold(roofs(sketch(), (1.25,), ("LV1",)))
    s.book = saying(s.book, {"terminal.frost_least": 1.25})
    sizes = settled(s, 3.0)
    sizes.settle(sizes.network.pipe("V0"), [])
    frost(sizes)
    assert sizes.needs["V0"][-1].size_in == 1.25
