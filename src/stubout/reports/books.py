"""What a terminal says of rule books: what they hold, one of them whole, two of them side by side."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence

from stubout.problems import Level, Status, several
from stubout.reports.groups import groups
from stubout.reports.judged import FindingRow, JobCompared, SizeRow, Trial
from stubout.reports.show import book_name, clause, mark
from stubout.rulebooks.census import LISTED, Census, by_status
from stubout.rulebooks.compare import Comparison, Difference, Side
from stubout.rulebooks.model import Cell, Row, RuleBook, Table
from stubout.rulebooks.tables import row_id

SHOWN = tuple(s for s in LISTED if s not in (Status.JOB, Status.CONFIRMED))  # the user's own are never shipped
LOOK_UP = "† not compared with the page: look it up in your own copy before you rely on it."


def shelf_text(shelf: Iterable[tuple[RuleBook, Census]], width: int = 92) -> str:
    """Return every book with its counts by status."""
    books = list(shelf)
    first = max(len(b.id) for b, _ in books)
    heads = [s.value for s in SHOWN]
    lines = [f"{'book':<{first}}  tables  figures  {'  '.join(f'{h:>9}' for h in heads)}  clauses"]
    for book, c in books:
        counts = "  ".join(f"{c.of(s):>9}" for s in SHOWN)
        lines.append(f"{book.id:<{first}}  {c.tables:>6}  {c.figures:>7}  {counts}  {sum(c.clauses.values()):>7}")
    lines.append("")
    for book, c in books:
        words = f"{book.id}: {book_name(book)}"
        if c.inherited:
            words += f"; {c.inherited} of its figures stand in {', '.join(c.parents)}"
        lines += textwrap.wrap(words, width, subsequent_indent="    ")
    lines += ["", *textwrap.wrap(MEANS, width)]
    return "\n".join(lines) + "\n"


MEANS = (
    "Figures are single values and cells of tables. read = compared with the page itself; secondary = taken from a "
    "work that quotes it; derived = computed from other values; estimate = a fair guess; memory = written down from "
    "general knowledge. `stubout books BOOK` shows one book, `stubout books verify JOB` what to look up for a job."
)


def contents_text(book: RuleBook, c: Census, width: int = 92) -> str:
    """Return one book whole: its counts, each table with its rows, each single value, each clause."""
    lines = [book_name(book), *textwrap.wrap(book.note, width), ""]
    for what, counts in (("values", c.values), ("cells of tables", c.cells), ("clauses", c.clauses)):
        lines.append(f"{sum(counts.values()):>5} {what}: {counted(counts)}")
    lines += [f"{c.not_permitted:>5} rows: not permitted", "", f"TABLES ({c.tables})", ""]
    for t in book.tables.values():
        found = by_status(r.cell for r in t.rows if r.cell is not None)
        lines += textwrap.wrap(
            f"{t.id}: {t.title} ({t.book} {t.section}; {counted(found)})", width, subsequent_indent="    "
        )
        lines += [_row(t, r) for r in t.rows]
        lines.append("")
    lines += [f"VALUES ({len(book.values)})", ""]
    lines += [w for cell in book.values.values() for w in _value(cell, width)]
    lines += ["", f"CLAUSES ({len(book.clauses)})", ""]
    for cell in book.clauses.values():
        text = f"{cell.id}: {cell.text} ({cell.book} {cell.section}; {cell.status.value}{mark(cell.status)})"
        lines += textwrap.wrap(text, width, initial_indent="  ", subsequent_indent="      ")
    return "\n".join([*lines, "", LOOK_UP]) + "\n"


def counted(counts: Mapping[Status, int]) -> str:
    """Return counts by status in words, those of nothing left out."""
    return ", ".join(f"{n} {s.value}" for s, n in counts.items() if n) or "none"


def _row(t: Table, row: Row) -> str:
    if row.cell is None:
        key = row_id("", row.inputs)[1:-1].replace(",", ", ")
        return f"    {key:<34} not permitted"
    key = row.cell.what.removeprefix(f"{t.title}, ")
    own = f" {row.cell.section}" if row.cell.section not in ("", t.section) else ""
    return f"    {key:<34} {row.cell.printed} ({row.cell.status.value}{mark(row.cell.status)}{own})".rstrip()


def _value(cell: Cell, width: int) -> list[str]:
    source = f"{f'{cell.book} {cell.section}'.strip()}; {cell.status.value}{mark(cell.status)}"
    return textwrap.wrap(
        f"{cell.id}: {cell.what}: {cell.printed} ({source})", width, initial_indent="  ", subsequent_indent="      "
    )


def compared_text(c: Comparison, width: int = 92) -> str:
    """Return two books side by side: every place in which they differ, by topic."""
    told = [d for d in c.differ if not d.rounding]
    rounded = [d for d in c.differ if d.rounding]
    counts = [f"{several(c.same, 'figure')} alike", several(len(told), "difference")]
    if rounded:
        counts.append(
            f"{several(len(rounded), 'length')} or slopes alike but for rounding, feet and inches against metres"
        )
    lines = [f"{c.a} and {c.b} side by side", *textwrap.wrap("; ".join(counts) + ".", width), ""]
    for title, kinds in (("VALUES", ("value",)), ("TABLES", ("table", "row")), ("CLAUSES", ("clause",))):
        mine = [d for d in told if d.kind in kinds]
        lines += [f"{title} ({len(mine)})", ""]
        lines += [w for d in mine for w in _difference(c, d, width)]
        lines.append("")
    if rounded:
        lines += [f"ROUND FIGURES ({len(rounded)})", ""]
        lines += [w for d in rounded for w in _difference(c, d, width)]
        lines.append("")
    return "\n".join([*lines, LOOK_UP]) + "\n"


def _difference(c: Comparison, d: Difference, width: int) -> Iterator[str]:
    yield from textwrap.wrap(f"{d.id}: {d.what}", width, initial_indent="  ", subsequent_indent="      ")
    label = max(len(c.a), len(c.b)) + 2
    for book_id, side in ((c.a, d.a), (c.b, d.b)):
        yield from textwrap.wrap(
            f"{book_id:<{label}}{_side(book_id, side)}", width, initial_indent="      ",
            subsequent_indent=" " * (6 + label),
        )  # fmt: skip


def _side(book_id: str, side: Side) -> str:
    """Return what a book says; the book is named only where it is a parent."""
    if side.status is None:
        return side.printed
    where = side.section if side.book == book_id else f"{side.book} {side.section}"
    return f"{side.printed} ({where}; {side.status.value}{mark(side.status)})"


def job_compared_text(done: JobCompared, title: str, width: int = 92) -> str:
    """Return how one job fares under two books: laid out by each, and one layout judged by both."""
    lines = [f"{title} under {done.a.book} and {done.b.book}", ""]
    for trial in (done.a, done.b):
        lines += _trial(trial, width)
    if done.a.judged is not None and done.b.judged is not None:
        lines += ["", "LAID OUT BY EACH BOOK", "", *_rows(done, done.rows, width), *_sizes(done, done.sizes)]
    if done.kept:
        other = done.b.book if done.kept == done.a.book else done.a.book
        lines += ["", f"THE LAYOUT BY {done.kept}, AS IT STANDS, JUDGED BY {other}", ""]
        if done.kept_silent:
            lines += textwrap.wrap(f"Could not be judged: {done.kept_silent}.", width)
        else:
            lines += _rows(done, done.kept_rows, width)
    return "\n".join(lines) + "\n"


def _trial(trial: Trial, width: int) -> Iterator[str]:
    if trial.judged is None:
        yield from textwrap.wrap(f"{trial.book}: not laid out: {trial.silent}.", width, subsequent_indent="    ")
    else:
        counts = ", ".join(f"{sum(1 for f in trial.judged.findings if f.level is v)} {v.value}" for v in Level)
        more = f"; {len(trial.judged.not_checked)} not checked"
        if trial.judged.design.blocked:
            more += f"; {several(len(trial.judged.design.blocked), 'part')} not laid out"
        yield f"{trial.book}: {counts}{more}"
    for words, which in (("taken along, since this book is silent", trial.taken), ("left behind", trial.left)):
        if which:
            yield from textwrap.wrap(
                f"amendments of the job's own book {words}: {', '.join(which)}", width, initial_indent="    ",
                subsequent_indent="    ",
            )  # fmt: skip


def _rows(done: JobCompared, rows: tuple[FindingRow, ...], width: int) -> Iterator[str]:
    """Yield what passes in one book and fails in the other, then what both find, each judged by its own figure."""
    a, b = done.a.book, done.b.book
    must = [r for r in rows if r.level in (Level.STOP, Level.FIX)]
    for title, differs in (
        (f"Fails by {a}, not by {b}", "only a"),
        (f"Fails by {b}, not by {a}", "only b"),
        ("Fails by both, each wants something else", "other wanted"),
    ):
        mine = [r for r in must if r.differs == differs]
        yield f"{title}: {len(mine) or 'nothing'}"
        if differs == "other wanted":
            for row in mine:
                yield from _row_of(row, a, b, width)
        else:
            yield from _one_sided(mine, b if differs == "only a" else a, width)
    same = sum(1 for r in must if r.differs == "same")
    asks = sum(1 for r in rows if r.level not in (Level.STOP, Level.FIX) and r.differs != "same")
    yield f"Fails by both alike: {same or 'nothing'}"
    if asks:
        yield f"Questions and notes that differ: {asks} (--json lists them)"


def _one_sided(rows: Sequence[FindingRow], silent: str, width: int) -> Iterator[str]:
    """Yield what only one book finds, check by check: what all places share once, then each place."""
    reasons = {r.check: r.not_checked for r in rows}
    for group in groups(f for r in rows for f in (*r.a, *r.b)):
        yield f"  {group.level.value} {group.title} ({group.check}){group.times}"
        shared = f"wanted {group.wanted}" if group.wanted else ""
        source = f"by {clause(group.bases)}" if group.bases else ""
        if shared or source:
            yield from _indented("; ".join(p for p in (shared, source) if p), width)
        for f in group.findings:
            own = "" if group.wanted else f"; wanted {f.wanted}"
            unnamed = ", ".join(i for i in f.about if i not in f.found)
            yield from _indented(f"{f'{unnamed}: ' if unnamed else ''}{f.found}{own}", width, "- ")
        for reason in reasons[group.check]:
            yield from _indented(f"{silent} does not judge this, or not all of it: {reason}", width)


def _row_of(row: FindingRow, a: str, b: str, width: int) -> Iterator[str]:
    head = f"{row.level.value} {row.name.replace('-', ' ')} ({row.check}): {', '.join(row.about)}"
    yield from textwrap.wrap(head, width, initial_indent="  ", subsequent_indent="      ")
    for book_id, findings in ((a, row.a), (b, row.b)):
        for f in findings:
            yield from _indented(f"{book_id}: {f.found}; wanted {f.wanted}; by {clause(f.bases)}", width)


def _indented(text: str, width: int, bullet: str = "") -> list[str]:
    return textwrap.wrap(text, width, initial_indent=f"      {bullet}", subsequent_indent="        ")


def _sizes(done: JobCompared, rows: tuple[SizeRow, ...]) -> Iterator[str]:
    yield ""
    yield f"Sized or laid otherwise: {len(rows) or 'nothing'}"
    label = max(len(done.a.book), len(done.b.book), 14)
    if rows:
        yield f"  {'':<8}{'':<26}{done.a.book:<{label}}  {done.b.book}"
    for r in rows:
        yield f"  {r.about:<8}{r.what:<26}{r.a:<{label}}  {r.b}".rstrip()
