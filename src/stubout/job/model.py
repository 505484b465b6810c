"""The job as the user said it: one pydantic record per thing of the job file, nothing resolved.

Keys are written with spaces in the file (`wall height`); the reader turns blanks and hyphens into underscores.
Every scalar arrives as text. Lengths become millimetres, slopes m/m, pipe sizes nominal inches. A bare number is read
in `job: units:`; the reader passes that as validation context `{"bare": "mm" | "inch" | None}`.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core.core_schema import ValidationInfo

from stubout import units
from stubout.kinds import FixtureKind


def _length(value: Any, info: ValidationInfo) -> Any:
    if isinstance(value, str):
        return units.parse_length_mm(value, (info.context or {}).get("bare"))
    return value


def _slope(value: Any) -> Any:
    return units.parse_slope(value) if isinstance(value, str) else value


def _size(value: Any) -> Any:
    return units.parse_size_in(value) if isinstance(value, str) else value


def _yes_no(value: Any) -> Any:
    if isinstance(value, str):
        word = value.strip().lower()
        if word in ("yes", "true", "y"):
            return True
        if word in ("no", "false", "n"):
            return False
        raise ValueError("wanted yes or no")
    return value


def _listed(value: Any) -> Any:
    """Let one thing stand for a list of one, and `a, b, c` for a list of words."""
    if isinstance(value, str):
        return [part.strip() for part in value.split(",") if part.strip()]
    return value


def _fahrenheit(value: Any) -> Any:
    if isinstance(value, str):
        word = value.replace("°", "").strip()
        if word[-1:].upper() == "C":
            return float(word[:-1]) * 9 / 5 + 32
        return float(word.rstrip("Ff ").strip())
    return value


_TEXT = {"type": "string"}
Length = Annotated[float, BeforeValidator(_length), WithJsonSchema({**_TEXT, "title": "length"})]
Slope = Annotated[float, BeforeValidator(_slope), WithJsonSchema({**_TEXT, "title": "slope"})]
Size = Annotated[float, BeforeValidator(_size), WithJsonSchema({**_TEXT, "title": "pipe size"})]
YesNo = Annotated[bool, BeforeValidator(_yes_no), WithJsonSchema({"enum": ["yes", "no"]})]
Temperature = Annotated[float, BeforeValidator(_fahrenheit), WithJsonSchema({**_TEXT, "title": "temperature"})]
Words = Annotated[tuple[str, ...], BeforeValidator(_listed)]
Lengths = Annotated[tuple[Length, ...], BeforeValidator(_listed)]
PlanPoint = Annotated[tuple[Length, Length], BeforeValidator(_listed)]
SpacePoint = Annotated[tuple[Length, Length, Length], BeforeValidator(_listed)]
Range = Annotated[tuple[Length, Length], BeforeValidator(_listed)]
SideWord = Literal["left", "right"]


def _spaced(name: str) -> str:
    return name.rstrip("_").replace("_", " ")


class Record(BaseModel):
    """Base of all records: unknown keys are faults, records are frozen; `line` is set by the reader."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, alias_generator=_spaced)


class Placed(Record):
    """A record with an id and its line in the file."""

    id: str
    line: int = Field(default=0, exclude=True, json_schema_extra={"hidden": True})


class TestSaid(Record):
    """How the rough-in is tested."""

    __test__ = False

    method: Literal["water", "air", "unknown"] = "unknown"
    head: Length | None = None
    hold: str | None = None  # "15 min"


class JobSaid(Record):
    """Title block and job-wide facts."""

    title: str
    address: str = ""
    permit: str = ""
    revision: str = "0"
    issued: str = ""  # the date printed on the sheets; there is no clock in the program
    units: Literal["mm", "inch"]
    book: str
    framing: str
    material: Literal["abs", "pvc"]
    stock: Lengths
    paper: Literal["letter", "a4"] = "letter"
    people: dict[str, str] = Field(default_factory=dict)
    test: TestSaid = TestSaid()


class ClimateSaid(Record):
    """What frost and snow ask for."""

    frost_prone_vents: YesNo | None = None
    winter_design: Temperature | None = None
    footing_depth: Length | None = None
    service_depth: Length | None = None
    snow: Length | None = None


