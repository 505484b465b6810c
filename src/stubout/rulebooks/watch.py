"""Which values of a book are looked at, and by whom: a check that finds nothing was decided by a value too."""

from __future__ import annotations

from dataclasses import replace

from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Cell, RuleBook


class Watch:
    """Keeps the ids of the values that are looked at, each with who looked."""

    def __init__(self) -> None:
        self.who = ""
        self.seen: dict[str, dict[str, None]] = {}

    def begin(self, who: str) -> None:
        """Take down what is looked at from now on for somebody, a check by its id."""
        self.who = who

    def saw(self, cell: Cell) -> None:
        """Keep that a value was looked at."""
        for value_id in cell.ids:
            self.seen.setdefault(value_id, {})[self.who] = None

    def used(self) -> dict[str, tuple[str, ...]]:
        """Return every value that was looked at, with who looked, sorted by id."""
        return {value_id: tuple(who) for value_id, who in sorted(self.seen.items())}


def watched(book: RuleBook, watch: Watch) -> RuleBook:
    """Return the same book, which tells a watch what is looked up in it: single values, single cells of tables."""
    book = book.to_judge_by
    tables = {k: replace(t, watch=watch.saw) for k, t in book.tables.items()}
    return replace(book, tables=Frozen(tables), watch=watch.saw)
