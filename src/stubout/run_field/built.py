"""As built: the readings of the site laid into a job, so that sheets, checks and packet know them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stubout.job.model import Job, RecordSaid


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, as a record of the job file says it."""

    about: str
    what: str  # "stub height", "slope", "test", "signed", "note"
    value: str
    date: str
    by: str


def with_readings(job: Job, readings: Iterable[Reading]) -> Job:
    """Return the job with readings of the site before its own records: of two about one thing the first is printed."""
    said = (RecordSaid(about=r.about, what=r.what, value=r.value, date=r.date, by=r.by) for r in readings)
    return job.model_copy(update={"records": (*said, *job.records)})