class AmendSaid(Record):
    """One value of the rule book, changed or left to the inspector by who may do so: `is` or `ask`, one of them."""

    model_config = ConfigDict(json_schema_extra={"oneOf": [{"required": ["is"]}, {"required": ["ask"]}]})

    value: str
    is_: str = Field(default="", alias="is")
    ask: str = ""  # the question to put to the inspector
    citation: str
    author: str
    date: str
    reason: str = ""
    line: int = Field(default=0, exclude=True)
    source: str = Field(default="", exclude=True)  # amendment file, "" for the job file


class ConfirmSaid(Record):
    """One value of a rule book that the user has compared with their own copy."""

    value: str
    printed: str  # as their copy has it; of a clause its section
    by: str
    date: str
    copy_: str = Field(default="", alias="copy")  # which print
    book: str = ""
    line: int = Field(default=0, exclude=True)
    source: str = Field(default="", exclude=True)


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


class FixtureSaid(Record):
    """One fixture: what it is, where it stands, what its sheet says. Heights above finished floor."""

    tag: str
    kind: FixtureKind
    title: str = ""
    room: str
    wall: str = ""
    side: SideWord = "left"
    at: Length | None = None  # station on its wall
    drain: PlanPoint | None = None  # plan position of the outlet
    rough_in: Length | None = None  # closet: from the finished wall
    rim: Length | None = None
    counter: Length | None = None
    counter_thick: Length = 0.0
    bowl: Length | None = None  # bowl depth below the counter underside (undermount) or the rim
    bowl_from: Literal["counter top", "counter underside", "rim"] = "counter underside"
    outlet: Size | None = None  # outlet size
    outlet_height: Length | None = None
    from_wall: Length | None = None  # outlet centre from the finished wall
    stub_height: Length | None = None  # the sheet wants the stub here
    trap: Size | None = None
    trap_weir: Length | None = None  # house z, fixed by the sheet
    standpipe_top: Length | None = None  # above subfloor
    box_centre: Length | None = None
    faucet: Literal["deck", "wall", "floor", "none"] = "deck"
    disposer: Length | None = None  # outlet centre below the bowl bottom; given = there is one
    dishwasher: Literal["", "tailpiece", "disposer", "air gap"] = ""
    heads: Literal["1", "2", "3", "4", "5", "6", "unknown"] | None = None
    flush: Literal["tank", "valve"] = "tank"
    gpf: float | None = None
    x: Range | None = None  # body of the fixture
    y: Range | None = None
    future: YesNo = False
    may_move: Length = 0.0
    island: YesNo = False
    primer: YesNo = False
    serves: str = ""
    line: int = Field(default=0, exclude=True)


class ObstacleSaid(Placed):
    """Something that is there first, in a wall (stations and heights) or in space (x, y, z)."""

    what: str
    kind: Literal[
        "duct",
        "box",
        "beam",
        "post",
        "pad",
        "footing",
        "blocking",
        "panel",
        "valve",
        "appliance",
        "header",
        "line",
        "skylight",
        "soffit",
        "zone",
    ]
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


class SewerSaid(Record):
    """Where the building sewer ends."""

    at: PlanPoint
    invert: Length
    size: Size
    runs: Literal["north", "south", "east", "west"]
    what: Literal["sewer", "septic tank", "existing pipe"] = "sewer"
    backwater_valve_drop: Length = 0.0
    backwater_valve_at: PlanPoint | None = None
    confirmed: YesNo = True
    may_be_off_by: Length = 0.0


class SiteSaid(Record):
    """Ground, footprint."""

    footprint: PlanPoint  # size of the framing outline, from the origin
    ground_at_house: Length
    ground_at_sewer: Length
    crawl_access: PlanPoint | None = None  # where one gets into the crawl space: middle of the hatch or door


class WishesSaid(Record):
    """What owner, builder and authority said about the choices."""

    no_vents_in_walls: Words = ()
    no_drains_in_walls: Words = ()
    stack_walls: Words = ()
    no_stacks_in_walls: Words = ()
    at_most_terminals: int | None = None
    aav: Literal["no", "last resort", "ask", "yes"] = "no"
    methods_not_wanted: Words = ()
    cold_spaces: Words = ()
    sewer_cleanout_at: PlanPoint | None = None
    said: tuple[str, ...] = ()  # the owner's words, printed


