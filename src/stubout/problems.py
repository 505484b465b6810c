"""What a check, a reader or a lookup has to say, and the exception tree.

Faults in the user's work are values (`Finding`, `Fault`); faults in our own code are exceptions.

```
StuboutError                 everything this package raises on purpose
├── JobFileError             the job file cannot be read as a job; carries `faults`
├── RuleBookError            a shipped or amended rule book is broken
│   ├── NotInBook            the book has no such value (also a LookupError)
│   └── AskInspector         the value waits for the inspector's answer (also a LookupError)
├── CatalogError             a pipe or fitting that the catalogue does not know (also a LookupError)
└── LayoutError              the engine was called with a house it cannot start from
```
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Level(StrEnum):
    """How grave a finding is."""

    STOP = "STOP"  # unsafe, or cannot be built
    FIX = "FIX"  # breaks a rule
    ASK = "ASK"  # someone must decide or supply
    NOTE = "NOTE"


class Status(StrEnum):
    """How sure the source of a value is, strongest first."""

    READ = "read"
    SECONDARY = "secondary"
    DERIVED = "derived"
    ESTIMATE = "estimate"
    MEMORY = "memory"
    CONFIRMED = "confirmed"  # compared with the page by the user, in their own copy
    JOB = "job"  # said by the job file itself (an amendment, a measured fitting)

    @property
    def verified(self) -> bool:
        """Return whether the value may decide without a warning beside it."""
        return self in (Status.READ, Status.CONFIRMED, Status.JOB)


WEAKNESS = {
    Status.JOB: 0,
    Status.READ: 0,
    Status.CONFIRMED: 0,
    Status.DERIVED: 1,
    Status.SECONDARY: 2,
    Status.ESTIMATE: 3,
    Status.MEMORY: 4,
}


def weakest(statuses: list[Status] | tuple[Status, ...]) -> Status:
    """Return the weakest status met on the way, `read` if there is none."""
    return max(statuses, key=lambda s: WEAKNESS[s], default=Status.READ)


def several(number: int, what: str) -> str:
    """Return how many there are of something that takes an s.

    >>> several(1, "open question"), several(0, "note")
    ('1 open question', '0 notes')
    """
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


@dataclass(frozen=True, slots=True)
class Basis:
    """One value out of a book or catalogue, with where it came from."""

    what: str  # "vent terminal above roof"
    value: str  # as printed: "150 mm"
    book: str  # "npc-2020", "catalog", "job"
    section: str  # "2.5.6.5" or table number; "" where the source gives none
    status: Status
    note: str = ""
    of: tuple[str, ...] = field(default=(), compare=False)  # ids of the values of the book it was made from

    def __str__(self) -> str:
        where = f"{self.book} {self.section}".strip()
        return f"{self.what}: {self.value} ({where}; {self.status.value})"


@dataclass(frozen=True, slots=True)
class Derivation:
    """How a value came about: what, the result, the steps in words, the values used."""

    about: str  # id of the thing: "P12", "KS", "V3"
    what: str  # "size", "stub-out height", "load"
    value: str  # the result as printed
    steps: tuple[str, ...] = ()
    bases: tuple[Basis, ...] = ()

    @property
    def status(self) -> Status:
        """Return the weakest status among the values used."""
        return weakest([b.status for b in self.bases])


@dataclass(frozen=True, slots=True)
class Finding:
    """What a check says of one place. Ids of checks last for ever."""

    check: str  # "ARM001"
    name: str  # "trap-arm-too-long"
    level: Level
    about: tuple[str, ...]  # ids: pipe, node, fixture tag, wall, cabinet
    found: str
    wanted: str
    do: str = ""  # what to do, in the trade's words
    bases: tuple[Basis, ...] = ()
    why: str = ""  # consequence in one plain sentence
    owner: str = ""  # for ASK: who owes the answer
    line: int = 0  # line of the job file, 0 if none
    at: tuple[float, float, float] | None = None  # house coordinates [mm]

    @property
    def status(self) -> Status:
        """Return the weakest status among the values that decided."""
        return weakest([b.status for b in self.bases])


@dataclass(frozen=True, slots=True)
class NotChecked:
    """A check that lacked the data to decide, and why."""

    check: str
    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault in a job file: where, what was found, what was wanted, what to do."""

    file: str
    line: int
    path: str  # "walls[3].stud"
    found: str
    wanted: str
    do: str = ""

    def __str__(self) -> str:
        tail = f" {self.do}" if self.do else ""
        return _visible(f"{self.file}:{self.line}: {self.path}: found {self.found}, wanted {self.wanted}.{tail}")


def _visible(text: str) -> str:
    """Return a text with characters nobody sees by their number: one of them may be all that is wrong."""
    return text if text.isprintable() else "".join(c if c.isprintable() else f"<U+{ord(c):04X}>" for c in text)


class StuboutError(Exception):
    """Base of everything this package raises on purpose."""


class JobFileError(StuboutError, ValueError):
    """The job file cannot be read as a job."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = list(faults)
        super().__init__("\n".join(str(f) for f in faults))


class RuleBookError(StuboutError, ValueError):
    """A rule book, shipped or amended, is broken."""


class NotInBook(RuleBookError, LookupError):  # noqa: N818 - reads as a sentence where it is caught
    """The book has no such value; a check then says "not checked"."""


class AskInspector(RuleBookError, LookupError):  # noqa: N818 - reads as a sentence where it is caught
    """The value waits for the inspector's answer; a check that needs it then says "not checked".

    No `NotInBook`: where a book is silent another measure may serve, here only the answer does.
    """


class CatalogError(StuboutError, LookupError):
    """The catalogue does not know this pipe or fitting."""


class LayoutError(StuboutError, ValueError):
    """The layout engine was called with a house it cannot start from."""


@dataclass(frozen=True, slots=True)
class Question:
    """Something missing or undecided: who owes it, what it blocks, what was assumed meanwhile."""

    id: str
    text: str
    owner: str
    blocks: str = ""
    assumed: str = ""
    about: tuple[str, ...] = field(default_factory=tuple)
    line: int = 0
