"""Ways of several drawings put together: against every combination, and against the drawings themselves."""

from __future__ import annotations

import math
import sys
from collections import Counter
from dataclasses import replace
from itertools import pairwise, product
from pathlib import Path

import pytest

from stubout import laying
from stubout.catalog.queries import costs_of
from stubout.geometry.vec import Vec
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.engine import Known
from stubout.layout.flowgraph import flow_of, reach_of
from stubout.layout.model import Layout, Place, Point, PointKind, Role, Run, TrapPlan, VentMethod
from stubout.layout.select.pool import Pool
from stubout.layout.select.put_together import put_together
from stubout.layout.select.together import DOUBTED, Cheapest, Together
from stubout.layout.worth import pipe_tops
from stubout.network.build import faults_of

sys.path.insert(0, str(Path(__file__).parents[1] / "layout_bound"))
from small import small_house

SEEDS = (0, 6, 7, 17, 20, 23, 24)  # with several drawings whose ways can be mixed
MOST_COMBINATIONS = 3_000
SLACK = 1.03  # prices are the least of any drawing: a choice costs a little more than its bound
HAIR = 0.1  # lengths are told to a tenth of a millimetre, costs to a tenth of a minute


class Drawn:
    """A small house with all that the engine drew of it."""

    def __init__(self, seed: int) -> None:
        known = Known()
        self.laid = laying.lay(small_house(seed), known=known)
        whole = [d for d in known.drawings.layouts if not d.blocked]
        self.drawings = list({(d.points, d.runs): d for d in whole}.values())
        self.costs = costs_of(self.laid.house.costs)
        self.pool = Pool(self.drawings, [()] * len(self.drawings), self.costs, pipe_tops(self.laid.house.fixtures))

    def found(self, layout: Layout) -> Counter[str]:
        opened = with_cleanouts(layout, self.laid.house, self.laid.book)
        return Counter(f.check for f in laying.check(laying.finish(replace(self.laid, layout=opened))).open)


@pytest.fixture(scope="module", params=SEEDS)
def drawn(request):
    return Drawn(request.param)


def held(layout: Layout) -> bool:
    """Return whether pipes flow one way and every trap meets the vent fitting that is meant for it."""
    flow = flow_of(layout.runs, {p.id: p.at for p in layout.points})
    meet = all(reach_of(flow, t.weir).takeoff == t.takeoff for t in layout.traps if t.takeoff)
    return meet and not faults_of(layout)


def test_there_is_something_to_choose(drawn) -> None:
    assert len(drawn.drawings) > 1
    assert max(len(ways) for ways in drawn.pool.ways.values()) > 1


def test_no_combination_costs_less_than_what_is_proven(drawn) -> None:
    """Against going through all of them: each put together, held against the graph, priced like any drawing."""
    ways = list(drawn.pool.ways.values())
    assert math.prod(map(len, ways)) <= MOST_COMBINATIONS
    every = (put_together(drawn.pool, some) for some in product(*ways))
    cheapest = min(one.cost for one in every if one is not None and held(one))
    picked = Together(drawn.pool).cheapest()
    chosen = put_together(drawn.pool, picked.ways)
    assert picked.least <= cheapest + HAIR
    assert held(chosen)
    assert chosen.cost <= max(cheapest, picked.least) * SLACK


def test_each_drawing_is_a_choice_and_costs_no_less_than_the_model_says(drawn) -> None:
    for n, drawing in enumerate(drawn.drawings):
        choice = Together(drawn.pool)
        own = set(drawn.pool.of(n))
        for ways in drawn.pool.ways.values():
            for w in ways:
                if w not in own:
                    choice.refuse((w,))
        picked = choice.cheapest()
        assert picked is not None
        assert set(picked.ways) == own
        assert picked.least <= drawing.cost + HAIR


def test_a_drawing_put_together_is_itself_again(drawn) -> None:
    for n, drawing in enumerate(drawn.drawings):
        again = put_together(drawn.pool, drawn.pool.of(n))
        assert again.cost == pytest.approx(drawing.cost, abs=HAIR)
        assert _pipe_mm(again) == pytest.approx(_pipe_mm(drawing), abs=1.0)
        told = {t.tag: (t.method, t.partner, t.weir_z_mm, len(t.wet_through)) for t in again.traps}
        assert told == {t.tag: (t.method, t.partner, t.weir_z_mm, len(t.wet_through)) for t in drawing.traps}
        assert again.stubs == drawing.stubs
        assert again.questions == drawing.questions
        assert drawn.found(again) == drawn.found(drawing)


