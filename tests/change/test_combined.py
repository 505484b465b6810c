"""The ways of all layouts tried, put together: what is tried, what is learned from it, when it ends, what is told."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from stubout import laying
from stubout.catalog.queries import costs_of
from stubout.change.best import WORTH_ANOTHER, Whole
from stubout.change.combined import MOST_COMBINED, MOST_IN_VAIN, Candidate, Combining
from stubout.change.refine import Trial
from stubout.layout.engine import Known
from stubout.layout.model import Layout
from stubout.layout.worth import pipe_tops

sys.path.insert(0, str(Path(__file__).parents[1] / "layout_bound"))
from small import small_house

SEED = 24  # three fixtures with four to six ways each


class Small:
    """A small house with all that was drawn of it, without a word from the checks."""

    def __init__(self) -> None:
        known = Known()
        self.laid = laying.lay(small_house(SEED), known=known)
        self.drawings = [d for d in known.drawings.layouts if not d.blocked]
        self.tags = tuple(t.tag for t in self.drawings[0].traps)

    def whole(self, layout: Layout, found: tuple[str, ...] = (), concerned: tuple[str, ...] = ()) -> Whole:
        trial = Trial(0, found, layout.cost, concerned, layout.chosen)
        return Whole(self.laid, layout, None, (), trial, 0)

    def combining(self, own: Layout, doubted: frozenset[str] = frozenset()) -> Combining:
        found = ("FIT006",) if doubted else ()
        others = [Candidate(d, None) for d in self.drawings]
        best = self.whole(own, found, tuple(doubted))
        return Combining(
            best, Candidate(own, doubted), others, costs_of(self.laid.house.costs), pipe_tops(self.laid.house.fixtures)
        )


@pytest.fixture
def small() -> Small:
    return Small()


def test_the_cheapest_that_goes_together_is_found_and_told(small: Small) -> None:
    dearest = max(small.drawings, key=lambda d: d.cost)
    combining = small.combining(dearest)
    best = combining.bettered(small.whole)
    found = combining.selection()
    assert best.trial.cost_min <= min(d.cost for d in small.drawings) * (1 + WORTH_ANOTHER)
    assert found.cost == best.trial.cost_min
    assert found.bound <= found.cost + 0.1
    assert found.gap == pytest.approx(max(0.0, 1 - found.bound / found.cost))
    assert found.ways == sum(map(len, combining.pool.ways.values()))


def test_nothing_is_tried_that_would_not_spare_a_hundredth(small: Small) -> None:
    cheapest = small.combining(max(small.drawings, key=lambda d: d.cost)).bettered(small.whole)
    tried = []

    def finish(layout: Layout) -> Whole:
        tried.append(layout)
        return small.whole(layout)

    assert small.combining(cheapest.drawn).bettered(finish).drawn is cheapest.drawn
    assert not tried


def test_it_ends_where_nothing_better_comes_and_keeps_what_is_there(small: Small) -> None:
    own = max(small.drawings, key=lambda d: d.cost)
    tried: list[Layout] = []

    def finish(layout: Layout) -> Whole:
        tried.append(layout)
        return small.whole(layout, ("FIT006",), small.tags[:2])

    combining = small.combining(own)
    assert combining.bettered(finish).drawn is own
    assert len(tried) <= min(MOST_COMBINED, MOST_IN_VAIN)
    assert len({(t.points, t.runs) for t in tried}) == len(tried)  # none twice
    assert combining.selection() is not None  # its own ways are always a choice


def test_a_way_in_doubt_gives_way_to_another(small: Small) -> None:
    """Something is found about one fixture of the best: what comes out has another way for it."""
    own = min(small.drawings, key=lambda d: d.cost)
    tag = next(t for t, ways in small.combining(own).pool.ways.items() if len(ways) > 1)
    combining = small.combining(own, frozenset({tag}))
    before = {w.tag: w.course for w in combining.pool.of(len(combining.pool.drawings) - 1)}
    best = combining.bettered(small.whole)
    assert best.drawn is not own
    assert not best.trial.findings
    assert {w.tag: w.course for w in combining.own}[tag] != before[tag]


def test_what_blocks_something_is_no_candidate_and_one_layout_is_no_choice(small: Small) -> None:
    own = small.drawings[0]
    blocked = replace(own, blocked=(object(),), points=own.points[:-1])
    alone = Combining(small.whole(own), Candidate(own, frozenset()), [Candidate(blocked, None)], costs_of(()), {})
    assert alone.candidates == 1
    assert alone.selection() is None


def test_what_is_found_out_of_the_bound_is_only_what_a_check_found(small: Small) -> None:
    """A choice that is clean, and no better by its finished cost, stays a choice: the bound is not above it."""
    own = max(small.drawings, key=lambda d: d.cost)
    least: list[float] = []

    def finish(layout: Layout) -> Whole:
        least.append(layout.cost)
        return replace(small.whole(layout), trial=Trial(0, (), own.cost, (), layout.chosen))

    combining = small.combining(own)
    assert combining.bettered(finish).drawn is own
    assert least
    assert combining.selection().bound <= min(least) + 0.1
