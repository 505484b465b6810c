"""What is said while a thing is dragged: findings that come and go, bands, holes, windows."""

from collections import Counter

import pytest
from laid_out import design_named, job_named
from live_hands import all_handles, held

from stubout import run
from stubout.fixes.bench import GRAVE, key
from stubout.geometry.vec import Vec
from stubout.live.drag import Drag, Ground
from stubout.live.given import job_with
from stubout.live.rest import rested
from stubout.live.views import outlines, view_ids, view_of
from stubout.windows.solve import windows

NOWHERE = Vec(0.0, 0.0)


@pytest.mark.parametrize("name", ["demo", "drawn"])
def test_where_it_is_nothing_comes_or_goes(name, request):
    ground = request.getfixturevalue(name)
    for _, h in all_handles(ground):
        answer = Drag(ground, h).to(NOWHERE)
        assert (answer.came, answer.gone, answer.faults) == ((), (), ()), h.id


def stub_of(ground):
    """Return the first stub-out whose band is wide enough to be left upwards, in hand."""
    return held(ground, f"stub:{ground.design.stubs[0].tag}", up=True)


def test_a_stub_dragged_onto_a_stud_is_told_and_no_more_when_it_is_back(demo):
    drag = stub_of(demo)
    stub = next(s for s in demo.design.stubs if s.tag == drag.handle.of)
    wall = demo.design.house.wall(stub.wall_id)
    stud = min(wall.studs, key=lambda s: abs(s.station_mm - stub.station_mm))
    there = drag.handle.along(drag.handle.ways[0].times(stud.station_mm - stub.station_mm), demo.step_mm)
    assert "STB003" in {f.check for f in drag.to(there).came}
    assert drag.to(NOWHERE).came == ()


def test_a_stub_dragged_out_of_its_band_is_told_and_no_more_when_it_is_back(demo):
    drag = stub_of(demo)
    stub = next(s for s in demo.design.stubs if s.tag == drag.handle.of)
    over, under = (drag.handle.along(Vec(0.0, 0.0, z - stub.mark_z_mm), demo.step_mm)
                   for z in (stub.hi_z_mm + 40.0, stub.lo_z_mm - 40.0))  # fmt: skip
    assert "STB001" in {f.check for f in drag.to(over).came}
    low = drag.to(under)
    assert "STB002" in {f.check for f in low.came}
    assert low.stub is not None
    assert low.stub.mark_z_mm == pytest.approx(stub.mark_z_mm + under.z)
    assert (low.stub.lo_z_mm, low.stub.hi_z_mm) == pytest.approx((stub.lo_z_mm, stub.hi_z_mm))
    assert drag.to(NOWHERE).came == ()


def test_a_cabinet_dragged_so_that_a_seam_stands_before_a_stub_is_told(drawn):
    stub = next(s for s in drawn.design.stubs if s.tag == "LV1")
    boxes = [b for b in drawn.design.house.cabinets if b.wall_id == stub.wall_id and b.side == stub.side]
    drag = held(drawn, f"cabinet:{boxes[0].run_id}")
    edge = min((e for b in boxes for e in (b.from_station_mm, b.to_station_mm)), key=lambda e: abs(e - stub.station_mm))
    by = drag.handle.along(drag.handle.ways[0].times(stub.station_mm - edge), drawn.step_mm)
    answer = drag.to(by)
    assert "STB006" in {f.check for f in answer.came}
    assert answer.house is not None
    moved = next(b for b in answer.house.cabinets if b.id == boxes[0].id)
    assert moved.from_station_mm == pytest.approx(boxes[0].from_station_mm + by.dot(drag.handle.ways[0]))


def test_at_rest_the_windows_are_those_of_the_sheet(demo):
    """A stub-out is moved as its mark is: up, down, away and back are the windows that the wall sheet prints."""
    drag = stub_of(demo)
    sheet = {w.direction: w.amount_mm for w in windows(demo.design, drag.handle.of) if w.kind == "stub"}
    names = {"up": "up", "down": "down", "away": "away from the corner", "back": "back to the corner"}
    told = {w.words: w.amount_mm for w in rested(drag, drag.to(NOWHERE)).windows}
    assert {names[d]: mm for d, mm in sheet.items()} == told


