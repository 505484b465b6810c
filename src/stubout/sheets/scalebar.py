"""The scale bar of a drawing: whoever prints at another size, or copies it, still sees how long a length is."""

from __future__ import annotations

import re
from typing import Literal

from stubout.sheets.metrics import text_width
from stubout.sheets.model import Item, Line, Style, Text

MOST_MM = 42.0  # of bar on paper
TALL_MM = 1.3
SIZE_PT = 9.0
LAYER = "scale bar"
# Lengths a bar may have [mm], with their words; each is drawn in two halves.
METRIC = ((100.0, "100 mm"), (200.0, "200 mm"), (500.0, "500 mm"), *((k * 1e3, f"{k} m") for k in (1, 2, 4, 10, 20)))
INCH = tuple((k * 304.8, f"{k} ft") for k in (1, 2, 4, 8, 10, 20, 40))
_RATIO = re.compile(r"(?:^|\()1:(\d+(?:\.\d+)?)\)?$")


def ratio_of(scale: str) -> float | None:
    """Return the ratio a sheet says it is drawn at, 20 for `1:20` or `... (1:20)`; None if it says none or two."""
    found = _RATIO.search(scale)
    return float(found[1]) if found and "heights" not in scale else None


def scale_bar(scale: str, right: float, foot: float) -> tuple[Item, ...]:
    """Return a scale bar with its right end and foot at a place; nothing for a drawing without one scale.

    Args:
        scale: The scale as the sheet prints it; words in quotes or feet mean the bar is in feet.
        right: Where it ends [mm on paper].
        foot: Its lower edge [mm on paper].
    """
    ratio = ratio_of(scale)
    if ratio is None:
        return ()
    long, words = max((c for c in (INCH if '"' in scale else METRIC) if c[0] / ratio <= MOST_MM), default=(0.0, ""))
    if not long:
        return ()
    wide = long / ratio
    over = text_width(words, SIZE_PT) / 2  # its words stand out over the end
    left, mid = right - over - wide, right - over - wide / 2

    def box(x0: float, x1: float, fill: Literal["white", "black"]) -> Line:
        corners = ((x0, foot), (x1, foot), (x1, foot + TALL_MM), (x0, foot + TALL_MM))
        return Line(corners, Style("thin", fill=fill), LAYER, True)

    y = foot + TALL_MM + 0.9
    return (
        box(left, mid, "black"),
        box(mid, left + wide, "white"),
        Text((left, y), "0", SIZE_PT, LAYER, "middle"),
        Text((left + wide, y), words, SIZE_PT, LAYER, "middle"),
    )
