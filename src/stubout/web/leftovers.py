"""What the planned jobs leave over, and how it goes into another job's file as offcuts on hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

from stubout import units
from stubout.problems import JobFileError
from stubout.run_field import leaving, texts
from stubout.run_field.leaving import Left
from stubout.store import jobs
from stubout.store.model import LONGEST_WORDS, Job, Revision, StoreError
from stubout.web import yaml_paths
from stubout.web.office import Office
from stubout.web.yaml_paths import MORE

LISTED: Final = "offcuts"
_STEP_MM: Final[dict[units.Units, float]] = {"inch": units.MM_PER_INCH / 16, "mm": 1.0}
_TOUCH: Final = 1e-6  # of a step


@dataclass(frozen=True, slots=True)
class Offer:
    """What one job leaves over, in the units of another one."""

    job: Job
    revision: int
    least: str  # a shorter end does not count
    sizes: tuple[tuple[str, tuple[str, ...]], ...]  # size and lengths, as the file says them
    carried: tuple[tuple[str, Revision], ...]  # jobs that have taken them already, by name


@dataclass(frozen=True, slots=True)
class Offers:
    """What a job may take from the others."""

    found: tuple[Offer, ...]
    other: int  # jobs of another material
    unplanned: int


def offers(office: Office, to: Revision) -> Offers:
    """Return what the other jobs leave over of the material of a job; JobFileError where its file has faults."""
    own = texts.read_text(to.text).job
    found: list[Offer] = []
    other = unplanned = 0
    every = jobs.listed(office.store)
    for job in (j for j in every if j.id != to.job):
        left = _left(office, office.revision(job.id, job.head))
        unplanned += left is None
        other += left is not None and left.material != own.material
        if left is not None and left.material == own.material and left.sizes:
            taken = _carried(office, job, {j.id: j.name for j in every})
            least = units.named(left.least_mm, own.units)
            found.append(Offer(job, job.head, least, said(left, own.units), taken))
    return Offers(tuple(found), other, unplanned)


def _left(office: Office, of: Revision) -> Left | None:
    """Return what a revision leaves over, None while it is not planned."""
    try:
        return leaving.read(office.plans.file(office.plans.key(of.text), leaving.LEFT))
    except KeyError:
        return None


def _carried(office: Office, job: Job, names: dict[int, str]) -> tuple[tuple[str, Revision], ...]:
    return tuple((names.get(r.job, ""), r) for r in jobs.noted(office.store, _note(job.id)))


def _note(job: int) -> str:
    return f"left over by job {job}, "


def said(left: Left, system: units.Units) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return what is left over as a job file says it; no length is said longer than it is.

    >>> said(Left("abs", 300.0, ((2.0, (400.9, 399.2)),)), "mm")
    (('2', ('400 mm', '399 mm')),)
    """
    step = _STEP_MM[system]
    return tuple(
        (units.size(in_), tuple(units.named(math.floor(mm / step + _TOUCH) * step, system) for mm in lengths))
        for in_, lengths in left.sizes
    )


def carry(office: Office, to: Revision, job: int, number: int, author: str) -> Revision:
    """Save a job with what a revision of another one leaves over as offcuts on hand.

    Raises:
        StoreError: Where that is not planned, or of another material; Stale where somebody has saved meanwhile.
        EditError: Where the file cannot be written.
    """
    of = office.revision(job, number)
    left = _left(office, of)
    try:
        own = texts.read_text(to.text).job
    except JobFileError:
        raise StoreError("the job file has faults: put them right first") from None
    if left is None or job == to.job:
        raise StoreError("what that job leaves over is not known: open it first, so that it is planned")
    if left.material != own.material:
        raise StoreError(f"that pipe is {left.material}, this job is {own.material}")
    entries: list[dict[str, Any]] = [{"size": s, "lengths": list(lengths)} for s, lengths in said(left, own.units)]
    text = yaml_paths.said(to.text, (((LISTED, MORE), e) for e in entries))
    note = f"{_note(job)}revision {number}: {jobs.job(office.store, job).name}"[:LONGEST_WORDS]
    return jobs.save(office.store, to.job, to.number, text, author, note)
