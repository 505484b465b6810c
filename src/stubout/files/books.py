"""Reads the rule books shipped with the package; the only code that opens their TOML."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from stubout.problems import RuleBookError
from stubout.rulebooks import amend, confirm, parse, parse_table
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Cell, RuleBook, Table, ValueKind
from stubout.rulebooks.overlay import Amend, Confirm


def _data() -> Traversable:
    return files("stubout.rulebooks") / "data"


def _toml(path: Traversable, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as fault:
        raise RuleBookError(f"{where}: {fault}") from fault


@cache
def book_ids() -> tuple[str, ...]:
    """Return the ids of the books shipped, sorted."""
    return tuple(sorted(d.name for d in _data().iterdir() if d.is_dir() and (d / "book.toml").is_file()))


@cache
def framing_ids() -> tuple[str, ...]:
    """Return the ids of the books that speak of framing cuts only, sorted."""
    return tuple(i for i in book_ids() if _toml(_data() / i / "book.toml", i).get("family") == "framing")


@cache
def known_values() -> Mapping[str, ValueKind]:
    """Return every value id a book may hold, with its title and unit."""
    return Frozen(parse.vocabulary(_toml(_data() / "vocabulary.toml", "vocabulary.toml"), "vocabulary.toml"))


def load_book(book_id: str, amendments: Sequence[Amend] = ()) -> RuleBook:
    """Return a rule book, silent places filled from its parents, amendments laid over it.

    Raises:
        RuleBookError: If there is no such book, the book is broken, or an amendment names no value of it.
    """
    book = _load(book_id)
    return amend.apply(book, amendments) if amendments else book


def adopted(
    book_id: str, framing_id: str, amendments: Sequence[Amend], confirmations: Sequence[Confirm]
) -> tuple[RuleBook, RuleBook]:
    """Return the plumbing book and the framing book of a job: confirmed values first, amendments over them.

    Raises:
        RuleBookError: If a book is broken, or an amendment or a confirmation does not fit it.
    """
    shipped = (load_book(book_id), load_book(framing_id))
    out = []
    for book in shipped:
        mine = [a for a in amendments if book_of(a.value_id, *shipped) is book]
        read = confirm.apply(book, confirmations)
        out.append(amend.apply(read, mine) if mine else read)
    return out[0], out[1]


def book_of(value_id: str, book: RuleBook, framing: RuleBook) -> RuleBook:
    """Return which of the two books of a job an amendment speaks of: no value is in books of both kinds."""
    root = value_id.partition("[")[0].strip()
    return framing if root in _framing_values() or root in framing.tables else book


@cache
def _framing_values() -> frozenset[str]:
    return frozenset(value_id for book_id in framing_ids() for value_id in _load(book_id).values)


@cache
def _load(book_id: str) -> RuleBook:
    if book_id not in book_ids():
        begun = [b for b in book_ids() if book_id and b.startswith(book_id.lower())]
        near = difflib.get_close_matches(book_id, book_ids(), n=1) or begun
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise RuleBookError(f"no rule book {book_id!r}; there are {', '.join(book_ids())}{hint}")
    folder = _data() / book_id
    raw = parse.head(_toml(folder / "book.toml", f"{book_id}/book.toml"), f"{book_id}/book.toml")
    if raw["id"] != book_id:
        raise RuleBookError(f"{book_id}/book.toml: id {raw['id']!r}, wanted {book_id!r}")
    tables: dict[str, Table] = {}
    values: dict[str, Cell] = {}
    clauses: dict[str, Cell] = {}
    for parent_id in raw.get("parents", ()):
        parent = _load(parent_id)
        tables |= parent.tables
        values |= parent.values
        clauses |= parent.clauses
    _cut(raw.get("without", ()), tables, values, clauses, book_id)
    where = f"{book_id}/values.toml"
    values |= parse.values(_toml(folder / "values.toml", where), book_id, known_values(), where)
    where = f"{book_id}/clauses.toml"
    clauses |= parse.clauses(_toml(folder / "clauses.toml", where), book_id, where)
    tables |= _tables(folder, book_id)
    return RuleBook(
        id=book_id,
        title=raw["title"],
        edition=raw["edition"],
        family=parse.family(raw),
        tables=Frozen(dict(sorted(tables.items()))),
        values=Frozen(dict(sorted(values.items()))),
        clauses=Frozen(dict(sorted(clauses.items()))),
        load_unit=raw.get("load_unit", "FU"),
        parents=tuple(raw.get("parents", ())),
        note=" ".join(part for part in (raw.get("note", ""), raw.get("law", "")) if part),
        known=known_values(),
    )


def _cut(
    without: Sequence[str], tables: dict[str, Table], values: dict[str, Cell], clauses: dict[str, Cell], book_id: str
) -> None:
    """Take out what the parents say and this book, speaking on the matter, leaves away on purpose."""
    for item in without:
        if item not in tables and item not in values and item not in clauses:
            raise RuleBookError(f"{book_id}/book.toml: without {item!r}, which no parent has")
        tables.pop(item, None)
        values.pop(item, None)
        clauses.pop(item, None)


def _tables(folder: Traversable, book_id: str) -> dict[str, Table]:
    out: dict[str, Table] = {}
    where = folder / "tables"
    if not where.is_dir():
        return out
    for path in sorted(where.iterdir(), key=lambda p: p.name):
        if not path.name.endswith(".toml"):
            continue
        name = f"{book_id}/tables/{path.name}"
        t = parse_table.table(_toml(path, name), book_id, name)
        if f"{t.id}.toml" != path.name:
            raise RuleBookError(f"{name}: id {t.id!r}, wanted the file's name")
        out[t.id] = t
    return out
