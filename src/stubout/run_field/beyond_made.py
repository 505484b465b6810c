"""A plan with the options of the command line, and the verification sheet; the engine at work."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from stubout import run
from stubout.export.books_json import sheet_data
from stubout.export.json_ import SCHEMA
from stubout.export.json_ import write as as_json
from stubout.run_field import beyond, texts
from stubout.run_field.beyond import Options

if TYPE_CHECKING:
    from stubout.design import Design
    from stubout.job.model import Job

Say = Callable[[str], None]


def files_of(job: Job, design: Design, asked: Options, prices: str, progress: Say) -> dict[str, bytes]:
    """Return every file of a plan with its options, as `stubout plan` writes them.

    Args:
        job: The job.
        design: Its design.
        asked: The options.
        prices: The list of prices, as text; read only where they are asked for.
        progress: Called with words at each step.

    Raises:
        JobFileError: If the list of prices is none.
    """
    given = texts.prices_of(prices) if asked.prices else None
    among = run.beside(job, progress) if asked.alternatives else None
    if asked.why_blocked:
        design = run.explained(job, design, progress)
    progress("checks")
    verdict = run.check(design)
    if asked.fixes:
        progress("fixes")
    tried = run.fixes_of(design, verdict) if asked.fixes else {}
    return run.made(design, verdict, progress, tried, among, given).files


def sheet_of(design: Design) -> dict[str, bytes]:
    """Return the verification sheet of a design, as `stubout books verify --json` prints it."""
    verdict = run.check(design)
    return {beyond.SHEET: as_json({"schema": SCHEMA, **sheet_data(design, verdict.findings, verdict.used)})}
