"""Finding values and rows of a book by words, as lines a person can read."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator

from stubout.problems import Status
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.tables import row_id

_WORD = re.compile(r"[a-z0-9/.\-]+")
_MARK = {status: "" if status.verified else " †" for status in Status}  # the same mark as on the sheets


def search(book: RuleBook, words: str, limit: int = 200) -> tuple[str, ...]:
    """Return the values, table rows and clauses of a book that hold every word, one line each.

    Args:
        book: The rule book.
        words: Words in any order, for example "trap arm 2 in" or a section or an id.
        limit: Most lines returned.

    Returns:
        Lines sorted by id, with value, section and status; a line of suggestions if nothing holds the words.
    """
    wanted = _WORD.findall(words.lower())
    hits = [line for key, line in _lines(book) if wanted and all(_holds(key, w) for w in wanted)]
    if hits:
        more = len(hits) - limit
        return (*hits[:limit], f"... and {more} more") if more > 0 else tuple(hits)
    near = suggestions(book, wanted)
    tail = f"; did you mean {' or '.join(near)}?" if near else ""
    return (f"{book.id} has nothing on {words.strip()!r}{tail}",)


def suggestions(book: RuleBook, words: list[str]) -> tuple[str, ...]:
    """Return words of the book that are close to words it does not hold."""
    vocabulary = sorted({w for key, _ in _lines(book) for w in _WORD.findall(key) if len(w) > 2})
    known = set(vocabulary)
    out: list[str] = []
    for word in words:
        if word not in known:
            out.extend(difflib.get_close_matches(word, vocabulary, n=2, cutoff=0.75))
    return tuple(dict.fromkeys(out))


def all_ids(book: RuleBook) -> tuple[str, ...]:
    """Return the ids of every value and table cell the book holds, sorted."""
    return tuple(sorted(key for key, _ in _cells(book)))


def silent_on(book: RuleBook) -> tuple[str, ...]:
    """Return the value ids some book holds and this one does not."""
    return tuple(sorted(set(book.known) - set(book.values)))


def line(cell: Cell) -> str:
    """Return one cell as a line: id, what, value, clause and status.

    A value not compared with the page carries the mark of the sheets.
    """
    where = f"{cell.book} {cell.section}".strip()
    note = f"amended: {cell.amended_by}" if cell.amended_by else cell.note
    tail = f"; {note}" if note else ""
    return f"{cell.id}: {cell.what}: {cell.printed} ({where}; {cell.status.value}{_MARK[cell.status]}{tail})"


def _holds(key: str, word: str) -> bool:
    """Return whether a word begins a word of the key; figures must stand alone."""
    pattern = rf"(?<![\w/.\-]){re.escape(word)}" + (r"(?![\w/.\-])" if word[0].isdigit() else "")
    return re.search(pattern, key) is not None


def _lines(book: RuleBook) -> Iterator[tuple[str, str]]:
    for _, cell in sorted(_cells(book), key=lambda pair: pair[0]):
        text = line(cell)
        yield f"{text} {cell.id.replace('_', ' ').replace('.', ' ')}".lower(), text
    for t in book.tables.values():
        for row in t.rows:
            if row.cell is None:
                text = f"{row_id(t.id, row.inputs)}: {t.title}: not permitted ({t.book} {t.section}; {t.status.value})"
                yield f"{text} {t.id.replace('_', ' ')}".lower(), text
    for topic, cell in book.clauses.items():
        text = f"clause {topic}: {cell.text} ({cell.book} {cell.section}; {cell.status.value}{_MARK[cell.status]})"
        yield text.lower(), text


def _cells(book: RuleBook) -> Iterator[tuple[str, Cell]]:
    yield from book.values.items()
    for t in book.tables.values():
        for row in t.rows:
            if row.cell is not None:
                yield row.cell.id, row.cell
