"""Vents that come up into the attic: which share a terminal."""

import math

import pytest

from stubout.layout.model import PointKind
from stubout.layout.roof import AtticEnd, Roof


@pytest.fixture
def far_apart(desk) -> Roof:
    """The roof of the slab house, two terminals allowed."""
    return Roof(desk("02-slab-bungalow"))


def test_a_vent_that_would_have_to_grow_gets_its_own_terminal(far_apart):
    board = far_apart.work.board
    ends = [
        AtticEnd(board.node((4572.0, 8214.0), PointKind.TURN, 2467.0), 2.0, 12_000.0),
        AtticEnd(board.node((2057.0, 2702.0), PointKind.TURN, 2467.0), 1.5, 3_000.0, bored=True),
    ]
    assert len(far_apart.groups(ends)) == 2
    near = [ends[0], AtticEnd(board.node((3960.0, 7661.0), PointKind.TURN, 2467.0), 1.5, math.inf)]
    assert len(far_apart.groups(near)) == 1


def test_the_upc_lets_a_third_of_60_ft_of_a_1_1_2_in_vent_lie_level(far_apart):
    """Published: UPC table 703.2 (60 ft) and 904.2 (one third)."""
    assert far_apart.most_flat(1.5) == pytest.approx(20 * 304.8)
    assert far_apart.most_flat(2.0) == pytest.approx(40 * 304.8)
