"""Text widths against the fonts shipped with the package, read by an imaging library."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import ImageFont

from stubout.sheets import metrics
from stubout.sheets.model import Text

FONTS = Path(metrics.__file__).parent.parent / "fonts"
CHARS = [chr(c) for c in range(32, 127)] + list("×′″–—°øØ±→←↑↓≥≤·…½¼¾éèñáíóúüçàâêôû²³•µ⌀")


@pytest.mark.parametrize(
    ("file", "bold", "mono"),
    [("DejaVuSans.ttf", False, False), ("DejaVuSans-Bold.ttf", True, False), ("DejaVuSansMono.ttf", False, True)],
)
def test_every_width_is_that_of_the_shipped_font(file: str, bold: bool, mono: bool) -> None:
    font = ImageFont.truetype(str(FONTS / file), metrics.UNITS_PER_EM, layout_engine=ImageFont.Layout.BASIC)
    for char in CHARS:
        units = metrics.text_width(char, 72.0, bold=bold, mono=mono) / 25.4 * metrics.UNITS_PER_EM
        assert units == pytest.approx(font.getlength(char), abs=1.0), char


def test_a_turned_text_stands_left_of_its_point() -> None:
    flat = metrics.text_rect(Text((10.0, 10.0), "4'-3 15/16\"", 9.0, "x"))
    turned = metrics.text_rect(Text((10.0, 10.0), "4'-3 15/16\"", 9.0, "x", turn_deg=90))
    assert turned[3] - turned[1] == pytest.approx(flat[2] - flat[0])
    assert turned[2] - turned[0] == pytest.approx(flat[3] - flat[1])
    assert turned[0] < 10.0 < turned[2]


def test_wrapping_keeps_every_word_and_the_width() -> None:
    text = "Seen from the left side. Control corner: south end of the framing of wall P."
    lines = metrics.wrap(text, 40.0, 9.0)
    assert " ".join(lines) == text
    assert all(metrics.text_width(line, 9.0) <= 40.0 for line in lines)
    assert "".join(metrics.wrap("W" * 60, 20.0, 9.0)) == "W" * 60


def test_a_fraction_is_never_parted_from_its_whole_number() -> None:
    for width in (18.0, 24.0, 30.0, 40.0):
        lines = metrics.wrap("rough opening 14 1/4, 2 x 1-1/2 in, centred", width, 9.0)
        assert any("14 1/4" in line for line in lines), lines
    assert metrics.wrap("rough opening 14 1/4", 60.0, 9.0) == ["rough opening 14 1/4"]
