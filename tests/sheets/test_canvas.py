"""Placing: labels find free paper, ordinates keep apart and in order."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stubout.sheets.canvas import Canvas, spread
from stubout.sheets.clip import clip_area, clip_line
from stubout.sheets.metrics import text_rect
from stubout.sheets.model import LETTER, Style, Text
from stubout.sheets.titleblock import body


@given(st.lists(st.floats(0.0, 200.0), max_size=40))
def test_spread_keeps_order_gap_and_span(wanted: list[float]) -> None:
    wanted.sort()
    got = spread(wanted, 4.0, -5.0, 205.0)
    assert len(got) == len(wanted)
    assert all(b - a >= 4.0 - 1e-6 for a, b in pairwise(got))
    assert all(-5.0 - 1e-6 <= g <= 205.0 + 1e-6 for g in got)


def test_spread_leaves_what_is_free_alone() -> None:
    assert spread([10.0, 20.0, 30.0], 4.0, 0.0, 100.0) == [10.0, 20.0, 30.0]
    assert spread([10.0, 10.0], 4.0, 0.0, 100.0) == [8.0, 12.0]
    assert spread([], 4.0, 0.0, 100.0) == []


def test_spread_squeezes_when_the_span_is_too_short() -> None:
    got = spread([0.0] * 11, 4.0, 0.0, 20.0)
    assert got[0] == pytest.approx(0.0)
    assert got[-1] == pytest.approx(20.0)


def test_labels_at_one_point_do_not_touch_each_other() -> None:
    canvas = Canvas(LETTER, body(LETTER))
    for i in range(24):
        assert canvas.place((140.0, 110.0), (f"D{i} 3 in", "1/4 in/ft"), f"l{i}", reach=104) is not None
    texts = [i for i in canvas.items if isinstance(i, Text)]
    boxes = [(t, text_rect(t)) for t in texts]
    for (s, a), (t, b) in combinations(boxes, 2):
        apart = a[2] <= b[0] + 0.05 or b[2] <= a[0] + 0.05 or a[3] <= b[1] + 0.05 or b[3] <= a[1] + 0.05
        assert apart, (s, t)


def test_a_label_keeps_off_a_pipe_if_there_is_room() -> None:
    canvas = Canvas(LETTER, body(LETTER))
    canvas.line(((40.0, 110.0), (240.0, 110.0)), Style("heavy"), "pipe:D1", cover="firm")
    box = canvas.place((140.0, 110.0), ("D1 3 in",), "size:D1")
    assert box is not None
    assert not box[1] < 110.0 < box[3]


def test_a_label_without_room_is_recorded() -> None:
    canvas = Canvas(LETTER, body(LETTER))
    canvas.take((0.0, 0.0, LETTER.width, LETTER.height))
    assert canvas.place((140.0, 110.0), ("D1",), "size:D1") is None
    assert canvas.missing == ["size:D1"]


def test_cutting_at_the_edge() -> None:
    box = (0.0, 0.0, 10.0, 10.0)
    assert clip_line((-5.0, 5.0), (15.0, 5.0), box) == ((0.0, 5.0), (10.0, 5.0))
    assert clip_line((-5.0, 20.0), (15.0, 20.0), box) is None
    assert clip_area([(-5.0, 2.0), (5.0, 2.0), (5.0, 4.0), (-5.0, 4.0)], box)
    assert clip_area([(-5.0, 2.0), (-1.0, 2.0), (-1.0, 4.0)], box) == ()
