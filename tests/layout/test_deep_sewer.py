"""Traps do not sink with a deep sewer: the building drain is laid steeper, or drops at its end."""

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


def test_the_building_drain_drops_at_the_connection(deep):
    sewer = next(n for n in deep.network.nodes if n.kind is PointKind.SEWER)
    last = deep.network.pipe(sewer.inflow[0])
    assert last.vertical
    assert any("drops to it there" in n for n in deep.notes)


def test_no_trap_lies_deeper_below_its_outlet_than_the_book_lets_it(deep):
    """Published: 24 in from outlet to weir (IPC 1002.1, UPC 1001.2)."""
    assert not [f for f in run.check(deep).findings if f.check == "TRP002"]
