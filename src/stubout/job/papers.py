"""What a job file says of the job as a whole: title block, books, wishes, questions, readings, stock, costs."""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from stubout.job.scalars import Length, Lengths, Placed, PlanPoint, Record, Size, Temperature, Words, YesNo


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


Drawn = Literal[
    "as usual",
    "short ways",
    "last first",
    "near first",
    "through walls",
    "short ways through walls",
    "last first through walls",
    "near first through walls",
]


class ChoiceSaid(Record):
    """One choice of the layout taken out of its hands, by the user or by `stubout refine`: each entry says one."""

    drawn: Drawn | None = None  # once, in this order
    fixture: str = ""  # whose choice it is; a stack is nobody's
    vent_not_in: str = ""  # a wall: the vent fitting stands elsewhere than in it near `near`
    near: Length | None = None  # from the start of that wall
    joins_not_near: PlanPoint | None = None
    not_vented_by: Literal["wet", "common"] | None = None
    stack_not_near: PlanPoint | None = None
    not_through_walls: YesNo = False  # its drain does not go on through the studs of a wall below its floor


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
    line: int = Field(default=0, exclude=True)


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
