"""A stack stands in the way in every wall that it comes down through. Invented house; expected by hand."""

from __future__ import annotations

import pytest
from desks import desk_of
from three_storeys import JOB

from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout.desk import TRAP_REACH_MM
from stubout.layout.level_drains import draw_level


def test_arms_of_all_storeys_below_know_of_a_stack():
    work = desk_of(read_job_text(JOB, "tall.yaml", book_ids()))
    draw_level(work, work.house.level("top"), TRAP_REACH_MM)
    (stack,) = work.board.stacks
    stands = {spot.wall.id: spot for spot, _ in work.risers}
    assert {"L", "M"} <= set(stands)
    for wall_id in ("L", "M"):
        assert stands[wall_id].xy == pytest.approx(stack.xy)
