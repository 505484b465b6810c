"""House 03, section 10 "Facts to get right": every number that the resolved house itself can show [in].

Source of all expected values: the plan set of house 03, where they are reckoned by hand; each test names its fact.
"""

from __future__ import annotations

import math

import pytest

from stubout.geometry.vec import Vec
from stubout.house.model import CabinetBox, House, Obstacle

near = pytest.approx
IN = 25.4


def obstacle(h: House, name: str) -> Obstacle:
    return next(o for o in h.obstacles if o.id == name)


def box(h: House, name: str) -> CabinetBox:
    return next(b for b in h.cabinets if b.id == name)


def outlet(h: House, tag: str) -> tuple[float, float]:
    p = h.fixture(tag).outlet
    assert p is not None
    return p.x / IN, p.y / IN


def aff(h: House, tag: str, z: float | None) -> float:
    assert z is not None
    return (z - h.fixture(tag).finished_z_mm) / IN


def stud_y(h: House, wall: str) -> list[float]:
    w = h.wall(wall)
    return [(w.start.y + s.station_mm) / IN for s in w.studs]


def test_fact_2_and_6_crawl_space(h03: House) -> None:
    frame = h03.frame_carrying("main")
    assert frame is not None
    assert frame.bottom_z_mm / IN == near(-10)
    girder = obstacle(h03, "F1").box
    assert girder.lo.z / IN == near(-19.25)
    assert (girder.hi.x - girder.lo.x) / IN == near(4.5)
    ground = h03.level("crawl").subfloor_z_mm
    assert (frame.bottom_z_mm - ground) / IN == near(30)
    assert (girder.lo.z - ground) / IN == near(20.75)


def test_fact_3_way_to_the_tank(h03: House) -> None:
    x, y = h03.sewer.at.x / IN, h03.sewer.at.y / IN
    assert (x, y) == near((60, -144))
    assert (144 - x, 279 - y) == near((84, 423))
    assert 423 - 84 + 84 * math.sqrt(2) == near(457.8, abs=0.05)
    assert h03.sewer.at.z / IN == near(-30)


def test_fact_5_ground(h03: House) -> None:
    assert (h03.ground.at_house_z_mm / IN, h03.ground.at_sewer_z_mm / IN) == near((-18, -16))


def test_fact_7_and_8_members(h03: House) -> None:
    depth = {w.id: w.depth_mm / IN for w in h03.walls}
    assert (depth["B"], depth["T"], depth["V"], depth["LK"], depth["W"]) == near((3.5, 3.5, 5.5, 3.5, 5.5))
    assert {w.id for w in h03.walls if w.bearing} == {"B", "W", "E"}
    assert [f.depth_mm / IN for f in h03.frames] == near([9.25, 7.25])
    loft = h03.frame_carrying("loft")
    assert loft is not None
    assert (loft.across_lo_mm / IN, loft.bottom_z_mm / IN) == near((168, 97.125))


def test_fact_9_stack_window(h03: House) -> None:
    assert {267.75, 283.75} <= {round(y, 4) for y in stud_y(h03, "V")}
    for frame in h03.frames:
        assert {272.0, 288.0} <= {round(c / IN, 4) for c in frame.centres_mm}
    bay = h03.wall("V").bay_at(h03.wall("V").station(Vec(0, 279 * IN)))
    assert bay is not None
    south = max(272.75, (h03.wall("V").start.y + bay.lo_mm) / IN)  # joist face or stud face
    assert (south + 2, (h03.wall("V").start.y + bay.hi_mm) / IN - 2) == near((274.75, 281))
    x = h03.wall("V").start.x / IN
    assert (x - 2.75 + 2, x + 2.75 - 2) == near((191.25, 192.75))
    assert outlet(h03, "WC2")[1] == near(279)


def test_fact_10_closets_and_tub(h03: House) -> None:
    main = h03.frame_carrying("main")
    assert main is not None
    y = outlet(h03, "WC1")[1]
    assert y == near(283.25)
    assert any(hi / IN == near(287.25) for _, hi in main.bays)
    station = h03.fixture("WC1").station_mm
    assert station is not None
    assert (station - box(h03, "V1.1").to_station_mm) / IN == near(17)
    tub = h03.fixture("BT1").extent
    assert tub is not None
    assert tub.lo.y / IN - y == near(17.25)
    lt = h03.wall("LT")
    face = lt.start.y + lt.face_offset("left", 60 * IN, h03.level("loft").subfloor_z_mm + 100)
    assert outlet(h03, "WC2")[1] - face / IN == near(15.75)
    assert outlet(h03, "BT1") == near((197.75, 315.5))
    assert any(hi / IN == near(319.25) for _, hi in main.bays)