def test_a_window_shrinks_by_what_is_dragged(demo):
    tried = 0
    for stub in demo.design.stubs:
        drag = held(demo, f"stub:{stub.tag}", up=True)
        for one in rested(drag, drag.to(NOWHERE)).windows:
            if one.bound and one.amount_mm > 4 * demo.step_mm:
                by = one.way.times(3 * demo.step_mm)
                there = {w.words: w for w in rested(drag, drag.to(by)).windows}
                least = one.amount_mm - 4 * demo.step_mm  # less one step, for what is rounded down
                assert least <= there[one.words].amount_mm <= one.amount_mm  # more where a fall went along
                tried += 1
    assert tried


@pytest.mark.parametrize(("handle", "mm"), [("point:V-KS@2", 40.0), ("stub:LV1", -25.4), ("cabinet:V1", 200.0)])
def test_drawn_pipes_stay_where_they_are_so_the_whole_plan_says_the_same(drawn, handle, mm):
    """The drawn bath is kept as drawn: what is quickly said must be what the plan of the changed file says."""
    drag = held(drawn, handle)
    by = drag.handle.along(drag.handle.ways[0].times(mm), drawn.step_mm)
    answer = drag.to(by)
    plan = run.design(job_with(drawn.design, drawn.job, drag.handle, by, drag.each(by)))
    before = Counter(key(f) for f in run.check(drawn.design).findings if f.level in GRAVE)
    quick = before + Counter(key(f) for f in answer.came) - Counter(key(f) for f in answer.gone)
    assert Counter(key(f) for f in run.check(plan).findings if f.level in GRAVE) == quick
    at = {n.id: n.at for n in plan.network.nodes}
    assert answer.design is not None
    for n in answer.design.network.nodes:
        if n.id in drag.judge.nodes and n.id in at:
            assert n.at.to(at[n.id]) < 0.1, n.id


def test_holes_and_outlines_go_along(demo):
    drag = stub_of(demo)
    by = drag.handle.along(Vec(0.0, 0.0, 12.0), demo.step_mm)
    answer = drag.to(by)
    stub = next(s for s in demo.design.stubs if s.tag == drag.handle.of)
    view = view_of(demo.design, demo.job, f"wall {stub.wall_id} {stub.side}")
    assert view is not None
    assert answer.house is not None
    assert all(b.pipe in drag.moved_pipes for b in answer.bores)
    assert {p.id for p in answer.pipes} == drag.moved_pipes
    assert isinstance(outlines(view, drag.handle, answer.house), tuple)


def test_every_picture_holds_its_handles(demo, drawn):
    for ground in (demo, drawn):
        names = [i for i, _ in view_ids(ground.design, ground.job)]
        assert len(names) == len(set(names)) > 1
        for name in names:
            view = view_of(ground.design, ground.job, name)
            assert len({h.id for h in view.handles}) == len(view.handles)
            for h in view.handles:
                x, y = view.at(h.at)
                assert 0 <= x <= view.sheet.paper.width, (name, h.id)
                assert 0 <= y <= view.sheet.paper.height, (name, h.id)
                assert view.handle(h.id) == h
        assert view_of(ground.design, ground.job, "wall no such left") is None


def test_an_arm_in_a_cabinet_goes_along_its_wall_but_has_no_height_of_its_own():
    """House 03: its height follows from the outlet, so that a wished stub height would change nothing."""
    ground = Ground(design_named("03"), job_named("03"))
    by_tag = {h.of: h for _, h in all_handles(ground) if h.kind == "stub"}
    assert by_tag["KS"].name == "KS arm at its riser in cabinet K1.5, its fixture along the wall"
    assert not any(w.z for w in by_tag["KS"].ways)
    assert any(w.z for w in by_tag["LV1"].ways)
    assert by_tag["LV1"].name == "LV1 stub-out, its fixture along the wall"
