"""Vents turn and join between studs: where walls meet, and under a header that is larger than what comes up to it."""

import pytest
from plausible import plausible

from stubout import run
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout.wall_room import Corner, corner_in_stud, in_bay, in_wood_mm


@pytest.fixture(scope="module")
def corner():
    """A house whose plumbing wall ends inside the corner that a partition makes with an outer wall."""
    return run.design(read_job_text(plausible(30), "house.yaml", book_ids()))


def test_no_vent_lies_in_the_end_stud_at_a_corner(corner):
    assert corner.blocked == ()
    assert not [f for f in run.check(corner).findings if f.check == "FRM007"]


def test_a_turn_is_held_against_the_studs_of_both_walls(corner):
    p, t = corner.house.wall("P"), corner.house.wall("T5")
    at = p.station(t.start.at_z(0.0))
    edge = p.bays[0].lo_mm
    assert edge < at < edge + 20.0  # the line of T5 runs just beside the end stud of P
    assert corner_in_stud(Corner(p, at, 0.0), t, 0.0, 24.0)
    assert not corner_in_stud(Corner(p, p.bays[0].middle_mm, 0.0), t, p.bays[0].middle_mm - at, 24.0)


def test_a_bay_takes_what_is_clear_of_its_studs(corner):
    p = corner.house.wall("P")
    bay = p.bays[1]
    assert in_bay(p, bay.lo_mm + 24.0, 24.0)
    assert not in_bay(p, bay.lo_mm + 22.0, 24.0)
    assert not in_bay(p, bay.hi_mm - 22.0, 24.0)
    assert in_bay(p, -5.0, 24.0)  # past its end there is no stud
    assert in_wood_mm(p, bay.lo_mm + 20.0, 24.0) == pytest.approx(4.0)


def test_a_riser_is_moved_off_the_stud_that_the_larger_header_would_meet():
    """The vent of a lavatory stands at the edge of its bay, and a 2 in header passes over it."""
    design = run.design(read_job_text(plausible(39), "house.yaml", book_ids()))
    assert not [f for f in run.check(design).findings if f.check == "FRM007"]
