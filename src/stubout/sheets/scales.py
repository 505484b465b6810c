"""Drawing scales: metric ratios for metric jobs, the scales of the architect's rule for inch jobs."""

from __future__ import annotations

from typing import Literal

METRIC = (10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 250)
INCH = (12, 16, 24, 32, 48, 64, 96, 128, 192, 240)
_INCH_WORDS = {
    12: '1" = 1\'-0"',
    16: '3/4" = 1\'-0"',
    24: '1/2" = 1\'-0"',
    32: '3/8" = 1\'-0"',
    48: '1/4" = 1\'-0"',
    64: '3/16" = 1\'-0"',
    96: '1/8" = 1\'-0"',
    128: '3/32" = 1\'-0"',
    192: '1/16" = 1\'-0"',
    240: "1\" = 20'",
}


def scales(units: Literal["mm", "inch"]) -> tuple[int, ...]:
    """Return the scales on offer, largest drawing first; 20 means 1:20."""
    return METRIC if units == "mm" else INCH


def scale_words(ratio: int, units: Literal["mm", "inch"]) -> str:
    """Return a scale as a sheet prints it: `1:20`, or `1/2" = 1'-0" (1:24)`."""
    return f"1:{ratio}" if units == "mm" else f"{_INCH_WORDS[ratio]} (1:{ratio})"
