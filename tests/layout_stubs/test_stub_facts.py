"""Stub heights of the three example houses: the plan sets' "Facts to get right", worked by hand there.

Tolerance is half the last printed digit of the fact unless said. Facts of houses 02 and 03 leave out the 5 mm of play
below a trap; it is taken off before comparing.
"""

from __future__ import annotations

import pytest

from stubout.house import model as m
from stubout.kinds import FixtureKind
from stubout.layout.stub_limits import PLAY_MM, standpipe_weir_band
from stubout.layout.stubs import stub_mark, stub_marks, trap_band

I = 25.4  # noqa: E741
K = FixtureKind


def fixture(tag, kind, floor, **more):
    facts = {
        "title": "",
        "room_id": "r",
        "level_id": "main",
        "subfloor_z_mm": 0.0,
        "finished_z_mm": floor,
        "wall_id": "A",
    }
    return m.HouseFixture(tag=tag, kind=kind, **(facts | {"station_mm": 500.0} | more))


def test_house_01_fact_10_disposer_sink(make, book):
    ks = fixture("KS", K.KITCHEN_SINK, 19.0, outlet_z_mm=19 + 489.0, from_wall_mm=317.5, disposer=True, cabinet_id="C1")
    house = make.house("mm", "npc-2020", [ks], cabinets=(make.box(floor_z_mm=19 + 118.0),))
    (stub,) = stub_marks(house, book("npc-2020"))
    assert stub.hi_z_mm - 19 == pytest.approx(433, abs=0.5)
    assert stub.hi_z_mm == pytest.approx(452, abs=0.5)  # above subfloor
    assert stub.lo_z_mm - 19 == pytest.approx(239, abs=0.5)
    assert stub.lo_z_mm == pytest.approx(258, abs=0.5)
    assert stub.feasible
    assert "cabinet floor" in stub.lo_governs
    assert "disposer" in stub.hi_governs
    assert stub.lo_z_mm <= stub.mark_z_mm <= stub.hi_z_mm
    assert (stub.mark_z_mm - 19) % 5 == pytest.approx(0, abs=1e-6)


def test_house_01_fact_10_without_disposer_165_higher(make, book):
    heights = []
    for drop in (165.0, 0.0):
        ks = fixture("KS", K.KITCHEN_SINK, 19.0, outlet_z_mm=19 + 914 - 30 - 230 - drop, from_wall_mm=317.5)
        house = make.house("mm", "npc-2020", [ks])
        heights.append(stub_mark(house, book("npc-2020"), ks).hi_z_mm)
    assert heights[1] - heights[0] == pytest.approx(165)


def v3(make, trap_in):
    lv3 = fixture("LV3", K.LAVATORY, 32.0, outlet_z_mm=32 + 705.0, outlet_in=1.25, from_wall_mm=200.0, cabinet_id="C1",
                  trap_in=trap_in)  # fmt: skip
    drawers = (m.Drawer(32 + 580.0, 32 + 800.0, 230.0, 200.0), m.Drawer(32 + 120.0, 32 + 565.0))
    return lv3, make.house("mm", "npc-2020", [lv3], cabinets=(make.box(drawers=drawers),))


@pytest.mark.parametrize(("trap_in", "too_high"), [(None, 22), (1.5, 31)])
def test_house_01_fact_15_drawer_under_the_bowl(make, book, trap_in, too_high):
    lv3, house = v3(make, trap_in)
    band = trap_band(house, book("npc-2020"), lv3)
    stub = stub_mark(house, book("npc-2020"), lv3)
    assert band.hi.z_mm - 32 == pytest.approx(655)
    assert stub.hi_z_mm - 32 == pytest.approx(651)
    assert not stub.feasible
    assert band.lo.z_mm - band.hi.z_mm == pytest.approx(too_high, abs=0.5)
    assert "drawer 565 mm AFF" in stub.lo_governs
    assert any(f"short by {too_high}" in step for step in stub.derivation.steps)
    assert any("216 mm from the wall" in step and "stops at 200 mm" in step for step in stub.derivation.steps)


def test_house_02_fact_10_island_trap_inlet(make, book):
    outlet = 0.25 * I + (36 - 1.25 - 9.5 - 6) * I
    ks = fixture("KS", K.KITCHEN_SINK, 0.25 * I, outlet_z_mm=outlet, disposer=True, in_island=True, wall_id="")
    house = make.house("inch", "upc-2021", [ks])
    assert outlet == pytest.approx(19.5 * I)
    assert trap_band(house, book("upc-2021"), ks).hi.z_mm == pytest.approx(17.5 * I)
    assert stub_marks(house, book("upc-2021")) == ()  # no wall, no stub-out


