"""Hand-drawn routes: kept exactly, split at joins, kinds and roles from geometry, gaps reported."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.geometry.vec import Box, Vec
from stubout.house import facts, outside
from stubout.house import model as m
from stubout.house.framing import Bay
from stubout.kinds import FixtureKind
from stubout.layout.drawn import drawn_runs, place_of
from stubout.layout.model import PointKind, Role, VentMethod

K = FixtureKind


@pytest.fixture
def house(make):
    """Basement slab, main floor on joists along y, one wall at y 0, roof at 6000, footprint 10 x 8 m."""
    levels = (
        m.HouseLevel("basement", "basement", 0, "slab", -2700.0, 2400.0, 100.0, ceiling_open=True),
        m.HouseLevel("main", "main", 1, "frame", 0.0, 2467.0, ceiling_z_mm=2467.0, attic_above=True),
    )
    joists = m.Frame("main floor", "main", "sawn", "y", 235.0, 38.0, 38.0, -18.0, -253.0, 18.0,
                     tuple(400.0 * n for n in range(26)), -200.0, 8200.0, 0.0, 10000.0)  # fmt: skip
    bays = (Bay("A", 0, 19.0, 387.0), Bay("A", 1, 425.0, 9981.0))
    wall = make.wall("A", Vec(0, 0, 0), Vec(10000, 0, 0), 140.0, bays=bays)
    fixtures = (
        m.HouseFixture("LV1", K.LAVATORY, "", "r", "main", 0.0, 19.0, "A", "left", 1000.0, outlet_in=1.25),
        m.HouseFixture("WC1", K.WATER_CLOSET, "", "r", "main", 0.0, 19.0, floor_outlet=True),
        m.HouseFixture("KS", K.KITCHEN_SINK, "", "r", "main", 0.0, 19.0, "A", "left", 3000.0),
    )
    return make.house(
        "mm", "npc-2020", fixtures, levels=levels, frames=(joists,), walls=(wall,),
        roof=(outside.RoofPlane("R", -500, -500, 10500, 8500, Vec(0, 0, 6000.0), 0.0, 0.0),),
        sewer=outside.Sewer(Vec(1000, -5000, -3250), 4.0, "south", "sewer"),
        footprint=Box(Vec(0, -70, -2800), Vec(10000, 8000, 6000)),
        rooms=(m.Room("r", "main", 100, 100, 9900, 7900, 19.0), m.Room("base", "basement", 0, 0, 10000, 8000, 0.0)),
        cabinets=(make.box(box=Box(Vec(2500, 83, 100), Vec(3500, 690, 870))),),
    )  # fmt: skip


def leg(i, system, *points, **more):
    return facts.RouteLeg(i, system, tuple(Vec(*map(float, p)) for p in points), more.pop("size", None), **more)


def routes():
    """A lavatory on top of a stack with its own vent, a closet below it, building drain to the sewer."""
    return (
        leg("arm", "drain", (1000, 200, 460), (1000, 0, 456), size=1.25, fixture="LV1", joins="S"),
        leg("S", "drain", (1000, 0, 456), (1000, 0, -2850), size=3.0, joins="BD"),
        leg("wc", "drain", (1400, 500, 19), (1400, 500, -140), (1000, 0, -153), size=3.0, fixture="WC1", joins="S"),
        leg("BD", "drain", (1000, 0, -2850), (1000, -5000, -2950), size=4.0, joins="sewer"),
        leg("V", "vent", (1000, 0, 456), (1000, 0, 6200), size=1.5, vent_of="LV1"),
    )


def drawn(house, legs):
    return drawn_runs(replace(house, routes=tuple(legs)))


def test_legs_are_kept_and_split_where_another_joins(house):
    points, runs, _, faults = drawn(house, routes())
    assert faults == ()
    ids = [r.id for r in runs]
    assert ids == ["arm", "S.1", "S.2", "wc.1", "wc.2", "BD", "V"]
    at = {p.id: p.at for p in points}
    assert {tuple(at[r.start]) for r in runs if r.id == "S.1"} == {(1000, 0, 456)}
    assert tuple(at[next(r for r in runs if r.id == "S.2").start]) == (1000, 0, -153)
    assert all(r.drawn for r in runs)
    assert [r.size_in for r in runs] == [1.25, 3.0, 3.0, 3.0, 3.0, 4.0, 1.5]


def test_kinds_roles_and_vents_from_geometry(house):
    points, runs, traps, _ = drawn(house, routes())
    kind = {p.id: p.kind for p in points}
    role = {r.id: r.role for r in runs}
    assert kind["arm@0"] is PointKind.TRAP
    assert kind["arm@1"] is PointKind.STACK_TOP
    assert kind["wc@0"] is PointKind.FLANGE
    assert kind["wc@2"] is PointKind.JUNCTION
    assert kind["S@1"] is PointKind.STACK_FOOT
    assert kind["BD@1"] is PointKind.SEWER
    assert kind["V@1"] is PointKind.TERMINAL
    assert role["arm"] is role["wc.1"] is role["wc.2"] is Role.TRAP_ARM
    assert role["S.1"] is role["S.2"] is Role.STACK
    assert role["BD"] is Role.BUILDING_DRAIN
    assert role["V"] is Role.STACK_VENT
    lv, wc = (next(t for t in traps if t.tag == tag) for tag in ("LV1", "WC1"))
    assert (lv.method, lv.vent_runs, lv.takeoff) == (VentMethod.INDIVIDUAL, ("V",), "arm@1")
    assert (wc.method, wc.wet_through) == (VentMethod.WET, ("S.1",))
    assert lv.weir_z_mm == pytest.approx(460 - 34.6456 / 2)  # invert: half the average bore of 1-1/4 in below
    place = {r.id: (r.place.kind, r.place.ref) for r in runs}
    assert place["arm"] == ("room", "r")
    assert place["wc.1"] == ("through floor", "main floor")
    assert place["wc.2"] == ("joist bay", "main floor")
    assert place["V"] == ("wall", "A")


def test_points_within_a_millimetre_are_one(house):
    legs = list(routes())
    legs[1] = leg("S", "drain", (1000.6, 0, 456), (1000, 0, -2850), size=3.0, joins="BD")
    points, _, _, faults = drawn(house, legs)
    assert faults == ()
    assert len(points) == len(drawn(house, routes())[0])


def test_a_gap_is_said_with_its_width(house):
    legs = list(routes())
    legs[2] = leg(
        "wc", "drain", (1400, 500, 19), (1400, 500, -140), (1030, 0, -153), size=3.0, fixture="WC1", joins="S"
    )
    _, _, _, faults = drawn(house, legs)
    assert [f.about for f in faults] == [("wc", "S")]
    assert 'ends 30 mm (1 3/16") from S' in faults[0].constraint


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (leg("x", "drain", (0, 0, 0), (10, 0, 0), joins="nothing"), "joins nothing, which is not drawn"),
        (leg("x", "drain", (0, 0, 0), (10, 0, 0)), "ends in the air"),
        (leg("x", "drain", (0, 0, 0), joins="S"), "fewer than two points"),
        (leg("S", "drain", (0, 0, 0), (10, 0, 0)), "two routes are called S"),
        (leg("x", "vent", (1000, 100, 458), (1000, 100, 2000)), "roof at z 6000"),
        (leg("x", "vent", (2000, 0, 400), (2000, 0, 6100)), "starts on no drain, at x 2000"),
        (leg("x", "vent", (1000, 100, 458), (1000, 100, 6100), vent_of="XY"), "drawn for XY, which the job does not"),
        (
            leg("x", "drain", (1000, -100, -2900), (1200, -5000, -2950), joins="sewer"),
            '200 mm (7 7/8") from the sewer connection',
        ),
    ],
)
def test_faults_name_the_route_and_the_cure(house, bad, said):
    _, _, _, faults = drawn(house, (*routes(), bad))
    assert len(faults) == 1
    assert said in faults[0].constraint
    assert faults[0].free


def test_valve_in_the_cabinet_is_no_loose_end(house):
    legs = (
        *routes(),
        leg("karm", "drain", (3000, 300, 400), (3000, 100, 396), size=1.5, fixture="KS", joins="kd"),
        leg("kd", "drain", (3000, 100, 396), (3000, 100, -300), (1000, 0, -345), size=1.5, joins="S"),
        leg("kv", "vent", (3000, 100, 396), (3000, 100, 800), size=1.5, vent_of="KS",
            fittings=((1, "air admittance valve"),)),
    )  # fmt: skip
    points, runs, traps, faults = drawn(house, legs)
    assert faults == ()
    ks = next(t for t in traps if t.tag == "KS")
    assert ks.method is VentMethod.AAV
    assert next(p for p in points if p.id == "kv@1").kind is PointKind.AAV
    assert next(r for r in runs if r.id == "kd.1").role is Role.DRAIN
    assert next(r for r in runs if r.id == "kd.2").role is Role.BRANCH
    assert next(r for r in runs if r.id == "kv").place.kind == "cabinet"


def test_two_arms_at_one_take_off_are_a_common_vent(house):
    legs = (
        *routes(),
        leg("karm", "drain", (1200, -100, 460), (1000, 0, 456), size=1.5, fixture="KS", joins="S"),
    )
    _, _, traps, _ = drawn(house, legs)
    lv, ks = (next(t for t in traps if t.tag == tag) for tag in ("LV1", "KS"))
    assert lv.method is ks.method is VentMethod.COMMON
    assert (lv.partner, ks.partner) == ("KS", "LV1")


def test_a_drop_before_the_wet_vent_is_no_vent(house):
    legs = (
        *routes(),
        leg("karm", "drain", (3000, 0, 460), (2500, 0, 450), (2500, 0, -200), (1000, 0, -230), size=1.5, fixture="KS",
            joins="S"),
    )  # fmt: skip
    _, runs, traps, _ = drawn(house, legs)
    ks = next(t for t in traps if t.tag == "KS")
    assert (ks.method, ks.takeoff, ks.arm_runs) == (VentMethod.NONE, "", ("karm.1",))
    role = {r.id: r.role for r in runs}
    assert (role["karm.1"], role["karm.2"], role["karm.3"]) == (Role.TRAP_ARM, Role.DRAIN, Role.BRANCH)


def test_cleanout_leg_is_an_extension(house):
    legs = (*routes(), leg("co", "drain", (1000, -2500, -1000), (1000, -2500, -2900), size=4.0, joins="BD",
                           fittings=((0, "cleanout"),)))  # fmt: skip
    points, runs, _, faults = drawn(house, legs)
    assert faults == ()
    assert next(r for r in runs if r.id == "co").role is Role.CLEANOUT_EXT
    assert next(p for p in points if p.id == "co@0").kind is PointKind.CLEANOUT
    assert [r.role for r in runs if r.id.startswith("BD")] == [Role.BUILDING_DRAIN, Role.SEWER]


def test_unvented_trap_is_seen(house):
    legs = [r for r in routes() if r.id != "V"]
    _, _, traps, _ = drawn(house, legs)
    assert {t.method for t in traps} == {VentMethod.NONE}
    assert all(t.takeoff == "" for t in traps)


@pytest.mark.parametrize(
    ("a", "b", "kind", "ref", "bay"),
    [
        ((200, 0, 100), (200, 0, 900), "wall", "A", 0),
        ((200, 0, 400), (900, 0, 390), "wall", "A", -1),  # through a stud
        ((600, 500, -100), (600, 3000, -150), "joist bay", "main floor", 1),
        ((600, 500, -100), (1600, 500, -120), "joist bay", "main floor", -1),  # across joists
        ((600, 500, -400), (600, 3000, -450), "below frame", "main floor", -1),
        ((600, 500, -2900), (600, 3000, -2950), "under slab", "basement", -1),
        ((600, -500, -2900), (600, -3000, -2950), "buried", "", -1),
        ((600, 500, 2600), (600, 3000, 2610), "attic", "main", -1),
        ((600, 500, 5900), (600, 500, 6300), "roof", "R", -1),
        ((3000, 300, 300), (3000, 500, 310), "cabinet", "C1", -1),
        ((5000, 3000, 300), (5000, 4000, 310), "room", "r", -1),
        ((5000, 3000, 19), (5000, 3000, -140), "through floor", "main floor", -1),
    ],
)
def test_place_of(house, a, b, kind, ref, bay):
    got = place_of(house, Vec(*map(float, a)), Vec(*map(float, b)))
    assert (got.kind, got.ref, got.bay) == (kind, ref, bay)


def test_order_of_the_legs_does_not_change_the_system(house):
    a, b = drawn(house, routes()), drawn(house, routes()[::-1])
    key = lambda d: sorted((r.id, r.role.value, r.size_in) for r in d[1])  # noqa: E731
    assert key(a) == key(b)
    assert sorted((t.tag, t.method.value) for t in a[2]) == sorted((t.tag, t.method.value) for t in b[2])
