"""Where the return of an island's loop comes down. Expected: by hand, on a cabinet of 600 by 900 mm."""

import pytest

from stubout.geometry.vec import Box, Vec
from stubout.layout.takeup import TakeUp
from stubout.layout.vent_loops import LEAST_SPREAD_MM, LOOP_SPREAD_MM, return_at, returns_in_box

BOX = Box(Vec(0.0, 0.0, 0.0), Vec(600.0, 900.0, 880.0))
R = 40.0


def test_it_stands_a_spread_from_the_drop_along_the_drain():
    assert return_at(((500.0, 450.0), (-900.0, 450.0)), BOX, R) == (500.0 - LOOP_SPREAD_MM, 450.0)


def test_it_stands_nearer_where_the_cabinet_has_no_more():
    """From x 230 there are 190 mm to where its fittings touch the front."""
    assert return_at(((230.0, 450.0), (-900.0, 450.0)), BOX, R) == (230.0 - LEAST_SPREAD_MM, 450.0)


@pytest.mark.parametrize(("x", "inside"), [(206.0, True), (204.0, False)])
def test_whether_it_stands_in_its_cabinet(x, inside):
    """The least spread of 165 mm and 40 mm for its fittings: 205 mm from the front."""
    assert returns_in_box(((x, 450.0), (-900.0, 450.0)), BOX, R) is inside


def test_a_short_drain_takes_none():
    assert return_at(((500.0, 450.0), (100.0, 450.0)), BOX, R) is None


def test_the_least_spread_is_what_a_long_turn_and_a_fitting_in_the_drain_take():
    fits = TakeUp()
    assert fits.sweep(2.0) + fits.joint(2.0, 2.0, True, "inlet") <= LEAST_SPREAD_MM
