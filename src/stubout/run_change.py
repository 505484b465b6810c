"""The use cases of a changed job: what is kept, what moved, and which sheets are stale."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import Any

from stubout import run
from stubout.change.installed import unknown_runs
from stubout.change.judged import Judged
from stubout.change.keeping import Keeping, faults_since, keep
from stubout.change.moved import Moved, moved
from stubout.change.told import Part, fault_words, parts
from stubout.export.json_ import SCHEMA, plain
from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text, text_of
from stubout.files.kept import kept_before, with_entries
from stubout.house.facts import Installed
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.layout.model import Blocked
from stubout.problems import Fault, Finding, JobFileError
from stubout.sheets.all import sheets
from stubout.windows.solve import windows


@dataclass(frozen=True, slots=True)
class Kept:
    """A job file that keeps an accepted layout."""

    text: str
    keeping: Keeping
    was: Judged


@dataclass(frozen=True, slots=True)
class Changed:
    """What lies between two designs."""

    was: Judged
    now: Judged
    moved: Moved
    new: tuple[Blocked | Finding, ...]  # what is blocked or found now and was not before
    gone: tuple[Blocked | Finding, ...]  # the other way round


def kept(accepted: str, changed: str = "", progress: run.Progress | None = None) -> Kept:
    """Return the text of a changed job with the layout of an accepted one kept in it.

    Args:
        accepted: Path of the job file as it was laid out and accepted.
        changed: Path of the job file as it is now; the accepted one if it has not changed.
        progress: Called with words at each step.

    Raises:
        JobFileError: If a file is no job, or an `installed:` entry names a run that is not laid out.
    """
    say = progress or (lambda _: None)
    old = run.read(accepted)
    path = changed or accepted
    new = run.read(path)
    say("the accepted layout")
    return kept_in(run.planned(old), new, text_of(path), path, say)


def kept_in(was: Judged, new: Job, text: str, path: str, progress: run.Progress) -> Kept:
    """Return the text of a changed job with an accepted layout kept in it.

    Args:
        was: The job as it was accepted, laid out.
        new: The job as it is now.
        text: Its text.
        path: What its faults are told of.
        progress: Called with words at each step.

    Raises:
        JobFileError: If an `installed:` entry names a run that is not laid out.
    """
    house, _ = resolve(new)
    _refuse(path, was, house.installed)
    number = iter(range(1, 99))

    def one(job: Job) -> Judged:
        progress(f"trial {next(number)}")
        return run.judged(job)

    keeping = keep(was, new, house, one)
    text = with_entries(text, "routes", [dict(r.entry) for r in keeping.routes], kept_before, path=path)
    text = with_entries(text, "questions", keeping.questions, path=path)
    read_job_text(text, path, book_ids(), framing_ids())
    return Kept(text, keeping, was)


def _refuse(path: str, was: Judged, entries: tuple[Installed, ...]) -> None:
    """Raise JobFileError if an entry says that something is in place which the accepted layout does not have."""
    faults = [
        Fault(path, said.line, "installed.runs", repr(name), "a run of the accepted layout, by its id on the sheets")
        for said in entries
        for name in unknown_runs(was.design.network, said)
    ]
    if faults:
        raise JobFileError(faults)


def changed(before: str, after: str, progress: run.Progress | None = None) -> Changed:
    """Return what moved between the layouts of two job files, and which sheets are stale."""
    say = progress or (lambda _: None)
    say("the earlier layout")
    was = run.planned(run.read(before))
    say("the later layout")
    return between(was, run.planned(run.read(after)), say)


def between(was: Judged, now: Judged, progress: run.Progress) -> Changed:
    """Return what moved between two layouts, and which sheets are stale."""
    progress("what moved")
    drawn = [sheets(j.design, windows(j.design)) for j in (was, now)]
    found = moved(was.design, now.design, drawn[0], drawn[1])
    return Changed(was, now, found, faults_since(was, now), faults_since(now, was))


def changed_parts(found: Changed) -> tuple[Part, ...]:
    """Return what moved, part by part, to be told."""
    return parts(found.moved, *(map(fault_words, faults) for faults in (found.new, found.gone)))


def kept_data(kept: Kept, **where: Any) -> dict[str, Any]:
    """Return what was kept for other programs; `where` says where the text of the job went."""
    k = kept.keeping
    return {
        "schema": SCHEMA,
        **where,
        "installed": sorted(r.id for r in k.routes if r.installed),
        "kept": sorted(r.id for r in k.routes if not r.installed),
        "anew": list(k.anew),
        "along": list(k.along),
        "new_faults": [list(a) for a in k.new_faults],
    }


def kept_words(kept: Kept) -> tuple[str, ...]:
    """Return what was kept in a few sentences."""
    k = kept.keeping
    held = [r.id for r in k.routes if r.installed]
    words = [f"{len(k.routes)} of {len(kept.was.design.network.pipes)} pipes written as routes, {len(held)} installed."]
    if held:
        words.append(f"Installed: {', '.join(held)}.")
    if k.along:
        words.append(f"Moved along with its fixture, the rest stays: {', '.join(k.along)}.")
    return (*words, f"Laid out anew: {', '.join(k.anew) or 'nothing'}.")


def kept_text(kept: Kept, width: int) -> str:
    """Return what was kept in a few lines of so many columns."""
    words = list(kept_words(kept))
    if kept.keeping.new_faults:
        about = "; ".join(", ".join(a[:4]) for a in kept.keeping.new_faults)
        words.append(f"New findings, about: {about}. `stubout check` tells them.")
    return "\n".join(line for w in words for line in textwrap.wrap(w, width, subsequent_indent="  ")) + "\n"


def changed_data(found: Changed) -> dict[str, Any]:
    """Return what moved for other programs."""
    about = {"new_faults": found.new, "gone_faults": found.gone}
    return {"schema": SCHEMA, **plain(found.moved), **{k: _about(faults) for k, faults in about.items()}}


def _about(faults: tuple[Blocked | Finding, ...]) -> list[list[str]]:
    return [list(a) for a in dict.fromkeys(f.about for f in faults)]
