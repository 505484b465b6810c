"""The page of each book: how sure it is, what it holds, what it leaves to the authority, what nobody has read."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from paging.shelf import by_table, groups, own, place, shelf
from paging.words import grid, head, link, page, slug
from stubout.checks.registry import CHECKS
from stubout.problems import Status
from stubout.reports.show import book_name
from stubout.rulebooks.census import LISTED, census
from stubout.rulebooks.model import Cell, RuleBook, Table

SHOWN = tuple(s for s in LISTED if s not in (Status.JOB, Status.CONFIRMED))
AUTHORITY = re.compile(r"\b(authority|official|inspector (?:accepts|decides|allows)|approv\w+|ask)\b")


def pages() -> Iterator[tuple[str, str]]:
    """Yield the page of every book with its name."""
    for book in shelf():
        yield f"books/{book.id}.md", _page(book)


def index() -> str:
    """Return every book with how sure its own values are, those of its parents left out."""
    rows = []
    for book in sorted(shelf(), key=lambda b: b.id):
        own_count = census(book, own=True)
        counts = (str(own_count.figures), *(str(own_count.of(s)) for s in SHOWN), str(len(book.clauses)))
        rows.append((link(book.id, f"books/{book.id}.md"), book_name(book), *counts))
    return "\n".join(grid(("id", "title and edition", "values", *(s.value for s in SHOWN), "clauses"), rows))


def _page(book: RuleBook) -> str:
    return page(
        book_name(book),
        [f"`{book.id}`. {_about(book)}"],
        [book.note],
        head("How sure it is"),
        _counts(book),
        head("What nobody has read yet"),
        _unread(book),
        head("What it leaves to the authority"),
        _left(book),
        head("Tables") if _own_tables(book) else [],
        _tables(book) if _own_tables(book) else [],
        head("Single values"),
        _groups(book),
        head("Clauses of the checks"),
        _clauses(book),
    )


def _about(book: RuleBook) -> str:
    if book.family == "framing":
        return "It speaks of framing cuts only and is adopted beside a plumbing book."
    parents = f" Where it is silent, {' and '.join(book.parents)} answers." if book.parents else ""
    return f"It calls its fixture unit {book.load_unit}.{parents}"


def _counts(book: RuleBook) -> list[str]:
    count = census(book, own=True)
    rows = [
        ("single values", *(str(count.values[s]) for s in SHOWN)),
        ("cells of tables", *(str(count.cells[s]) for s in SHOWN)),
        ("clauses", *(str(count.clauses[s]) for s in SHOWN)),
    ]
    inherited = census(book).inherited
    tail = ["", f"{inherited} more values are taken from {' and '.join(book.parents)}."] if inherited else []
    return [*grid(("", *(s.value for s in SHOWN)), rows), *tail]


def _unread(book: RuleBook) -> list[str]:
    """Return where the values stand that nobody has read, by table and group."""
    counts: dict[str, Counter[Status]] = {}
    for raw in _own_tables(book):
        cells = [r.cell.status for r in raw.rows if r.cell is not None]
        counts[link(raw.title, f"../tables/{raw.id}.md")] = Counter(s for s in cells if not s.verified)
    for heading, ids in groups().items():
        unread = [c.status for i in ids if (c := own(book, i)) is not None and not c.status.verified]
        counts[link(f"{heading}, single values", f"../values/{slug(heading)}.md")] = Counter(unread)
    shown = [s for s in SHOWN if not s.verified and any(c[s] for c in counts.values())]
    rows = [(where, *(str(c[s]) if c[s] else "" for s in shown)) for where, c in counts.items() if c.total()]
    return grid(("where", *(s.value for s in shown)), rows) if rows else ["Nothing: every value was read on its page."]


def _left(book: RuleBook) -> list[str]:
    """Return what the words of the book leave to somebody, a table told once for each of its notes."""
    singles = [c for i in sorted(book.values) if (c := own(book, i)) is not None and AUTHORITY.search(_words(c))]
    rows = [f"- {c.what}: {_words(c)} ({c.section}) {link(f'`{c.id}`', place(c.id))}" for c in singles]
    for t in _own_tables(book):
        notes = dict.fromkeys(_note(r.cell) for r in t.rows if r.cell is not None)
        rows += [f"- {link(t.title, place(t.id))} ({t.section}): {n}" for n in notes if AUTHORITY.search(n)]
    return rows or ["Nothing beyond what the law of the place adds."]


def _note(cell: Cell) -> str:
    return "; ".join(p for p in cell.note.split("; ") if not p.startswith("via "))


def _words(cell: Cell) -> str:
    return "; ".join(p for p in (cell.printed, _note(cell)) if p)


def _own_tables(book: RuleBook) -> list[Table]:
    return [r.table for every in by_table().values() for r in every if r.book.id == book.id]


def _tables(book: RuleBook) -> list[str]:
    rows = [
        (link(t.title, f"../tables/{t.id}.md"), t.section, t.status.value, str(len(t.rows))) for t in _own_tables(book)
    ]
    return grid(("table", "section", "source", "rows"), rows)


def _groups(book: RuleBook) -> list[str]:
    rows = []
    for heading, ids in groups().items():
        cells = [c for i in ids if (c := own(book, i)) is not None]
        if cells:
            read = sum(1 for c in cells if c.status.verified)
            rows.append((link(heading, f"../values/{slug(heading)}.md"), str(len(cells)), str(read)))
    return grid(("values on", "how many", "read"), rows) if rows else ["None."]


def _clauses(book: RuleBook) -> list[str]:
    known = {c.id for c in CHECKS}
    rows = [
        (
            link(i, f"../checks/{i}.md") if i in known else i,
            c.section + ("" if c.book == book.id else f" of {c.book}"),
            c.status.value,
            c.printed,
        )
        for i, c in sorted(book.clauses.items())
    ]
    return grid(("check", "clause", "source", "rule, in our words"), rows)
