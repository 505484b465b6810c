"""A job compared under two books put into the records of the page; the engine at work."""

from __future__ import annotations

from collections.abc import Iterable

from stubout.problems import Finding, Level
from stubout.reports.judged import FindingRow, JobCompared, Trial
from stubout.reports.show import clause
from stubout.run_field.two_books import Row, Side, Size, Told, Two


def two(done: JobCompared, title: str) -> Two:
    """Return a compared job as the page shows it."""
    return Two(
        title,
        _side(done.a),
        _side(done.b),
        done.kept,
        done.kept_silent,
        tuple(_row(r) for r in done.kept_rows),
        tuple(_row(r) for r in done.rows),
        tuple(Size(s.about, s.what, s.a, s.b) for s in done.sizes),
    )


def _side(trial: Trial) -> Side:
    judged = trial.judged
    levels = [f.level for f in judged.findings] if judged else []
    blocked = judged.design.blocked if judged else ()
    return Side(
        trial.book,
        trial.silent,
        tuple((v.value, levels.count(v)) for v in Level),
        len(judged.not_checked) if judged else 0,
        tuple(f"{', '.join(b.about)}: {b.constraint}" for b in blocked),
        trial.taken,
        trial.left,
    )


def _row(row: FindingRow) -> Row:
    return Row(
        row.check, row.name, row.level.value, row.about, row.differs, _told(row.a), _told(row.b), row.not_checked
    )


def _told(findings: Iterable[Finding]) -> tuple[Told, ...]:
    return tuple(Told(f.found, f.wanted, clause(f.bases)) for f in findings)
