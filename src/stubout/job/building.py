"""What a job file says of the house: levels, frames, walls, openings, rooms, cabinets, what is there first."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from stubout.job.charts import Chart, PassSaid
from stubout.job.scalars import Length, Lengths, Placed, PlanPoint, Range, Record, SideWord, Words, YesNo
from stubout.kinds import ObstacleKind


class RecessSaid(Record):
    """A part of a slab that lies lower, or is left out (a block-out: the drop is the whole slab)."""

    what: str
    x: Range
    y: Range
    drop: Length


class LevelSaid(Placed):
    """One storey, listed from the bottom up."""

    title: str = ""
    floor: Literal["slab", "frame", "ground"]
    subfloor: Length
    wall_height: Length = 0.0
    slab: Length = 0.0
    gravel: Length = 0.0
    poured: YesNo = False
    ceiling: Length | None = None  # underside of what is above, house z
    ceiling_open: YesNo = False
    attic_above: YesNo = False
    recesses: tuple[RecessSaid, ...] = ()


class MembersSaid(Record):
    """Where parallel members stand: listed, or counted from a first one."""

    at: Lengths = ()
    first: Length | None = None
    spacing: Length | None = None
    count: int | None = None


class FrameSaid(Placed):
    """A floor, ceiling or roof frame."""

    carries: str = ""  # the level whose floor it is; empty for a ceiling or roof
    member: Literal["sawn", "i-joist", "open-web", "truss"]
    runs: Literal["north-south", "east-west"]
    depth: Length
    width: Length
    web: Length | None = None
    top: Length  # z of the top of the members
    panel: Length = 0.0
    members: MembersSaid
    along: Range | None = None  # extent along the run; the footprint if not said
    across: Range | None = None
    maker_chart: YesNo = False  # engineered members: is the hole chart at hand?
    chart: Chart = ()  # of I-joists: the rows of that chart that are wanted
    openings: PassSaid | None = None  # of open-web joists: what passes between their webs
    open_above: YesNo = False


class StudsSaid(Record):
    """Studs listed by station, instead of set out on a module."""

    at: Lengths = ()


class FinishSaid(Record):
    """A thickness of finish over a part of a wall side; the last that fits a place wins."""

    thick: Length
    from_: Length | None = Field(default=None, alias="from")  # stations
    to: Length | None = None
    above: Length | None = None  # from this height above subfloor
    below: Length | None = None
    what: str = ""


Finish = Annotated[
    tuple[FinishSaid, ...],
    BeforeValidator(lambda v: [{"thick": v}] if isinstance(v, str) else ([v] if isinstance(v, dict) else v)),
]


class WallSaid(Placed):
    """A framed wall by its stud centre line."""

    level: str
    from_: PlanPoint = Field(alias="from")
    to: PlanPoint
    stud: Length  # depth
    spacing: Length
    studs: Lengths = ()  # listed stations, instead of the module
    added_studs: Lengths = ()
    doubled_studs: Lengths = ()
    role: Words = ()  # bearing, exterior, insulated, interior, knee
    height: Length | None = None  # else the level's wall height
    bottom_plate: Length | None = None
    top_plate: Length | None = None
    stud_width: Length | None = None
    left: Finish = ()
    right: Finish = ()
    against_concrete: YesNo = False


class OpeningSaid(Placed):
    """A door, window or cased opening."""

    wall: str
    at: Length  # start station
    width: Length
    sill: Length = 0.0  # above subfloor
    head: Length
    header_to: Length | None = None  # top of header above subfloor; else the top plate
    what: str = ""
    opens: YesNo = False


class RoomSaid(Placed):
    """A room by its finished faces."""

    title: str = ""
    level: str
    x: Range
    y: Range
    floor: Length = 0.0  # build-up above subfloor
    ceiling_may_drop_to: Length | None = None  # house z or, with `ceiling from floor`, above finished floor
    ceiling_open: YesNo = False
    pipe_may_show: YesNo = False
    bathroom: YesNo = False


class DrawerSaid(Record):
    """A drawer box, heights above finished floor."""

    from_: Length = Field(alias="from")
    to: Length
    cut_out_width: Length = 0.0
    cut_out_depth: Length = 0.0
    gap_behind: Length = 0.0


class BoxSaid(Record):
    """One cabinet box, in order along its run."""

    width: Length
    what: Literal["sink base", "doors", "drawers", "dishwasher", "range", "refrigerator", "tall", "filler", "panel"]
    floor: Length | None = None  # cabinet floor above finished floor
    shelves: Lengths = ()
    drawers: tuple[DrawerSaid, ...] = ()
    partition_at: Length | None = None  # from the box's own start
    partition_to: Length | None = None  # height above finished floor
    back: Length = 0.0


class CabinetSaid(Placed):
    """A run of cabinets along a wall, or an island."""

    wall: str = ""
    side: SideWord = "left"
    from_: Length | None = Field(default=None, alias="from")  # station
    to: Length | None = None
    room: str = ""
    corner: PlanPoint | None = None  # island: the corner the boxes start from
    along: Literal["north", "south", "east", "west"] | None = None  # island: direction of the boxes
    back_to: Literal["north", "south", "east", "west"] | None = None  # island: which way the backs face
    counter: Length | None = None  # top above finished floor
    counter_thick: Length = 0.0
    depth: Length
    toe_kick: Length = 0.0
    boxes: tuple[BoxSaid, ...]


class ObstacleSaid(Placed):
    """Something that is there first, in a wall (stations and heights) or in space (x, y, z)."""

    what: str
    kind: ObstacleKind
    wall: str = ""
    side: SideWord | None = None  # None: the whole wall depth
    from_: Length | None = Field(default=None, alias="from")  # stations
    to: Length | None = None
    above_floor: Range | None = None  # heights above FINISHED floor
    above_subfloor: Range | None = None
    deep: Length | None = None  # into the wall from the side's finished face
    x: Range | None = None
    y: Range | None = None
    z: Range | None = None
    no_pipe_above_or_below: YesNo = False