def _pipe_mm(layout: Layout) -> dict[tuple[str, float], float]:
    """Return how much pipe of each system and size there is; arms apart."""
    at = {p.id: p.at for p in layout.points}
    total: Counter[tuple[str, float]] = Counter()
    for r in layout.runs:
        total["arm" if r.role is Role.TRAP_ARM else r.system, r.size_in] += at[r.start].to(at[r.end])
    return dict(total)


def test_what_is_refused_or_doubted_is_not_taken_and_may_be_allowed_again(drawn) -> None:
    choice = Together(drawn.pool)
    first = choice.cheapest()
    choice.refuse(first.ways)
    other = choice.cheapest()
    assert set(other.ways) != set(first.ways)
    assert other.least >= first.least - HAIR
    for w in first.ways:
        choice.doubt(w)
    doubted = choice.cheapest()
    assert int(doubted.least // DOUBTED) == len(set(doubted.ways) & set(first.ways))  # as few of them as can be
    assert doubted.least % DOUBTED >= first.least - HAIR
    choice.allow(first.ways)
    assert choice.cheapest().least == pytest.approx(first.least)


def test_what_is_passed_over_is_taken_in_again(drawn) -> None:
    choice = Together(drawn.pool)
    first = choice.cheapest()
    choice.pass_over(first.ways)
    other = choice.cheapest()
    assert set(other.ways) != set(first.ways)
    choice.allow(other.ways)
    assert set(choice.cheapest().ways) == set(first.ways)


def test_ways_are_taken_from_as_few_drawings_as_have_them(drawn) -> None:
    for n in range(len(drawn.drawings)):
        assert len(drawn.pool.as_drawn(drawn.pool.of(n))) == 1
    for some in product(*drawn.pool.ways.values()):
        taken = drawn.pool.as_drawn(some)
        assert {w.course for ways in taken.values() for w in ways} == {w.course for w in some}
        assert all(w.drawing == n for n, ways in taken.items() for w in ways)


def test_a_doubted_way_weighs_more_than_any_minutes(drawn) -> None:
    doubted = Pool(drawn.drawings, [set(drawn.pool.ways)] * len(drawn.drawings), drawn.costs, drawn.pool.tops)
    least = Together(doubted).cheapest().least
    assert least == pytest.approx(Together(drawn.pool).cheapest().least + DOUBTED * len(drawn.pool.ways))


def _drains(tag: str, *places: Vec) -> Layout:
    """Return a drawing of one fixture: a drain from place to place."""
    points = tuple(Point(f"{tag}{k}", p, PointKind.TURN) for k, p in enumerate(places))
    lies = Place("under slab")
    runs = tuple(
        Run(f"D{k}", "drain", Role.BRANCH, a.id, b.id, lies, 2.0) for k, (a, b) in enumerate(pairwise(points), start=1)
    )
    return Layout(points, runs, (TrapPlan(tag, 1.5, points[0].id, "", (), VentMethod.NONE),), (), ())


A, B, C, D, E = (Vec(x, 0.0, 0.0) for x in (0.0, 1000.0, 2000.0, 3000.0, 4000.0))


def _chosen(*drawings: Layout) -> Cheapest | None:
    return Together(Pool(drawings, [()] * len(drawings), costs_of(()), {})).cheapest()


def test_a_drain_flows_one_way_only() -> None:
    assert _chosen(_drains("X", A, B, C), _drains("Y", D, C, B, A)) is None  # against each other
    assert _chosen(_drains("X", A, B, C), _drains("Y", D, B, Vec(1000.0, 900.0, 0.0))) is None  # parting at B
    assert _chosen(_drains("X", A, B, E), _drains("Y", Vec(1000.0, 900.0, 0.0), B, E)) is not None


def test_what_two_ways_share_is_paid_once() -> None:
    metre = costs_of(()).pipe(2.0, "under slab").minutes + costs_of(()).price("trench").minutes
    one, both = _chosen(_drains("X", A, C)), _chosen(_drains("X", A, C), _drains("Y", B, C))
    assert one.least == pytest.approx(2 * metre)
    assert both.least == pytest.approx(2 * metre)  # nothing else flows in at B: what Y begins in lies on X's way
    aside = _chosen(_drains("X", A, C), _drains("Y", Vec(1000.0, 1000.0, 0.0), B, C))
    tee = costs_of(()).price("fitting tee", 2.0).minutes + 3 * costs_of(()).price("joint", 2.0).minutes
    assert aside.least == pytest.approx(3 * metre + tee)
