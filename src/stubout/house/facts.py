"""What the job says beside the building: books, climate, wishes, drawn routes, records. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from stubout.geometry.vec import Vec


@dataclass(frozen=True, slots=True)
class Climate:
    """What frost and snow ask for."""

    frost_prone_vents: bool
    winter_design_f: float | None
    footing_depth_mm: float | None
    snow_mm: float = 0.0
    service_depth_mm: float | None = None  # how deep pipes lie here against frost, where the job says it

    @property
    def frost_depth_mm(self) -> float | None:
        """Return how deep a pipe outside lies against frost: as services do here, else as footings do [mm]."""
        return self.footing_depth_mm if self.service_depth_mm is None else self.service_depth_mm

    @property
    def frost_depth_words(self) -> str:
        """Return what the depth against frost is that of."""
        return "footings" if self.service_depth_mm is None else "services"


@dataclass(frozen=True, slots=True)
class Wishes:
    """What owner, builder and authority said about the choices."""

    no_vent_in_walls: tuple[str, ...] = ()
    no_drain_in_walls: tuple[str, ...] = ()
    max_terminals: int | None = None
    aav: Literal["no", "last resort", "ask", "yes"] = "no"
    methods_not_wanted: tuple[str, ...] = ()
    cold_spaces: tuple[str, ...] = ()  # level ids / "attic" that freeze
    stack_walls: tuple[str, ...] = ()  # walls where stacks may rise, best first; empty = engine decides
    sewer_cleanout_at: Vec | None = None
    no_stack_in_walls: tuple[str, ...] = ()
    said: tuple[str, ...] = ()  # the owner's own words: printed, and quoted where a question goes against them


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice of the layout that the job file makes: the order of drawing, or what is not to be chosen. [mm]."""

    drawn: str = ""
    tag: str = ""
    vent_not_in: str = ""  # wall
    near_mm: float = 0.0  # along it
    joins_not_near: tuple[float, float] | None = None
    not_vented_by: Literal["", "wet", "common"] = ""
    stack_not_near: tuple[float, float] | None = None
    not_through_walls: bool = False


@dataclass(frozen=True, slots=True)
class RouteLeg:
    """One hand-drawn run: waypoints in flow direction for a drain, towards the terminal for a vent."""

    id: str
    system: Literal["drain", "vent"]
    points: tuple[Vec, ...]
    size_in: float | None
    fixture: str = ""  # trap arm of this fixture
    joins: str = ""  # id of the leg it flows into ("sewer" for the last)
    fittings: tuple[tuple[int, str], ...] = ()  # waypoint index -> fitting word the user drew
    vent_of: str = ""  # tag: this vent takes off the arm of the fixture
    vents_by: str = ""  # how the traps that join this drain get their air: "circuit", "combination", ...
    line: int = 0
    installed: str = ""  # since when and by whom, "" if it is not in place
    kept: bool = False  # the program laid it out before and keeps it
    lies: str = ""  # where the layout had it, as `Place.words` says it
    material: str = ""  # of installed pipe, "" while nobody has said

    @property
    def said(self) -> Literal["", "installed", "kept"]:
        """Return what the route is more than drawn: in place already, or laid out before and kept."""
        return "installed" if self.installed else "kept" if self.kept else ""


@dataclass(frozen=True, slots=True)
class Installed:
    """What of the layout somebody says is in place."""

    walls: tuple[str, ...]
    under: tuple[str, ...]  # levels
    levels: tuple[str, ...]
    runs: tuple[str, ...]
    date: str
    by: str
    line: int = 0


@dataclass(frozen=True, slots=True)
class Answered:
    """A question of the job file that has its answer; what follows from it stands where the file says it."""

    id: str
    text: str
    owner: str  # who owed the answer
    answer: str
    by: str  # who gave it, "" where the file does not say
    date: str
    about: tuple[str, ...] = ()
    line: int = 0


@dataclass(frozen=True, slots=True)
class Reading:
    """One as-built record: what, where, value as read."""

    about: str
    what: str
    value: str
    date: str = ""
    author: str = ""
    line: int = 0

    @property
    def kind(self) -> ReadingKind:
        """Return what kind of reading it is."""
        return reading_kind(self.what)

    def accepts(self, check: str, about: Iterable[str]) -> bool:
        """Return whether it accepts what a check finds of something; an acceptance nobody signed is none."""
        words = self.about.replace(",", " ").split()
        return (
            self.kind == "waiver"
            and check in (w.upper() for w in words)
            and any(a in words for a in about)
            and all((self.author, self.date, self.value))
        )


ReadingKind = Literal["waiver", "stub height", "height", "slope", "test", ""]


def reading_kind(what: str) -> ReadingKind:
    """Return what kind of reading a record says it is, "" for one that is only printed; capitals and blanks are free.

    >>> reading_kind("Stubheight"), reading_kind("test of section A"), reading_kind("fall"), reading_kind("photo")
    ('stub height', 'test', 'slope', '')
    """
    word = "".join(c for c in what.lower() if c not in " -_")
    if word == "waiver":
        return "waiver"
    if word.startswith("test"):
        return "test"
    if "stub" in word:
        return "stub height"
    if "height" in word:
        return "height"
    return "slope" if "slope" in word or word in ("fall", "grade") else ""


@dataclass(frozen=True, slots=True)
class TestPlanFacts:
    """What the job says about the test."""

    __test__ = False

    method: Literal["water", "air", "unknown"]
    head_mm: float | None
    hold_min: float | None


@dataclass(frozen=True, slots=True)
class JobFacts:
    """Title block and job-wide facts."""

    title: str
    address: str
    permit: str
    revision: str
    issued: str
    units: Literal["mm", "inch"]
    book_id: str
    framing_id: str
    material: Literal["abs", "pvc"]
    stock_mm: tuple[float, ...]
    paper: Literal["letter", "a4"]
    people: tuple[tuple[str, str], ...]
    test: TestPlanFacts
    source_name: str = "job.yaml"
    offcuts: tuple[tuple[float, float], ...] = ()  # pipe on hand: size [in] and length [mm] of each piece
