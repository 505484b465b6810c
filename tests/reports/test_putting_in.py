"""How runs through several studs are put in: whole, in pieces and which first, or not at all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.model import PutIn
from stubout.reports.model import Paragraph, TableBlock
from stubout.reports.putting_in import putting_in

RUN = PutIn("V1-1", "P", 2, 740.0, 368.0, open_end=False, couplings=0, pieces=("V1-1",))


UP = replace(RUN, owner="P, UP", ways=("up",))


@pytest.mark.parametrize(
    ("run", "said"),
    [
        (RUN, "whole, from the wider bay"),
        (replace(RUN, open_end=True), "from the open end of the wall"),
        (
            replace(RUN, couplings=2, pieces=("V1-2", "V1-1", "V1-3"), joints=("F8", "F9")),
            "in 3 pieces, F8, F9 between them; in this order: V1-2, V1-1, V1-3",
        ),
        (replace(RUN, goes=False), "CANNOT BE PUT IN"),
        (UP, "whole, up from below"),
        (replace(UP, ways=("down",)), "whole, down from above"),
        (replace(UP, ways=("down",), open_end=True), "whole, down through the roof"),
        (
            replace(UP, couplings=1, pieces=("V1-2", "V1-1"), joints=("F8",), ways=("up", "down")),
            "in 2 pieces, F8 between them; in this order: V1-2 up from below, V1-1 down from above",
        ),
    ],
)
def test_how_a_run_is_put_in(small_design, run, said):
    fab = replace(small_design.fabrication, put_in=(run,), orders=())
    (table,) = [b for b in putting_in(replace(small_design, fabrication=fab)) if isinstance(b, TableBlock)]
    assert table.rows[0][0] == "V1-1"
    assert table.rows[0][-1].startswith(said)


def test_nothing_is_said_of_nothing(small_design):
    assert putting_in(replace(small_design, fabrication=replace(small_design.fabrication, put_in=(), orders=()))) == []


@pytest.mark.parametrize(("runs", "said"), [((RUN,), 1), ((UP,), 1), ((RUN, UP), 2)])
def test_what_is_said_of_lying_and_of_upright_runs(small_design, runs, said):
    fab = replace(small_design.fabrication, put_in=runs, orders=())
    blocks = putting_in(replace(small_design, fabrication=fab))
    assert [isinstance(b, Paragraph) for b in blocks].count(True) == said
