"""Places in a wall below where a pipe over it may come down. Origin: framing plan and ducts of house 01, by hand."""

import pytest

from stubout.layout.drain_zone import turn_free_deg
from stubout.layout.space_below import in_wall
from stubout.layout.wall_drops import drop_places

DROP = (5400.0, 6461.0)  # of LV2, in the joist bay over M-P


@pytest.fixture(scope="module")
def house_01(desk_of):
    return desk_of("01-two-storey-basement")


def test_a_bay_taken_by_a_duct_is_no_place(house_01):
    """M-P has studs every 406 mm from y = 4370; two ducts fill the bays from 6013 to 6787."""
    layers = house_01.space.floor_layers(house_01.house.level("upper"))
    places = drop_places(house_01.space, layers, DROP, house_01.gauge(2.0))
    assert places[0] == (5400.0, pytest.approx((6825 + 7193) / 2, abs=1.0))  # the next bay to the north
    assert all(not 6013 < y < 6787 for _, y in places)


def test_beside_the_wall_there_is_none(house_01):
    layers = house_01.space.floor_layers(house_01.house.level("upper"))
    assert drop_places(house_01.space, layers, (5600.0, 6461.0), house_01.gauge(2.0)) == ()


def test_a_leg_out_of_the_side_of_a_wall_stays_below_its_plates(house_01):
    """M-P: 2467 high with a double top plate of 76."""
    below = house_01.space.layers["below:upper"]
    g = house_01.gauge(1.5)
    leg = house_01.space.leg(below, (5400.0, 7009.0), (5135.0, 7009.0), g)
    assert leg.spans[0].hi == pytest.approx(2467 - 76 - g.r - 3, abs=1.0)


def test_how_much_of_a_leg_lies_in_the_wall_it_ends_in(house_01):
    """At 45 degrees from the middle of a 140 mm stud wall: 70 mm aside, so 99 mm along."""
    below = house_01.space.layers["below:upper"]
    assert in_wall(house_01.space, below, (5400.0, 8186.0), (5700.0, 8486.0)) == pytest.approx(70 * 2**0.5)
    assert in_wall(house_01.space, below, (5700.0, 8186.0), (5900.0, 8186.0)) == 0.0


@pytest.mark.parametrize(("book_id", "deg"), [("npc-2020", 90.0), ("upc-2021", 135.0), ("ipc-2021", float("inf"))])
def test_turns_add_up_where_the_book_adds_them_up(book, book_id, deg):
    """NPC 2.4.7.1 (memory) and UPC 707.4 (read) add up, IPC 708.1.4 (read) counts each turn."""
    assert turn_free_deg(book(book_id)) == deg
