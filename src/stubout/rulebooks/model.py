"""Rule books as data: cells with provenance, tables, single values, clauses, amendments.

A book is loaded by `stubout.files.books` (the only code that opens the TOML) and handed to every stage as an argument.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from stubout.problems import AskInspector, Basis, NotInBook, Status

Value = float | str | bool
Asking = tuple[tuple[str, Value], ...]  # inputs by name, in the order they are asked with


@dataclass(frozen=True, slots=True)
class Cell:
    """One value out of a book. Lengths in mm, slopes in m/m, sizes in nominal inches, loads in fixture units."""

    id: str  # "trap_arm[size_in=1.5]" or "terminal.above_roof"
    what: str  # title in words
    value: Value
    unit: str  # "mm", "m/m", "in", "FU", "deg", "1", ""
    printed: str  # as the page has it
    book: str
    section: str
    status: Status
    note: str = ""
    amended_by: str = ""  # citation, author, date
    over: tuple[str, ...] = ()  # what the amendment lies over, uppermost first
    confirmed_by: str = ""  # who compared it with their own copy, when
    of: tuple[str, ...] = ()  # ids of the values it was reckoned from; empty: it is one value of the book

    @property
    def number(self) -> float:
        """Return the value as a number; raises NotInBook if it is none."""
        if isinstance(self.value, bool) or not isinstance(self.value, (int, float)):
            raise NotInBook(f"{self.book}: {self.id} is {self.value!r}, not a number")
        return float(self.value)

    @property
    def text(self) -> str:
        """Return the value as a word."""
        return str(self.value)

    @property
    def basis(self) -> Basis:
        """Return the value with its source, for a finding or a derivation."""
        return Basis(self.what, self.printed, self.book, self.section, self.status, self.story, self.ids)

    @property
    def ids(self) -> tuple[str, ...]:
        """Return the ids of the values of the book it stands on."""
        return self.of or (self.id,)

    @property
    def story(self) -> str:
        """Return who changed the value and over what, or its note; then who compared it with their copy."""
        told = "; over ".join((f"amended: {self.amended_by}", *self.over)) if self.amended_by else self.note
        read = f"read in their own copy by {self.confirmed_by}" if self.confirmed_by else ""
        return "; ".join(part for part in (told, read) if part)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: its inputs and the output cell, None where the book does not permit it."""

    inputs: tuple[Value, ...]
    cell: Cell | None
    permitted: bool = True  # False: the book says "not permitted" (a blank is no row at all)
    asked: str = ""  # why there is no answer yet: the inspector is to be asked


@dataclass(frozen=True, slots=True)
class Asked:
    """A value that an amendment leaves to the inspector: the question, and what is assumed until it is answered."""

    id: str
    what: str
    question: str
    cite: str  # citation, author, date
    book: str
    under: Cell | None  # what the book or an earlier amendment says; None: nothing, or not permitted
    assumed: str  # in words
    line: int = 0
    source: str = ""  # amendment file, "" for the job file itself

    @property
    def reason(self) -> str:
        """Return why a check that needs the value is not made."""
        return f'{self.book} {self.id} is left to the inspector, ask: "{self.question}" ({self.cite})'


Match = Literal["exact", "next_larger", "next_smaller"]


@dataclass(frozen=True, slots=True)
class ValueKind:
    """What a value id means in every book: title in words, unit inside, the words a text value may be."""

    id: str
    what: str
    unit: str
    choices: tuple[str, ...] = ()


class Found(dict[Asking, tuple[Row, ...]]):
    """The rows that answered when a table was asked before: of one table, and left behind where that is copied."""

    def __reduce__(self) -> tuple[type[Found], tuple[()]]:
        return (type(self), ())


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a book: named inputs with their way of matching, and rows."""

    id: str
    title: str
    inputs: tuple[tuple[str, Match], ...]
    rows: tuple[Row, ...]
    book: str
    section: str
    status: Status
    watch: Callable[[Cell], None] | None = field(default=None, compare=False, repr=False)  # told what is looked up
    found: Found = field(default_factory=Found, init=False, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class RuleBook:
    """One adopted code family and edition, amendments already laid over it."""

    id: str
    title: str
    edition: str
    family: Literal["n", "u", "i", "framing"]
    tables: Mapping[str, Table]
    values: Mapping[str, Cell]
    clauses: Mapping[str, Cell]  # check id -> section and status (value = short paraphrase of the rule)
    load_unit: str = "FU"  # how the book calls its fixture unit
    amendments: tuple[str, ...] = ()
    parents: tuple[str, ...] = field(default_factory=tuple)  # books asked where this one is silent
    note: str = ""
    known: Mapping[str, ValueKind] = field(default_factory=dict)  # every id a book may hold, for amendments and lookup
    asked: Mapping[str, Asked] = field(default_factory=dict)  # left to the inspector; `values` hold what is assumed
    unanswered: RuleBook | None = None  # the same book with no value where one is asked; None: nothing is
    strict: bool = False  # this is the book with no value where one is asked
    watch: Callable[[Cell], None] | None = field(default=None, compare=False, repr=False)  # told what is looked up

    @property
    def to_judge_by(self) -> RuleBook:
        """Return the book the checks read: what is only assumed until the inspector answers judges nothing."""
        return self.unanswered or self

    def value(self, value_id: str) -> Cell:
        """Return a single value by its id; raises NotInBook."""
        if (cell := self.find(value_id)) is not None:
            return cell
        if value_id in self.asked:
            raise NotInBook(self.asked[value_id].reason)
        known = self.known.get(value_id)
        what = f"does not say: {known.what} ({value_id})" if known is not None else f"has no value {value_id!r}"
        raise NotInBook(f"{self.id} {what}")

    def find(self, value_id: str) -> Cell | None:
        """Return a single value, None if the book is silent; raises AskInspector while the answer is out."""
        if self.strict and value_id in self.asked:
            raise AskInspector(self.asked[value_id].reason)
        cell = self.values.get(value_id)
        if cell is not None and self.watch is not None:
            self.watch(cell)
        return cell
