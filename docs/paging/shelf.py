"""The books as the pages need them: loaded, and their files as they stand, for what the loader does not keep."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from paging.words import slug
from stubout.files.books import book_ids, known_values, load_book
from stubout.rulebooks.model import Cell, RuleBook, Table

DATA = files("stubout.rulebooks") / "data"


@dataclass(frozen=True)
class Raw:
    """A table of a book with what its file says beside the rows."""

    book: RuleBook
    table: Table
    units: tuple[str, ...]  # of the inputs
    titles: tuple[str, ...]
    source: dict[str, Any]
    two_way: bool  # the page has one input across


@cache
def shelf() -> tuple[RuleBook, ...]:
    """Return every book, the plumbing books first."""
    books = [load_book(i) for i in book_ids()]
    return tuple(sorted(books, key=lambda b: (b.family == "framing", b.id)))


@cache
def by_table() -> dict[str, tuple[Raw, ...]]:
    """Return every table id with the tables of the books that have one of their own, sorted."""
    found: dict[str, list[Raw]] = {}
    for book in shelf():
        for t in book.tables.values():
            if t.book == book.id:
                found.setdefault(t.id, []).append(_raw(book, t))
    return {i: tuple(found[i]) for i in sorted(found)}


def _raw(book: RuleBook, t: Table) -> Raw:
    raw = tomllib.loads((DATA / book.id / "tables" / f"{t.id}.toml").read_text(encoding="utf-8"))
    inputs = [*raw["inputs"], *([raw["across"]] if "across" in raw else [])]
    return Raw(
        book, t, tuple(i["unit"] for i in inputs), tuple(i["name"] for i in inputs), raw["source"], "across" in raw
    )


@cache
def groups() -> dict[str, tuple[str, ...]]:
    """Return the single values by the headings of the vocabulary: heading to value ids."""
    found: dict[str, list[str]] = {}
    heading = ""
    for line in (DATA / "vocabulary.toml").read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            heading = "values"
        elif heading and line.startswith("# "):
            heading = line[2:].strip()
        elif m := re.match(r'"([^"]+)" *=', line):
            found.setdefault(heading[0].upper() + heading[1:], []).append(m.group(1))
    missing = set(known_values()) - {i for ids in found.values() for i in ids}
    if missing:
        raise ValueError(f"vocabulary.toml: not found under a heading: {sorted(missing)}")
    return {h: tuple(ids) for h, ids in found.items()}


@cache
def _group_of() -> dict[str, str]:
    return {i: slug(h) for h, ids in groups().items() for i in ids}


def place(value_id: str, up: str = "../") -> str:
    """Return the link to the page of a value or table; the id may be that of a row."""
    root = value_id.partition("[")[0]
    if root in by_table():
        return f"{up}tables/{root}.md"
    return f"{up}values/{_group_of()[root]}.md#{root}"


def own(book: RuleBook, value_id: str) -> Cell | None:
    """Return a single value that stands in this book itself, not in its parent."""
    cell = book.values.get(value_id)
    return cell if cell is not None and cell.book == book.id else None
