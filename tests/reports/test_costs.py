"""The cost on the sheet and at the end of a run says what the design says."""

from __future__ import annotations

from dataclasses import replace

import pytest
from laid_out import design_named

from stubout.export.json_ import design_data
from stubout.layout.select.model import Selection
from stubout.reports.costs import bound_line, cost_blocks, cost_line, hours, selection_line
from stubout.reports.model import Paragraph, TableBlock


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


def test_how_near_the_choice_is_to_the_best_is_said_where_something_was_chosen(bath) -> None:
    assert selection_line(bath) == ""  # drawn by hand
    chosen = replace(bath, selection=Selection(7, 21, 1048.0, 1038.0))
    line = (
        "Chosen from 7 layouts drawn, with 21 ways of their fixtures: no choice of ways costs less by more than 1.0 %."
    )
    assert cost_line(chosen) == f"{cost_line(bath)} {line}"
    assert sum(line in b.text for b in cost_blocks(chosen) if isinstance(b, Paragraph)) == 1
    proven = replace(bath, selection=Selection(7, 21, 1048.0, 1047.9))
    assert selection_line(proven).endswith("with 21 ways of their fixtures: no choice of ways costs less.")
    told = design_data(chosen, (), ())["layout"]["selection"]
    assert told == {"candidates": 7, "ways": 21, "cost": 1048, "bound": 1038, "gap": 0.01}
