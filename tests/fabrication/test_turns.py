"""Whether the lengths of an upright run go in, in the order that is told: moved along their line one after the other.

Another way than the program's: each length appears in an open stretch, clear of all lengths that are in already. Those
may be pushed on along their line as far as it is open beyond the end of the run.
"""

from __future__ import annotations

from itertools import pairwise

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from stubout.fabrication.parting import WAYS, Length, Line, Passed, Span
from stubout.fabrication.turns import parted, turns

PLATE = 60.0
GAP = 4.0


def line(stretches, start, end, longest=0.0):
    """Return a run from a place in the first open stretch to one in the last, measured from its beginning."""
    ends, at = [], -start
    for s in stretches:
        ends.append(Span(at, at + s))
        at += s + PLATE
    long = ends[-1].lo_mm + end
    passed = tuple(
        Passed("W", (a.hi_mm + b.lo_mm) / 2, a.hi_mm - a.lo_mm, b.hi_mm - b.lo_mm) for a, b in pairwise(ends)
    )
    wood = tuple(Span(a.hi_mm - 20.0, b.lo_mm + 20.0) for a, b in pairwise(ends))
    return Line(0.0, long, GAP, 40.0, longest, passed=passed, closed=wood, upright=True, open=tuple(ends))


def goes_in(of, lengths, order):
    """Return whether lengths go in one after the other: in a stretch, beside those that are in and pushed on."""
    low = next(s.lo_mm for s in of.open if s.hi_mm >= of.start_mm)
    high = next(s.hi_mm for s in reversed(of.open) if s.lo_mm <= of.end_mm)
    there: set[int] = set()
    for k in order:
        one = lengths[k]
        held = any(one.start_mm <= p.at_mm <= one.end_mm for p in of.passed)
        under = [j for j in there if j < k]
        over = [j for j in there if j > k]
        if held:
            bottom = low + sum(lengths[j].mm for j in under)
            top = high - sum(lengths[j].mm for j in over)
            if not any(min(s.hi_mm, top) - max(s.lo_mm, bottom) >= one.mm - 1e-6 for s in of.open):
                return False
        there.add(k)
    return len(there) == len(lengths)


@given(
    stretches=st.lists(st.sampled_from([150.0, 300.0, 700.0, 1000.0]), min_size=2, max_size=5),
    start=st.integers(2, 14),
    end=st.integers(2, 14),
    longest=st.sampled_from([0.0, 900.0]),
)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_every_length_goes_in_when_it_is_its_turn(stretches, start, end, longest):
    start, end = min(50.0 * start, stretches[0]), min(50.0 * end, stretches[-1])
    of = line(stretches, start, end, longest)
    assume(not any(of.goes(of.start_mm, of.end_mm, way) for way in WAYS))
    found = parted(of)
    assume(found)
    for one, two in pairwise(found):
        assert abs(two.start_mm - one.end_mm - GAP) < 1e-6
        assert not any(s.lo_mm + 1e-4 < one.end_mm + GAP / 2 < s.hi_mm - 1e-4 for s in of.closed)
    assert (found[0].start_mm, found[-1].end_mm) == (of.start_mm, of.end_mm)
    told = turns(of, list(found))
    assert told.goes
    assert sorted(told.ways) == list(range(len(found)))
    assert goes_in(of, found, list(told.ways))


@given(
    stretches=st.lists(st.sampled_from([150.0, 300.0, 700.0, 1000.0]), min_size=2, max_size=4),
    start=st.integers(2, 14),
    end=st.integers(2, 14),
)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_no_run_is_coupled_twice_that_goes_in_with_one(stretches, start, end):
    start, end = min(50.0 * start, stretches[0]), min(50.0 * end, stretches[-1])
    of = line(stretches, start, end)
    assume(not any(of.goes(of.start_mm, of.end_mm, way) for way in WAYS))
    found = parted(of)
    assume(len(found) != 2)
    for at in range(0, int(of.end_mm), 10):
        if any(s.lo_mm < at < s.hi_mm for s in of.closed):
            continue
        two = (Length(0.0, at - GAP / 2), Length(at + GAP / 2, of.end_mm))
        if min(x.mm for x in two) >= of.least_mm:
            assert not any(goes_in(of, two, order) for order in ((0, 1), (1, 0)))


def test_out_of_one_bay_up_and_down():
    # by hand: plates of 60 at both ends of a bay of 1000, which the run leaves by 100: 1320 long. In the middle of the
    # bay it is parted into two of 658; neither comes from beyond, where 150 are open. The second goes up as far as it
    # goes, 50 on: then 500 + 2 + 50 = 552 are open under it in the bay, and the first, 658, does not stand there
    of = line([150.0, 1000.0, 150.0], 50.0, 100.0)
    assert of.end_mm == 100.0 + 60 + 1000 + 60 + 100
    assert len(parted(of)) == 3
    # with 300 open over it, 200 more than the run takes, 702 are
    of = line([150.0, 1000.0, 300.0], 50.0, 100.0)
    found = parted(of)
    assert [x.mm for x in found] == [658.0, 658.0]
    assert list(turns(of, list(found)).ways.items()) == [(1, "before"), (0, "after")]


def test_where_one_can_stand():
    # by hand: 1800 + 60 + 300 + 60 + 400, parted once, in the storey or in the 300 between its ceiling and the floor:
    # in the storey, though in the other one the middle were nearer
    of = line([2000.0, 300.0, 1000.0], 200.0, 400.0)
    one, _ = parted(of)
    assert one.end_mm < 1800.0
