"""The verification sheet: book values nobody has read that decided something here, to compare with one's own copy."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from stubout.design import Design
from stubout.problems import Basis, Finding
from stubout.reports.front import all_bases, few
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import book_name
from stubout.rulebooks.census import table_cells
from stubout.rulebooks.model import Cell, RuleBook

BLANK = "_" * 24
COMPARE = (
    "Compare each value with the page of your own licensed copy, write what stands there, and sign. What agrees goes "
    "into the job file under `confirmations`, or into a file for all your jobs; what differs is an amendment."
)
ALL_READ = "Nothing to compare: every book value that decided something was read on its page or is given by the job."


@dataclass(frozen=True, slots=True)
class Line:
    """One value of a book to compare, or that somebody has compared."""

    cell: Cell
    table: str  # id and title of its table, "" for a single value or a clause
    clause: bool  # the rule stands here in our own words
    decides: tuple[str, ...]  # pipes, fixtures, marks, checks


@dataclass(frozen=True, slots=True)
class Sheet:
    """The values of the books to compare, those compared already, and what no book can tell."""

    open: tuple[Line, ...]
    judged: tuple[Line, ...]  # nobody has read them either; checks judged by them and found nothing
    confirmed: tuple[Line, ...]
    elsewhere: tuple[Basis, ...]  # not read either, but of the catalogue, the trade or a formula


Used = Mapping[str, tuple[str, ...]]  # id of a book value -> the checks that judged by it


def sheet(design: Design, findings: tuple[Finding, ...] = (), used: Used | None = None) -> Sheet:
    """Return the verification sheet of a design, in the order of the books' pages.

    A figure that was reckoned stands here by the values of the book it was reckoned from.

    Args:
        design: The design.
        findings: What the checks found.
        used: The values they judged by, with the checks: one that let something pass has decided too.
    """
    known = {c.id: line for book in (design.book, design.framing) for c, line in _cells(book)}
    decides: dict[str, dict[str, None]] = {}
    elsewhere: dict[Basis, None] = {}
    for about, basis in all_bases(design, findings):
        of = [i for i in basis.of if i in known]
        for value_id in of:
            decides.setdefault(value_id, {})[about] = None
        if not of and not basis.status.verified:
            elsewhere[basis] = None
    judged = {i: checks for i, checks in (used or {}).items() if i in known and i not in decides}
    lines = _ordered(Line(*known[i], tuple(about)) for i, about in decides.items())
    passed = _ordered(Line(*known[i], checks) for i, checks in judged.items())
    return Sheet(
        tuple(n for n in lines if not n.cell.status.verified),
        tuple(n for n in passed if not n.cell.status.verified),
        tuple(n for n in (*lines, *passed) if n.cell.confirmed_by),
        tuple(elsewhere),
    )


def _ordered(lines: Iterable[Line]) -> list[Line]:
    return sorted(lines, key=lambda n: (n.cell.book, _section(n.cell.section), n.cell.id))


def _cells(book: RuleBook) -> Iterator[tuple[Cell, tuple[Cell, str, bool]]]:
    titles = {t.id: f"{t.id}: {t.title}" for t in book.tables.values()}
    for cell in book.values.values():
        yield cell, (cell, "", False)
    for cell in table_cells(book):
        yield cell, (cell, titles[cell.id.partition("[")[0]], False)
    for cell in book.clauses.values():
        yield cell, (cell, "", True)


def _section(section: str) -> tuple[tuple[int, str], ...]:
    """Return a key that sorts sections as they stand in the book: 2.4.9 before 2.4.10."""
    parts = section.replace("(", ".").replace(")", "").split(".")
    return tuple((int(p), "") if p.isdigit() else (0, p) for p in parts)


def sheet_document(design: Design, findings: tuple[Finding, ...], used: Used) -> Document:
    """Return the page of the packet: what to compare, with a space to write and sign; then what has been compared."""
    whole = sheet(design, findings, used)
    blocks: list[Block] = [Paragraph(COMPARE if whole.open or whole.judged else ALL_READ)]
    for book_id, lines in _by_book(whole.open):
        blocks += [Heading(f"{book_id} ({len(lines)})"), _to_write(lines)]
    if whole.judged:
        blocks.append(Heading(f"Let something pass ({len(whole.judged)})"))
        blocks.append(Paragraph("Checks judged by these values and found nothing wrong; another figure may find it."))
        for book_id, lines in _by_book(whole.judged):
            blocks += [Heading(book_id, 3), _to_write(lines)]
    if whole.confirmed:
        blocks += [
            Heading(f"Compared by the user ({len(whole.confirmed)})"),
            TableBlock(
                ("Book, section", "Value", "As printed", "Decides", "Read by"),
                tuple(
                    (f"{n.cell.book} {n.cell.section}", _what(n), _ours(n), few(n.decides), n.cell.confirmed_by)
                    for n in whole.confirmed
                ),
                (1.6, 3, 1.7, 2, 2.4),
            ),
        ]
    return Document("verification", "Verification sheet", tuple(blocks))


def _to_write(lines: list[Line]) -> TableBlock:
    return TableBlock(
        ("Section", "Value", "As we have it", "Status", "Decides", "As printed in your copy", "Initials, date"),
        tuple((n.cell.section, _what(n), _ours(n), n.cell.status.value, few(n.decides), "", "") for n in lines),
        (1.2, 3, 1.7, 1.1, 1.8, 2, 1.5),
    )


def _by_book(lines: tuple[Line, ...]) -> list[tuple[str, list[Line]]]:
    return [(b, [n for n in lines if n.cell.book == b]) for b in dict.fromkeys(n.cell.book for n in lines)]


def _what(line: Line) -> str:
    """Return the value in words, and on a line of its own the id it is confirmed by: no hyphen may part that."""
    return f"{line.cell.text if line.clause else line.cell.what}\n[{line.cell.id}]"


def _ours(line: Line) -> str:
    return f"section {line.cell.section}" if line.clause else line.cell.printed


def sheet_text(design: Design, findings: tuple[Finding, ...], used: Used, width: int = 92) -> str:
    """Return the sheet as text to print and write on."""
    whole = sheet(design, findings, used)
    job = design.house.job
    out = [f"Verification sheet: {job.title}, revision {job.revision}", book_name(design.book), ""]
    out += [*textwrap.wrap(COMPARE if whole.open or whole.judged else ALL_READ, width), ""]
    number = 0
    for lines, what in ((whole.open, "to compare"), (whole.judged, "by which checks let something pass")):
        for book_id, mine in _by_book(lines):
            out += [f"{book_id}: {len(mine)} {what}", ""]
            for line in mine:
                number += 1
                out += [*_text_of(number, line, width), ""]
    if whole.confirmed:
        out += [f"Compared already: {len(whole.confirmed)}", ""]
        for line in whole.confirmed:
            head = f"{line.cell.id}: {_ours(line)} ({line.cell.book} {line.cell.section}); {line.cell.confirmed_by}; "
            out += textwrap.wrap(f"{head}decides {few(line.decides)}", width, subsequent_indent="    ")
        out.append("")
    if whole.elsewhere:
        out += textwrap.wrap(
            f"{len(whole.elsewhere)} more that decided something stand in no rule book: dimensions of fittings, "
            "habits of the trade, formulas. Measure the fittings in hand and put them under `measured`; the rule book "
            "page of the packet lists all.",
            width,
        )
    return "\n".join(out).rstrip() + "\n"


def _text_of(number: int, line: Line, width: int) -> Iterator[str]:
    cell = line.cell
    indent = " " * 6
    yield from textwrap.wrap(f"{number:>3}.  {_what(line)}", width, subsequent_indent=indent)
    source = "; ".join(p for p in (cell.section, line.table, cell.status.value, cell.note) if p)
    for label, text in (("ours", f"{_ours(line)} ({source})"), ("decides", few(line.decides, 16))):
        yield from textwrap.wrap(text, width, initial_indent=f"{indent}{label:<9}", subsequent_indent=" " * 15)
    yield f"{indent}{'printed':<9}{BLANK}  initials ________  date __________"
