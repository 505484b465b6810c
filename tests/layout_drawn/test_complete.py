"""A drawing that leaves nothing open is the layout; what is wrong with it is told with its line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout import run
from stubout.geometry.vec import Vec
from stubout.layout.drawn import drawn_runs

JOB = Path(__file__).parents[2] / "examples" / "drawn-bath.yaml"


def test_the_whole_drawing_is_the_layout(house, draw):
    points, runs, traps, faults = drawn_runs(house)
    out = draw.laid(house)
    assert (out.points, out.runs, out.traps) == (points, runs, traps)
    assert out.blocked == faults == ()
    assert {s.tag for s in out.stubs} == {"LV1", "KS"}
    assert [(c.id, c.point) for c in out.cleanouts] == [("CO1", "CO1@0")]


def test_the_drawing_has_nothing_to_put_right():
    verdict = run.check(run.design(run.read(str(JOB))))
    assert [(f.check, f.about, f.found) for f in verdict.open] == []


def test_marks_lie_where_the_drawn_arms_pass_the_wall(house, draw):
    marks = {s.tag: s for s in draw.laid(house).stubs}
    for leg_id, tag in (("A-LV1", "LV1"), ("A-KS", "KS")):
        a, b = next(g for g in house.routes if g.id == leg_id).points
        wall = house.wall("P")
        assert min(a.z, b.z) - 1e-6 <= marks[tag].mark_z_mm <= max(a.z, b.z) + 1e-6
        assert marks[tag].station_mm == pytest.approx(wall.station(b), abs=0.1)


def gap(house, draw):
    leg = next(g for g in house.routes if g.id == "D-LV1")
    return draw.changed(house, "D-LV1", points=(leg.points[0], leg.points[1].plus(Vec(30.0, 0, 0))))


def test_a_gap_is_told_with_its_line_and_not_closed(house, draw):
    bad = gap(house, draw)
    out = draw.laid(bad)
    line = next(g.line for g in house.routes if g.id == "D-LV1")
    told = [b for b in out.blocked if "D-LV1" in b.about]
    assert line > 0
    assert any("from BD" in b.constraint and f"(line {line})" in b.constraint for b in told)
    assert {tuple(p) for p in bad.routes[[g.id for g in bad.routes].index("D-LV1")].points} <= {
        tuple(p.at) for p in out.points
    }


def test_a_climbing_drain_is_told_with_its_line(house, draw):
    leg = next(g for g in house.routes if g.id == "A-LV1")
    bad = draw.changed(house, "A-LV1", points=(leg.points[0].plus(Vec(0, 0, -20.0)), leg.points[1]))
    told = [b for b in draw.laid(bad).blocked if "climbs" in b.constraint]
    assert [b.about for b in told] == [("A-LV1",)]
    assert f"(line {leg.line})" in told[0].constraint


def test_a_loose_end_is_told_with_its_line(house, draw):
    leg = next(g for g in house.routes if g.id == "D-LV1")
    bad = draw.changed(house, "D-LV1", points=(leg.points[0], leg.points[1].plus(Vec(0, 0, 300.0))), joins="")
    assert any(
        "ends in the air" in b.constraint and f"(line {leg.line})" in b.constraint for b in draw.laid(bad).blocked
    )


def test_a_drain_that_begins_above_its_first_joint_is_told(house, draw):
    leg = next(g for g in house.routes if g.id == "BD")
    d = leg.points[0].minus(leg.points[1])
    longer = (leg.points[0].plus(d.times(1.5)), *leg.points)
    out = draw.laid(draw.without(draw.changed(house, "BD", points=longer), "D-BT1"))
    assert any(b.constraint.startswith("nothing drains into the upper") and "BD" in b.about for b in out.blocked)


def test_the_order_of_the_routes_does_not_matter():
    job = run.read(str(JOB))
    turned = job.model_copy(update={"routes": tuple(reversed(job.routes))})
    assert run.design(turned).network == run.design(job).network


def test_no_routes_no_drawing(house, draw):
    assert not any(r.drawn for r in draw.laid(replace(house, routes=())).runs)
