"""Rule books, the verification sheet and two books side by side as plain JSON data. `docs/commands.md` is the page."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from stubout.design import Design
from stubout.export.json_ import cell_data, finding_data, plain
from stubout.problems import Finding
from stubout.reports.judged import FindingRow, JobCompared, Judged, Trial
from stubout.reports.verification import Line, Used, sheet
from stubout.rulebooks.census import Census
from stubout.rulebooks.compare import Comparison
from stubout.rulebooks.model import Cell, RuleBook, Table
from stubout.rulebooks.tables import row_id


def shelf_data(shelf: Iterable[tuple[RuleBook, Census]]) -> dict[str, Any]:
    """Return every book with its counts by status."""
    return {"books": [{**_head(book), **_counts(c)} for book, c in shelf]}


def titles_data(shelf: Iterable[RuleBook]) -> dict[str, Any]:
    """Return which books there are."""
    return {"books": [{"id": b.id, "title": b.title, "edition": b.edition} for b in shelf]}


def ids_data(book: RuleBook) -> dict[str, Any]:
    """Return what a book has, by id alone."""
    return {"book": book.id, "tables": list(book.tables), "values": list(book.values), "clauses": list(book.clauses)}


def found_data(book_id: str, cells: Iterable[Cell]) -> dict[str, Any]:
    """Return values of a book that were looked up."""
    return {"book": book_id, "values": [cell_data(c) for c in cells]}


def _head(book: RuleBook) -> dict[str, Any]:
    return {"id": book.id, "title": book.title, "edition": book.edition, "parents": list(book.parents)}


def _counts(c: Census) -> dict[str, Any]:
    kinds = (("values", c.values), ("cells", c.cells), ("clauses", c.clauses))
    by_status = {kind: {s.value: n for s, n in counts.items()} for kind, counts in kinds}
    return {"tables": c.tables, **by_status, "not_permitted": c.not_permitted, "inherited": c.inherited}


def contents_data(book: RuleBook, c: Census) -> dict[str, Any]:
    """Return one book whole: tables with rows, values, clauses, each with section and status."""
    return {
        "book": _head(book),
        "count": _counts(c),
        "tables": [_table(t) for t in book.tables.values()],
        "values": [cell_data(v) for v in book.values.values()],
        "clauses": [cell_data(v) for v in book.clauses.values()],
    }


def _table(t: Table) -> dict[str, Any]:
    return {
        "id": t.id,
        "title": t.title,
        "inputs": [{"name": name, "match": match} for name, match in t.inputs],
        "book": t.book,
        "section": t.section,
        "status": t.status.value,
        "rows": [
            {
                "id": row_id(t.id, r.inputs),
                "permitted": r.permitted,
                "cell": None if r.cell is None else cell_data(r.cell),
            }
            for r in t.rows
        ],
    }


def sheet_data(design: Design, findings: tuple[Finding, ...], used: Used) -> dict[str, Any]:
    """Return the verification sheet of a design."""
    whole = sheet(design, findings, used)
    job = design.house.job
    return {
        "job": {"title": job.title, "revision": job.revision, "book": job.book_id, "framing": job.framing_id},
        "compare": [_line(n) for n in whole.open],
        "let_pass": [_line(n) for n in whole.judged],
        "confirmed": [_line(n) for n in whole.confirmed],
        "in_no_book": [plain(b) for b in whole.elsewhere],
    }


def _line(line: Line) -> dict[str, Any]:
    cell = line.cell
    return {
        "value": cell.id,
        "what": cell.text if line.clause else cell.what,
        "printed": f"section {cell.section}" if line.clause else cell.printed,
        "book": cell.book,
        "section": cell.section,
        "table": line.table,
        "status": cell.status.value,
        "note": cell.note,
        "decides": list(line.decides),
        "confirmed_by": cell.confirmed_by,
    }


def compared_data(c: Comparison) -> dict[str, Any]:
    """Return two books side by side."""
    return {"a": c.a, "b": c.b, "same": c.same, "differ": [plain(d) for d in c.differ]}


def job_compared_data(done: JobCompared, title: str) -> dict[str, Any]:
    """Return one job under two books: laid out by each, and one layout judged by both."""
    return {
        "job": title,
        "a": _trial(done.a),
        "b": _trial(done.b),
        "each": [_row(done, r) for r in done.rows],
        "sizes": [plain(s) for s in done.sizes],
        "kept": done.kept,
        "kept_silent": done.kept_silent,
        "kept_rows": [_row(done, r) for r in done.kept_rows],
    }


def _trial(trial: Trial) -> dict[str, Any]:
    return {
        "book": trial.book,
        "silent": trial.silent,
        "amendments_taken": list(trial.taken),
        "amendments_left": list(trial.left),
        "findings": 0 if trial.judged is None else len(trial.judged.findings),
        "not_checked": [] if trial.judged is None else [plain(n) for n in trial.judged.not_checked],
        "blocked": [] if trial.judged is None else [plain(b) for b in trial.judged.design.blocked],
    }


def _row(done: JobCompared, row: FindingRow) -> dict[str, Any]:
    return {
        "check": row.check,
        "name": row.name,
        "level": row.level.value,
        "about": list(row.about),
        "differs": row.differs,
        "a": _findings(done.a.judged, row.a),
        "b": _findings(done.b.judged, row.b),
        "not_checked": list(row.not_checked),
    }


def _findings(judged: Judged | None, findings: tuple[Finding, ...]) -> list[Any]:
    return [] if judged is None else [finding_data(judged.design, f) for f in findings]
