"""A wall dragged: corners stay joined, what is measured along others keeps its place, and what forbids it is said.

Expected: by hand, from the bundled house (inches of its job file) and from small changes to it.
"""

from __future__ import annotations

import pytest
from live_hands import held

from stubout.geometry.vec import Vec
from stubout.house.resolve import resolve
from stubout.job.model import Job, OpeningSaid, WallSaid
from stubout.live.given import given, job_with, written
from stubout.live.needed import needed
from stubout.live.walls import can_be_dragged, joined, refusal

INCH = 25.4


def wall(job: Job, wall_id: str) -> WallSaid:
    return next(w for w in job.walls if w.id == wall_id)


def changed(job: Job, wall_id: str, **new: object) -> Job:
    walls = tuple(w.model_copy(update=new) if w.id == wall_id else w for w in job.walls)
    return job.model_copy(update={"walls": walls})


def with_another(job: Job, like: str, **new: object) -> Job:
    return job.model_copy(update={"walls": (*job.walls, wall(job, like).model_copy(update={"id": "X", **new}))})


def refused(job: Job, wall_id: str, inches: float) -> str:
    house, _ = resolve(job)
    one = house.wall(wall_id)
    by = Vec(inches * INCH, 0.0) if abs(one.along.y) > 0.5 else Vec(0.0, inches * INCH)
    return refusal(house, joined(house, job, wall_id), by, "inch")


def test_what_ends_at_a_wall_goes_along_and_it_slides_along_what_it_ends_at(demo):
    j = joined(demo.design.house, demo.job, "P")
    assert {k: sorted(v) for k, v in j.ends.items()} == {"T0": ["to"], "T1": ["to"], "T2": ["to"]}
    assert j.slides == {"N"}
    assert {k: sorted(v) for k, v in j.rooms.items()} == {
        "laundry": [1],
        "half bath": [1],
        "store": [1],
        "kitchen": [0],
    }


def test_only_inside_walls_along_an_axis_can_be_dragged(demo):
    house = demo.design.house
    assert {w.id for w in house.walls if can_be_dragged(w)} == {"B", "P", "T0", "T1", "T2", "UP", "UT", "UL"}


def test_what_hangs_on_the_wall_goes_along_and_all_else_keeps_its_place(demo):
    drag = held(demo, "wall:P")
    by = Vec(3 * INCH, 0.0)
    was, now = demo.design.house, given(demo.design, needed(demo.job, drag.handle), drag.handle, by).house
    for a, b in zip(was.fixtures, now.fixtures, strict=True):
        if a.outlet is not None and b.outlet is not None:
            far = 3 * INCH if a.wall_id == "P" else 0.0
            assert b.outlet.minus(a.outlet).length == pytest.approx(far, abs=0.01), a.tag
    for wall_id in ("T0", "T1", "T2"):
        assert now.wall(wall_id).length_mm == pytest.approx(was.wall(wall_id).length_mm + 3 * INCH)
        assert [o.station_mm for o in now.wall(wall_id).openings] == [o.station_mm for o in was.wall(wall_id).openings]


def test_stations_from_an_end_that_moves_change_so_that_things_stay(demo):
    """UL begins at UT: a niche 1 ft from there is 2 ft from it when UT goes 1 ft south."""
    niche = OpeningSaid.model_validate({"id": "X1", "wall": "UL", "at": "1'-0\"", "width": '8"', "head": "3'-0\""},
                                       context={"bare": "inch"})  # fmt: skip
    job = demo.job.model_copy(update={"openings": (*demo.job.openings, niche)})
    drag = held(demo, "wall:UT")
    new = job_with(demo.design, job, drag.handle, Vec(0.0, -12 * INCH))
    assert next(o.at for o in new.openings if o.id == "X1") == pytest.approx(24 * INCH)
    assert wall(new, "UL").from_[1] == pytest.approx(wall(job, "UL").from_[1] - 12 * INCH)
    assert wall(new, "UL").to == wall(job, "UL").to
    before, after = (resolve(j)[0].wall("UL") for j in (job, new))
    a, b = (w.point(w.openings[0].station_mm, 0.0) for w in (before, after))
    assert a.to(b) < 0.01, "where it was in the house"


def test_a_corner_stays_a_corner(demo):
    """P begins flush with the south face of T0 (6'-3 1/2" less half of 3 1/2"): T0 takes that end along."""
    job = changed(demo.job, "P", from_=(wall(demo.job, "P").from_[0], (6 * 12 + 1.75) * INCH))
    house, _ = resolve(job)
    assert {k: sorted(v) for k, v in joined(house, job, "T0").ends.items()} == {"P": ["from_"]}
    assert refused(job, "T0", -3.0) == ""
    assert refused(demo.job, "T0", -3.0) == "", "P begins farther south: T0 slides along it"
    assert refused(demo.job, "T0", -9.0) == "it would leave wall P at its start"


