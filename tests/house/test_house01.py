"""House 01, section 10 "Facts to get right": every number that the resolved house itself can show [mm].

Source of all expected values: the plan set of house 01, where they are reckoned by hand; each test names its fact.
"""

from __future__ import annotations

import pytest

from stubout.geometry.vec import Vec
from stubout.house.model import CabinetBox, House, Obstacle

# all whole millimetres on the page; half a millimetre is half the last printed digit
near = pytest.approx


def obstacle(h: House, name: str) -> Obstacle:
    return next(o for o in h.obstacles if o.id == name)


def box(h: House, name: str) -> CabinetBox:
    return next(b for b in h.cabinets if b.id == name)


def asf(h: House, tag: str, z: float | None) -> float:
    assert z is not None
    return z - h.fixture(tag).subfloor_z_mm


def aff(h: House, tag: str, z: float | None) -> float:
    assert z is not None
    return z - h.fixture(tag).finished_z_mm


def stud_xy(h: House, wall: str) -> list[tuple[float, float]]:
    w = h.wall(wall)
    return [(w.point(s.station_mm, 0).x, w.point(s.station_mm, 0).y) for s in w.studs]


def test_levels_hang_together(h01: House) -> None:
    # section 3: underside of what is above; clear 2378 in the basement
    assert [(v.id, v.ceiling_z_mm) for v in h01.levels] == [("basement", -320), ("main", 2467), ("upper", 5187)]
    assert h01.level("basement").ceiling_z_mm - h01.level("basement").subfloor_z_mm == near(2378)
    assert [v.attic_above for v in h01.levels] == [False, False, True]
    assert h01.footprint.lo.z == near(-2698 - 100 - 150)


def test_fact_3_way_to_the_sewer(h01: House) -> None:
    dx, dy = h01.sewer.at.x - 5410, 8150 - h01.sewer.at.y
    assert dy + dx * (2**0.5 - 1) == near(15977, abs=0.5)
    slab = h01.level("basement")
    assert slab.subfloor_z_mm - slab.slab_mm == near(-2798)
    assert (h01.sewer.at.z, h01.sewer.valve_drop_mm, h01.sewer.size_in) == (-3300, 25, 4.0)


def test_fact_4_south_footing(h01: House) -> None:
    south = obstacle(h01, "F1").box
    assert south.lo.z == near(-2998)
    assert south.lo.y < 100 < south.hi.y


def test_fact_5_lane_between_the_pads(h01: House) -> None:
    assert obstacle(h01, "F10").box.hi.x == near(5450)
    assert obstacle(h01, "F11").box.lo.x == near(7050)
    assert obstacle(h01, "F10").box.contains(Vec(5410, 4300, -2900))


def test_fact_6_sink_arm_legs(h01: House) -> None:
    out = h01.fixture("KS").outlet
    assert out is not None
    assert out.y - h01.wall("M-K").start.y == near(317.5)
    assert out.x - h01.wall("M-P").start.x == near(1639)


def test_fact_7_places_changed_with_the_dishwasher(h01: House) -> None:
    k1 = [b for b in h01.cabinets if b.run_id == "K1"]
    before = sum(b.to_station_mm - b.from_station_mm for b in k1[:2])
    half_sink = (box(h01, "K1.4").to_station_mm - box(h01, "K1.4").from_station_mm) / 2
    assert before + half_sink == near(946)
    assert k1[0].box.lo.x + before + half_sink == near(6429)


def test_fact_8_which_walls_bear(h01: House) -> None:
    bearing = {w.id for w in h01.walls if w.bearing}
    assert bearing == {"M-S", "M-N", "M-B", "U-S", "U-N"}
    assert {w.depth_mm for w in h01.walls if w.id in ("M-K", "U-P", "U-X", "U-H", "U-G")} == {89}
    assert {w.depth_mm for w in h01.walls if w.id in ("M-P", "M-Q", "U-T", "B-L")} == {140}
    assert h01.frame_carrying("upper").depth_mm == 235  # type: ignore[union-attr]
    assert not h01.frame_carrying("main").bore_allowed  # type: ignore[union-attr]


def test_fact_9_studs_of_the_knee_wall_on_the_way(h01: House) -> None:
    assert [x for x, _ in stud_xy(h01, "M-K") if x < 7039] == near([5489, 5876, 6282, 6688])
    assert h01.wall("M-K").knee
    assert h01.wall("M-K").top_z_mm == near(1050)
    assert h01.wall("M-K").top_plate_mm == near(38)


