"""Distances: exact cases by hand, and against a fine sampling of the same bodies."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout.checks.space import clipped, point_box_mm, segment_box, segment_segment
from stubout.geometry.vec import Box, Vec

BOX = Box(Vec(0, 0, 0), Vec(10, 20, 30))
COORD = st.floats(-60, 60).map(lambda v: round(v, 2))
POINT = st.tuples(COORD, COORD, COORD).map(lambda p: Vec(*p))


@pytest.mark.parametrize(
    ("a", "b", "want"),
    [
        (Vec(-5, 10, 10), Vec(-5, 15, 20), 5.0),
        (Vec(-5, 10, 10), Vec(15, 10, 10), 0.0),
        (Vec(13, 24, 10), Vec(13, 24, 20), 5.0),
        (Vec(13, 24, 30 + 12), Vec(40, 60, 60), 13.0),
        (Vec(5, 5, 5), Vec(5, 5, 5), 0.0),
    ],
)
def test_segment_to_box_by_hand(a, b, want):
    assert segment_box(a, b, BOX)[0] == pytest.approx(want, abs=1e-9)


@given(POINT, POINT)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_segment_to_box_against_sampling(a, b):
    got, at = segment_box(a, b, BOX)
    sampled = min(point_box_mm(a.plus(b.minus(a).times(i / 400)), BOX) for i in range(401))
    assert got <= sampled + 1e-7
    assert got >= sampled - a.to(b) / 400 - 1e-7
    assert point_box_mm(at, BOX) == pytest.approx(got, abs=1e-7)


@given(POINT, POINT, POINT, POINT)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_segment_to_segment_against_sampling(a, b, c, d):
    got, _ = segment_segment(a, b, c, d)
    n = 60
    pts = [a.plus(b.minus(a).times(i / n)) for i in range(n + 1)]
    qts = [c.plus(d.minus(c).times(i / n)) for i in range(n + 1)]
    sampled = min(p.to(q) for p in pts for q in qts)
    assert got <= sampled + 1e-6
    assert got >= sampled - (a.to(b) + c.to(d)) / n - 1e-6
    assert segment_segment(c, d, a, b)[0] == pytest.approx(got, abs=1e-5)


def test_clipped():
    assert clipped(Vec(-5, 1, 1), Vec(15, 1, 1), BOX) == (Vec(0, 1, 1), Vec(10, 1, 1))
    assert clipped(Vec(-5, 30, 1), Vec(15, 30, 1), BOX) is None
    assert math.isclose(clipped(Vec(5, 5, 5), Vec(5, 5, 50), BOX)[1].z, 30)
