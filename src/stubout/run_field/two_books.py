"""A job under two rule books as a page needs it: row by row what each book says, with clause and status.

Plain frozen records, written as `books.json` and read back without the engine.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pydantic import TypeAdapter

KIND: Final = "books"  # of the work that makes it, before the ids of both books
BOOKS: Final = "books.json"
DATA: Final = "books-data.json"  # the same, as `stubout books diff --json` prints it
Differs = Literal["only a", "only b", "other wanted", "same"]


@dataclass(frozen=True, slots=True)
class Told:
    """One finding by one book."""

    found: str
    wanted: str
    by: str  # clause and status


@dataclass(frozen=True, slots=True)
class Row:
    """One fault in one place, as each book judges it."""

    check: str
    name: str
    level: str
    about: tuple[str, ...]
    differs: Differs
    a: tuple[Told, ...]
    b: tuple[Told, ...]
    not_checked: tuple[str, ...]  # why the book that finds nothing did not judge it


@dataclass(frozen=True, slots=True)
class Size:
    """One figure that is not the same by the two books."""

    about: str
    what: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Side:
    """The job by one book."""

    book: str
    silent: str  # why it could not be laid out, "" if it could
    counts: tuple[tuple[str, int], ...]  # findings by level
    not_checked: int
    blocked: tuple[str, ...]
    taken: tuple[str, ...]  # amendments taken along
    left: tuple[str, ...]  # amendments left behind


@dataclass(frozen=True, slots=True)
class Two:
    """The same job by two books."""

    title: str
    a: Side
    b: Side
    kept: str  # the book whose layout was judged by both, "" if none could be
    kept_silent: str  # why the other book could not judge it
    kept_rows: tuple[Row, ...]
    rows: tuple[Row, ...]  # each laid out by its own book
    sizes: tuple[Size, ...]


_ADAPTER: Final = TypeAdapter(Two)


def write(two: Two) -> bytes:
    """Return the bytes of `books.json`."""
    return _ADAPTER.dump_json(two)


def read(data: bytes) -> Two:
    """Return what `books.json` says."""
    return _ADAPTER.validate_json(data)


def kind(a: str, b: str) -> str:
    """Return the name of the work that puts a job under two books."""
    return f"{KIND} {a} {b}"
