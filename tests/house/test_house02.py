"""House 02, section 10 "Facts to get right": every number that the resolved house itself can show [in].

Source of all expected values: the plan set of house 02, where they are reckoned by hand; each test names its fact.
"""

from __future__ import annotations

import math

import pytest

from stubout.geometry.vec import Vec
from stubout.house.framing import Side
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


def bay_y(h: House, wall: str, y_in: float) -> tuple[float, float]:
    """Return the clear bay of a north-south wall that holds a y [in]."""
    w = h.wall(wall)
    bay = w.bay_at(w.station(Vec(w.start.x, y_in * IN)))
    assert bay is not None
    return (w.start.y + bay.lo_mm) / IN, (w.start.y + bay.hi_mm) / IN


def test_fact_3_way_to_the_lateral(h02: House) -> None:
    x, y = outlet(h02, "WC1")
    sx, sy = h02.sewer.at.x / IN, h02.sewer.at.y / IN
    assert (sx - x, y - sy) == near((122.75, 488.75))
    assert (sx - x) + (y - sy) == near(611.5)
    assert (y - sy) - (sx - x) + (sx - x) * math.sqrt(2) == near(539.6, abs=0.05)
    assert h02.sewer.at.z / IN == near(-26)


def test_fact_4_deepest_trap(h02: House) -> None:
    sh1 = h02.fixture("SH1")
    assert sh1.trap_weir_z_mm is not None
    assert sh1.trap_weir_z_mm / IN == near(-11)
    (x1, y1), (x2, y2) = outlet(h02, "SH1"), outlet(h02, "WC1")
    assert (x2 - x1, y1 - y2) == near((61.5, 68.5))
    what, recess = next(r for r in h02.level("slab").recesses if "recess" in r[0])
    assert (recess.hi.z - recess.lo.z) / IN == near(2)
    assert recess.contains(Vec(x1 * IN, y1 * IN, -IN)), what


def test_fact_6_and_7_footings(h02: House) -> None:
    a = obstacle(h02, "F5").box
    assert a.lo.z / IN == near(-12)
    assert (a.lo.x / IN, a.hi.x / IN) == near((172, 188))
    assert obstacle(h02, "F1").box.lo.z / IN == near(-20)
    assert obstacle(h02, "F1").box.hi.y / IN == near(12)


def test_fact_8_distances_to_walls(h02: House) -> None:
    x, y = outlet(h02, "SH1")
    assert x - h02.wall("P").start.x / IN == near(31.75)
    assert h02.wall("D").start.y / IN - y == near(18.75)
    assert h02.wall("A").start.x / IN - x == near(76.25)
    assert outlet(h02, "KS")[0] - h02.wall("A").start.x / IN == near(83)


def test_fact_9_foot_vent_bay(h02: House) -> None:
    assert bay_y(h02, "A", 305.5) == near((294.25, 308.75))


def test_fact_10_island_sink(h02: House) -> None:
    ks = h02.fixture("KS")
    assert ks.in_island
    assert ks.cabinet_id == "I1.3"
    assert aff(h02, "KS", ks.outlet_z_mm) == near(19.25)
    assert ks.outlet_z_mm is not None
    assert ks.outlet_z_mm / IN == near(19.5)
    top = box(h02, "I1.3").box.hi.z
    assert aff(h02, "KS", top) == near(34.75)
    assert (box(h02, "I1.3").box.lo.x / IN, box(h02, "I1.3").box.hi.x / IN) == near((249, 273))
    assert outlet(h02, "KS")[0] - box(h02, "I1.3").box.lo.x / IN == near(14)


def test_fact_11_back_to_back_on_a_stud(h02: House) -> None:
    w = h02.wall("A")
    assert any((w.start.y + s.station_mm) / IN == near(309.5) for s in w.studs)
    assert outlet(h02, "LV1")[1] == near(309.5)
    assert w.bay_at(h02.fixture("LV1").station_mm or 0.0) is None
    assert bay_y(h02, "A", 317.5) == near((310.25, 324.75))
    assert sum(bay_y(h02, "A", 317.5)) / 2 == near(outlet(h02, "BS")[1])


@pytest.mark.parametrize(("tag", "height", "floor"), [("LV1", 27.75, 0.625), ("BS", 27.75, 0.25), ("LV2", 28.0, 0.5)])
def test_fact_12_and_16_outlet_heights(h02: House, tag: str, height: float, floor: float) -> None:
    f = h02.fixture(tag)
    assert aff(h02, tag, f.outlet_z_mm) == near(height)
    assert f.finished_z_mm / IN == near(floor)


def test_fact_13_bearing(h02: House) -> None:
    assert {w.id for w in h02.walls if w.bearing} == {"A", "W", "E"}
    assert {w.id for w in h02.walls if w.exterior} == {"S", "N", "W", "E"}


