"""The ways of fixtures in the layouts that were tried, put together anew: the cheapest that go together, checked.

A fixture's way that is good in one layout may be better than what the best of them has for it. Which ways go together
is chosen all at once (`layout/select/together.py`); what comes of it is finished, eased and checked like any layout.
What is found about a fixture then speaks against its way, and the choice is made again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from stubout.catalog.costs import Costs
from stubout.change.best import WORTH_ANOTHER, Whole, better
from stubout.layout.model import Layout
from stubout.layout.select.model import Selection
from stubout.layout.select.pool import Pool, Way
from stubout.layout.select.put_together import put_together
from stubout.layout.select.together import DOUBTED, Cheapest, Together

MOST_COMBINED = 12  # layouts put together that are finished and checked
MOST_CHOSEN = 40  # choices, those among them that come to a layout that was tried
MOST_IN_VAIN = 5

Laid = TypeVar("Laid")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A layout without cleanouts, and the fixtures about which something was found in it; None where nobody looked."""

    layout: Layout
    doubted: frozenset[str] | None


class Combining(Generic[Laid]):
    """The best layout of a house, to be bettered by the ways of others.

    Args:
        best: The best so far.
        own: The same, as it was drawn.
        others: All that were tried, it among them.
        costs: The rows of the data with those of the job.
        tops: Where the pipe down to each fixture's trap begins, from `worth.pipe_tops` [mm].
    """

    def __init__(
        self,
        best: Whole[Laid],
        own: Candidate,
        others: Sequence[Candidate],
        costs: Costs,
        tops: Mapping[str, float],
    ) -> None:
        self.best, self.cost, self.doubted = best, own.layout.cost, len(own.doubted or ())
        whole = [c for c in others if not c.layout.blocked]
        distinct = list({(c.layout.points, c.layout.runs): c for c in (*whole, own)}.values())
        distinct.remove(own)
        distinct.append(own)
        self.candidates = len(distinct)
        self.pool = Pool([c.layout for c in distinct], [c.doubted or () for c in distinct], costs, tops)
        self._judged = {n for n, c in enumerate(distinct) if c.doubted is not None}
        self.own = self.pool.of(len(distinct) - 1)
        self.choice = Together(self.pool)

    def bettered(self, finish: Callable[[Layout], Whole[Laid]]) -> Whole[Laid]:
        """Return the best that comes of putting ways together; the one that was there where nothing is better.

        Args:
            finish: Gives a layout its cleanouts, finishes, eases and checks it.
        """
        made, in_vain = 0, 0
        for _ in range(MOST_CHOSEN):
            picked = self.choice.cheapest()
            if picked is None or picked.least >= self._worth() or made == MOST_COMBINED or in_vain == MOST_IN_VAIN:
                break
            if self._was_tried(picked.ways):
                self.choice.pass_over(picked.ways)
                continue
            layout = put_together(self.pool, picked.ways)
            if layout is None:
                self.choice.refuse(picked.ways)
                continue
            made += 1
            in_vain += 1
            whole = finish(layout)
            if better(whole.trial, self.best.trial):
                self.best, self.cost, self.doubted = whole, layout.cost, len(whole.trial.concerned)
                self.own, in_vain = picked.ways, 0
                self.choice.pass_over(picked.ways)
            else:
                self._learn(picked, whole)
        return self.best

    @property
    def mixed(self) -> bool:
        """Return whether the best takes the ways of its fixtures from several layouts."""
        return len(self.pool.as_drawn(self.own)) > 1

    def selection(self) -> Selection | None:
        """Return how near the best is to what no choice of ways can cost less than; None where nothing can be said."""
        if self.candidates < 2 or self.best.trial.blocked:
            return None
        self.choice.allow(self.own)
        picked = self.choice.cheapest()
        if picked is None or picked.least >= DOUBTED:
            return None
        return Selection(self.candidates, sum(map(len, self.pool.ways.values())), self.cost, picked.least)

    def _was_tried(self, ways: Sequence[Way]) -> bool:
        """Return whether ways come to a layout that was judged already."""
        return any(set(self.pool.of(n)) == set(ways) for n in self._judged)

    def _worth(self) -> float:
        """Return what a choice has to be cheaper than."""
        return self.doubted * DOUBTED + self.cost * (1.0 - WORTH_ANOTHER)

    def _learn(self, picked: Cheapest, whole: Whole[Laid]) -> None:
        """Let what is found about fixtures speak against their ways, and take those not together again."""
        if not (whole.trial.blocked or whole.trial.findings):
            self.choice.pass_over(picked.ways)  # only no better than what is there
            return
        found = [w for w in picked.ways if w.tag in whole.trial.concerned]
        for way in found:
            self.choice.doubt(way)
        self.choice.refuse(found if len(found) > 1 else picked.ways)
