"""Vents turn and join between studs: where walls meet, and under a header that is larger than what comes up to it."""

import pytest
from desks import desk_of
from laid_out import design_of
from plausible import plausible

from stubout import run
from stubout.change.refine import choosing
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.job.starter import starter_text
from stubout.layout.judge import Look
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.wall_room import Corner, corner_in_stud, in_bay, in_wood_mm


@pytest.fixture(scope="module")
def corner():
    """A house whose plumbing wall ends inside the corner that a partition makes with an outer wall."""
    return design_of(read_job_text(plausible(30), "house.yaml", book_ids()))


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


def test_a_riser_at_the_edge_of_its_bay_is_told_where_the_header_over_it_is_larger():
    """By hand: the riser stands 1 mm clear of a stud, the larger header over it is in it; not so in mid-bay."""
    work = desk_of(read_job_text(starter_text("mm"), "starter.yaml", book_ids()))
    w, board = work.house.wall("P"), work.board
    bay, place = w.bays[1], Place("wall", "P")

    def told(station: float) -> list[float]:
        """Return how far the header over a riser at a station is in wood [mm]."""
        here, aside = (w.point(s, 0.0) for s in (station, bay.middle_mm + 30.0))
        low = board.node((here.x, here.y), PointKind.TURN, 1000.0)
        tie = board.node((here.x, here.y), PointKind.TIE_IN, 1800.0)
        end = board.node((aside.x, aside.y), PointKind.TURN, 1810.0)
        riser = board.edge(low, tie, "vent", Role.VENT, place, 1.5, plumb=True)
        header = board.edge(tie, end, "vent", Role.VENT, place, 3.0)
        words = f"{header.id} joins {riser.id} in P"
        return [f.lacks for f in Look(work).faults([riser]) if f.what == words]

    clear = work.gauge(1.5).r + 1.0
    assert told(bay.lo_mm + clear) == [pytest.approx(work.gauge(3.0).r - clear)]
    assert told(bay.middle_mm) == []


def test_no_header_of_a_house_where_one_was_in_a_stud_is_in_one():
    """A vent of it stood at the edge of its bay, with a 2 in header over it. The house is drawn once."""
    job = choosing(read_job_text(plausible(39), "house.yaml", book_ids()), ({"drawn": "as usual"},))
    assert not [f for f in run.check(run.judged(job).design).findings if f.check == "FRM007"]
