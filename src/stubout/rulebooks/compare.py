"""Two books side by side: every value, row and table in which they differ, with sections and status."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from stubout.problems import Status
from stubout.rulebooks.model import Cell, Row, RuleBook, Table
from stubout.rulebooks.tables import row_id

_SAME = 1e-4  # relative: the same figure in other units
_ROUNDED = 0.025  # relative: 150 mm for 6 in, 1:50 for 1/4 in per ft
_SLOPES = 0.05  # relative: 1:50 and 1/4 in per ft are one column of the trade

SILENT = "silent"
NOT_PERMITTED = "not permitted"


@dataclass(frozen=True, slots=True)
class Side:
    """What one book says in a place."""

    printed: str  # "silent" where it says nothing
    section: str = ""
    status: Status | None = None
    book: str = ""  # the book it stands in, a parent perhaps

    def __str__(self) -> str:
        if self.status is None:
            return self.printed
        mark = "" if self.status.verified else " †"
        return f"{self.printed} ({self.book} {self.section}; {self.status.value}{mark})"


@dataclass(frozen=True, slots=True)
class Difference:
    """One place in which two books differ."""

    kind: Literal["value", "row", "table", "clause"]
    id: str
    what: str
    a: Side
    b: Side
    rounding: bool = False  # the same length or slope, said in round figures of another system


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two books side by side."""

    a: str
    b: str
    same: int  # values and rows in which they agree
    differ: tuple[Difference, ...]


def compare(a: RuleBook, b: RuleBook) -> Comparison:
    """Return every value, row, table and clause in which two books differ, single values first, sorted by id.

    A table or a clause that only one of them has is told once, as a whole. The rules of clauses stand here in our own
    words, so that two of them are not compared.
    """
    differ: list[Difference] = []
    same = 0
    for value_id in sorted({*a.values, *b.values}):
        left, right = a.values.get(value_id), b.values.get(value_id)
        one = _difference("value", value_id, left, right, _of_value(left), _of_value(right))
        same += one is None
        differ += [one] if one else []
    for table_id in sorted({*a.tables, *b.tables}):
        t, u = a.tables.get(table_id), b.tables.get(table_id)
        if t is None or u is None:
            differ += [Difference("table", table_id, one.title, _of_table(t), _of_table(u)) for one in (t, u) if one]
            continue
        rows = list(_rows(t, u))
        same += sum(1 for r in rows if r is None)
        differ += [r for r in rows if r is not None]
    for topic in sorted(set(a.clauses) ^ set(b.clauses)):
        clause = a.clauses.get(topic) or b.clauses[topic]
        sides = (_of_value(a.clauses.get(topic), rule=True), _of_value(b.clauses.get(topic), rule=True))
        differ.append(Difference("clause", topic, clause.text, *sides))
    return Comparison(a.id, b.id, same, tuple(differ))


def _rows(t: Table, u: Table) -> Iterator[Difference | None]:
    left = {row_id(t.id, r.inputs): r for r in t.rows}
    free = {row_id(u.id, r.inputs): r for r in u.rows}
    spare = {k: r for k, r in free.items() if k not in left}
    right = {k: r for k, r in free.items() if k in left}
    for key, row in left.items():
        twin = next((k for k, r in spare.items() if key not in right and _same_columns(row, r)), None)
        if twin is not None:
            right[key] = spare.pop(twin)
    right |= spare
    for key in dict.fromkeys((*left, *right)):
        r, s = left.get(key), right.get(key)
        if r is not None and s is not None and r.cell is None and s.cell is None:
            yield None
        else:
            a, b = (None if row is None else row.cell for row in (r, s))
            yield _difference("row", key, a, b, _of_row(t, r), _of_row(u, s))


def _same_columns(row: Row, other: Row) -> bool:
    """Return whether two rows stand for the same inputs, but for a slope of 1:50 here and 1/4 in per ft there."""
    return len(row.inputs) == len(other.inputs) and all(
        v == w
        or (isinstance(v, float) and isinstance(w, float) and max(v, w) < 1 and math.isclose(v, w, rel_tol=_SLOPES))
        for v, w in zip(row.inputs, other.inputs, strict=True)
    )


def _difference(
    kind: Literal["value", "row"], key: str, a: Cell | None, b: Cell | None, left: Side, right: Side
) -> Difference | None:
    cell = a or b
    what = cell.what if cell is not None else key
    if a is None or b is None:
        return Difference(kind, key, what, left, right)
    if isinstance(a.value, (str, bool)) or isinstance(b.value, (str, bool)):
        return None if a.value == b.value else Difference(kind, key, what, left, right)
    if math.isclose(a.value, b.value, rel_tol=_SAME):
        return None
    near = a.unit in ("mm", "m/m") and math.isclose(a.value, b.value, rel_tol=_ROUNDED)
    return Difference(kind, key, what, left, right, near)


def _of_value(cell: Cell | None, *, rule: bool = False) -> Side:
    if cell is None:
        return Side(SILENT)
    return Side("has a rule" if rule else cell.printed, cell.section, cell.status, cell.book)


def _of_row(t: Table, row: Row | None) -> Side:
    if row is None:
        return Side("no such row", t.section, t.status, t.book)
    return Side(NOT_PERMITTED, t.section, t.status, t.book) if row.cell is None else _of_value(row.cell)


def _of_table(t: Table | None) -> Side:
    return Side("no such table") if t is None else Side(f"{len(t.rows)} rows", t.section, t.status, t.book)
