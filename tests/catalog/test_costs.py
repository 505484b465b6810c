"""Cost data: the constant against its file, and what a job lays over it."""

from __future__ import annotations

from importlib import resources

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stubout.catalog.costs import ANY, FACTOR
from stubout.catalog.shipped_costs import COSTS
from stubout.files.catalog import load_costs, shipped_costs_source
from stubout.problems import CatalogError, Status

SIZES = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)


def test_the_constant_is_written_from_the_data_file() -> None:
    text = resources.files("stubout.catalog").joinpath("shipped_costs.py").read_text(encoding="utf-8")
    assert load_costs() == COSTS
    assert text == shipped_costs_source(COSTS)


@pytest.mark.parametrize("item", COSTS.rows)
def test_a_larger_size_never_costs_less(item: str) -> None:
    prices = [COSTS.price(item, s).minutes for s in SIZES]
    assert prices == sorted(prices)
    assert prices[0] > 0
    assert COSTS.rows[item].note.endswith("common practice, no source")


def test_a_size_between_two_costs_as_the_next_larger() -> None:
    assert COSTS.price("pipe", 3.5) == COSTS.price("pipe", 4.0)
    with pytest.raises(CatalogError, match="no cost of 'pipe' in 8 in"):
        COSTS.price("pipe", 8.0)
    with pytest.raises(CatalogError, match="goes by size"):
        COSTS.price("pipe")
    with pytest.raises(CatalogError, match="no cost of 'gold'"):
        COSTS.price("gold")


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)  # on a busy machine
@given(st.sampled_from(list(COSTS.rows)), st.sampled_from(SIZES), st.floats(0, 500), st.floats(0, 500))
def test_what_a_job_says_of_a_size_touches_no_other(item: str, size: float, work: float, material: float) -> None:
    laid = COSTS.with_said(((item, None, 7.0, None), (item, size, work, None), (item, None, None, material)))
    table = COSTS.rows[item].work
    assert laid.price(item, size).material == material
    if ANY not in table:
        assert laid.price(item, size).work == work
        assert all(laid.price(item, s).work == 7.0 for s in SIZES if s != size)
    assert laid.price(item, size).status is Status.JOB
    assert all(laid.rows[i] is COSTS.rows[i] for i in COSTS.rows if i != item)


def test_a_factor_is_laid_over_too() -> None:
    laid = COSTS.with_said(((FACTOR + "crawl", None, 3.0, None),))
    plain, slow = COSTS.price("pipe", 2.0), laid.pipe(2.0, "crawl")
    assert (slow.work, slow.material) == (plain.work * 3.0, plain.material)
    assert laid.pipe(2.0, "wall") == plain
    with pytest.raises(CatalogError, match="no cost of 'factor moon'"):
        COSTS.with_said(((FACTOR + "moon", None, 3.0, None),))
