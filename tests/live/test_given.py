"""The job file as it would be: the values to be written, and the house that follows from them."""

import pytest
from live_hands import all_handles, held

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.resolve import resolve
from stubout.live.given import given, job_with, written
from stubout.live.needed import needed


@pytest.mark.parametrize("name", ["demo", "drawn"])
def test_the_part_of_the_job_that_is_resolved_tells_the_same_as_the_whole(name, request):
    ground = request.getfixturevalue(name)
    for _, h in all_handles(ground):
        by = h.along(h.ways[-1].times(57.0), ground.step_mm)
        quick = given(ground.design, needed(ground.job, h), h, by)
        if quick.faults:  # cabinets off the end of their wall: see below
            assert h.kind in ("cabinet", "box", "opening", "wall")
            continue
        whole, _ = resolve(job_with(ground.design, ground.job, h, by))
        assert quick.house.fixtures == whole.fixtures, h.id
        assert quick.house.cabinets == whole.cabinets, h.id
        if h.kind == "wall":
            for part in ("walls", "rooms", "obstacles"):
                assert set(getattr(quick.house, part)) == set(getattr(whole, part)), (h.id, part)


def test_cabinets_off_the_end_of_their_wall_are_a_fault(drawn):
    """K1 begins where its wall does; the reader of the file refuses what lies beyond."""
    drag = held(drawn, "cabinet:K1")
    back = drag.to(drag.handle.ways[0].times(-25.4))
    assert [f.path for f in back.faults] == ["cabinets.K1"]
    assert drag.to(Vec(0.0, 0.0)).faults == ()


def test_a_fixture_takes_all_its_places_along(demo):
    """By hand: station, plan point and body of a closet go the same way."""
    drag = held(demo, "fixture:WC1")
    before = next(f for f in demo.job.fixtures if f.tag == "WC1")
    by = drag.handle.ways[0].times(25.4)
    after = next(f for f in job_with(demo.design, demo.job, drag.handle, by).fixtures if f.tag == "WC1")
    assert after.at == pytest.approx(before.at + 25.4)
    if before.drain is not None:
        assert after.drain == pytest.approx((before.drain[0] + by.x, before.drain[1] + by.y))


def test_nothing_moved_is_nothing_written(drawn):
    for _, h in all_handles(drawn):
        assert written(drawn.job, job_with(drawn.design, drawn.job, h, Vec(0.0, 0.0))) == ()


def test_points_that_meet_go_together(drawn):
    """Where the arm of the closet enters its stack three routes meet: S1, its arm and its vent."""
    drag = held(drawn, "point:A-WC1@3")
    told = written(drawn.job, job_with(drawn.design, drawn.job, drag.handle, Vec(25.4, 0.0), drag.each(Vec(25.4, 0.0))))
    assert {(w.of, w.point) for w in told} == {("A-WC1", 3), ("S1", 1), ("V-WC1", 1)}
    assert len({w.value for w in told}) == 1


def test_drawn_routes_go_along_with_their_fixture(drawn):
    drag = held(drawn, "stub:LV1", up=True)
    by = drag.handle.ways[1].times(25.4)
    told = written(drawn.job, job_with(drawn.design, drawn.job, drag.handle, by, drag.each(by)))
    assert ("A-LV1", "through", 1) in {(w.of, w.key, w.point) for w in told}
    assert not any(w.key == "stub height" for w in told)  # the drawn arm says it


def test_a_stub_dragged_up_is_a_wish_of_the_file(demo):
    tag = demo.design.stubs[0].tag
    stub = demo.design.stubs[0]
    drag = held(demo, f"stub:{tag}", up=True)
    by = drag.handle.ways[1].times(25.4)
    told = written(demo.job, job_with(demo.design, demo.job, drag.handle, by, drag.each(by)))
    assert [(w.listed, w.of, w.key) for w in told] == [("fixtures", tag, "stub height")]
    height = units.parse_length_mm(told[0].value, demo.job.job.units)
    assert height == pytest.approx(stub.mark_z_mm + 25.4 - stub.finished_z_mm, abs=units.EXACT_MM)