def test_house_02_fact_12_back_to_back_stubs(make, book):
    lv1 = fixture("LV1", K.LAVATORY, 0.625 * I, outlet_z_mm=(0.625 + 27.75) * I, outlet_in=1.25, from_wall_mm=8 * I)
    bs = fixture("BS", K.BAR_SINK, 0.25 * I, outlet_z_mm=(0.25 + 27.75) * I, from_wall_mm=9 * I, cabinet_id="C1")
    house = make.house("inch", "upc-2021", [lv1, bs], cabinets=(make.box(floor_z_mm=(0.25 + 4.75) * I),))
    a, b = stub_marks(house, book("upc-2021"))
    assert (a.hi_z_mm - a.finished_z_mm) / I == pytest.approx(25.58, abs=0.005)
    assert a.hi_z_mm / I == pytest.approx(26.21, abs=0.005)
    assert (b.hi_z_mm - b.finished_z_mm) / I == pytest.approx(25.56, abs=0.005)
    assert b.hi_z_mm / I == pytest.approx(25.81, abs=0.005)
    assert (b.lo_z_mm - PLAY_MM - b.finished_z_mm) / I == pytest.approx(9 + 5 / 16, abs=1 / 32)


def test_house_02_fact_15_washer_standpipe(make, book):
    aw = fixture("AW", K.CLOTHES_WASHER, 0.25 * I, standpipe_top_z_mm=39 * I)
    house = make.house("inch", "upc-2021", [aw])
    band = standpipe_weir_band(house, book("upc-2021"), aw, 39 * I)
    assert band.lo_mm / I == pytest.approx(9)
    assert band.hi_mm / I == pytest.approx(18.25)
    (stub,) = stub_marks(house, book("upc-2021"))
    assert stub.feasible
    assert stub.lo_z_mm <= stub.mark_z_mm <= stub.hi_z_mm
    assert stub.projection_mm == 0.0


def test_house_02_fact_16_drawer_before_the_lavatory(make, book):
    lv2 = fixture("LV2", K.LAVATORY, 0.5 * I, outlet_z_mm=28.5 * I, outlet_in=1.25, trap_in=1.5, from_wall_mm=7 * I,
                  cabinet_id="C1")  # fmt: skip
    drawer = m.Drawer(20.5 * I, 29.5 * I, 8 * I, 7 * I)
    with_drawer = make.house("inch", "upc-2021", [lv2], cabinets=(make.box(floor_z_mm=5.25 * I, drawers=(drawer,)),))
    without = make.house("inch", "upc-2021", [lv2], cabinets=(make.box(floor_z_mm=5.25 * I),))
    assert (stub_mark(without, book("upc-2021"), lv2).hi_z_mm - 0.5 * I) / I == pytest.approx(25.85, abs=0.005)
    band = trap_band(with_drawer, book("upc-2021"), lv2)
    assert (band.hi.z_mm - 0.5 * I) / I == pytest.approx(18.875, abs=1e-6)
    assert (band.lo.z_mm - PLAY_MM - 0.5 * I) / I == pytest.approx(9 + 5 / 16, abs=1 / 32)
    assert any('7 5/8" from the wall' in s and 'stops at 7"' in s for s in band.steps)


def test_house_02_drawer_with_a_deep_cut_out_is_no_limit(make, book):
    lv2 = fixture("LV2", K.LAVATORY, 0.5 * I, outlet_z_mm=28.5 * I, outlet_in=1.25, trap_in=1.5, from_wall_mm=7 * I,
                  cabinet_id="C1")  # fmt: skip
    drawer = m.Drawer(20.5 * I, 29.5 * I, 8 * I, 9 * I)
    house = make.house("inch", "upc-2021", [lv2], cabinets=(make.box(floor_z_mm=5.25 * I, drawers=(drawer,)),))
    assert (trap_band(house, book("upc-2021"), lv2).hi.z_mm - 0.5 * I) / I == pytest.approx(26.0)


def test_house_03_fact_12_apron_sink(make, book):
    ks = fixture("KS", K.KITCHEN_SINK, 0.75 * I, outlet_z_mm=26.75 * I, from_wall_mm=9 * I, cabinet_id="C1")
    house = make.house("inch", "irc-2021", [ks], cabinets=(make.box(floor_z_mm=(0.75 + 4.75) * I),), material="pvc")
    band = trap_band(house, book("irc-2021"), ks)
    assert (band.hi.z_mm - 0.75 * I) / I == pytest.approx(24)
    assert band.hi.z_mm / I == pytest.approx(24.75)
    assert (band.lo.z_mm - PLAY_MM - 0.75 * I) / I == pytest.approx(9 + 5 / 16, abs=1 / 32)


