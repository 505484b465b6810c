"""The use case of a layout bettered by trying: trials side by side on all processors, the choices put into the file."""

from __future__ import annotations

import signal
import textwrap
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import cpu_count, get_context
from typing import Any

from stubout import run
from stubout.change.refine import AT_ONCE, Refined, Trial, nothing, refine
from stubout.export.json_ import SCHEMA
from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text, text_of
from stubout.files.kept import with_entries
from stubout.job.model import Job
from stubout.problems import LayoutError, NotInBook, several
from stubout.reports.costs import hours

LISTED = "choices"


@dataclass(frozen=True, slots=True)
class Choosing:
    """A job file that says what was chosen."""

    text: str  # the file as it was where nothing better was found
    refined: Refined


def refined(path: str, most: int, progress: run.Progress | None = None) -> Choosing:
    """Return the text of a job file with the choices of the best of so many layouts.

    Args:
        path: The job file.
        most: How many layouts to try.
        progress: Called with words at each step.

    Raises:
        JobFileError: If the file is no job.
        LayoutError: If nothing can be laid out.
    """
    job, text = run.read(path), text_of(path)
    with _side_by_side() as pool:
        return refined_in(job, text, path, most, progress, lambda jobs: list(pool.map(_or_nothing, jobs)))


def refined_in(
    job: Job,
    text: str,
    path: str,
    most: int,
    progress: run.Progress | None = None,
    every: Callable[[Sequence[Job]], list[Trial]] | None = None,
) -> Choosing:
    """Return the text of a job with the choices of the best of so many layouts.

    Args:
        job: The job.
        text: Its text.
        path: What its faults are told of.
        most: How many layouts to try.
        progress: Called with words at each step.
        every: Tries some layouts; one after the other, in this process, where none is given.

    Raises:
        LayoutError: If nothing can be laid out.
    """
    say = progress or (lambda _: None)
    say("the layout as it is")
    every = every or (lambda jobs: [_or_nothing(j) for j in jobs])
    found = refine(job, run.laid_out(job).trial, every, most, say)
    if not found.better:
        return Choosing(text, found)
    text = with_entries(text, LISTED, found.entries, lambda _: True, path=path)
    read_job_text(text, path, book_ids(), framing_ids())
    return Choosing(text, found)


@contextmanager
def _side_by_side() -> Iterator[Executor]:
    """Give processes to lay out in; one that is ended by the keyboard is ended by the one who reads the keyboard."""
    workers = min(AT_ONCE, cpu_count())
    pool = ProcessPoolExecutor(workers, get_context("spawn"), signal.signal, (signal.SIGINT, signal.SIG_IGN))
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def tried(job: Job) -> Trial:
    """Return what a layout of a job is worth; raises what `run.design` raises."""
    return run.tried(job).trial


def _or_nothing(job: Job) -> Trial:
    """Return the same, or what is worse than any layout where none comes out."""
    try:
        return tried(job)
    except (LayoutError, NotInBook):
        return nothing(job)


def refined_data(made: Choosing, **where: Any) -> dict[str, Any]:
    """Return what was found for other programs; `where` says where the text of the job went."""
    found = made.refined
    sides = {"was": found.was, "best": found.best}
    return {
        "schema": SCHEMA,
        **where,
        "tried": found.tried,
        **{
            name: {"blocked": t.blocked, "findings": list(t.findings), "cost_min": round(t.cost_min, 1)}
            for name, t in sides.items()
        },
        "choices": [dict(e) for e in found.entries] if found.better else [],
    }


def refined_text(made: Choosing, width: int) -> str:
    """Return what was found in a few lines of so many columns."""
    found = made.refined
    words = [f"{several(found.tried, 'layout')} tried beside the one the file has: {_worth(found.was)}."]
    if not found.better:
        words.append("None was better: nothing is written.")
    else:
        words.append(f"The best: {_worth(found.best)}.")
        words.append("Choices written:")
        words += [f"- {', '.join(f'{k}: {v}' for k, v in e.items())}" for e in found.entries]
    return "\n".join(line for w in words for line in textwrap.wrap(w, width, subsequent_indent="  ")) + "\n"


def _worth(t: Trial) -> str:
    blocked = f"{t.blocked} blocked, " if t.blocked else ""
    checks = sorted(set(t.findings))
    named = f" ({', '.join(checks)})" if checks else ""
    return f"{blocked}{several(len(t.findings), 'finding')}{named}, {hours(t.cost_min)}"
