"""The page of vents says of an upright vent whether it stands plumb or leans, how far and where to."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.reports.model import TableBlock
from stubout.reports.venting import PLUMB_MM, vents_page


@pytest.mark.parametrize(
    ("aside", "said"),
    [
        (Vec(0.0, 0.0, 0.0), "plumb"),
        (Vec(PLUMB_MM - 1.0, 0.0, 0.0), "plumb"),
        (Vec(70.0, 0.0, 0.0), 'leans 2 3/4" east in'),
        (Vec(-50.0, 50.0, 0.0), 'leans 2 13/16" north-west in'),
    ],
)
def test_a_vent_out_of_plumb_is_not_told_plumb(small_design: Design, aside: Vec, said: str) -> None:
    """A quarter inch from end to end is plumb: common practice, no source."""
    vent = next(p for p in small_design.network.vents() if p.vertical)
    low, high = sorted((vent.a, vent.b), key=lambda p: p.z)
    leaning = replace(vent, a=low, b=low.at_z(high.z).plus(aside))
    pipes = tuple(leaning if p.id == vent.id else p for p in small_design.network.pipes)
    page = vents_page(replace(small_design, network=replace(small_design.network, pipes=pipes)))
    table = next(b for b in page.blocks if isinstance(b, TableBlock) and "Lies" in b.head)
    row = next(r for r in table.rows if r[0] == vent.id)
    assert row[table.head.index("Lies")].replace("\u00a0", " ").startswith(said)
