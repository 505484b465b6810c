"""A small bath drawn by hand by somebody else, with sizes he gave: the sizing finds nothing to enlarge."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout.files.books import book_ids, load_book
from stubout.files.jobs import read_job
from stubout.house.resolve import resolve
from stubout.layout.drawn import drawn_runs
from stubout.layout.model import Layout, VentMethod
from stubout.network.build import build, faults_of
from stubout.sizing.size import size

EXAMPLE = Path(__file__).parents[2] / "examples" / "drawn-bath.yaml"


@pytest.fixture(scope="module")
def bath():
    house, _ = resolve(read_job(str(EXAMPLE), book_ids()))
    book = load_book(house.job.book_id, house.amendments)
    points, runs, traps, faults = drawn_runs(house)
    layout = Layout(points, runs, traps, (), ())
    before = build(layout, house, book)
    after, why = size(before, layout, house, book, load_book(house.job.framing_id))
    return faults, layout, before, after, {(d.about, d.what): d for d in why}


def test_nothing_loose_nothing_in_a_circle(bath):
    faults, layout, _, _, _ = bath
    assert faults == ()
    assert faults_of(layout) == ()
    assert {t.method for t in layout.traps} == {VentMethod.INDIVIDUAL}


def test_sizes_stay_as_drawn(bath):
    _, _, before, after, _ = bath
    assert [(p.id, p.size_in) for p in before.pipes] == [(p.id, p.size_in) for p in after.pipes]
    assert all(p.drawn for p in after.pipes)


def test_loads_and_lengths(bath):
    # UPC table 702.1: closet 3, tub 2, lavatory 1, sink with disposer 2
    _, _, _, after, why = bath
    assert after.pipe("BD.3").load == 8
    assert after.pipe("V-WC1.3").tags == ("BT1", "KS", "LV1", "WC1")
    # tub vent: 61.082 up, 36.258 along to the stack vent, then to the terminal (job file, inches)
    assert after.pipe("V-BT1.1").vent_length_mm == pytest.approx(after.pipe("V-WC1.3").vent_length_mm)
    assert "drawn" in why["V-KS.1", "size"].steps[-1] or "decided by" in why["V-KS.1", "size"].steps[-1]
    assert why["BD.3", "flow"].steps[0].startswith("8 DFU: probable peak 12.8 gpm")
