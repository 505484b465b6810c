"""Distances against brute-force sampling, symmetry and hand-made cases."""

import math
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout.geometry import distance as gd
from stubout.geometry.vec import Box, Vec

coordinates = st.one_of(st.integers(min_value=-50, max_value=50).map(float), st.floats(min_value=-50, max_value=50))
points = st.builds(Vec, coordinates, coordinates, coordinates)
STEPS = 24


@st.composite
def boxes(draw: st.DrawFn) -> Box:
    a, b = draw(points), draw(points)
    return Box(Vec(*map(min, zip(a, b, strict=True))), Vec(*map(max, zip(a, b, strict=True))))


def along(a: Vec, b: Vec) -> list[Vec]:
    return [a.plus(b.minus(a).times(i / STEPS)) for i in range(STEPS + 1)]


def step_of(a: Vec, b: Vec) -> float:
    return a.to(b) / STEPS


@settings(deadline=None)
@given(points, points, points)
def test_point_segment_against_sampling(p: Vec, a: Vec, b: Vec) -> None:
    exact = gd.point_segment(p, a, b)
    sampled = min(p.to(q) for q in along(a, b))
    assert sampled - step_of(a, b) / 2 - 1e-9 <= exact <= sampled + 1e-9
    assert exact == pytest.approx(gd.point_segment(p, b, a), abs=1e-9)


@settings(deadline=None)
@given(points, points, points, points)
def test_segment_segment_against_sampling(a: Vec, b: Vec, c: Vec, d: Vec) -> None:
    exact = gd.segment_segment(a, b, c, d)
    sampled = min(p.to(q) for p, q in product(along(a, b), along(c, d)))
    assert sampled - (step_of(a, b) + step_of(c, d)) / 2 - 1e-9 <= exact <= sampled + 1e-9


@settings(deadline=None)
@given(points, points, points, points)
def test_segment_segment_is_symmetric(a: Vec, b: Vec, c: Vec, d: Vec) -> None:
    exact = gd.segment_segment(a, b, c, d)
    for other in (gd.segment_segment(c, d, a, b), gd.segment_segment(b, a, c, d), gd.segment_segment(b, a, d, c)):
        assert other == pytest.approx(exact, abs=1e-6)


@settings(deadline=None)
@given(points, points, points, points)
def test_nearest_points_lie_on_their_segments(a: Vec, b: Vec, c: Vec, d: Vec) -> None:
    p, q = gd.nearest_of_segments(a, b, c, d)
    assert gd.point_segment(p, a, b) <= 1e-9
    assert gd.point_segment(q, c, d) <= 1e-9


@settings(deadline=None)
@given(points, points, boxes())
def test_segment_box_against_sampling(a: Vec, b: Vec, box: Box) -> None:
    exact = gd.segment_box(a, b, box)
    sampled = min(gd.point_box(p, box) for p in along(a, b))
    assert sampled - step_of(a, b) / 2 - 1e-9 <= exact <= sampled + 1e-9
    assert exact == pytest.approx(gd.segment_box(b, a, box), abs=1e-9)


@settings(deadline=None)
@given(points, points, boxes())
def test_segment_in_box_and_clipping_agree(a: Vec, b: Vec, box: Box) -> None:
    part = gd.clip_to_box(a, b, box)
    if part is None:
        assert gd.segment_box(a, b, box) >= 0.0
        assert not any(box.contains(p, -1e-6) for p in along(a, b))
    else:
        assert 0.0 <= part[0] <= part[1] <= 1.0
        assert gd.segment_box(a, b, box) <= 1e-9
        for t in part:
            assert box.contains(a.plus(b.minus(a).times(t)), 1e-9)


@settings(deadline=None)
@given(points, points, boxes(), points)
def test_moving_everything_changes_nothing(a: Vec, b: Vec, box: Box, move: Vec) -> None:
    moved = gd.segment_box(a.plus(move), b.plus(move), Box(box.lo.plus(move), box.hi.plus(move)))
    assert moved == pytest.approx(gd.segment_box(a, b, box), abs=1e-6)


@settings(deadline=None)
@given(boxes(), boxes())
def test_box_box(one: Box, other: Box) -> None:
    gap = gd.box_box(one, other)
    assert gap == gd.box_box(other, one)
    corners = [Vec(*c) for c in product(*zip(one.lo, one.hi, strict=True))]
    assert gap <= min(gd.point_box(c, other) for c in corners) + 1e-9
    assert gd.boxes_overlap(one, other) == gd.boxes_overlap(other, one)
    if gap > 1e-5:
        assert not gd.boxes_overlap(one, other)
        assert gd.boxes_overlap(one, other, margin=gap + 0.01)


