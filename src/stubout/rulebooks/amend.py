"""Laying amendments over a book: single values and single cells of tables, with citation, author and date."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import replace

from stubout import units
from stubout.house.model import Amend
from stubout.problems import RuleBookError, Status
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Cell, Row, RuleBook, Table, Value
from stubout.rulebooks.tables import row_id

_YES = {"yes": True, "true": True, "no": False, "false": False}
_NUMBER = re.compile(r"\s*([+-]?\d+(?:\.\d+)?(?:\s*/\s*\d+)?)\s*[A-Za-z°%]*\s*\.?\s*$")


def apply(book: RuleBook, amendments: Sequence[Amend]) -> RuleBook:
    """Return the book with the amendments laid over it; later ones win.

    A value the book is silent on may be added if its id is known to the books at all; a table's cell is named
    `table_id[input,input]`, for example `trap_arm[1.5]`.

    Raises:
        RuleBookError: If an id is unknown or a text cannot be read in the value's unit.
    """
    for one in amendments:
        book = _apply_one(book, one)
    return book


def _apply_one(book: RuleBook, one: Amend) -> RuleBook:
    cite = ", ".join(part for part in (one.citation, one.author, one.date) if part)
    listed = (*book.amendments, f"{one.value_id} = {one.is_text} ({cite})")
    if "[" in one.value_id:
        tables = _amend_table(book, one, cite)
        return replace(book, tables=Frozen(tables), amendments=listed)
    old = book.values.get(one.value_id)
    kind = book.known.get(one.value_id)
    if old is None and kind is None:
        raise RuleBookError(_unknown(book, one.value_id))
    unit = kind.unit if kind is not None else (old.unit if old is not None else "")
    if kind is None and old is not None and isinstance(old.value, bool):
        unit = "bool"
    value = read_value(one, unit, kind.choices if kind else ())
    what = old.what if old is not None else (kind.what if kind is not None else one.value_id)
    new = Cell(
        id=one.value_id,
        what=what,
        value=value,
        unit="" if unit == "bool" else unit,
        printed=one.is_text.strip(),
        book=book.id,
        section=old.section if old is not None else "",
        status=Status.JOB,
        note=one.reason or (f"book: {old.printed}" if old is not None else "the book itself is silent"),
        amended_by=cite,
    )
    values = {**book.values, one.value_id: new}
    return replace(book, values=Frozen(dict(sorted(values.items()))), amendments=listed)


def _amend_table(book: RuleBook, one: Amend, cite: str) -> dict[str, Table]:
    table_id, _, rest = one.value_id.partition("[")
    t = book.tables.get(table_id)
    if t is None or not rest.endswith("]"):
        raise RuleBookError(_unknown(book, one.value_id))
    wanted = [part.split("=")[-1].strip() for part in rest[:-1].split(",")]
    for k, row in enumerate(t.rows):
        have = [v for v in row.inputs if v != ""]
        if len(wanted) == len(have) and all(_equal(w, v) for w, v in zip(wanted, have, strict=True)):
            new = Row(row.inputs, _cell(t, row, one, cite))
            rows = (*t.rows[:k], new, *t.rows[k + 1 :])
            return {**book.tables, table_id: replace(t, rows=rows)}
    raise RuleBookError(_unknown(book, one.value_id))


def _equal(wanted: str, have: Value) -> bool:
    if isinstance(have, str):
        return wanted == have
    try:
        return abs(float(wanted) - float(have)) <= 1e-4 * max(1.0, abs(float(have)))
    except ValueError:
        return False


def _cell(t: Table, row: Row, one: Amend, cite: str) -> Cell:
    like = row.cell or next((r.cell for r in t.rows if r.cell is not None), None)
    if like is None:
        raise RuleBookError(f"{one.value_id}: the table has no value to go by")
    unit = "bool" if isinstance(like.value, bool) else like.unit
    book_said = row.cell.printed if row.cell is not None else "not permitted"
    return replace(
        like,
        id=row_id(t.id, row.inputs),
        what=row.cell.what if row.cell is not None else row_id(t.title, row.inputs),
        value=read_value(one, unit, ()),
        printed=one.is_text.strip(),
        status=Status.JOB,
        note=one.reason or f"book: {book_said}",
        amended_by=cite,
    )


def read_value(one: Amend, unit: str, choices: tuple[str, ...]) -> Value:
    """Return the text of an amendment in the unit used inside; raises RuleBookError."""
    text = one.is_text.strip()
    try:
        if unit == "mm":
            return units.parse_length_mm(text)
        if unit == "m/m":
            return units.parse_slope(text)
        if unit == "in":
            return units.parse_size_in(text)
    except ValueError as fault:
        raise RuleBookError(f"amendment of {one.value_id}: found {text!r}: {fault}") from fault
    if unit == "bool":
        if text.lower() not in _YES:
            raise RuleBookError(f"amendment of {one.value_id}: found {text!r}, wanted yes or no")
        return _YES[text.lower()]
    if unit == "":
        if not text or (choices and text not in choices):
            raise RuleBookError(f"amendment of {one.value_id}: found {text!r}, wanted {' | '.join(choices) or 'words'}")
        return text
    hit = _NUMBER.match(text)
    if hit is None:
        raise RuleBookError(f"amendment of {one.value_id}: found {text!r}, wanted a number ({unit})")
    top, _, bottom = hit[1].partition("/")
    if bottom and float(bottom) == 0:
        raise RuleBookError(f"amendment of {one.value_id}: found {text!r}, wanted a number ({unit})")
    return float(top) / (float(bottom) if bottom else 1.0)


def ids(book: RuleBook) -> tuple[str, ...]:
    """Return every id an amendment may name in this book."""
    cells = [r.cell.id for t in book.tables.values() for r in t.rows if r.cell is not None]
    return tuple(sorted({*book.values, *book.known, *cells}))


def _unknown(book: RuleBook, value_id: str) -> str:
    near = difflib.get_close_matches(value_id, ids(book), n=3, cutoff=0.5)
    hint = f"; did you mean {' or '.join(repr(n) for n in near)}?" if near else ""
    return f"{book.id} has no value {value_id!r} to amend{hint}"
