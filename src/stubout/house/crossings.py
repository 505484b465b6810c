"""Where the maker's paper lets a pipe cross engineered floor members, as the job copies it. Lengths [mm]."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout.problems import Basis, Status

CHART = "maker's chart, as said in the job"
FLANGE_MM = 38.0  # height of an I-joist's flange where a web is measured: common practice, no source


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One round hole of the chart and where it may be cut in the web of an I-joist."""

    hole_mm: float  # largest diameter
    from_bearing_mm: float  # least, from the face of a bearing to the centre of the hole
    apart_mm: float  # least web left to the edge of the next hole


@dataclass(frozen=True, slots=True)
class HoleChart:
    """The rows of a hole chart, smallest hole first."""

    rows: tuple[ChartRow, ...]
    line: int = 0  # of the job file

    @property
    def largest_mm(self) -> float:
        """Return the largest hole of the chart [mm]."""
        return self.rows[-1].hole_mm

    def largest_at(self, from_bearing_mm: float) -> float:
        """Return the largest hole whose centre may be so far from a bearing [mm]; 0 = none."""
        return max((r.hole_mm for r in self.rows if r.from_bearing_mm <= from_bearing_mm + 0.05), default=0.0)

    def apart(self, hole_mm: float) -> float:
        """Return the web to be left beside a hole [mm]: that of the smallest row it falls under."""
        return next((r.apart_mm for r in self.rows if r.hole_mm >= hole_mm - 0.05), self.rows[-1].apart_mm)

    def basis(self, what: str, value: str) -> Basis:
        """Return a value of the chart as a ground."""
        return Basis(what, value, CHART, f"line {self.line}", Status.JOB)


@dataclass(frozen=True, slots=True)
class WebOpenings:
    """The openings of open-web joists that line up from joist to joist; a pipe lies within the round they pass.

    An opening wider than the round passes it anywhere along its width, at the same height.
    """

    round_mm: float
    height_mm: float  # centre of the round above the underside of the joist
    wide_mm: float  # along the joist; not less than the round
    middles_mm: tuple[float, ...]  # house x or y, along the run, rising
    line: int = 0

    def play_mm(self, od_mm: float, along_mm: float) -> float | None:
        """Return how far up and down from the middle of the round a pipe may lie [mm], None if it meets a web.

        Args:
            od_mm: Outside diameter of the pipe [mm].
            along_mm: Where its centre line passes along the joist [mm].
        """
        half = (self.round_mm - od_mm) / 2
        off = min((abs(along_mm - m) for m in self.middles_mm), default=math.inf) - (self.wide_mm - self.round_mm) / 2
        off = max(off, 0.0)
        return None if half < 0 or off > half else math.sqrt(half * half - off * off)

    def basis(self, value: str) -> Basis:
        """Return the round that the openings pass as a ground."""
        return Basis("openings of the joists", value, CHART, f"line {self.line}", Status.JOB)
