"""The layout of a job that is planned: where the checks are not content with the first one, the best of some.

The engine judges its own drawings by what it can see of them. What the checks find beyond that is known only when
fittings are chosen; so a layout with findings is held against a few others, as long as that is little work
(`refine.py` has the search; `stubout refine` is the long one, which also looks for what costs less).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from stubout.change.keeping import concerned
from stubout.change.refine import Say, Trial, nothing, refine
from stubout.design import Design
from stubout.job.model import Job
from stubout.layout.model import Layout
from stubout.problems import Finding, LayoutError, NotInBook, several

MOST_TRIED = 24
MOST_EFFORT = 200_000  # steps of path search, the first layout's among them: a large house has none left for others
MOST_IN_VAIN = 12  # so many of them without a better one, and what is found is more likely true of the house

Laid = TypeVar("Laid")


@dataclass(frozen=True, slots=True)
class Whole(Generic[Laid]):
    """A job laid out, finished and judged."""

    laid: Laid
    design: Design
    trial: Trial
    effort: int  # steps of path search


def worth(design: Design, layout: Layout, still: Sequence[Finding]) -> Trial:
    """Return what a layout is worth by its design and what the checks say of it that nobody has accepted."""
    about = [b.about for b in design.blocked] + [f.about for f in still]
    return Trial(
        blocked=len(design.blocked),
        findings=tuple(f.check for f in still),
        cost_min=design.costing().minutes,
        concerned=tuple(sorted(concerned(design, about))),
        chosen=layout.chosen,
    )


def best(job: Job, first: Whole[Laid], again: Callable[[Job], Whole[Laid]], say: Say) -> Whole[Laid]:
    """Return the best of some layouts of a job: the first one, and where something is found in it a few others.

    Args:
        job: The job, which makes no choices.
        first: As it is laid out first.
        again: Lays out the same job with choices.
        say: Told how far it is.
    """
    found = _Found(first, again)
    refine(job, first.trial, found.tried, MOST_TRIED, say, found.enough, endable=False)
    return found.told()


class _Found(Generic[Laid]):
    """The best of the layouts tried so far."""

    def __init__(self, first: Whole[Laid], again: Callable[[Job], Whole[Laid]]) -> None:
        self.best, self.again = first, again
        self.effort, self.count, self.in_vain = first.effort, 0, 0

    def tried(self, jobs: Sequence[Job]) -> list[Trial]:
        """Lay out some jobs and judge them, as long as the work is not too much."""
        return [nothing(job) if self.effort > MOST_EFFORT else self._one(job) for job in jobs]

    def _one(self, job: Job) -> Trial:
        self.count += 1
        self.in_vain += 1
        try:
            whole = self.again(job)
        except (LayoutError, NotInBook):
            return nothing(job)
        self.effort += whole.effort
        if whole.trial.rank < self.best.trial.rank:
            self.best, self.in_vain = whole, 0
        return whole.trial

    def enough(self, best: Trial) -> bool:
        """Return whether nothing is found any more, or the work would be too much."""
        return not (best.blocked or best.findings) or self.effort > MOST_EFFORT or self.in_vain >= MOST_IN_VAIN

    def told(self) -> Whole[Laid]:
        """Return the best, saying that others were tried."""
        if not self.count:
            return self.best
        words = f"The first layout had findings: {several(self.count, 'other')} tried, and this one has the fewest."
        design = self.best.design
        return replace(self.best, design=replace(design, notes=(*design.notes, words)))