def test_house_03_fact_16_washer_and_wall_hung_lavatory(make, book):
    aw = fixture("AW", K.CLOTHES_WASHER, 0.0, standpipe_top_z_mm=38 * I)
    lv2 = fixture("LV2", K.LAVATORY, 0.25 * I, outlet_z_mm=(0.25 + 26) * I, outlet_in=1.25, from_wall_mm=6 * I)
    house = make.house("inch", "irc-2021", [aw, lv2], material="pvc")
    band = standpipe_weir_band(house, book("irc-2021"), aw, 38 * I)
    assert band.lo_mm / I == pytest.approx(-4)
    assert band.hi_mm / I == pytest.approx(20)
    a, b = stub_marks(house, book("irc-2021"))
    assert a.lo_z_mm > 0  # the trap itself stays above the floor
    assert a.size_in == 2.0
    assert (b.hi_z_mm - 0.25 * I) / I == pytest.approx(26 - 2 - 6 / 48, abs=0.005)


def test_sheet_wish_is_kept_when_it_fits(make, book):
    lv1 = fixture("LV1", K.LAVATORY, 19.0, outlet_z_mm=19 + 660.0, outlet_in=1.25, from_wall_mm=150.0,
                  wanted_stub_z_mm=19 + 460.0)  # fmt: skip
    (stub,) = stub_marks(make.house("mm", "npc-2020", [lv1]), book("npc-2020"))
    assert stub.mark_z_mm - 19 == pytest.approx(460)
    assert any("as the fixture sheet wants" in s for s in stub.derivation.steps)


def test_sheet_wish_outside_the_band_is_named(make, book):
    lv1 = fixture("LV1", K.LAVATORY, 19.0, outlet_z_mm=19 + 500.0, outlet_in=1.25, from_wall_mm=150.0,
                  wanted_stub_z_mm=19 + 480.0)  # fmt: skip
    (stub,) = stub_marks(make.house("mm", "npc-2020", [lv1]), book("npc-2020"))
    assert stub.mark_z_mm <= stub.hi_z_mm
    assert any("480 mm AFF lies outside the band" in s for s in stub.derivation.steps)


def test_house_03_partition_where_the_trap_wants_to_be(make, book):
    floor = 0.875 * I
    lv1 = fixture("LV1", K.LAVATORY, floor, outlet_z_mm=floor + 27.5 * I, outlet_in=1.25, from_wall_mm=8 * I,
                  cabinet_id="C1", station_mm=15.5 * I)  # fmt: skip
    box = make.box(floor_z_mm=floor + 4.75 * I, partition_station_mm=15.5 * I, partition_hi_z_mm=floor + 20 * I)
    house = make.house("inch", "irc-2021", [lv1], cabinets=(box,), material="pvc")
    (stub,) = stub_marks(house, book("irc-2021"))
    assert "partition" in stub.lo_governs
    assert stub.feasible
    beside = fixture("LV1", K.LAVATORY, floor, outlet_z_mm=floor + 27.5 * I, outlet_in=1.25, from_wall_mm=8 * I,
                     cabinet_id="C1", station_mm=10 * I)  # fmt: skip
    (free,) = stub_marks(make.house("inch", "irc-2021", [beside], cabinets=(box,), material="pvc"), book("irc-2021"))
    assert "cabinet floor" in free.lo_governs


def test_unknown_outlet_is_said_to_be_assumed(make, book):
    lv4 = fixture("LV4", K.LAVATORY, 22.0, future=True)
    (stub,) = stub_marks(make.house("mm", "npc-2020", [lv4]), book("npc-2020"))
    assert "not known" in stub.hi_governs
    assert stub.derivation.status.verified is False


def test_larger_arm_takes_a_larger_trap(make, book):
    ks = fixture("KS", K.KITCHEN_SINK, 19.0, outlet_z_mm=19 + 489.0, from_wall_mm=260.0, cabinet_id="C1")
    house = make.house("mm", "npc-2020", [ks], cabinets=(make.box(floor_z_mm=19 + 118.0),))
    small, large = stub_marks(house, book("npc-2020"))[0], stub_marks(house, book("npc-2020"), {"KS": 2.0})[0]
    assert (small.size_in, large.size_in) == (1.5, 2.0)
    assert large.lo_z_mm > small.lo_z_mm


def test_floor_outlets_and_island_have_no_stub(make, book):
    tub = fixture("BT", K.BATHTUB, 0.0, floor_outlet=True)
    wc = fixture("WC", K.WATER_CLOSET, 0.0, floor_outlet=True)
    assert stub_marks(make.house("mm", "npc-2020", [tub, wc]), book("npc-2020")) == ()
