"""What checks read off house and network, on the small bath: expected values by hand, just inside and just outside."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.checks import facts, surroundings
from stubout.checks.base import Review
from stubout.checks.once import told_once
from stubout.checks.registry import by_id, run_all
from stubout.checks.space import boxes_meet, clipped, point_box_mm, segment_box, segment_segment
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate
from stubout.house.framing import Opening
from stubout.house.model import CabinetBox, HouseLevel, Obstacle, Room
from stubout.house.outside import Ground, RoofOpening, RoofPlane, Sewer
from stubout.problems import Basis, Finding, Level, Status


def review(design):
    return Review(design, by_id("ARM001"))


def box(lo, hi):
    return Box(Vec(*lo), Vec(*hi))


def cabinet(name, lo, hi, **kw):
    base = CabinetBox(name, "K", name, "doors", "P", "right", lo[1], hi[1], box(lo, hi), None)
    return replace(base, **kw)


# --- openings, roof, levels, frost ------------------------------------------------------------------------------------


def opening(name="G1", **kw):
    base = Opening(name, "P", 1000.0, 600.0, 900.0, 2000.0, 2240.0, "window", opens=True, exterior=True)
    return replace(base, **kw)


def test_an_opening_is_a_box_through_the_wall(kit):
    wall = kit.wall(depth_mm=140.0)  # runs north along x 0
    b = surroundings.opening_box(wall, opening())
    assert (b.lo, b.hi) == (Vec(-70, 1000, 900), Vec(70, 1600, 2000))


@pytest.mark.parametrize(
    ("wall_outside", "change", "counts"),
    [
        (False, {}, True),
        (True, {"exterior": False}, True),
        (False, {"exterior": False}, False),
        (True, {"opens": False}, False),
    ],
)
def test_what_lets_outdoor_air_in(kit, wall_outside, change, counts):
    wall = kit.wall(exterior=wall_outside, openings=(opening("G2"), opening("G1", **change)))
    sky = (RoofOpening("A1", box((0, 0, 0), (1, 1, 1))), RoofOpening("A2", box((0, 0, 0), (1, 1, 1)), opens=False))
    names = [n for n, _ in surroundings.air_openings(review(kit.design(walls=(wall,), roof_openings=sky)))]
    assert names == (["A1", "G1", "G2"] if counts else ["A1", "G2"])


def test_the_highest_roof_above_a_place(kit):
    def plane(name, z, x1=100.0):
        return RoofPlane(name, 0.0, 0.0, x1, 100.0, Vec(0, 0, z), 0.0, 0.0)

    on = review(kit.design(roof=(plane("low", 3000), plane("high", 4000, 50.0))))
    for x, y, name in ((0, 0, "high"), (50, 100, "high"), (51, 0, "low"), (100, 100, "low")):
        assert on.house.roof_over(Vec(x, y, 0)).id == name
    for x, y in ((-1, 0), (0, -1), (101, 0), (0, 101)):
        assert on.house.roof_over(Vec(x, y, 0)) is None


def test_the_storey_below_a_height(kit):
    levels = (HouseLevel("a", "a", 0, "slab", -2700.0, 2400.0), HouseLevel("b", "b", 1, "frame", 0.0, 2400.0))
    on = review(kit.design(levels=levels))
    assert [getattr(surroundings.level_of(on, z), "id", None) for z in (-2702, -2701, -2, -1, 500)] == [
        None, "a", "a", "b", "b",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("winter_f", "prone", "limit", "freezes"),
    [(32.0, False, None, True), (32.5, True, None, False), (20.0, None, 10.0, False), (10.0, None, 10.0, True),
     (None, True, None, True), (None, False, None, False), (None, None, None, None)],
)  # fmt: skip
def test_frost_by_temperature_else_as_said(kit, winter_f, prone, limit, freezes):
    values = {"protect.freezing_below": limit}
    on = review(kit.design(climate=Climate(prone, winter_f, None), values=values))
    assert surroundings.freezes(on) is freezes


# --- the edge of the house --------------------------------------------------------------------------------------------


def test_a_drain_passes_the_edge_of_the_house(kit):
    on = review(kit.design())  # footprint to y -50; B2 runs from (0, 609) to (0, -500)
    ((pipe, at),) = surroundings.crossing(on)
    assert (pipe.id, round(at.x), round(at.y, 3)) == ("B2", 0, -50.0)
    assert at.z == pytest.approx(-323.9 + (609 + 50) / 1109 * (-346 + 323.9))
    assert {(round(p.x), round(p.y)) for p in surroundings.outside_points(on, pipe)} == {(0, -500), (0, -50)}
    sewer = on.net.pipe("S1")
    assert surroundings.outside_points(on, sewer) == (sewer.a, sewer.b)
    assert surroundings.outside_points(on, on.net.pipe("B1")) == ()


def test_ground_falls_from_the_house_to_the_connection(kit):
    sewer = Sewer(Vec(0, -5050, -487), 4.0, "south", "sewer")  # 5000 from the edge at y -50
    on = review(kit.design(ground=Ground(-100.0, -600.0), sewer=sewer))
    for y, z in ((1000, -100), (-50, -100), (-1050, -200), (-2550, -350), (-5050, -600), (-9000, -600)):
        assert surroundings.ground_z(on, Vec(0, y, 0)) == pytest.approx(z)
    east = Sewer(Vec(3000 + 1000, 0, -487), 4.0, "east", "sewer")
    on = review(kit.design(ground=Ground(-100.0, -600.0), sewer=east))
    assert surroundings.ground_z(on, Vec(3500, 0, 0)) == pytest.approx(-350)
    assert surroundings.ground_z(on, Vec(-3500, 0, 0)) == pytest.approx(-350)  # as far away on the other side
    inside = Sewer(Vec(0, 0, -487), 4.0, "south", "sewer")
    on = review(kit.design(ground=Ground(-100.0, -600.0), sewer=inside))
    assert surroundings.ground_z(on, Vec(0, -9000, 0)) == -100.0


# --- beside and in front of a closet ----------------------------------------------------------------------------------
# WC1: centre at station 1421 on wall P (x 0, to the right), face at x 83; room from y -2500 … as in conftest


def room(lo=1000.0, hi=2000.0, far=2500.0):
    return (Room("bath", "main", 83.0, lo, far, hi, 13.0, title="bath"),)


def gaps(kit, **house):
    body = house.pop("body", kit.WC1)
    return surroundings.side_gaps(review(kit.design(rooms=house.pop("rooms", room()), **house)), body)


def test_side_walls(kit):
    assert gaps(kit) == [(421.0, "bath"), (579.0, "bath")]
    on = review(kit.design(rooms=room()))
    assert surroundings.side_gaps(on, replace(kit.WC1, outlet=None)) == []
    assert surroundings.side_gaps(on, replace(kit.WC1, wall_id="Q")) == []
    assert surroundings.side_gaps(on, replace(kit.WC1, room_id="hall")) == []
    nameless = (replace(room()[0], title=""),)
    assert {n for _, n in gaps(kit, rooms=nameless)} == {"bath"}


@pytest.mark.parametrize(
    ("lo", "hi", "gap"),
    [
        ((83, 1750, 13), (600, 1900, 850), 329.0),
        ((83, 1100, 13), (600, 1200, 850), 221.0),
        ((83, 1300, 13), (600, 1421, 850), 0.0),  # reaches the centre
        ((83, 1300, 13), (600, 1420, 850), 1.0),
        ((83, 1750, 1013), (600, 1900, 1500), None),  # above a person's knees
        ((83, 1750, 1012), (600, 1900, 1500), 329.0),
        ((83, 1750, -900), (600, 1900, 13), None),  # below the floor
        ((-900, 1750, 13), (83, 1900, 850), None),  # behind the wall
        ((800, 1750, 13), (900, 1900, 850), None),  # too far out: 717 mm
        ((783, 1750, 13), (900, 1900, 850), None),  # 700 mm: common practice, no source
        ((782, 1750, 13), (900, 1900, 850), 329.0),
    ],
)
def test_what_stands_beside(kit, lo, hi, gap):
    found = [g for g, name in gaps(kit, cabinets=(cabinet("K1", lo, hi),)) if name == "K1"]
    assert found == ([] if gap is None else [gap])
    obstacle = Obstacle("O1", "pier", box(lo, hi), "post")
    found = [g for g, name in gaps(kit, obstacles=(obstacle,)) if name == "O1"]
    assert found == ([] if gap is None else [gap])


@pytest.mark.parametrize("kind", ["zone", "soffit", "box", "header", "footing", "pad"])
def test_what_is_not_beside(kit, kind):
    here = box((83, 1750, 13), (600, 1900, 850))
    assert len(gaps(kit, obstacles=(Obstacle("O1", "x", here, kind),))) == 2
    assert len(gaps(kit, obstacles=(Obstacle("O1", "x", here, "duct", wall_id="P"),))) == 2
    assert len(gaps(kit, obstacles=(Obstacle("O1", "x", here, "duct"),))) == 3


def test_the_nearest_comes_first_and_a_body_is_not_beside_itself(kit):
    body = replace(kit.WC1, extent=box((83, 1221, 13), (800, 1621, 800)))
    tub = kit.fixture("BT1", "bathtub", extent=box((83, 1800, 13), (850, 2000, 500)))
    assert gaps(kit, fixtures=(body, tub), body=body) == [(379.0, "BT1"), (421.0, "bath"), (579.0, "bath")]


def front(kit, *cabinets):
    body = replace(kit.WC1, extent=box((83, 1221, 13), (800, 1621, 800)))
    return surroundings.front_gap(review(kit.design(rooms=room(), fixtures=(body,), cabinets=cabinets)), body)


def test_room_in_front(kit):
    assert front(kit) == (1700.0, "bath")  # 2500 - 800
    across = cabinet("K1", (1400, 1000, 13), (2000, 1900, 850))
    assert front(kit, across) == (600.0, "K1")
    aside = cabinet("K1", (1400, 1620, 13), (2000, 1900, 850))  # overlaps by 1 mm: it does not count
    assert front(kit, aside) == (1700.0, "bath")
    just = cabinet("K1", (1400, 1619, 13), (2000, 1900, 850))
    assert front(kit, just) == (600.0, "K1")
    other_side = cabinet("K1", (1400, 1000, 13), (2000, 1223, 850))
    assert front(kit, other_side) == (600.0, "K1")
    beside = cabinet("K1", (300, 1000, 13), (900, 1900, 850))  # begins behind the front
    assert front(kit, beside) == (1700.0, "bath")
    assert front(kit, across, cabinet("K2", (1200, 1000, 13), (1300, 1900, 850))) == (400.0, "K2")


def test_room_in_front_is_known_only_with_wall_room_and_body(kit):
    on = review(kit.design(rooms=room()))
    assert surroundings.front_gap(on, kit.WC1) is None
    body = replace(kit.WC1, extent=box((83, 1221, 13), (800, 1621, 800)))
    assert surroundings.front_gap(on, replace(body, wall_id="Q")) is None
    assert surroundings.front_gap(on, replace(body, room_id="Q")) is None
    assert surroundings.front_gap(on, body) == (1700.0, "bath")


# --- distances --------------------------------------------------------------------------------------------------------

UNIT = box((0, 0, 0), (10, 20, 30))


def test_distances_by_hand():
    assert point_box_mm(Vec(13, 24, 15), UNIT) == 5.0
    assert point_box_mm(Vec(-3, -4, 15), UNIT) == 5.0
    assert point_box_mm(Vec(5, 5, 42), UNIT) == 12.0
    far, at = segment_box(Vec(20, 10, 10), Vec(40, 10, 10), UNIT)
    assert (far, at) == (10.0, Vec(20, 10, 10))  # nearest at its start
    far, at = segment_box(Vec(40, 10, 10), Vec(20, 10, 10), UNIT)
    assert (far, at) == (10.0, Vec(20, 10, 10))  # and at its end
    far, at = segment_box(Vec(13, -10, 34), Vec(13, 50, 34), UNIT)
    assert far == 5.0


@pytest.mark.parametrize(
    ("a", "b", "c", "d", "far", "at"),
    [
        ((0, 0, 0), (10, 0, 0), (5, 5, 0), (5, 9, 0), 5.0, (5, 0, 0)),
        ((0, 0, 0), (10, 0, 0), (5, -3, 4), (5, 3, 4), 4.0, (5, 0, 0)),  # skew, both inside
        ((0, 0, 0), (0, 0, 0), (3, 4, 0), (3, 4, 0), 5.0, (0, 0, 0)),
        ((0, 0, 0), (0, 0, 0), (3, -9, 0), (3, 9, 0), 3.0, (0, 0, 0)),
        ((3, -9, 0), (3, 9, 0), (0, 0, 0), (0, 0, 0), 3.0, (3, 0, 0)),
        ((0, 0, 0), (10, 0, 0), (0, 4, 0), (10, 4, 0), 4.0, None),  # side by side
        ((0, 0, 0), (10, 0, 0), (13, 4, 0), (20, 4, 0), 5.0, (10, 0, 0)),  # past the end
        ((0, 0, 0), (10, 0, 0), (-3, 4, 0), (-9, 4, 0), 5.0, (0, 0, 0)),
        ((0, 0, 0), (10, 10, 0), (20, 0, 7), (0, 20, 7), 7.0, (10, 10, 0)),
        ((0, 0, 0), (2, 0, 0), (5, 1, 0), (5, 9, 0), 10**0.5, (2, 0, 0)),
    ],
)
def test_segment_to_segment_by_hand(a, b, c, d, far, at):
    got, p = segment_segment(Vec(*a), Vec(*b), Vec(*c), Vec(*d))
    assert got == pytest.approx(far)
    if at is not None:
        assert p.to(Vec(*at)) == pytest.approx(0.0, abs=1e-9)


def test_boxes_that_meet():
    other = box((8, 18, 28), (50, 50, 50))  # 2 mm in every direction
    assert boxes_meet(UNIT, other)
    assert boxes_meet(UNIT, other, 1.9)
    assert not boxes_meet(UNIT, other, 2.0)
    assert not boxes_meet(UNIT, box((10, 0, 0), (20, 20, 30)))
    assert not boxes_meet(UNIT, box((0, 0, 31), (10, 20, 40)))


def test_part_of_a_segment_in_a_box():
    assert clipped(Vec(5, -10, 5), Vec(5, 50, 5), UNIT) == (Vec(5, 0, 5), Vec(5, 20, 5))
    assert clipped(Vec(5, 50, 5), Vec(5, -10, 5), UNIT) == (Vec(5, 20, 5), Vec(5, 0, 5))
    assert clipped(Vec(11, -10, 5), Vec(11, 50, 5), UNIT) is None
    assert clipped(Vec(10, -10, 5), Vec(10, 50, 5), UNIT) == (Vec(10, 0, 5), Vec(10, 20, 5))
    assert clipped(Vec(-10, 15, 5), Vec(0, 25, 5), UNIT) is None
    assert clipped(Vec(5, 5, 5), Vec(6, 6, 6), UNIT) == (Vec(5, 5, 5), Vec(6, 6, 6))


# --- arms, rims, cleanouts --------------------------------------------------------------------------------------------


def test_an_arm_by_hand(kit):
    on = review(kit.design())
    lavatory, closet = facts.arms(on)
    assert (lavatory.closet, closet.closet) == (False, True)
    assert lavatory.length_mm == pytest.approx((230**2 + 4.6**2) ** 0.5)
    assert (lavatory.fall_mm, lavatory.turn_deg, lavatory.plumb) == (pytest.approx(4.6), 0.0, ())
    assert closet.fall_mm == pytest.approx(13 + 307.8)
    assert [p.id for p in closet.plumb] == ["A2"]
    assert closet.turn_deg == pytest.approx(88.85, abs=0.01)  # plumb, then 388 along and 7.8 down
    assert closet.plan_mm == pytest.approx(388.0)
    assert (closet.size_in, closet.start, closet.end) == (3.0, Vec(388, 1421, 13), Vec(0, 1421, -307.8))


def test_an_arm_of_no_known_pipes_follows_its_weir(kit):
    traps = ({"tag": "LV1", "arm": ("gone",)}, {"tag": "WC1", "arm": ("A2", "A3"), "trap_in": 3.0})
    d = kit.design(traps=traps)
    weir = d.network.pipe("A1").start
    net = replace(d.network, traps=(replace(d.network.traps[0], weir=weir), d.network.traps[1]))
    assert [[p.id for p in a.pipes] for a in facts.arms(review(replace(d, network=net)))] == [["A1"], ["A2", "A3"]]
    assert [a.trap.tag for a in facts.arms(review(d))] == ["WC1"]  # without a weir there is none
    lone = kit.design(fixtures=(kit.WC1,))
    assert [a.trap.tag for a in facts.arms(review(lone))] == ["WC1"]


def test_highest_rim_said_usual_and_unknown(kit):
    sink = kit.fixture("KS1", "kitchen sink")
    washer = kit.fixture("CW1", "clothes washer", standpipe_top_z_mm=900.0)
    drain = kit.fixture("FD1", "floor drain", flood_rim_z_mm=2000.0)
    on = review(kit.design(fixtures=(kit.LV1, kit.WC1, sink, washer, drain)))
    assert facts.highest_rim(on, ("LV1", "WC1"))[:2] == (863.0, "LV1")
    z, tag, basis = facts.highest_rim(on, ("WC1",))
    assert (z, tag) == (463.0, "WC1")  # 450 above the finished floor at 13
    assert basis.what == "flood rim of WC1, not said"
    assert facts.highest_rim(on, ("LV1",))[2] is None
    assert facts.highest_rim(on, ("CW1", "LV1"))[:2] == (900.0, "CW1")
    assert facts.highest_rim(on, ("FD1",)) is None
    assert facts.highest_rim(on, ("nobody",)) is None
    assert on.not_checked() == ()
    assert facts.highest_rim(on, ("KS1",)) is None
    assert [n.reason for n in on.not_checked()] == ["KS1: the flood rim is not known"]


def test_cleanouts_large_enough(kit):
    on = review(kit.design())  # one of 4 in
    assert len(facts.openings_for(on, 4.0)) == 1
    small = replace(on.design, cleanouts=(replace(on.design.cleanouts[0], size_in=3.0),))
    assert facts.openings_for(review(small), 4.0) == ()  # npc-2020: 4 in for a 4 in drain, 3 in for 3 in
    assert [n.at for n in facts.openings_for(review(small), 3.0)] == [Vec(0, -500, -250)]
    silent = replace(small, book=replace(small.book, tables={}))
    assert len(facts.openings_for(review(silent), 4.0)) == 1


# --- one cause, one finding; the order of all -------------------------------------------------------------------------


def finding(check, about, level=Level.FIX, **kw):
    base = Finding(check=check, name="n", level=level, about=about, found="f", wanted="w", do="d", bases=(), why="y")
    return replace(base, **kw)


def test_a_missing_cleanout_is_told_once():
    ask = finding("ASK001", ("D1-cleanout", "D1"), Level.ASK, owner="inspector")
    other = finding("ASK001", ("rim", "LV1"), Level.ASK)
    missing = finding("CLO003", ("X", "D1"))
    apart = finding("DRN001", ("D1",))
    told = told_once((missing, ask, other, apart))
    assert [f.check for f in told] == ["CLO003", "ASK001", "DRN001"]
    assert told[0].owner == "inspector"
    assert told[0].do.startswith("d; no place was found")
    assert told[1:] == (other, apart)
    assert told_once((ask, other)) == (ask, other)
    two = finding("CLO003", ("D1", "D2"))
    ask2 = finding("ASK001", ("D2-cleanout", "D2"), Level.ASK, owner="owner")
    told = told_once((two, ask, ask2))
    assert [f.check for f in told] == ["CLO003"]
    assert told[0].owner == "inspector"


def test_gravest_first_then_by_id(kit):
    d = kit.design(edit={"D1": {"load": 99}, "B2": {"load": 999}}, drop=("C1",))
    begun = []
    found, _ = run_all(d, begun.append)
    grades = ["STOP", "FIX", "ASK", "NOTE"]
    assert [grades.index(f.level.value) for f in found] == sorted(grades.index(f.level.value) for f in found)
    for level in grades:
        ids = [(f.check, f.about, f.found) for f in found if f.level.value == level]
        assert ids == sorted(ids)
    assert len(begun) == len(set(begun)) >= len({f.check for f in found})


def test_what_a_finding_rests_on(kit):
    on = review(kit.design())
    clause = on.book.clauses.get("ARM001")
    own = Basis("x", "1", "job", "", Status.JOB)
    kw = {"about": ("A1",), "found": "f", "wanted": "w", "do": "d", "why": "y"}
    assert [b.what for b in on.finding(**kw, with_clause=False).bases] == ["rule of the trade"]
    f = on.finding(**kw, bases=(own, None, own), with_clause=False)
    assert f.bases == (own,)
    assert f.level is Level.FIX or f.level is by_id("ARM001").level
    assert clause is None or on.finding(**kw).bases[0] == clause.basis
    assert on.finding(**kw, at=Vec(-0.01, 1.26, 3)).at == (0.0, 1.3, 3.0)
    assert on.finding(**kw, level=Level.NOTE).level is Level.NOTE


def test_heights_said_above_and_below(kit):
    on = review(kit.design())
    assert on.above(10.0).endswith(" above")
    assert on.above(0.0).endswith(" above")
    assert on.above(-10.0) == on.above(10.0).replace("above", "below")
    assert on.at_least_above(0.5) == "at or above"
    assert on.at_least_above(0.6).startswith("at least ")
    assert on.above_floor(100.0, 13.0, 0.0) == f"{on.above(87.0)} finished floor, {on.above(100.0)} subfloor"


def test_reasons_are_kept_once_with_their_fixtures(kit):
    on = review(kit.design())
    assert on.value("circuit_vent.branch_large") is not None
    assert Review(replace(on.design, book=replace(on.book, values={})), on.check).value("closet.side_clear") is None
    on.skip("why", "LV1")
    on.skip("why", "WC1")
    on.skip("why", "LV1")
    on.skip("other")
    reasons = [n.reason for n in on.not_checked()]
    assert reasons == ["LV1, WC1: why", "other"]
    assert {n.check for n in on.not_checked()} == {"ARM001"}

    def silent():
        raise LookupError

    assert on.ask(silent) is None
    assert on.not_checked()[-1].reason == "the book is silent"
    assert on.maybe(silent) is None
    assert on.ask(lambda x: x + 1, 2) == 3