@pytest.mark.parametrize(
    ("wall_id", "inches", "words"),
    [
        ("UL", 3.0, "BT2 Tub and shower 60 x 30 stands in the way"),
        ("T2", -12.0, "WC1 Water closet, 1.28 gpf stands in the way"),
        ("T1", 12.0, "cabinets V1 stand in the way"),
        ("UP", -3.0, "BT2 would stand in wall UL"),  # the tub hangs on UP and goes along
        ("UP", 3.0, ""),
        ("P", 3.0, ""),
        ("B", 3.0, ""),
    ],
)
def test_what_stands_in_the_way_is_named(demo, wall_id, inches, words):
    assert refused(demo.job, wall_id, inches) == words


def test_what_would_come_apart_is_refused(demo):
    b = wall(demo.job, "B")
    foot = (b.from_[0], b.from_[1])
    on = with_another(demo.job, "B", from_=(foot[0], foot[1] - 1000.0), to=foot, role=("interior",))
    assert refused(on, "B", 1.0) == "wall X goes on in line with it: they would come apart"
    slant = with_another(demo.job, "B", from_=foot, to=(foot[0] + 900.0, foot[1] - 900.0), role=("interior",))
    assert refused(slant, "B", 1.0) == "wall X meets it at a slant: they would come apart"
    outside = changed(demo.job, "T0", role=("exterior",))
    assert refused(outside, "P", 1.0) == "the outside wall T0 ends at it: roof and foundation hang on that"
    listed = changed(demo.job, "T1", studs=(19.05, 400.0, 2057.0))
    assert refused(listed, "P", 1.0).startswith("wall T1, which ends at it, lists its studs one by one")
    doubled = changed(demo.job, "UL", doubled_studs=(406.4,))
    assert refused(doubled, "UT", -1.0).startswith("wall UL is measured from the end that would go along")
    assert refused(doubled, "UP", 1.0) == "", "that wall does not end at UP"


def test_a_wall_left_too_short_and_a_room_left_too_narrow_are_refused(demo):
    short = changed(demo.job, "T2", from_=(wall(demo.job, "T2").to[0] - 5 * INCH, wall(demo.job, "T2").from_[1]))
    short = short.model_copy(update={"openings": tuple(o for o in short.openings if o.wall != "T2")})
    assert refused(short, "P", -2.0).startswith('wall T2 would be left 3"')
    assert refused(short, "P", -1.0) == ""
    rooms = tuple(
        r.model_copy(update={"y": (r.y[0], r.y[0] + 2 * INCH)}) if r.id == "laundry" else r for r in demo.job.rooms
    )
    assert refused(demo.job.model_copy(update={"rooms": rooms}), "T0", 2.0) == "room Laundry would be nothing"


def test_another_wall_is_not_passed(demo):
    p = wall(demo.job, "P")
    beside = with_another(
        demo.job, "B", from_=(p.from_[0] + 20 * INCH, p.from_[1]), to=(p.from_[0] + 20 * INCH, p.from_[1] + 500.0)
    )
    beside = beside.model_copy(update={"cabinets": ()})
    assert refused(beside, "P", 15.0) == ""  # faces: 20 less 2 3/4 less 1 3/4 leaves 15 1/2
    assert refused(beside, "P", 16.0) == "wall X stands in the way"
    assert refused(beside, "P", 40.0) == "wall X stands in the way", "nor jumped over"


def test_a_refused_wall_takes_nothing_along_and_back_again_it_says_nothing(demo):
    drag = held(demo, "wall:UL")
    answer = drag.to(drag.handle.along(Vec(3 * INCH, 0.0), demo.step_mm))
    assert [f.path for f in answer.faults] == ["walls.UL"]
    assert (answer.pipes, answer.came, answer.gone) == ((), (), ())
    back = drag.to(Vec(0.0, 0.0))
    assert (back.faults, back.came, back.gone) == ((), (), ())


def test_the_file_says_walls_rooms_and_drains_anew_and_nothing_else(demo):
    drag = held(demo, "wall:T1")
    new = job_with(demo.design, demo.job, drag.handle, Vec(0.0, -2 * INCH))
    said = {(w.listed, w.of, w.key): w.value for w in written(demo.job, new)}
    assert said == {
        ("walls", "T1", "from"): '5 1/2", 11\'-1 1/2"',
        ("walls", "T1", "to"): "7'-3 1/4\", 11'-1 1/2\"",
        ("rooms", "laundry", "y"): "6'-5 3/4\", 10'-11 1/4\"",
        ("rooms", "half bath", "y"): "11'-3 3/4\", 17'-3 1/4\"",
    }
