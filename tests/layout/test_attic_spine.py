"""The header of an attic: where it rises."""

import pytest

from stubout.layout.attic_spine import best_spine
from stubout.layout.model import PointKind
from stubout.layout.roof import AtticEnd, Roof

LINE_MM = 2286.0  # x of the plumbing walls of the house with two stacked baths
STACK_MM = 5892.8


@pytest.mark.parametrize("hair_mm", [0.0, 0.02, -0.04])
def test_a_header_rises_over_the_largest_vent_on_its_line_where_that_is_shortest(desk, hair_mm):
    """However the place of that vent is rounded: a hair beside it nothing else comes in."""
    work = desk("04-stacked-baths")
    ends = [
        AtticEnd(work.board.node((LINE_MM, y), PointKind.TURN, 5255.0), size_in, 12_000.0)
        for y, size_in in ((2514.6, 1.5), (STACK_MM + hair_mm, 3.0), (7467.6, 1.5))
    ]
    spine = best_spine(work, Roof(work), work.space.layers["attic:upper"], ends)
    assert spine is not None
    assert spine.crowded == 0
    assert spine.rise == pytest.approx(STACK_MM, abs=0.1)
