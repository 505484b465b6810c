"""How much a book holds, and how sure it is of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from stubout.problems import Status
from stubout.rulebooks.model import Cell, RuleBook

LISTED = (Status.READ, Status.CONFIRMED, Status.JOB, Status.DERIVED, Status.SECONDARY, Status.ESTIMATE, Status.MEMORY)


@dataclass(frozen=True, slots=True)
class Census:
    """What one book holds, counted by status: single values, cells of its tables, clauses."""

    id: str
    tables: int
    values: Mapping[Status, int]
    cells: Mapping[Status, int]
    clauses: Mapping[Status, int]
    not_permitted: int  # rows where the book says "not permitted"
    inherited: int  # values and cells that stand in a parent book
    parents: tuple[str, ...]

    def of(self, status: Status) -> int:
        """Return how many figures have a status: single values and cells of tables."""
        return self.values[status] + self.cells[status]

    @property
    def figures(self) -> int:
        """Return how many single values and cells of tables there are."""
        return sum(self.of(s) for s in LISTED)

    @property
    def sure(self) -> int:
        """Return how many of them may decide without a warning."""
        return sum(self.of(s) for s in LISTED if s.verified)


def table_cells(book: RuleBook) -> Iterator[Cell]:
    """Yield every cell of every table of a book, in the order of the book."""
    return (row.cell for t in book.tables.values() for row in t.rows if row.cell is not None)


def census(book: RuleBook, *, own: bool = False) -> Census:
    """Return the count of a book.

    Args:
        book: The book.
        own: Leave out what it takes from its parents.
    """
    values, cells = list(book.values.values()), list(table_cells(book))
    kept = [c for c in (*values, *cells) if c.book == book.id]
    if own:
        values, cells = [c for c in values if c.book == book.id], [c for c in cells if c.book == book.id]
    return Census(
        id=book.id,
        tables=len(book.tables),
        values=by_status(values),
        cells=by_status(cells),
        clauses=by_status(book.clauses.values()),
        not_permitted=sum(1 for t in book.tables.values() for row in t.rows if row.cell is None),
        inherited=0 if own else len(values) + len(cells) - len(kept),
        parents=book.parents,
    )


def by_status(cells: Iterable[Cell]) -> dict[Status, int]:
    """Return how many cells have each status, every status named."""
    found = [c.status for c in cells]
    return {s: found.count(s) for s in LISTED}
