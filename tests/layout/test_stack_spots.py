"""Where a stack may stand: straight across from a closet. Expected: by the tape. Lengths [mm]."""

from __future__ import annotations

import pytest

from stubout.geometry.vec import Vec
from stubout.layout.stacks import _across_from, _stations, free_spots
from stubout.layout.work import Order

VENTS = (3.0, 2.0, 1.5)


@pytest.fixture
def house_01(desk):
    return desk("01-two-storey-basement")


def test_a_stack_that_stands_free_comes_straight_across_from_a_closet(house_01):
    """One place more than without the closet, on the line square to the wall through its flange."""
    level, g = house_01.house.level("main"), house_01.gauge(3.0)
    bare = {s.xy for s in free_spots(house_01, level, g, VENTS)}
    assert bare, "the basement of house 01 is open"
    xy = sorted(bare)[0]
    wall = min(house_01.cavity.walls_of(level), key=lambda w: abs(w.offset(Vec(*xy, 0.0))))
    station = wall.station(Vec(*xy, 0.0)) + 15.0
    flange = wall.point(station, 0.0, 300.0)
    more = {s.xy for s in free_spots(house_01, level, g, VENTS, [(flange.x, flange.y)])} - bare
    there = wall.point(station, 0.0)
    assert any(abs(x - there.x) < 0.5 and abs(y - there.y) < 0.5 for x, y in more)


@pytest.mark.parametrize(("aside", "leaves_room", "to"), [(0.0, False, 0.0), (30.0, True, 0.0), (30.0, False, None),
                                                           (310.0, True, None)])  # fmt: skip
def test_beside_its_bay_a_stack_stands_as_near_as_it_goes(house_01, aside, leaves_room, to):
    """Only in orders that leave room, and only in the next bay: within 300 mm."""
    house_01.order = Order(near_first=leaves_room)
    assert house_01.order.leaves_room is leaves_room
    wall = next(w for w in house_01.cavity.walls_of(house_01.house.level("main")) if len(w.bays) > 2)
    stations = _stations(wall.bays[1], house_01.gauge(2.0))
    closet = wall.point(max(stations) + aside, 0.0, 300.0)
    found = list(_across_from(house_01, wall, stations, [(closet.x, closet.y)]))
    assert found == ([] if to is None else [pytest.approx(max(stations) + to)])


def test_where_no_pipe_goes_between_the_studs_none_stands(house_01):
    wall = house_01.cavity.walls_of(house_01.house.level("main"))[0]
    assert list(_across_from(house_01, wall, [], [(0.0, 0.0)])) == []
