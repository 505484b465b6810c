"""The bound against the cost of real layouts: the engine's, those drawn by hand, those of houses made from a seed."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from small import small_house

from stubout import run
from stubout.catalog.queries import costs_of
from stubout.catalog.shipped_costs import COSTS
from stubout.export.json_ import design_data
from stubout.layout.bound.bound import STEEPEST, lower_bound
from stubout.layout.bound.facts import alone, served
from stubout.layout.bound.least import Least
from stubout.layout.needs import SIZES, Demands
from stubout.layout.outlook import tie_above_rim

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module", params=["demo", "drawn-bath", "03-crawlspace-cottage"])
def design(request):
    return run.design(run.demo_job() if request.param == "demo" else run.read(str(EXAMPLES / f"{request.param}.yaml")))


def test_the_bound_is_below_the_cost_and_no_kind_above_its_own(design) -> None:
    cost, bound = design.costing(), design.bound
    assert 0 < bound.minutes < cost.minutes
    spent = {p.kind: p.minutes for p in cost.parts}
    spent["fittings"] += spent.get("further branches", 0.0) + spent.pop("joints")
    if not any(p.drawn for p in design.network.pipes):  # what is drawn by hand is no candidate of the engine's
        for kind in {p.kind for p in bound.parts}:
            assert sum(p.minutes for p in bound.parts if p.kind == kind) <= spent[kind] + 1e-6, kind


def test_the_engine_begins_where_the_bound_says_it_must(design) -> None:
    """What the bound takes for granted of every layout, held against those that were made."""
    demands = Demands(design.house, design.book, design.framing, {})
    facts = {s.tag: s for s in served(design.house, demands, design.stubs, tie_above_rim(design.book))}
    by_hand = any(p.drawn for p in design.network.pipes)
    assert set(facts) == {t.tag for t in design.network.traps}
    for trap in design.network.traps:
        s, first = facts[trap.tag], design.network.node(trap.weir).at
        assert math.dist(s.at, (first.x, first.y)) <= s.slack_mm + 1.0, trap.tag
        if s.low_z_mm is not None:
            assert first.z >= s.low_z_mm, trap.tag
        if trap.takeoff and s.wall is not None and not by_hand:
            take = design.network.node(trap.takeoff).at
            assert s.drop[1] <= take.z, trap.tag
            assert s.vent is None or take.z <= s.vent[0] + 1.0, trap.tag
    for p in design.network.drains():
        assert by_hand or p.vertical or p.slope <= STEEPEST + 1e-9, p.id


def test_fixtures_that_cannot_share_have_drops_of_their_own(design) -> None:
    demands = Demands(design.house, design.book, design.framing, {})
    singles = alone(served(design.house, demands, design.stubs, tie_above_rim(design.book)))
    takeoffs = {t.tag: t.takeoff for t in design.network.traps}
    assert len({takeoffs[s.tag] for s in singles}) == len(singles) > 0


def test_what_the_design_says_of_it(design) -> None:
    told = design_data(design, (), ())["layout"]
    assert told["cost"] == pytest.approx(sum(p["minutes"] for p in told["parts"]), abs=0.01)
    assert told["bound"] == pytest.approx(sum(p["minutes"] for p in told["bound_parts"]), abs=0.01)
    assert told["gap"] == pytest.approx(1 - told["bound"] / told["cost"], abs=0.001)
    assert replace(design, bound=None).gap() is None


def test_dearer_rows_never_lower_the_bound(design) -> None:
    def bound(*said) -> float:
        house = design.house
        got = lower_bound(house, design.book, design.framing, design.stubs, costs_of(said))
        assert got is not None
        return got.minutes

    for item in ("pipe", "trench", "joint", "fitting wye", "fitting tee", "fitting end", "roof penetration"):
        sizes = COSTS.rows[item].work
        dear = tuple((item, s or None, w * 2, None) for s, w in sizes.items())
        assert bound() <= bound(*dear) + 1e-9, item
    assert bound(("pipe", None, 0.0, 0.0)) < bound()


@pytest.mark.parametrize("seed", range(20))
def test_the_bound_of_small_houses_is_below_what_the_engine_makes(seed: int) -> None:
    made = run.design(small_house(seed))
    assert made.bound.minutes > 0
    if not made.blocked:
        assert made.bound.minutes < made.costing().minutes


@pytest.mark.parametrize("size", SIZES[:-1])
def test_the_share_of_a_branch_is_never_more_than_a_fitting_costs_by_its_branches(size: float) -> None:
    """One, two or three branches of one size on an equal run: fitting, further branches, a joint a socket."""
    least = Least(COSTS)
    for kind in ("tee", "wye", "combination"):
        for branches in (1, 2, 3):
            whole = (
                COSTS.price(f"fitting {kind}", size).minutes
                + (branches - 1) * COSTS.price("extra branch", size).minutes
                + (branches + 2) * COSTS.price("joint", size).minutes
            )
            assert branches * least.branch(size) <= whole + 1e-9
