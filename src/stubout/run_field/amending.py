"""What an amendment may name: for the one who writes one by form."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from stubout import run
from stubout.rulebooks.tables import row_id


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a rule book, as it is offered."""

    id: str
    what: str
    printed: str  # with section and status, "" where the book is silent
    choices: tuple[str, ...] = ()  # the words it may be


@lru_cache(maxsize=8)
def values(book_id: str, framing_id: str) -> tuple[Value, ...]:
    """Return what an amendment to two books may name: every value, every row of a table, and where they are silent.

    Raises:
        RuleBookError: If there is no such book.
    """
    out: dict[str, Value] = {}
    for book in (run.book(book_id), run.book(framing_id)):
        for value_id, cell in book.values.items():
            choices = book.known[value_id].choices if value_id in book.known else ()
            printed = f"{cell.printed} ({f'{cell.book} {cell.section}'.strip()}; {cell.status.value})"
            out[value_id] = Value(value_id, cell.what, printed, choices)
        for table in book.tables.values():
            for row in table.rows:
                name = row_id(table.id, row.inputs)
                cell_printed = "" if row.cell is None else f"{row.cell.printed} ({table.book} {table.section})"
                out[name] = Value(name, table.title if row.cell is None else row.cell.what, cell_printed)
        for value_id, known in book.known.items():
            out.setdefault(value_id, Value(value_id, known.what, "", known.choices))
    return tuple(out[i] for i in sorted(out))
