"""Where a straight piece of pipe lies. Origin: cabinet K1.5 of house 03, by hand."""

import pytest

from stubout.geometry.vec import Vec
from stubout.layout.places import place_of

AT = (619.0, 2635.0)  # in the sink base, x 171 to 781, over the crawl space


@pytest.fixture(scope="module")
def cottage(desk_of):
    return desk_of("03-crawlspace-cottage").house


@pytest.mark.parametrize("down_mm", [-400.0, -560.0, -640.0])
def test_a_drop_out_of_a_cabinet_is_in_it_however_deep_it_goes(cottage, down_mm):
    """Common practice, no source: what lies below the floor is not seen in the kitchen."""
    place = place_of(cottage, Vec(*AT, 566.0), Vec(*AT, down_mm))
    assert (place.kind, place.ref) == ("cabinet", "K1.5")


def test_one_beside_it_is_not(cottage):
    assert place_of(cottage, Vec(900.0, 2635.0, 566.0), Vec(900.0, 2635.0, -640.0)).kind != "cabinet"
