"""Other shapes tried of a layout as a whole: what is gone on from, and turns that had no place for their cleanout."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout import laying
from stubout.change import eased as easing_module
from stubout.change.eased import TURNED, Finished, reshaped
from stubout.change.reshaped import Shapes
from stubout.files.demo import demo_job
from stubout.geometry.vec import Vec, angle_deg
from stubout.house.model import House
from stubout.laying import Laid
from stubout.layout.cleanout_turns import TurnSetter
from stubout.layout.model import Layout
from stubout.rulebooks.model import RuleBook


def finished(laid: Laid, layout: Layout) -> Finished:
    made = laying.finish(replace(laid, layout=layout))
    return Finished(layout, made, laying.check(made).open)


@pytest.fixture(scope="module")
def unopened() -> tuple[Laid, Finished]:
    """Return the demonstration house with no cleanout for its turns."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(TurnSetter, "_turns", lambda self: None)
        laid = laying.lay(demo_job())
    return laid, finished(laid, laid.layout)


@pytest.fixture(autouse=True)
def no_bevels(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two eighth bends would want no cleanout at all."""
    monkeypatch.setattr(Shapes, "bevelled", lambda self, node: iter(()))


def test_a_turn_gets_the_cleanout_it_lacks(unopened: tuple[Laid, Finished]) -> None:
    laid, one = unopened
    assert [f.check for f in one.open] == [TURNED]
    better, *_ = reshaped(one, lambda layout: finished(laid, layout))
    assert not better.open
    assert len(better.layout.cleanouts) == len(one.layout.cleanouts) + 1


def test_legs_of_the_turn_are_made_longer_where_it_has_no_place(
    unopened: tuple[Laid, Finished], monkeypatch: pytest.MonkeyPatch
) -> None:
    laid, one = unopened
    asked: list[Layout] = []

    def nowhere(layout: Layout, house: House, book: RuleBook) -> Layout:
        asked.append(layout)
        return layout

    monkeypatch.setattr(easing_module, "with_cleanouts", nowhere)
    assert reshaped(one, lambda layout: finished(laid, layout))[0].open == one.open, "nothing opens: it stays"
    assert asked[0] is one.layout
    runs = {r.id: r for r in one.layout.runs}

    def way(layout: Layout, name: str) -> Vec:
        at = {p.id: p.at for p in layout.points}
        return at[runs[name].end].minus(at[runs[name].start])

    node = one.open[0].about[-1]
    legs = [r.id for r in one.layout.runs if r.system == "drain" and node in (r.start, r.end)]
    longer = [max(way(made, i).length - way(one.layout, i).length for i in legs) for made in asked]
    assert any(far == pytest.approx(60.0, abs=1.0) for far in longer)
    assert any(far == pytest.approx(200.0, abs=1.0) for far in longer)
    for made in asked[1:]:
        for name in runs:
            if way(one.layout, name).length > 5.0:
                assert angle_deg(way(made, name), way(one.layout, name)) < 0.1, "every pipe keeps its direction"
