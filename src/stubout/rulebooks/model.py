"""Rule books as data: cells with provenance, tables, single values, clauses, amendments.

A book is loaded by `stubout.files.books` (the only code that opens the TOML) and handed to every stage as an argument.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from stubout.problems import Basis, NotInBook, Status

Value = float | str | bool


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
        note = f"amended: {self.amended_by}" if self.amended_by else self.note
        return Basis(self.what, self.printed, self.book, self.section, self.status, note)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: its inputs and the output cell, None where the book does not permit it."""

    inputs: tuple[Value, ...]
    cell: Cell | None
    permitted: bool = True  # False: the book says "not permitted" (a blank is no row at all)


Match = Literal["exact", "next_larger", "next_smaller"]


@dataclass(frozen=True, slots=True)
class ValueKind:
    """What a value id means in every book: title in words, unit inside, the words a text value may be."""

    id: str
    what: str
    unit: str
    choices: tuple[str, ...] = ()


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

    def value(self, value_id: str) -> Cell:
        """Return a single value by its id; raises NotInBook."""
        try:
            return self.values[value_id]
        except KeyError:
            raise NotInBook(f"{self.id} has no value {value_id!r}") from None

    def find(self, value_id: str) -> Cell | None:
        """Return a single value, None if the book is silent."""
        return self.values.get(value_id)