def test_fact_11_studs_and_the_middle_of_a_bay(h03: House) -> None:
    w = h03.wall("V")
    assert w.bay_at(15.5 * IN) is None
    assert w.bay_at(79.75 * IN) is None
    bay = w.bay_at(24 * IN)
    assert bay is not None
    assert (bay.lo_mm / IN, bay.hi_mm / IN, bay.middle_mm / IN) == near((16.75, 31.25, 24))


def test_fact_12_and_13_kitchen_sink(h03: House) -> None:
    ks = h03.fixture("KS")
    assert aff(h03, "KS", ks.outlet_z_mm) == near(26)
    assert (ks.finished_z_mm - ks.subfloor_z_mm) / IN == near(0.75)
    w = h03.wall("W")
    face = (w.start.x - w.face_offset("right", 98.25 * IN, 400)) / IN
    assert face + 1 == near(7.75)
    assert outlet(h03, "KS")[0] - 7.75 == near(8)
    assert h03.wall("Q").start.y / IN - outlet(h03, "KS")[1] == near(58.25)
    assert ks.dishwasher == "tailpiece"
    assert not ks.disposer


def test_fact_14_drawers_and_the_first_stud_of_q(h03: House) -> None:
    assert {d.back_gap_mm / IN for d in box(h03, "K1.6").drawers} == {2.0}
    first = h03.wall("Q").studs[0]
    assert (h03.wall("Q").start.x + first.station_mm + first.width_mm / 2) / IN == near(7)


def test_fact_15_cripple_under_the_window(h03: House) -> None:
    w = h03.wall("W")
    cripple = next(s for s in w.studs if s.kind == "cripple" and s.station_mm / IN == near(96))
    assert (cripple.station_mm + cripple.width_mm / 2) / IN == near(96.75)
    assert (cripple.lo_z_mm / IN, cripple.hi_z_mm / IN) == near((1.5, 40.5))  # O9: sill framing from 3'-4 1/2"
    station = h03.fixture("KS").station_mm
    assert station is not None
    assert station / IN - 1.0 - (cripple.station_mm + cripple.width_mm / 2) / IN == near(0.5)  # beside a 2 in hole
    jack = next(s for s in w.studs if s.kind == "jack")
    assert (jack.station_mm - jack.width_mm / 2) / IN == near(74.25 - 1.5)
    kings = [s for s in w.studs if s.kind == "king"]  # O9: stations 5'-11 1/4" to 10'-5 1/4"
    assert (kings[0].station_mm / IN - 0.75, kings[1].station_mm / IN + 0.75) == near((71.25, 125.25))


def test_fact_16_standpipe_and_wall_hung_lavatory(h03: House) -> None:
    assert h03.fixture("AW").standpipe_top_z_mm == near(38 * IN)
    assert aff(h03, "LV2", h03.fixture("LV2").outlet_z_mm) == near(26)


def test_fact_17_headroom_at_the_loft_closet(h03: House) -> None:
    east = next(p for p in h03.roof if p.id == "east slope")
    x, y = outlet(h03, "WC2")
    assert east.ceiling_below_mm is not None
    room = east.z_at(x * IN, y * IN) - east.ceiling_below_mm - h03.fixture("WC2").finished_z_mm
    assert room / IN == near(68.9, abs=0.05)


def test_fact_18_roof_and_dormer(h03: House) -> None:
    east = next(p for p in h03.roof if p.id == "east slope")
    assert east.z_at(156 * IN, 280 * IN) / IN == near(235)
    assert east.z_at(192 * IN, 280 * IN) / IN == near(199)
    window = h03.roof_openings[0].box
    assert (window.hi.z / IN, window.lo.x / IN) == near((180, 252))
    assert (window.lo.x / IN - 156, 280 - window.hi.y / IN) == near((96, 64))
    assert math.hypot(96, 64) == near(115.4, abs=0.05)


def test_facts_on_who_may_take_a_vent(h03: House) -> None:
    # section 8
    assert set(h03.wishes.no_vent_in_walls) == {"W", "N", "E", "S", "LK"}
    assert h03.wishes.max_terminals == 1
    assert h03.wishes.aav == "ask"
    assert h03.wall("LK").knee
    assert not next(p for p in h03.roof if p.id == "west slope").may_pierce


def test_partition_in_the_vanity(h03: House) -> None:
    # section 5: a fixed partition in the middle from floor to 20" AFF, right where the trap of LV1 wants to be
    v1 = box(h03, "V1.1")
    assert v1.partition_station_mm is not None
    assert v1.partition_station_mm == near(h03.fixture("LV1").station_mm)
    assert aff(h03, "LV1", v1.partition_hi_z_mm) == near(20)
