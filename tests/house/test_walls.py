"""Studs, cripples, bays and finishes of single walls, by the conventions of the plan sets (section 2 of each house)."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import HouseLevel
from stubout.house.walls import header_obstacles, module_stations, resolve_wall, set_to_studs, wall_box
from stubout.job.model import OpeningSaid, WallSaid

LEVEL = HouseLevel("main", "Main", 0, "frame", 100.0, 2467.0)


def wall(length: float = 4090, openings: tuple[OpeningSaid, ...] = (), **more: object) -> Wall:
    said = {
        "id": "A",
        "level": "main",
        "from": (0.0, 0.0),
        "to": (length, 0.0),
        "stud": 140.0,
        "spacing": 406.0,
        **more,
    }
    return resolve_wall(WallSaid.model_validate(said), openings, LEVEL, "mm")


def opening(at: float, width: float, sill: float = 0.0, head: float = 2080.0, **more: object) -> OpeningSaid:
    said = {"id": "O", "wall": "A", "at": at, "width": width, "sill": sill, "head": head, **more}
    return OpeningSaid.model_validate(said)


def test_module_from_station_zero_with_an_end_stud() -> None:
    assert [s.station_mm for s in wall().studs] == [19, 406, 812, 1218, 1624, 2030, 2436, 2842, 3248, 3654, 4071]


@pytest.mark.parametrize(
    ("length", "last"),
    [
        (2511, [2436, 2492]),  # house 01, wall U-T: 56 apart, stays
        (2499, [2030, 2480]),  # 44 apart, the module stud goes
        (2505, [2436, 2486]),  # 50 apart is not closer than 50
    ],
)
def test_module_stud_close_to_the_end_stud_is_left_out(length: float, last: list[float]) -> None:
    assert [s for s, _ in module_stations(length, 406, 38, 50)][-2:] == last


@given(st.floats(200, 20000), st.sampled_from([406.0, 406.4, 610.0]))
def test_studs_are_in_order_and_never_overlap(length: float, spacing: float) -> None:
    at = [s for s, _ in module_stations(length, spacing, 38, 50)]
    assert at == sorted(at)
    assert all(b - a > 38 for a, b in pairwise(at))
    assert max(b - a for a, b in pairwise(at)) < spacing + 50
    assert (at[0], at[-1]) == (19, length - 19)


def test_listed_studs_stand_where_they_are_listed() -> None:
    w = wall(812, studs=(19.0, 254.0, 508.0, 793.0))
    assert [(s.station_mm, s.kind) for s in w.studs] == [(19, "end"), (254, "stud"), (508, "stud"), (793, "end")]


def test_added_and_doubled_studs() -> None:
    w = wall(1000, added_studs=(600.0,), doubled_studs=(406.0,))
    assert [s.station_mm for s in w.studs] == [19, 406, 444, 600, 812, 981]


def test_door_has_jack_and_king_each_side_and_no_stud_inside() -> None:
    w = wall(openings=(opening(1000, 900),))
    assert [(s.station_mm, s.kind) for s in w.studs if 900 < s.station_mm < 2000 and s.kind != "cripple"] == [
        (943, "king"), (981, "jack"), (1919, "jack"), (1957, "king"),
    ]  # fmt: skip
    jack = next(s for s in w.studs if s.kind == "jack")
    king = next(s for s in w.studs if s.kind == "king")
    assert (jack.lo_z_mm, jack.hi_z_mm) == (138, 2180)
    assert (king.lo_z_mm, king.hi_z_mm) == (138, 100 + 2467 - 76)


def test_window_keeps_cripples_under_its_sill_and_over_a_low_header() -> None:
    w = wall(openings=(opening(1000, 900, sill=1000, header_to=2200),))
    under = [(s.station_mm, s.lo_z_mm, s.hi_z_mm) for s in w.studs if s.kind == "cripple" and s.lo_z_mm < 1000]
    over = [(s.station_mm, s.lo_z_mm, s.hi_z_mm) for s in w.studs if s.kind == "cripple" and s.lo_z_mm > 1000]
    assert under == [(1218, 138, 1062), (1624, 138, 1062)]
    assert over == [(1218, 2300, 2491), (1624, 2300, 2491)]


def test_module_stud_in_the_place_of_a_king_is_not_doubled() -> None:
    w = wall(openings=(opening(860, 900),))  # the king would stand at 803, the module stud at 812
    spans = sorted((s.station_mm - 19, s.station_mm + 19) for s in w.studs if s.kind != "cripple")
    assert all(b[0] >= a[1] - 1e-6 for a, b in pairwise(spans))


def test_bays_lie_between_studs_and_never_in_an_opening() -> None:
    w = wall(openings=(opening(1000, 900, sill=900),))
    assert (w.bays[0].lo_mm, w.bays[0].hi_mm, w.bays[0].clear_mm) == (38, 387, 349)
    assert not any(b.lo_mm < 1900 and b.hi_mm > 1000 for b in w.bays)
    assert [b.index for b in w.bays] == list(range(len(w.bays)))
    assert w.bay_at(406) is None


def test_knee_wall_has_one_top_plate() -> None:
    w = wall(role="interior, knee", height=1050.0)
    assert (w.knee, w.top_plate_mm, w.bottom_plate_mm, w.top_z_mm) == (True, 38, 38, 1150)
    assert wall().top_plate_mm == 76


def test_finish_by_place_the_last_that_fits_wins() -> None:
    w = wall(left=[{"thick": 13.0}, {"thick": 24.0, "from": 1000.0, "to": 2000.0, "above": 900.0, "below": 1400.0}])
    assert w.finish_mm("left", 1500, 100 + 1000) == 24
    assert w.finish_mm("left", 1500, 100 + 500) == 13
    assert w.finish_mm("left", 500, 100 + 1000) == 13
    assert w.finish_mm("right", 500, 100 + 1000) == 0


def test_header_is_a_box_on_the_jacks() -> None:
    (header,) = header_obstacles(wall(openings=(opening(1000, 900),)), 38)
    assert header.kind == "header"
    assert header.box == Box(Vec(962, -70, 2180), Vec(1938, 70, 2491))


def test_tub_against_the_studs_leaves_no_finish_behind_it() -> None:
    w = wall()
    found = set_to_studs(w, Box(Vec(500, 70, 100), Vec(2024, 832, 520)), "T", 520)
    assert found is not None
    side, zone = found
    assert side == "left"
    assert (zone.thick_mm, zone.from_station_mm, zone.to_station_mm, zone.to_z_mm) == (0, 500, 2024, 520)
    assert set_to_studs(w, Box(Vec(500, 83, 100), Vec(2024, 845, 520)), "T", 520) is None  # in front of 13 board


def test_tub_beyond_the_end_of_a_wall_does_not_touch_it() -> None:
    assert set_to_studs(wall(1000), Box(Vec(1000, 70, 100), Vec(2000, 800, 520)), "T", 520) is None


def test_box_in_a_slanting_wall_holds_all_four_corners() -> None:
    said = {"id": "A", "level": "main", "from": (0.0, 0.0), "to": (3000.0, 3000.0), "stud": 140.0, "spacing": 406.0}
    w = resolve_wall(WallSaid.model_validate(said), (), LEVEL, "mm")
    box = wall_box(w, 1000, 1400, 200, 300, -70, 70)
    corners = [w.point(s, 250, out) for s in (1000, 1400) for out in (-70, 70)]
    assert all(box.contains(c, 1e-6) for c in corners)
    assert w.point(1000, 250).x == pytest.approx(1000 / 2**0.5)