def test_crossing_pipes_by_hand() -> None:
    # Two 3 in pipes (88.9 OD) crossing at right angles, 100 apart in height.
    one = (Vec(0, 0, 0), Vec(1000, 0, 0))
    other = (Vec(500, -500, 100), Vec(500, 500, 100))
    assert gd.segment_segment(*one, *other) == 100.0
    assert gd.capsule_clearance(one, other, radius_one=44.45, radius_other=44.45) == pytest.approx(11.1)


def test_parallel_overlapping_and_degenerate_segments() -> None:
    a, b = Vec(0, 0), Vec(10, 0)
    assert gd.segment_segment(a, b, Vec(4, 3), Vec(20, 3)) == 3.0
    assert gd.segment_segment(a, b, Vec(13, 4), Vec(20, 4)) == 5.0
    assert gd.segment_segment(a, a, Vec(3, 4), Vec(3, 4)) == 5.0
    assert gd.segment_segment(a, a, Vec(-3, 4), Vec(3, 4)) == 4.0


def test_segment_beside_and_through_a_box() -> None:
    box = Box(Vec(0, 0, 0), Vec(10, 10, 10))
    assert gd.segment_box(Vec(-5, 5, 5), Vec(15, 5, 5), box) == 0.0
    assert gd.segment_box(Vec(-5, 13, 14), Vec(15, 13, 14), box) == 5.0
    # Past an edge on the diagonal: nearest in the middle of the segment, not at an end or a face plane.
    assert gd.segment_box(Vec(20, 0, 5), Vec(0, 20, 5), Box(Vec(0, 0, 0), Vec(5, 5, 10))) == pytest.approx(
        10 / math.sqrt(2)
    )
    assert gd.capsule_box_clearance(Vec(-5, 13, 14), Vec(15, 13, 14), box, radius=2) == 3.0


def test_boxes_that_only_touch_do_not_overlap() -> None:
    one, other = Box(Vec(0, 0, 0), Vec(1, 1, 1)), Box(Vec(1, 0, 0), Vec(2, 1, 1))
    assert not gd.boxes_overlap(one, other)
    assert gd.boxes_overlap(one, other, margin=0.1)
    assert not gd.rects_overlap((0, 0, 1, 1), (1, 0, 2, 1))
    assert gd.rects_overlap((0, 0, 1, 1), (0.5, 0.5, 2, 2))


def test_plan_tests_ignore_height() -> None:
    rect = (0.0, 0.0, 10.0, 10.0)
    assert gd.segment_meets_rect(Vec(-5, 5, 99), Vec(15, 5, -99), rect)
    assert gd.clip_to_rect(Vec(-10, 5), Vec(10, 5), rect) == (0.5, 1.0)
    assert gd.clip_to_rect(Vec(5, 11), Vec(5, 20), rect) is None
    assert gd.segment_rect(Vec(13, 14, 50), Vec(30, 14, 50), rect) == 5.0
    assert gd.point_rect(13, 14, rect) == 5.0
    assert gd.segments_cross_in_plan(Vec(0, 0, 0), Vec(10, 10, 0), Vec(0, 10, 500), Vec(10, 0, 500))
    assert not gd.segments_cross_in_plan(Vec(0, 0), Vec(10, 0), Vec(0, 1), Vec(10, 1))


@settings(deadline=None)
@given(points, points, boxes())
def test_plan_distance_against_sampling(a: Vec, b: Vec, box: Box) -> None:
    rect = (box.lo.x, box.lo.y, box.hi.x, box.hi.y)
    exact = gd.segment_rect(a, b, rect)
    sampled = min(gd.point_rect(p.x, p.y, rect) for p in along(a, b))
    assert sampled - step_of(a, b) / 2 - 1e-9 <= exact <= sampled + 1e-9
    if gd.segment_meets_rect(a, b, rect):
        assert exact <= 1e-9
    if exact > 1e-6:
        assert not gd.segment_meets_rect(a, b, rect)


def test_bounds_hold_the_capsule() -> None:
    box = gd.segment_bounds(Vec(5, 0, 9), Vec(0, 7, 1), 2.0)
    assert box == Box(Vec(-2, -2, -1), Vec(7, 9, 11))
