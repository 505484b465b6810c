"""The room fittings take, against the dimensions page (memory) and the cut list's own arithmetic."""

import pytest

from stubout.catalog import queries as catalog
from stubout.catalog.model import fitting_key
from stubout.layout.takeup import TakeUp

INCH = 25.4


# from memory: dimensions page, 3 in tee over tee 8-1/8 in centre to centre, faces touching
def test_two_tees_of_one_stack_want_what_the_catalogue_says_of_the_pair():
    fits = TakeUp()
    tee = ("sanitary tee", (3.0, 3.0, 3.0))
    want = fits.tee(3.0, 3.0, "lower") + fits.tee(3.0, 3.0, "upper")
    assert want == pytest.approx(catalog.least_centres_mm((*tee, "lower"), (*tee, "upper")), abs=1e-6)
    assert want / INCH == pytest.approx(8.125, abs=0.001)


@pytest.mark.parametrize("size", [1.5, 2.0, 3.0, 4.0])
def test_the_room_is_make_up_and_one_socket(size):
    fits = TakeUp()
    bend = catalog.fitting("long-turn 1/4 bend", (size, size))
    assert fits.sweep(size) == pytest.approx(bend.ports["outlet"] + catalog.socket_mm(size))
    assert fits.eighth(size) < fits.quarter(size) < fits.sweep(size)
    assert fits.drop(size) == pytest.approx(fits.quarter(size) + fits.sweep(size))


def test_a_measured_fitting_changes_the_room():
    plain = TakeUp().quarter(2.0)
    fits = TakeUp(((fitting_key("1/4 bend", (2.0, 2.0)), "outlet", 100.0),))
    assert fits.quarter(2.0) == pytest.approx(100.0 + catalog.socket_mm(2.0))
    assert plain != pytest.approx(fits.quarter(2.0))


def test_an_arm_that_turns_into_its_vent_fitting_wants_more_room():
    fits = TakeUp()
    straight, slant, square = (fits.take_off(2.0, 1.5, turn) for turn in (0, 1, 2))
    assert straight < slant < square