def test_fact_14_one_bay_wanted_by_three(h02: House) -> None:
    w = h02.wall("H")
    ys = [(w.start.y + s.station_mm) / IN for s in w.studs]
    assert any(y == near(167.75) for y in ys)
    assert any(y == near(183.75) for y in ys)
    assert bay_y(h02, "H", 175) == near((168.5, 183))
    assert outlet(h02, "LV2")[1] == near(182.25)
    med = obstacle(h02, "O2").box
    assert (med.lo.y / IN, med.hi.y / IN) == near((175.125, 189.375))
    aw = h02.fixture("AW")
    assert outlet(h02, "AW") == near((81, 175.75))
    assert outlet(h02, "AW")[1] - 4.5 == near(171.25)  # box 9 wide
    assert aw.standpipe_top_z_mm is not None
    assert aw.standpipe_top_z_mm / IN == near(39)  # fact 15


def test_fact_16_drawer_with_cut_out(h02: House) -> None:
    (drawer,) = box(h02, h02.fixture("LV2").cabinet_id).drawers
    assert (aff(h02, "LV2", drawer.lo_z_mm), aff(h02, "LV2", drawer.hi_z_mm)) == near((20, 29))
    assert (drawer.cut_width_mm / IN, drawer.cut_depth_mm / IN) == near((8, 7))
    assert aff(h02, "LV2", box(h02, h02.fixture("LV2").cabinet_id).floor_z_mm) == near(4.75)


def test_fact_17_closet_sides(h02: House) -> None:
    y1 = outlet(h02, "WC1")[1]
    assert box(h02, "V1.1").box.lo.y / IN == near(288.5)
    assert box(h02, "V1.1").box.lo.y / IN - y1 == near(15.75)
    c = h02.wall("C")
    face = c.start.y + c.face_offset("left", 160 * IN, 100)
    assert y1 - face / IN == near(18)
    y2 = outlet(h02, "WC2")[1]
    tub = h02.fixture("BT2").extent
    assert tub is not None
    assert y2 - tub.hi.y / IN == near(18.25)
    assert box(h02, "V2.1").box.lo.y / IN - y2 == near(18.25)


def test_fact_20_roof(h02: House) -> None:
    east = next(p for p in h02.roof if p.id == "east slope")
    assert east.z_at(192 * IN, 317.5 * IN) / IN == near(161)
    light = h02.roof_openings[0].box
    assert light.hi.z / IN == near(147)
    assert light.lo.x / IN - 192 == near(42)
    across = light.lo.x / IN - 192
    assert light.hi.y / IN + math.sqrt(120**2 - across**2) == near(446.4, abs=0.05)  # 10 ft away: y 37'-2 1/2"


def test_ceiling_joists_stand_over_the_studs_of_a(h02: House) -> None:
    # section 3: west half centred at y = 0'-5 1/2" + 16" n, n = 1...38, east half 1 1/2" north of it
    west = next(f for f in h02.frames if f.id == "ceiling west")
    east = next(f for f in h02.frames if f.id == "ceiling east")
    assert [c / IN for c in west.centres_mm] == near([5.5 + 16 * n for n in range(1, 39)])
    assert [e - w for e, w in zip(east.centres_mm, west.centres_mm, strict=True)] == near([1.5 * IN] * 38)
    studs = {round(s.station_mm + h02.wall("A").start.y, 3) for s in h02.wall("A").studs if s.kind != "cripple"}
    assert sum(round(c, 3) in studs for c in west.centres_mm) >= 34  # all but those over door D1
    assert west.open_above
    assert west.bottom_z_mm / IN == near(97.125)


def test_header_posts_of_d1(h02: House) -> None:
    # section 7, O6: stations 16'-2 1/2" to 20'-2 1/2" are what jack and king at each side take
    kings = [s for s in h02.wall("A").studs if s.kind == "king"]
    assert kings[0].station_mm / IN - 0.75 == near(194.5)
    assert kings[1].station_mm / IN + 0.75 == near(242.5)
    header = obstacle(h02, "D1 header").box
    assert header.hi.z / IN == near(91.25)


@pytest.mark.parametrize(
    ("wall", "side", "station", "z", "thick"),
    [
        ("A", "left", 304.0, 30.0, 1.0),  # bath 1
        ("A", "left", 130.0, 30.0, 0.5),  # bath 2
        ("A", "right", 312.0, 30.0, 0.5),  # below the tile
        ("A", "right", 312.0, 45.0, 1.0),  # tile 36 to 54 above the finished floor
        ("A", "right", 312.0, 60.0, 0.5),
        ("C", "left", 100.0, 30.0, 1.0),
        ("C", "right", 100.0, 30.0, 0.5),
        ("P", "right", 87.5, 10.0, 0.0),  # shower set to studs
        ("P", "right", 30.0, 10.0, 1.0),
        ("H", "right", 15.0, 10.0, 0.0),  # tub set to studs, up to its rim
        ("H", "right", 15.0, 30.0, 0.5),
        ("J", "left", 90.0, 10.0, 0.0),
        ("D", "right", 100.0, 10.0, 0.0),
    ],
)
def test_finishes(h02: House, wall: str, side: Side, station: float, z: float, thick: float) -> None:
    # section 4; "set to studs" in section 6
    assert h02.wall(wall).finish_mm(side, station * IN, z * IN) / IN == near(thick)
