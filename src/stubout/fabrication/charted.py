"""Holes in I-joists by the maker's hole chart, as far as the job copied it. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stubout import units
from stubout.fabrication.members import Crossing, Member
from stubout.house.bearings import from_bearing, strips_of
from stubout.house.crossings import HoleChart
from stubout.house.model import House
from stubout.problems import Basis

PLAY_MM = 0.2  # a limit missed by less than the tolerance of the pipe's own diameter is met


@dataclass(frozen=True, slots=True)
class Charted:
    """What the chart says of one place in one I-joist."""

    chart: HoleChart
    away_mm: float  # from the face of the nearest bearing
    unit: units.Units

    @property
    def limit_mm(self) -> float:
        """Return the largest hole there [mm]; 0 where the chart has none so near a bearing."""
        return self.chart.largest_at(self.away_mm)

    @property
    def bases(self) -> tuple[Basis, ...]:
        """Return the values of the chart that decide."""
        limit = self.limit_mm
        if not limit:
            return (self.chart.basis("no hole so near a bearing", units.length(self.away_mm, self.unit)),)
        return (self.chart.basis("largest hole here", units.length(limit, self.unit)),)

    def verdict(self, hole_mm: float) -> tuple[Literal["ok", "too big", "engineer"], str]:
        """Return the verdict on a hole and what it says of where it is."""
        away = f"{units.length(self.away_mm, self.unit)} from the bearing"
        if hole_mm <= self.limit_mm + PLAY_MM:
            return "ok", f"by the maker's chart, {away}"
        if hole_mm > self.chart.largest_mm + PLAY_MM:
            return "too big", "larger than any hole of the maker's chart that the job copies"
        return "engineer", f"too near a bearing for this hole: {away}"


def charted(member: Member, hit: Crossing, house: House) -> Charted | None:
    """Return what the hole chart says of a hole; None where the job copied none, or nothing is bored square."""
    frame = member.frame
    if frame is None or frame.chart is None or not hit.square:
        return None
    away = from_bearing(frame, hit.local.x, member.station_mm, strips_of(house, frame))
    return Charted(frame.chart, away, house.job.units)
