"""A job laid out and judged, and copies of a job with another wish: what every trial of a changed job is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stubout.design import Design
from stubout.job.model import Job
from stubout.problems import Finding


@dataclass(frozen=True, slots=True)
class Judged:
    """A job designed, and what the checks say that nobody has accepted."""

    design: Design
    open: tuple[Finding, ...]


Judge = Callable[[Job], Judged]
Rank = tuple[int, int, float]


def rank(blocked: int, findings: int, cost_min: float) -> Rank:
    """Return which of two layouts is better, the less the better: what is blocked, then found, then what it costs."""
    return blocked, findings, cost_min


def wished(job: Job, key: str, value: object) -> Job:
    """Return a job with one of its wishes changed."""
    return job.model_copy(update={"wishes": job.wishes.model_copy(update={key: value})})
