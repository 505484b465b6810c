"""One place of a book by its id: a single value or one cell of a table. Found, and filled with another cell."""

from __future__ import annotations

import difflib
from dataclasses import dataclass, replace

from stubout.problems import RuleBookError
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Cell, Row, RuleBook
from stubout.rulebooks.tables import canonical, row_id


@dataclass(frozen=True, slots=True)
class Spot:
    """A place of a book that may be amended, asked about or confirmed, and what stands there."""

    id: str
    what: str
    unit: str  # as `ValueKind.unit`: "bool" for yes or no
    choices: tuple[str, ...]
    section: str
    cell: Cell | None  # None: the book is silent, or does not permit it
    row: tuple[str, int] | None = None  # table and number of the row; None for a single value

    @property
    def said(self) -> str:
        """Return what stands there, in words."""
        if self.cell is not None:
            return self.cell.printed
        return "nothing" if self.row is None else "not permitted"


def spot(book: RuleBook, value_id: str) -> Spot:
    """Return a place of a book.

    Raises:
        RuleBookError: If the book and its vocabulary have no such id.
    """
    wanted = canonical(value_id)
    if "[" in wanted:
        return _of_table(book, wanted, value_id)
    cell, kind = book.values.get(wanted), book.known.get(wanted)
    if kind is not None:
        what = cell.what if cell is not None else kind.what
        return Spot(wanted, what, kind.unit, kind.choices, "" if cell is None else cell.section, cell)
    if cell is not None:
        return Spot(wanted, cell.what, _unit(cell), (), cell.section, cell)
    raise RuleBookError(_unknown(book, value_id))


def _of_table(book: RuleBook, wanted: str, value_id: str) -> Spot:
    table_id = wanted.partition("[")[0]
    t = book.tables.get(table_id)
    for k, row in enumerate(t.rows if t is not None else ()):
        if t is None or canonical(row_id(table_id, row.inputs)) != wanted:
            continue
        like = row.cell or next((r.cell for r in t.rows if r.cell is not None), None)
        if like is None:
            raise RuleBookError(f"{value_id}: the table has no value to go by")
        what = row.cell.what if row.cell is not None else row_id(t.title, row.inputs)
        return Spot(row_id(table_id, row.inputs), what, _unit(like), (), like.section, row.cell, (table_id, k))
    raise RuleBookError(_unknown(book, value_id))


def _unit(cell: Cell) -> str:
    return "bool" if isinstance(cell.value, bool) else cell.unit


def put(book: RuleBook, place: Spot, cell: Cell | None, asked: str = "") -> RuleBook:
    """Return the book with another cell at a place; None takes a single value away, and empties a row.

    Args:
        book: The book.
        place: A place of this book.
        cell: What shall stand there.
        asked: For a row: why there is no answer yet.
    """
    if place.row is None:
        kept = {k: v for k, v in book.values.items() if k != place.id}
        filled = kept if cell is None else {**kept, place.id: cell}
        return replace(book, values=Frozen(dict(sorted(filled.items()))))
    table_id, k = place.row
    t = book.tables[table_id]
    new = Row(t.rows[k].inputs, cell, permitted=cell is not None, asked=asked)
    table = replace(t, rows=(*t.rows[:k], new, *t.rows[k + 1 :]))
    return replace(book, tables=Frozen({**book.tables, table_id: table}))


def ids(book: RuleBook) -> tuple[str, ...]:
    """Return every id an amendment may name in this book."""
    rows = [row_id(t.id, r.inputs) for t in book.tables.values() for r in t.rows]
    return tuple(sorted({*book.values, *book.known, *rows}))


def _unknown(book: RuleBook, value_id: str) -> str:
    near = difflib.get_close_matches(value_id, ids(book), n=3, cutoff=0.5)
    hint = f"; did you mean {' or '.join(repr(n) for n in near)}?" if near else ""
    return f"{book.id} has no value {value_id!r} to amend{hint}"
