"""What a job file says of what is around the house: site, sewer, roof."""

from __future__ import annotations

from typing import Literal

from stubout.job.scalars import Length, Placed, PlanPoint, Range, Record, Size, YesNo
from stubout.kinds import PipeMaterial


class SiteSaid(Record):
    """Ground, footprint."""

    footprint: PlanPoint  # size of the framing outline, from the origin
    ground_at_house: Length
    ground_at_sewer: Length
    crawl_access: PlanPoint | None = None  # where one gets into the crawl space: middle of the hatch or door


class SewerSaid(Record):
    """Where the building sewer ends."""

    at: PlanPoint
    invert: Length
    size: Size
    runs: Literal["north", "south", "east", "west"]
    what: Literal["sewer", "septic tank", "existing pipe"] = "sewer"
    material: PipeMaterial | None = None  # of an existing pipe
    backwater_valve_drop: Length = 0.0
    backwater_valve_at: PlanPoint | None = None
    confirmed: YesNo = True
    may_be_off_by: Length = 0.0


class RoofSaid(Placed):
    """One plane of the roof over a plan rectangle: height at one edge, rise towards the other."""

    x: Range
    y: Range
    low_edge: Literal["north", "south", "east", "west"]
    z_at_low_edge: Length
    rise: str  # "5:12", "0.4167", "1:3"
    may_pierce: YesNo = True
    in_use: YesNo = False  # a deck or terrace: people stand on it
    ceiling_below: Length | None = None  # a sloped ceiling hangs this far under the surface, measured plumb


class RoofOpeningSaid(Placed):
    """An opening skylight or dormer window."""

    x: Range
    y: Range
    z: Range | None = None  # sill to head; a skylight lies in its roof plane
    opens: YesNo = True


class RoofZoneSaid(Placed):
    """A part of the roof that may not be pierced."""

    x: Range
    y: Range
    why: str