class QuestionSaid(Placed):
    """A question that is open when the job is typed in, until it has an answer."""

    ask: str  # whom: a letter of `people`
    text: str
    blocks: str = ""
    assumed: str = ""
    about: Words = ()
    answer: str = ""  # in words; what follows from it stands where the job file says it
    answered_by: str = ""
    date: str = ""


class RouteSaid(Placed):
    """A run drawn by hand: kept exactly as drawn. `through` are points x, y, z of the centre line in flow order."""

    system: Literal["drain", "vent"]
    size: Size | None = None
    through: tuple[SpacePoint, ...]
    fixture: str = ""  # this is the trap arm of the fixture
    vent_of: str = ""  # this vents the fixture
    into: str = ""  # id of the route it joins, or "sewer"
    vents_by: Literal["", "circuit", "combination", "single stack", "waste stack"] = ""  # how what joins gets its air
    fittings: dict[str, str] = Field(default_factory=dict)  # "2: sanitary tee": point number -> pattern
    installed: str = ""  # since when and by whom: it is in place, and never moves
    kept: YesNo = False  # laid out before and kept: a later `keep` may lay it out anew where the job changes
    lies: str = ""  # "wall UP, bay 8": where the layout had it, for a route that was kept


class InstalledSaid(Record):
    """What of the layout is in place: `keep` writes its pipes down as installed routes."""

    walls: Words = ()  # the pipes in these walls, with the arms that come into them
    under: Words = ()  # levels: the pipes under their floors, down to the ground
    levels: Words = ()  # levels: both
    runs: Words = ()  # pipes by the id on the sheets
    date: str
    by: str
    line: int = Field(default=0, exclude=True)


class RecordSaid(Record):
    """One as-built reading."""

    about: str
    what: str
    value: str
    date: str = ""
    by: str = ""
    line: int = Field(default=0, exclude=True)


class MeasuredSaid(Record):
    """A dimension the user measured on a fitting in hand."""

    fitting: str  # "sanitary tee 3 x 3 x 2"
    dimension: str  # "upper", "lower", "branch", "make-up", "hub"
    is_: Length = Field(alias="is")


class OffcutSaid(Record):
    """Pipe that is there already, of the material of the job: cut from before any is bought."""

    size: Size
    lengths: Lengths


class CostSaid(Record):
    """What one thing costs here, in minutes, over the row of the data."""

    item: str  # "pipe", "fitting tee", "factor crawl"
    size: Size | None = None  # left away: every size
    work: float | None = None
    material: float | None = None
    line: int = Field(default=0, exclude=True)


class Job(Record):
    """One job file."""

    stubout: Literal["1"]
    job: JobSaid
    climate: ClimateSaid = ClimateSaid()
    site: SiteSaid
    amendment_files: tuple[str, ...] = ()  # undermost first; the job's own `amendments` lie on top
    amendments: tuple[AmendSaid, ...] = ()
    confirmation_files: tuple[str, ...] = ()
    confirmations: tuple[ConfirmSaid, ...] = ()
    levels: tuple[LevelSaid, ...]
    frames: tuple[FrameSaid, ...] = ()
    walls: tuple[WallSaid, ...]
    openings: tuple[OpeningSaid, ...] = ()
    rooms: tuple[RoomSaid, ...]
    cabinets: tuple[CabinetSaid, ...] = ()
    fixtures: tuple[FixtureSaid, ...]
    obstacles: tuple[ObstacleSaid, ...] = ()
    roof: tuple[RoofSaid, ...] = ()
    roof_openings: tuple[RoofOpeningSaid, ...] = ()
    roof_zones: tuple[RoofZoneSaid, ...] = ()
    sewer: SewerSaid
    wishes: WishesSaid = WishesSaid()
    questions: tuple[QuestionSaid, ...] = ()
    routes: tuple[RouteSaid, ...] = ()
    installed: tuple[InstalledSaid, ...] = ()
    records: tuple[RecordSaid, ...] = ()
    measured: tuple[MeasuredSaid, ...] = ()
    offcuts: tuple[OffcutSaid, ...] = ()
    costs: tuple[CostSaid, ...] = ()
    source: str = Field(default="job.yaml", exclude=True)
