"""Books of our own for the tests: a shipped one with values exchanged, or with one small table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from stubout.files.books import load_book
from stubout.problems import Status
from stubout.rulebooks import tables
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Cell, Row, RuleBook, Table

NPC = load_book("npc-2020")
CELL = replace(next(iter(NPC.values.values())), unit="mm", status=Status.READ)


def with_values(book: RuleBook, **values: Any) -> RuleBook:
    """The book with values put in (`__` for the point), None takes one out."""
    cells = dict(book.values)
    base = next(iter(cells.values()))
    for name, value in values.items():
        value_id = name.replace("__", ".")
        if value is None:
            cells.pop(value_id, None)
        else:
            unit = "mm" if isinstance(value, float) else ""
            cells[value_id] = replace(
                base, id=value_id, value=value, unit=unit, printed=f"<{value}>", status=Status.READ
            )
    return replace(book, values=Frozen(cells))


def ladder(
    *rows: tuple[Iterable[Any], Any],
    inputs: Any = (("size_in", "exact"), ("load", "next_larger")),
    table_id: str = "own",
) -> Table:
    """A table of rows ((size, load), value), None = not permitted."""
    t = next(iter(NPC.tables.values()))
    made = tuple(
        Row(
            tuple(i), None if v is None else replace(CELL, id=tables.row_id(table_id, tuple(i)), value=v), v is not None
        )
        for i, v in rows
    )
    return replace(t, id=table_id, title="Own table", inputs=inputs, rows=made)


def only(values: Mapping[str, Cell] | None = None, table: Table | None = None) -> RuleBook:
    """A book that holds these values and this table, and nothing else."""
    held = {table.id: table} if table is not None else {}
    return replace(NPC, values=Frozen(dict(values or {})), tables=Frozen(held), clauses=Frozen({}))


def cells_of(book: RuleBook, name: str) -> list[tuple[dict[str, Any], Cell]]:
    """(inputs by name, cell) of every row that permits something."""
    t = book.tables[name]
    return [(dict(zip([n for n, _ in t.inputs], r.inputs, strict=True)), r.cell) for r in t.rows if r.cell is not None]
