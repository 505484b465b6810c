"""Traps do not sink with a deep sewer: the building drain is laid steeper, or rises inside the house."""

import pytest

from stubout import run
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.job.starter import starter_text
from stubout.layout.model import PointKind


@pytest.fixture(scope="module")
def deep():
    """The starter house with its sewer some 4 ft deeper."""
    text = starter_text("inch")
    line = next(v for v in text.splitlines() if v.strip().startswith("invert:"))
    return run.design(read_job_text(text.replace(line, "  invert: -7'-0\"", 1), "starter.yaml", book_ids()))


def test_the_building_drain_rises_inside_the_house(deep):
    sewer = next(n for n in deep.network.nodes if n.kind is PointKind.SEWER)
    pipe, walked = deep.network.pipe(sewer.inflow[0]), 0
    while not pipe.vertical and walked < 20:
        pipe, walked = (
            deep.network.pipe(next(n for n in deep.network.nodes if n.id == pipe.start).inflow[0]),
            walked + 1,
        )
    assert pipe.vertical
    fp = deep.house.footprint
    assert fp.lo.x <= pipe.a.x <= fp.hi.x
    assert fp.lo.y <= pipe.a.y <= fp.hi.y
    assert any("rises" in n and "inside" in n for n in deep.notes)


def test_no_trap_lies_deeper_below_its_outlet_than_the_book_lets_it(deep):
    """Published: 24 in from outlet to weir (IPC 1002.1, UPC 1001.2)."""
    assert not [f for f in run.check(deep).findings if f.check == "TRP002"]
