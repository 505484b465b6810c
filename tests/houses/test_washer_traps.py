"""A washer's trap stands in the bay of its box: it is moulded in one piece and goes through no stud. [mm].

Common practice, no source. The reach of a 2 in P-trap is the catalogue's (from memory).
"""

from dataclasses import replace

import pytest
from desks import desk_of
from plausible import plausible

from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout.arms import UNDER_BOX_MM, arm_candidates
from stubout.layout.desk import TRAP_REACH_MM
from stubout.layout.weights import WEIGHTS


def desk(seed):
    """Return an empty desk for a plausible house."""
    return desk_of(read_job_text(plausible(seed), "house.yaml", book_ids()), marked=True)


@pytest.fixture(scope="module")
def work():
    return desk(188)


@pytest.mark.parametrize("tag", ["AW1", "AW2"])
def test_a_trap_in_a_stud_is_dearer_than_any_other(work, tag):
    need = work.needs[tag]
    wall = work.house.wall(need.fixture.wall_id)
    home = wall.bay_at(need.fixture.station_mm)
    found, _ = arm_candidates(work, need, TRAP_REACH_MM[need.arm_in])
    half = work.gauge(need.arm_in).od_mm / 2  # a trap is as thick as its pipe, the catalogue's od
    within = [c for c in found if home.lo_mm + half <= c.stub_station <= home.hi_mm - half]
    across = [c for c in found if c not in within]
    assert within
    assert across, "a box so near a stud that a trap may reach into it on one side"
    assert all(c.cost < WEIGHTS.in_stud <= min(a.cost for a in across) for c in within)
    for c in within:
        near = TRAP_REACH_MM[need.arm_in] + UNDER_BOX_MM
        assert abs(c.stub_station - need.fixture.station_mm) <= near + 0.5


def test_of_arms_that_are_too_long_the_shortest_is_told():
    work = desk(197)
    need = work.needs["AW1"]
    _, why = arm_candidates(work, need, TRAP_REACH_MM[need.arm_in])
    (told,) = (w for w in why if "longer than" in w)
    assert f"most in {need.arm_in:g} in" in told


def test_a_trap_half_in_a_stud_is_as_dear_as_one_across_it():
    """The box stands so that the middle of a trap would be 7.5 mm before a stud: half of its thickness is 30 mm."""
    job = read_job_text(plausible(188), "house.yaml", book_ids())
    work = desk_of(job, marked=True)
    need = work.needs["AW1"]
    wall = work.house.wall(need.fixture.wall_id)
    home = wall.bay_at(need.fixture.station_mm)
    reach, half = TRAP_REACH_MM[need.arm_in], work.gauge(need.arm_in).od_mm / 2
    station = home.hi_mm - 7.5 - reach + UNDER_BOX_MM  # the standpipe as far to the left as it goes under its box
    need = replace(need, fixture=replace(need.fixture, station_mm=station))
    found, _ = arm_candidates(work, need, reach)
    right = [c for c in found if home.hi_mm - half < c.stub_station <= home.hi_mm]
    assert right
    assert min(c.cost for c in right) >= WEIGHTS.in_stud
    assert home.lo_mm + half <= found[0].stub_station <= home.hi_mm - half
