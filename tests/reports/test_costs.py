"""The cost on the sheet and at the end of a run says what the design says."""

from __future__ import annotations

from dataclasses import replace

import pytest
from laid_out import design_named

from stubout.reports.costs import bound_line, cost_blocks, cost_line, hours
from stubout.reports.model import TableBlock


@pytest.fixture(scope="module")
def bath():
    return design_named("drawn-bath")


def test_the_line_says_cost_bound_and_gap(bath) -> None:
    line = cost_line(bath)
    assert line.startswith(f"Cost: {hours(bath.costing().minutes)} of plumber's time, ")
    assert f"can cost less than {hours(bath.bound.minutes)}; the gap is {bath.gap() * 100:.0f} %." in line
    assert bound_line(replace(bath, bound=None)) == ""


def test_the_table_adds_up(bath) -> None:
    cost, bound = (b for b in cost_blocks(bath) if isinstance(b, TableBlock))
    *parts, whole = cost.rows
    assert whole[-1] == f"{bath.costing().minutes:.0f}"
    assert sum(int(r[-1]) for r in parts) == pytest.approx(int(whole[-1]), abs=len(parts))
    assert sum(int(r[-1]) for r in bound.rows) == pytest.approx(bath.bound.minutes, abs=len(bound.rows))
