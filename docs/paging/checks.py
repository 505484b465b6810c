"""The page of each check: its docstring, what every book says, one seeded fault as it is told, the others by name."""

from __future__ import annotations

import inspect
from collections.abc import Iterator

from seeding.page import FAMILY
from seeding.table import Fault, edges, faults, pairs
from seeding.told import Told, written

from paging import asking
from paging.shelf import by_table, own, place, shelf
from paging.words import NOTHING, SURE, grid, head, link, page, said, short, sure
from stubout.checks.base import Check
from stubout.checks.registry import CHECKS
from stubout.files.books import known_values
from stubout.problems import Level
from stubout.rulebooks.model import RuleBook

LEVELS = {
    Level.STOP: "unsafe, or cannot be built",
    Level.FIX: "breaks a rule",
    Level.ASK: "someone must decide or supply",
    Level.NOTE: "worth knowing",
}


def pages() -> Iterator[tuple[str, str]]:
    """Yield the page of every check with its name."""
    for check in CHECKS:
        yield f"checks/{check.id}.md", _page(check, written().get(check.id))


def index() -> str:
    """Return every check: lasting id with its page, name of the fault, level, what it says in one line."""
    rows = [
        (link(c.id, f"checks/{c.id}.md"), c.name, c.level.value, c.title) for c in sorted(CHECKS, key=lambda c: c.id)
    ]
    return "\n".join(grid(("id", "name", "level", "fault"), rows))


def _page(check: Check, told: Told | None) -> str:
    text = inspect.cleandoc(check.page)
    title, _, rest = text.partition("\n\n")
    asked = asking.of_check(check.id) | {i.partition("[")[0] for i in (told["values"] if told else [])}
    return page(
        f"{check.id} {check.name}",
        [f"**{check.level.value}** ({LEVELS[check.level]}): {' '.join(title.split())}"],
        [rest.strip()],
        head("What the books say"),
        _clauses(check.id),
        _values(asked),
        [] if told is None else [*head("As it is told, and what to do"), "", *_told(check, told)],
        head("Seeded faults"),
        [f"What the tests make wrong to hear this check speak, lengths in mm; {link('all of them', '../faults.md')}."],
        [*_seeded(check.id)],
    )


def _clauses(check_id: str) -> list[str]:
    rows = []
    for book in shelf():
        clause = book.clauses.get(check_id)
        if clause is None:
            continue
        lent = "" if clause.book == book.id else f" of {clause.book}"
        rows.append((_book(book), f"{clause.section}{lent}", clause.status.value, clause.printed))
    if not rows:
        return ["No clause of a book: a rule of the trade, of the job file or of what can be built."]
    silent = [short(b) for b in shelf() if b.family != "framing" and check_id not in b.clauses]
    framing = all(check_id in b.clauses for b in shelf() if b.family == "framing")
    tail = f"No clause in {', '.join(silent)}." if silent and not framing else ""
    return [*grid(("book", "clause", "source", "rule, in our words"), rows), *(["", tail] if tail else [])]


def _book(book: RuleBook) -> str:
    return link(short(book), f"../books/{book.id}.md")


def _values(asked: frozenset[str]) -> list[str]:
    """Return the single values side by side and the tables by name."""
    if not asked:
        return ["It asks no book for a number."]
    singles = sorted(i for i in asked if i in known_values() and any(own(b, i) for b in shelf()))
    tables = sorted(i for i in asked if i in by_table())
    books = [b for b in shelf() if any(i in b.values for i in singles)]
    out: list[str] = []
    if singles:
        out += ["Values it goes by:", ""]
        rows = [
            (f"{known_values()[i].what} {link(f'`{i}`', place(i))}", *(_cell(b, i) for b in books)) for i in singles
        ]
        out += [*grid(("value", *map(short, books)), rows), "", SURE]
    if tables:
        out += [*([""] if out else []), "Tables it goes by:", ""]
        out += [f"- {_table(i)}" for i in tables]
    return out or ["No book gives a number for it yet."]


def _cell(book: RuleBook, value_id: str) -> str:
    cell = own(book, value_id)
    if cell is None:
        lent = book.values.get(value_id)
        return f"as {lent.book.upper().replace('-', ' ')}" if lent is not None else NOTHING
    return f"{said(cell)} ({cell.section})" if cell.section else said(cell)


def _table(table_id: str) -> str:
    every = by_table()[table_id]
    stand = ", ".join(f"{short(r.book)} {r.table.section} {sure(r.table.status)}".strip() for r in every)
    return f"{link(every[0].table.title, place(table_id))}: {stand}"


def _told(check: Check, told: Told) -> list[str]:
    """Return the words of the finding of one seeded fault."""
    fault = next(f for f in faults() if f.id == told["fault"])
    words = {"found": told["found"], "wanted": told["wanted"], "do": told["do"], "why": told["why"]}
    level = "" if told["level"] == check.level.value else f", here {told['level']}"
    return [
        f'With the fault "{fault.id.replace("-", " ")}" in {_system(fault)}, under {_family(told["book"])}{level}:',
        "",
        *(f"- **{word}** {text}" for word, text in words.items()),
    ]


def _family(book_id: str) -> str:
    return next(short(b) for b in shelf() if b.id == book_id)


SYSTEMS = {
    "bath": "the bath and kitchen over a crawl space",
    "slab": "the laundry with an island sink on a slab",
    "storeys": "the two storeys on a slab",
    "closets": "the two storeys on a slab with a third closet",
}


def _system(fault: Fault) -> str:
    name = fault.system
    if name.startswith("starter-"):
        return f"the house of `stubout new`, in {name.removeprefix('starter-')}"
    return SYSTEMS.get(name, f'the test house "{name}"')


def _seeded(check_id: str) -> Iterator[str]:
    """Yield the seeded faults, the limits and the geometries that this check must find, one line each."""
    for f in faults():
        if f.check == check_id:
            cured = "; the finding tells how far, and that clears it" if f.fix else ""
            yield f"- {f.id.replace('-', ' ')}: {f.system}; {_families(f.books)}{cured}"
    for e in edges():
        if e.check == check_id:
            sides = "; ".join(f"{FAMILY[b]} silent at {lo:g}, found at {hi:g}" for b, (lo, hi) in e.limits.items())
            yield f"- limit, {e.id.removeprefix('edge-').replace('-', ' ')}: {e.system}; {sides}"
    for p in pairs():
        if p.check == check_id:
            yield (
                f"- legal elsewhere, {p.id.replace('-', ' ')}: {p.system}; silent under {_families(p.legal)}, "
                f"found under {_families(p.illegal)}"
            )


def _families(books: tuple[str, ...]) -> str:
    return ", ".join(FAMILY[b] for b in books)
