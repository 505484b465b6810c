"""The scale bar: as long on paper as its words say at the scale of the sheet. Lengths by hand."""

from __future__ import annotations

import pytest

from stubout.sheets.metrics import text_rect
from stubout.sheets.model import Line, Text
from stubout.sheets.scalebar import MOST_MM, ratio_of, scale_bar

FOOT_MM = 304.8


@pytest.mark.parametrize(
    ("scale", "words", "real_mm"),
    [
        ("1:20", "500 mm", 500.0),
        ("1:75", "2 m", 2000.0),
        ("1:250", "10 m", 10_000.0),
        ('1" = 1\'-0" (1:12)', "1 ft", FOOT_MM),
        ('1/4" = 1\'-0" (1:48)', "4 ft", 4 * FOOT_MM),
        ("1\" = 20' (1:240)", "20 ft", 20 * FOOT_MM),
    ],
)
def test_a_bar_is_as_long_as_it_says(scale: str, words: str, real_mm: float) -> None:
    items = scale_bar(scale, 200.0, 12.0)
    halves = [i for i in items if isinstance(i, Line)]
    xs = sorted(p[0] for h in halves for p in h.points)
    ratio = ratio_of(scale)
    assert ratio is not None
    assert (xs[-1] - xs[0]) * ratio == pytest.approx(real_mm)
    assert xs[-1] - xs[0] <= MOST_MM
    texts = {i.text: i for i in items if isinstance(i, Text)}
    assert set(texts) == {"0", words}
    assert texts["0"].at[0] == pytest.approx(xs[0])
    assert texts[words].at[0] == pytest.approx(xs[-1])
    assert max(text_rect(t)[2] for t in texts.values()) <= 200.0 + 1e-6
    assert {h.style.fill for h in halves} == {"black", "white"}  # told apart without colour


@pytest.mark.parametrize("scale", ["not to scale", 'lengths 1/4" = 1\'-0" (1:48), heights 1:12', ""])
def test_no_bar_where_there_is_not_one_scale(scale: str) -> None:
    assert scale_bar(scale, 200.0, 12.0) == ()
