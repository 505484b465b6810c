"""The layout of a job that is planned: the best of those in each order, and of a few others.

The engine judges its own drawings by what it can see of them. What the checks find beyond that, and what it really
costs, is known only when fittings are chosen; so layouts are held against each other finished, as long as that is
little work (`refine.py` has the search; `stubout refine` is the long one).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import and_
from typing import Generic, TypeVar

from stubout.change.ease_limits import MEETING
from stubout.change.eased import BESIDE, OF_ROOM, TURNED
from stubout.change.judged import Rank
from stubout.change.keeping import concerned
from stubout.change.refine import Say, Trial, nothing, refine
from stubout.design import Design
from stubout.job.model import Job
from stubout.layout.model import Layout
from stubout.layout.worth import asked_worth
from stubout.problems import Finding, LayoutError, NotInBook

MOST_TRIED = 40
MOST_EFFORT = 300_000  # steps of path search, and what is worth as many, those of the first layouts among them
MOST_BLOCKED = 2  # times as much where something is blocked
DRAWN = 150  # steps that drawing and finishing a house is worth, times the square of its fixtures
OF_HOUSE_IN_VAIN = 8  # so many of them without a better one where nothing is found but what seems true of the house
MOST_IN_VAIN = 12  # where more is found
MOST_CLEAN = 4  # tried where nothing is found: what costs still less is looked for by `stubout refine`
WORTH_ANOTHER = 0.01  # of the cost: for less a layout in which nothing is found stays as it was
OF_PLACES = (MEETING, TURNED, OF_ROOM, BESIDE, "FIT008")  # checks of what lies otherwise in each layout

Laid = TypeVar("Laid")


@dataclass(frozen=True, slots=True)
class Whole(Generic[Laid]):
    """A job laid out, finished and judged."""

    laid: Laid
    drawn: Layout  # as it was before its fittings were given room
    design: Design
    open: tuple[Finding, ...]  # what the checks find that nobody has accepted
    trial: Trial
    effort: int  # steps of path search, and what is worth as many


def worth(design: Design, layout: Layout, still: Sequence[Finding]) -> Trial:
    """Return what a layout is worth by its design and what the checks say of it that nobody has accepted."""
    about = [b.about for b in design.blocked] + [f.about for f in still]
    return Trial(
        blocked=len(design.blocked),
        findings=tuple(f.check for f in still),
        cost_min=design.costing().minutes,
        concerned=tuple(sorted(concerned(design, about))),
        chosen=layout.chosen,
        asked_min=asked_worth(layout, design.house.fixtures),
    )


def best(job: Job, there: Sequence[Whole[Laid]], again: Callable[[Job, Rank], Whole[Laid]], say: Say) -> Whole[Laid]:
    """Return the best of some layouts of a job: those that are there, and a few more, most where something is found.

    Args:
        job: The job, which makes no choices.
        there: As it is laid out in each order, the best first.
        again: Lays out the same job with choices, eased where it may come to be better than a rank.
        say: Told how far it is.
    """
    found = _Found(there, again)
    others = [w.trial for w in there[1:]]
    refine(job, there[0].trial, found.tried, MOST_TRIED, say, found.enough, better=better, beside=others, endable=False)
    return found.best


def of_house(there: Sequence[Trial]) -> Counter[str]:
    """Return the checks that find the same in a house in whatever order it is laid out: no other layout will help.

    What they say of single fittings, turns and pipes that meet is another thing in each.
    """
    every = [Counter(f for f in t.findings if f not in OF_PLACES) for t in there]
    return reduce(and_, every)


def true_of_house(one: Trial, of_all: Counter[str]) -> bool:
    """Return whether nothing is blocked in a layout, nor found but what `of_house` says is found in all of them."""
    return not one.blocked and not Counter(one.findings) - of_all


def better(one: Trial, best: Trial) -> bool:
    """Return whether a layout is better; where nothing is found in the best, cheaper by what is worth another."""
    if one.rank < best.rank and not (best.blocked or best.findings):
        return one.rank[2] < best.rank[2] * (1.0 - WORTH_ANOTHER)
    return one.rank < best.rank


class _Found(Generic[Laid]):
    """The best of the layouts tried so far."""

    def __init__(self, there: Sequence[Whole[Laid]], again: Callable[[Job, Rank], Whole[Laid]]) -> None:
        self.best, self.again = there[0], again
        self.effort, self.in_vain, self.clean = sum(w.effort for w in there), 0, 0
        self.of_house = of_house([w.trial for w in there])

    def tried(self, jobs: Sequence[Job]) -> list[Trial]:
        """Lay out some jobs and judge them, as long as the work is not too much."""
        return [nothing(job) if self._worn_out() else self._one(job) for job in jobs]

    def _worn_out(self) -> bool:
        """Return whether the work is too much to try one more."""
        return self.effort > MOST_EFFORT * (MOST_BLOCKED if self.best.trial.blocked else 1)

    def _one(self, job: Job) -> Trial:
        self.in_vain += 1
        self.clean += not (self.best.trial.blocked or self.best.trial.findings)
        try:
            whole = self.again(job, self.best.trial.rank)
        except (LayoutError, NotInBook):
            return nothing(job)
        self.effort += whole.effort
        if better(whole.trial, self.best.trial):
            self.best, self.in_vain = whole, 0
        return whole.trial

    def enough(self, best: Trial) -> bool:
        """Return whether enough others were tried, or the work would be too much."""
        if self._worn_out():
            return True
        if not (best.blocked or best.findings):  # only what costs less is looked for, and not for long
            return self.clean >= MOST_CLEAN
        return self.in_vain >= (OF_HOUSE_IN_VAIN if true_of_house(best, self.of_house) else MOST_IN_VAIN)
