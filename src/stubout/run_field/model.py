"""What a phone or a browser needs of one planned job: marks with their windows, what is to be ticked and measured.

Plain frozen records that are written as JSON beside the files of the packet and read back without the engine. Lengths
[mm], slopes [m/m]; texts are ready to be shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Todo = Literal["bore", "stub", "glue", "hanger", "plate", "cap"]


@dataclass(frozen=True, slots=True)
class Way:
    """How far a mark may be off in one direction."""

    amount_mm: float
    bound: bool  # False: no rule breaks within the amount, and farther was not looked
    words: str = ""  # which check would speak one step farther, and what it would say


@dataclass(frozen=True, slots=True)
class WallMark:
    """One mark of a wall, as it is read on site."""

    number: int
    kind: str
    about: str
    what: str
    station: str  # from the control corner
    subfloor: str  # height of the centre above the subfloor, "" for a mark on the floor
    finished: str  # above the finished floor, "" where no room is described
    hole: str
    remark: str
    stop: bool
    place: str  # where it is: two marks with the same words are the same mark, whatever they are called
    above_subfloor_mm: float | None = None
    above_finished_mm: float | None = None
    up: Way | None = None
    down: Way | None = None


@dataclass(frozen=True, slots=True)
class WallSide:
    """One side of one wall: one screen."""

    id: str
    wall: str
    level: str
    title: str
    corner: str  # which end is the control corner
    cautions: tuple[str, ...]
    picture: str  # file
    sheet: str  # file of the mark sheet
    marks: tuple[WallMark, ...]
    covered: bool = True  # something of the job is in it: a photo of it is wanted before it is covered


@dataclass(frozen=True, slots=True)
class CardZone:
    """One stretch of a wall face behind which pipe lies; nothing is nailed there."""

    letter: str
    drain: bool  # a drain is in it; else vents only
    sizes: tuple[str, ...]
    stations: tuple[str, str]  # from the control corner
    subfloor: tuple[str, str]  # heights above the subfloor
    finished: tuple[str, str] | None  # above the finished floor, None where no room is described
    deep: str  # from this face of the framing to the pipe, "" where it comes through


@dataclass(frozen=True, slots=True)
class CardPlate:
    """One nail plate, strap or shoe on a member of the wall."""

    kind: str
    face: Literal["this", "other", "both", "top"]
    station: str
    height: str  # above the subfloor


@dataclass(frozen=True, slots=True)
class Card:
    """One face of a wall with pipe behind it: what the one who covers and nails has to know."""

    wall: str
    side: Literal["left", "right"]
    level: str
    room: str  # in front of it, "" where none is described
    end: str  # which end of the wall is the control corner: "south end"
    bearing: bool
    picture: str  # file
    zones: tuple[CardZone, ...]
    plates: tuple[CardPlate, ...]


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to be done and ticked off."""

    kind: Todo
    about: str
    words: str
    place: str
    wall: str = ""  # id of the wall side it is ticked on, "" elsewhere
    pipes: tuple[str, ...] = ()  # that are joined by it, where it is glued


@dataclass(frozen=True, slots=True)
class Drain:
    """One lying drain, whose slope is measured."""

    about: str
    words: str
    planned: float
    planned_words: str
    least: float | None  # None where the book does not say, or the inspector has to
    least_words: str
    off_by: float  # what a level may show less than the least
    place: str
    length: str
    asked: bool  # long enough for a level to lie on: the gate asks for its slope


@dataclass(frozen=True, slots=True)
class Filling:
    """One section of the water test."""

    letter: str
    title: str
    head: str
    hold_min: float | None
    hold: str
    caps: tuple[str, ...]
    place: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing of the packet."""

    file: str
    title: str
    scale: str
    kind: str  # legend, isometric, plan, profile, wall


@dataclass(frozen=True, slots=True)
class Said:
    """One finding, one question, one blocked part, or one check that was not made."""

    level: str
    check: str
    name: str
    about: tuple[str, ...]
    found: str
    wanted: str
    do: str
    why: str
    by: str  # clause and how sure the source is
    owner: str
    line: int
    picture: str = ""
    accepted: str = ""  # who accepted it in writing, and when


@dataclass(frozen=True, slots=True)
class Reason:
    """How a value came about."""

    about: str
    what: str
    value: str
    steps: tuple[str, ...]
    bases: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Field:
    """One planned job, for the site."""

    title: str
    address: str
    revision: str
    units: Literal["mm", "inch"]
    book: str
    caution: str
    doubtful: int  # values nobody has compared with the page
    drawings: tuple[Drawing, ...]
    walls: tuple[WallSide, ...]
    tasks: tuple[Task, ...]
    drains: tuple[Drain, ...]
    fillings: tuple[Filling, ...]
    findings: tuple[Said, ...]
    questions: tuple[Said, ...]
    blocked: tuple[Said, ...]
    not_checked: tuple[Said, ...]
    reasons: tuple[Reason, ...]
    answers: dict[str, tuple[int, ...]]  # what can be asked about -> which reasons answer, by place in the list
    notes: tuple[str, ...]
    cards: tuple[Card, ...] = ()
    paper: Literal["letter", "a4"] = "letter"
