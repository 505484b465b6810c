"""Openings, obstacles and single boxes dragged: what the file says then, and what is said of it."""

import pytest
from live_hands import all_handles, held

from stubout import run
from stubout.change.refine import choosing
from stubout.geometry.vec import Vec
from stubout.job.model import OpeningSaid
from stubout.live.drag import Drag, Ground
from stubout.live.given import job_with, written

INCH = 25.4


def by_id(ground, handle_id):
    return next((v, h) for v, h in all_handles(ground) if h.id == handle_id)


def says(ground, handle, by):
    new = job_with(ground.design, ground.job, handle, by)
    return [(w.listed, w.of, w.key, w.point, w.inner, w.value) for w in written(ground.job, new)]


def test_a_box_between_two_others_takes_from_one_what_it_gives_the_other(demo):
    handle = held(demo, "box:K1@4").handle
    wide = [b.width for b in next(c for c in demo.job.cabinets if c.id == "K1").boxes]
    new = job_with(demo.design, demo.job, handle, handle.ways[0].times(2 * INCH))
    now = [b.width for b in next(c for c in new.cabinets if c.id == "K1").boxes]
    assert [round(b - a, 6) for a, b in zip(wide, now, strict=True)] == [0, 0, 2 * INCH, 0, -2 * INCH, 0, 0, 0, 0, 0]
    told = says(demo, handle, handle.ways[0].times(2 * INCH))
    assert [t[:5] for t in told] == [("cabinets", "K1", "boxes", n, "width") for n in (3, 5)]


def test_the_end_boxes_take_the_end_of_the_run_along(demo):
    first, last = held(demo, "box:V2@1").handle, held(demo, "box:V2@2").handle
    assert [t[2:5] for t in says(demo, first, first.ways[0].times(INCH))] == [("from", 0, ""), ("boxes", 2, "width")]
    assert [t[2:5] for t in says(demo, last, last.ways[0].times(INCH))] == [("to", 0, ""), ("boxes", 1, "width")]


def test_a_box_that_would_be_nothing_is_a_fault(demo):
    drag = held(demo, "box:K1@2")
    answer = drag.to(drag.handle.ways[0].times(400.0))
    assert ["more than nothing" in str(f) for f in answer.faults] == [True]


@pytest.mark.parametrize("up", [False, True])
def test_an_obstacle_goes_along_its_wall_and_up(demo, up):
    handle = held(demo, "obstacle:O2").handle
    told = says(demo, handle, handle.ways[int(up)].times(INCH))
    assert [t[:3] for t in told] == (
        [("obstacles", "O2", "above floor")] if up else [("obstacles", "O2", "from"), ("obstacles", "O2", "to")]
    )


def test_an_obstacle_on_a_vent_is_told(demo):
    """The light box of the upper bath: dragged onto the vent of a lavatory it lies in the way of the pipe."""
    view, handle = by_id(demo, "obstacle:O2")
    wall = view.wall
    box = next(o for o in demo.design.house.obstacles if o.id == "O2").box
    pipe = next(
        p for p in demo.design.network.pipes
        if p.vertical and abs(wall.offset(p.a)) < wall.depth_mm / 2 and 0 < wall.station(p.a) < wall.length_mm
        and min(p.a.z, p.b.z) < box.lo.z and max(p.a.z, p.b.z) > box.hi.z
    )  # fmt: skip
    by = handle.along(handle.ways[0].times(wall.station(pipe.a) - wall.station(box.centre)), demo.step_mm)
    assert any("O2" in f.about and pipe.id in f.about for f in Drag(demo, handle).to(by).came)


def test_doors_stay_on_the_floor_and_windows_go_up(demo):
    for view, handle in all_handles(demo):
        if handle.kind == "opening":
            gap = next(o for o in view.wall.openings if o.id == handle.of)
            assert len(handle.ways) == (2 if gap.sill_z_mm > view.wall.bottom_z_mm + 1 else 1)


def test_a_window_on_a_pipe_is_told(demo):
    """A small window is put into the plumbing wall of the upper bath where no pipe is, then drawn over a riser."""
    wall = next(w for w in demo.design.house.walls if w.id == "UP")
    sill, head = 1500.0, 1800.0
    risers = [
        p for p in demo.design.network.pipes
        if p.vertical and abs(wall.offset(p.a)) < wall.depth_mm / 2 and 0 < wall.station(p.a) < wall.length_mm
        and min(p.a.z, p.b.z) < wall.bottom_z_mm + sill and max(p.a.z, p.b.z) > wall.bottom_z_mm + head
    ]  # fmt: skip
    at = [wall.station(p.a) for p in risers]
    free = next(s for s in range(300, int(wall.length_mm) - 600, 25) if all(abs(s + 75 - t) > 300 for t in at))
    window = OpeningSaid(id="GX", wall="UP", at=free, width=150.0, sill=sill, head=head, header_to=head + 100, line=1)
    job = demo.job.model_copy(update={"openings": (*demo.job.openings, window)})
    job = choosing(job, ({"drawn": "as usual"},))  # drawn once: any layout will do
    ground = Ground(run.design(job), job)
    drag = held(ground, "opening:GX")
    to = wall.station(risers[0].a) - free - 75.0
    answer = drag.to(drag.handle.along(drag.handle.ways[0].times(to), ground.step_mm))
    assert answer.faults == ()
    assert any(f.check == "CLA002" and "GX" in f.about for f in answer.came)
    assert [t[:3] for t in says(ground, drag.handle, drag.handle.ways[1].times(INCH))] == [
        ("openings", "GX", "sill"), ("openings", "GX", "head"),
    ]  # fmt: skip


def test_back_where_it_was_says_nothing(demo):
    for _, handle in all_handles(demo):
        if handle.kind in ("box", "opening", "obstacle"):
            answer = Drag(demo, handle).to(Vec(0.0, 0.0))
            assert (answer.came, answer.gone, answer.faults) == ((), (), ())
