"""Traps do not sink with a deep sewer: the building drain is laid steeper, or rises inside the house."""

from dataclasses import replace

import pytest

from stubout import run
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.house.facts import Choice
from stubout.job.starter import starter_text
from stubout.layout import engine
from stubout.layout.desk import Desk, Served
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


def test_the_way_that_served_is_begun_with_when_the_house_is_drawn_again(deep, monkeypatch):
    """Raised once, it is not raised anew: the next drawing comes in at the same lift at once."""
    drawn: list[tuple[float, float]] = []
    real = Desk._drawn

    def watched(desk, above, slope, size, lift=0.0, **how):
        drawn.append((slope, lift))
        return real(desk, above, slope, size, lift, **how)

    monkeypatch.setattr(Desk, "_drawn", watched)
    house = replace(deep.house, choices=(Choice(drawn="as usual"),))
    known = engine.Known()
    first = engine.lay_out(house, deep.book, deep.framing, known)
    assert len(drawn) > 1
    assert not first.blocked
    served = known.drawings.served
    assert served is not None
    assert served.lift_mm > 0.0
    drawn.clear()
    other = replace(deep.house, choices=(Choice(drawn="last first"),))
    assert not engine.lay_out(other, deep.book, deep.framing, known).blocked
    assert drawn == [(served.slope, served.lift_mm)]
    drawn.clear()
    again = engine.lay_out(house, deep.book, deep.framing, known)
    assert not drawn  # what was drawn already is not drawn twice
    assert again == replace(first, effort=again.effort)


def test_where_it_does_not_serve_any_more_the_house_is_drawn_as_if_it_were_new(deep, monkeypatch):
    """A building drain not raised, said to have served, is begun with; traps lie too deep by it, and it is let go."""
    plain = engine.lay_out(deep.house, deep.book, deep.framing)
    known = engine.Known()
    known.drawings.served = Served((0, 0.0, 0.0), 1 / 96, 3.0, 0.0, drop_traps=False)
    drawn: list[float] = []
    real = Desk._drawn

    def watched(desk, above, slope, size, lift=0.0, **how):
        drawn.append(slope)
        return real(desk, above, slope, size, lift, **how)

    monkeypatch.setattr(Desk, "_drawn", watched)
    got = engine.lay_out(deep.house, deep.book, deep.framing, known)
    assert drawn[0] == 1 / 96
    assert len(drawn) > 1
    assert (got.points, got.runs) == (plain.points, plain.runs)
