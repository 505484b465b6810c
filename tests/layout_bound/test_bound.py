"""The bound against the cost of real layouts: the engine's, those drawn by hand, those of houses made from a seed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import pytest
from small import small_house

from stubout import run
from stubout.catalog.queries import costs_of
from stubout.catalog.shipped_costs import COSTS
from stubout.export.json_ import design_data
from stubout.layout.bound.bound import lower_bound

INSTEAD = (  # kinds of which one may stand for another in a layout: a hole in the roof for what joins two vents, ...
    ("pipe", "fittings", "roof penetrations", "valves", "bores", "supports"),
    ("trench",),
    ("cleanouts",),
)


def by_kind(parts) -> dict[str, float]:
    """Return the minutes of a cost or bound by kind; further branches and joints count as fittings."""
    out: dict[str, float] = defaultdict(float)
    for p in parts:
        out["fittings" if p.kind in ("joints", "further branches") else p.kind] += p.minutes
    return out


def assert_below(design) -> None:
    """The bound is below the cost; each kind below its own, or with those that may stand for it."""
    spent, least = by_kind(design.costing().parts), by_kind(design.bound.parts)
    assert 0 < design.bound.minutes < design.costing().minutes
    replaced = spent["valves"] > 0 or any(q.place.kind in ("room", "cabinet") for q in design.network.pipes)
    alike = INSTEAD if replaced or spent["roof penetrations"] > 100 else tuple((kind,) for kind in least)
    for kinds in alike:
        assert sum(least[k] for k in kinds) <= sum(spent[k] for k in kinds) + 1e-6, kinds


def test_the_bound_is_below_the_cost_and_no_kind_above_its_own(design) -> None:
    if not any(p.drawn for p in design.network.pipes):  # what is drawn by hand is no candidate of the engine's
        assert_below(design)
    assert 0 < design.bound.minutes < design.costing().minutes


def test_it_does_not_hang_on_what_was_drawn(design) -> None:
    again = lower_bound(design.house, design.book, design.framing, costs_of(design.house.costs))
    assert again == design.bound
    assert {p.kind for p in again.parts} >= {"pipe", "trench", "fittings", "bores", "supports", "roof penetrations"}


def test_what_the_design_says_of_it(design) -> None:
    told = design_data(design, (), ())["layout"]
    assert told["cost"] == pytest.approx(sum(p["minutes"] for p in told["parts"]), abs=0.01)
    assert told["bound"] == pytest.approx(sum(p["minutes"] for p in told["bound_parts"]), abs=0.01)
    assert told["gap"] == pytest.approx(1 - told["bound"] / told["cost"], abs=0.001)
    assert replace(design, bound=None).gap() is None


DEAR = (
    "pipe",
    "trench",
    "joint",
    "fitting bend",
    "fitting street",
    "fitting wye",
    "fitting tee",
    "fitting end",
    "fitting straight",
    "extra branch",
    "roof penetration",
    "bore plate",
    "riser clamp",
    "valve",
    "cleanout",
    "factor crawl",
)


def test_dearer_rows_never_lower_the_bound(design) -> None:
    def bound(*said) -> float:
        got = lower_bound(design.house, design.book, design.framing, costs_of(said))
        assert got is not None
        return got.minutes

    for item in DEAR:
        sizes = COSTS.rows[item].work if item in COSTS.rows else {0.0: COSTS.factors["crawl"].work}
        dear = tuple((item, s or None, w * 2, None) for s, w in sizes.items())
        assert bound() <= bound(*dear) + 1e-9, item
    assert bound(("pipe", None, 0.0, 0.0)) < bound()


@pytest.mark.parametrize("item", ["bore plate", "riser clamp", "cleanout", "trench", "roof penetration", "fitting end"])
def test_a_row_that_costs_nothing_takes_its_part_away(design, item: str) -> None:
    """Every part is priced by its own row: with the row at nothing the bound falls by what it counted of it."""
    usual = lower_bound(design.house, design.book, design.framing, COSTS)
    free = lower_bound(design.house, design.book, design.framing, costs_of(((item, None, 0.0, 0.0),)))
    assert free.minutes < usual.minutes


@pytest.mark.parametrize("seed", range(20))
def test_the_bound_of_small_houses_is_below_what_the_engine_makes(seed: int) -> None:
    made = run.design(small_house(seed))
    assert made.bound.minutes > 0
    if not made.blocked:
        assert_below(made)
