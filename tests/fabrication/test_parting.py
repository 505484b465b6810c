"""Where a run is parted: against every way of parting it on a grid, and by hand."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from stubout.fabrication.parting import WAYS, Line, Passed, Span

GRID = 20  # mm


def studs(at, rooms):
    """Return studs of 40 at some places, each with the room before it and after it."""
    out = []
    for k, x in enumerate(at):
        before = x - 20.0 - (at[k - 1] + 20.0) if k else rooms[0]
        after = at[k + 1] - 20.0 - (x + 20.0) if k + 1 < len(at) else rooms[1]
        out.append(Passed("W", x, before, after))
    return tuple(out)


def line(at, rooms, length, longest=0.0, hub=20.0):
    wood = tuple(Span(x - 20.0 - hub, x + 20.0 + hub) for x in at)
    return Line(0.0, length, 4.0, 40.0, longest, passed=studs(at, rooms), closed=wood)


def fewest(of, most):
    """Return the fewest lengths with couplings on a grid, tried one after the other; None if there are none."""
    places = [float(x) for x in range(0, int(of.end_mm), GRID) if not any(s.lo_mm < x < s.hi_mm for s in of.closed)]
    for n in range(most + 1):
        for chosen in combinations(places, n):
            ends = (of.start_mm, *chosen, of.end_mm)
            for turn in range(n + 2):  # so many lengths come in from before
                if all(of.goes(p, q, WAYS[k >= turn]) for k, (p, q) in enumerate(pairwise(ends))):
                    return n + 1
    return None


@given(
    first=st.integers(3, 12),
    gaps=st.lists(st.sampled_from([60, 160, 240, 400, 700]), min_size=1, max_size=4),
    rooms=st.tuples(st.sampled_from([0.0, 200.0, 360.0, 900.0]), st.sampled_from([0.0, 200.0, 360.0, 900.0])),
    last=st.integers(3, 20),
    longest=st.sampled_from([0.0, 500.0, 900.0]),
)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_no_way_on_a_grid_needs_fewer(first, gaps, rooms, last, longest):
    at = [float(first * GRID)]
    for g in gaps:
        at.append(at[-1] + 40.0 + g)
    of = line(at, rooms, at[-1] + last * GRID, longest)
    assume(not any(of.goes(of.start_mm, of.end_mm, way) for way in WAYS))
    found = of.parted()
    known = fewest(of, 2)
    if known is not None:
        assert found
        assert len(found) <= known
    if found:
        held(of, found)


def held(of, found):
    """Hold that lengths fill the run, stand clear of what is closed, and can be cut and put in."""
    assert found[0].start_mm == of.start_mm
    assert found[-1].end_mm == of.end_mm
    for one, two in pairwise(found):
        assert two.start_mm - one.end_mm == pytest.approx(of.gap_mm)
        middle = (one.end_mm + two.start_mm) / 2
        assert not any(s.lo_mm + 1e-4 < middle < s.hi_mm - 1e-4 for s in of.closed)
    assert all(x.mm >= of.least_mm - 1e-5 for x in found)
    assert not of.longest_mm or all(x.mm <= of.longest_mm + 1e-5 for x in found)
    n = len(found)
    assert any(all(of.lets(x, WAYS[k >= turn]) for k, x in enumerate(found)) for turn in range(n + 1))


def test_a_long_run_ends_on_its_sticks():
    # by hand: sticks of 1000, 4 in a coupling, no last length under 300: 1000 + 4 + 1000 + 4 + 492
    found = Line(0.0, 2500.0, 4.0, 40.0, 1000.0, 300.0).parted()
    assert [x.mm for x in found] == [1000.0, 1000.0, 492.0]
    # 1000 + 4 + 196 would leave too short a rest: the one before gives way
    found = Line(0.0, 1200.0, 4.0, 40.0, 1000.0, 300.0).parted()
    assert [x.mm for x in found] == [896.0, 300.0]


def test_a_stick_ends_before_what_is_closed():
    found = Line(0.0, 1500.0, 4.0, 40.0, 1000.0, 300.0, closed=(Span(950.0, 1050.0),)).parted()
    assert [x.mm for x in found] == [948.0, 548.0]
    assert Line(0.0, 1500.0, 4.0, 40.0, 1000.0, 300.0, closed=(Span(0.0, 1500.0),)).parted() == ()


def test_as_near_the_middle_of_the_bay_as_may_be():
    # one coupling between two studs, in the middle of the bay of 360
    found = line([200.0, 600.0], (180.0, 180.0), 800.0).parted()
    assert found[0].end_mm == pytest.approx(400.0 - 2.0)