def test_fact_10_sink_outlet_and_cabinet_floor(h01: House) -> None:
    ks = h01.fixture("KS")
    assert ks.cabinet_id == "K1.4"
    assert aff(h01, "KS", ks.outlet_z_mm) == near(489)
    assert asf(h01, "KS", ks.finished_z_mm) == near(19)
    assert aff(h01, "KS", box(h01, "K1.4").floor_z_mm) == near(118)
    assert ks.disposer
    assert ks.dishwasher == "disposer"


def test_fact_11_closets_between_upper_joists(h01: House) -> None:
    joists = h01.frame_carrying("upper")
    assert joists is not None
    wc2, wc3 = h01.fixture("WC2").outlet, h01.fixture("WC3").outlet
    assert wc2 is not None
    assert wc3 is not None
    assert min(joists.centres_mm, key=lambda c: abs(c - wc3.x)) == near(5740)
    assert wc3.x - 5740 == near(38)
    assert 5740 + joists.width_mm / 2 == near(5759)
    west = max(c for c in joists.centres_mm if c < wc2.x)
    east = min(c for c in joists.centres_mm if c > wc2.x)
    assert (wc2.x - west, east - wc2.x) == near((99, 307))
    assert h01.fixture("WC3").may_move_mm == 50


def test_fact_12_closet_to_the_north_stack(h01: House) -> None:
    wc3 = h01.fixture("WC3").outlet
    assert wc3 is not None
    assert wc3.y == near(5800)
    assert 8150 - wc3.y == near(2350)


def test_fact_13_stack_windows(h01: House) -> None:
    assert max(y for _, y in stud_xy(h01, "U-P") if y < 8200) == near(8037)
    assert obstacle(h01, "F2").box.lo.y == near(8250)
    upper = h01.frame_carrying("upper")
    main = h01.frame_carrying("main")
    assert upper is not None
    assert main is not None
    assert any(lo == near(5353) for lo, _ in upper.bays)
    wall = h01.wall("M-P")
    assert wall.start.x + wall.depth_mm / 2 == near(5470)
    assert any(x == near(5012) for x, _ in stud_xy(h01, "M-Q"))
    assert any(hi == near(5246) for _, hi in main.bays)


def test_fact_14_bulkhead_under_and_beside_the_duct(h01: House) -> None:
    soffit, duct = obstacle(h01, "O2").box, obstacle(h01, "O3").box
    board = 13
    assert duct.lo.z - (soffit.lo.z + board) == near(122)
    assert duct.lo.y - (soffit.lo.y + board) == near(75)
    sh3 = h01.fixture("SH3").outlet
    assert sh3 is not None
    assert sh3.x - 5410 == near(2153)


def test_fact_15_drawer_under_the_bowl(h01: House) -> None:
    lv3 = h01.fixture("LV3")
    assert aff(h01, "LV3", lv3.outlet_z_mm) == near(705)
    lower, upper = sorted(box(h01, lv3.cabinet_id).drawers, key=lambda d: d.lo_z_mm)
    assert aff(h01, "LV3", lower.hi_z_mm) == near(565)
    assert lower.cut_depth_mm == 0
    assert (aff(h01, "LV3", upper.lo_z_mm), aff(h01, "LV3", upper.hi_z_mm)) == near((580, 800))
    assert (upper.cut_width_mm, upper.cut_depth_mm) == (230, 200)
    stud = next(s for s in h01.wall("U-G").studs if s.station_mm == near(812))
    assert stud.station_mm - stud.width_mm / 2 == near(793)
    assert lv3.station_mm is not None
    assert lv3.station_mm + 52 / 2 - (stud.station_mm - stud.width_mm / 2) == near(8)  # overlap of a 52 hole
    assert h01.wall("U-G").bay_at(775) is not None


def test_fact_16_tub_to_a_stack_in_mq(h01: House) -> None:
    out = h01.fixture("BT2").outlet
    assert out is not None
    assert out == near((3226, 7019, 2720 + 50))  # the hole in its bottom, taken 50 above the subfloor
    assert (5140 - out.x) + (out.y - h01.wall("M-Q").start.y) == near(2733)
    assert h01.wall("U-X").finish_mm("left", 381, 2720 + 100) == 0
    assert h01.wall("U-X").finish_mm("right", 381, 2720 + 100) == 13


