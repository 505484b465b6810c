"""Where a washer's standpipe stands is told by its trap: up stream of the weir, on whichever side its arm leaves."""

from __future__ import annotations

import pytest
from laid_out import design_named

from stubout import run
from stubout.catalog import queries as catalog
from stubout.design import Design
from stubout.fixes.moves import Shift


@pytest.fixture
def demo() -> Design:
    return design_named("demo")


def with_weir_moved(design: Design, mm: float) -> tuple[Design, float]:
    """Return the design with the weir of its washer moved away from its vent, and the way of that along the wall."""
    trap = next(t for t in design.network.traps if t.tag == "AW")
    arm = design.network.pipe(trap.arm_runs[0])
    away = arm.a.minus(arm.b).at_z(0.0).unit()
    wall = next(w for w in design.house.walls if w.id == next(s.wall_id for s in design.stubs if s.tag == "AW"))
    return Shift(((trap.weir, away.times(mm)),), trap.weir).on(design), away.dot(wall.along)


def mark(design: Design) -> float:
    return next(s.station_mm for s in design.stubs if s.tag == "AW")


def test_a_trap_past_its_box_takes_the_standpipe_out_of_it(demo: Design) -> None:
    """The weir may stay near the middle of the box: the standpipe stands a trap's reach farther up stream."""
    moved, way = with_weir_moved(demo, 300.0)
    trap = next(t for t in moved.network.traps if t.tag == "AW")
    wall = next(w for w in moved.house.walls if w.id == next(s.wall_id for s in moved.stubs if s.tag == "AW"))
    stand = wall.station(moved.network.node(trap.weir).at) + way * catalog.trap_reach_mm(trap.trap_in)
    assert mark(moved) == pytest.approx(stand)
    found = [f for f in run.check(moved).findings if f.check == "STB004"]
    assert [f.about[0] for f in found] == ["AW"]


def test_a_standpipe_under_its_box_leaves_the_mark_where_it_is(demo: Design) -> None:
    moved, _ = with_weir_moved(demo, -5.0)
    assert mark(moved) == mark(demo)
    assert not [f for f in run.check(demo).findings if f.check == "STB004"]