def test_fact_17_stub_outs_beside_studs(h01: House) -> None:
    studs = [s.station_mm for s in h01.wall("M-P").studs]
    assert 1270 - max(s for s in studs if s < 1270) == near(52)
    assert min(studs, key=lambda s: abs(s - 3230)) - 3230 == near(18)
    assert h01.wall("M-P").bay_at(3230) is None
    assert min((s.station_mm for s in h01.wall("U-P").studs), key=lambda s: abs(s - 1621.5)) == near(1624)


def test_fact_18_roof_and_skylight(h01: House) -> None:
    north = next(p for p in h01.roof if p.id == "north slope")
    assert north.z_at(5412, 8150) == near(5708, abs=0.6)
    assert north.z_at(0, 4300) == near(7312, abs=0.6)
    light = h01.roof_openings[0].box
    assert (light.lo.x - 5412, 8150 - light.hi.y) == near((713, 750))
    assert light.hi.z + 1000 == near(7312, abs=0.6)
    assert not next(p for p in h01.roof if p.id == "south slope").may_pierce


def test_fact_20_flange_tops_above_subfloor(h01: House) -> None:
    tops = [asf(h01, tag, h01.fixture(tag).finished_z_mm) for tag in ("WC1", "WC2", "WC3", "WC4")]
    assert tops == near([19, 16, 32, 22])


def test_wall_finishes_and_closet_flanges(h01: House) -> None:
    # section 9: three wall finishes 13, 24, 28; section 6: flange points by rough-in from the FINISHED wall
    z = 2720 + 800
    assert h01.wall("M-P").finish_mm("left", 470, 100) == 13
    assert (h01.wall("U-P").finish_mm("left", 600, z), h01.wall("U-P").finish_mm("right", 600, z)) == (24, 28)
    for tag, x, y in (("WC1", 5012, 4840), ("WC2", 5027, 7990), ("WC3", 5778, 5800), ("WC4", 5788, 7300)):
        f = h01.fixture(tag)
        w = h01.wall(f.wall_id)
        assert f.station_mm is not None
        off = w.face_offset(f.side, f.station_mm, w.bottom_z_mm + 300) + (305 if f.side == "left" else -305)
        p = w.point(f.station_mm, 0, off)
        assert (p.x, p.y) == near((x, y), abs=3)


def test_ducts_fill_two_bays(h01: House) -> None:
    # section 7, O1: two bays taken, between the studs at 1624, 2030 and 2436
    bays = {(b.lo_mm, b.hi_mm) for b in h01.wall("M-P").bays}
    assert {(1643, 2011), (2049, 2417)} <= bays


def test_return_air_and_medicine_cabinet_in_their_walls(h01: House) -> None:
    o4 = obstacle(h01, "O4").box
    assert (o4.lo.y - 5195, o4.hi.y - 5195) == near((1437.5, 1805.5))
    assert (o4.lo.z, o4.hi.z) == near((2720 + 16 + 1220, 2720 + 16 + 1842))
    o1 = obstacle(h01, "O1a").box
    assert (o1.lo.x, o1.hi.x) == near((5330, 5470))


def test_other_outlets(h01: House) -> None:
    assert aff(h01, "MS", h01.fixture("MS").outlet_z_mm) == near(914 - 30 - 300)
    assert aff(h01, "LV2", h01.fixture("LV2").outlet_z_mm) == near(865 - 20 - 150)
    assert aff(h01, "LT", h01.fixture("LT").outlet_z_mm) == near(865 - 330)
    assert aff(h01, "LV1", h01.fixture("LV1").outlet_z_mm) == near(660)
    assert aff(h01, "LV1", h01.fixture("LV1").wanted_stub_z_mm) == near(460)
    assert h01.fixture("SH3").heads is None
    assert [h01.fixture(t).future for t in ("WC4", "LV4", "SH4", "WC1")] == [True, True, True, False]
    assert h01.fixture("WC1").group == "powder"
    assert h01.fixture("KS").group == ""


def test_town_rule_is_an_amendment(h01: House) -> None:
    assert [(a.value_id, a.is_text) for a in h01.amendments] == [("terminal.above_roof", "450 mm")]
    assert h01.climate.frost_prone_vents
    assert h01.climate.snow_mm == 600
