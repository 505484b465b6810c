"""Bores, plates and straps against the house facts, which cite NBC 9.23.5 and IRC R502/R602 with their status."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from stubout.fabrication.build import fabricate_network
from stubout.fabrication.members import members
from stubout.files.books import book_ids, load_book
from stubout.files.jobs import read_job
from stubout.geometry.vec import Box, Vec
from stubout.house.model import Obstacle
from stubout.house.resolve import resolve
from stubout.layout.model import PointKind, Role

IN = 25.4
EXAMPLES = Path(__file__).parents[2] / "examples"


def arm(plot, *, x0, x1, z0, fall, size=1.5, y=0.0):
    """A lying pipe along a wall on the x axis, falling `fall` m/m from x0 to x1."""
    p = plot()
    run = abs(x1 - x0)
    p.node("w", x0, y, z0, PointKind.CAP).node("t", x1, y, z0 - run * fall, PointKind.SEWER)
    return p.pipe("A1", "w", "t", size, Role.TRAP_ARM)


# house 01 facts 8 and 9: M-K is 89 deep, non-bearing: 89 - 40 = 49; four studs on the way; 8.1 mm a stud, last step 7.7
def test_house_01_fact_9_four_studs_follow_the_fall(plot, wall, house, room, npc, nbc_framing):
    studs = [19, 406, 812, 1218, 1624, 2030]
    w = wall("M-K", start=(5470, 4900.5), end=(7959, 4900.5), depth=89.0, studs=studs)
    p = plot()
    p.node("w", 7039, 4900.5, 440, PointKind.CAP).node("t", 5470, 4900.5, 440 - 1569 / 50, PointKind.SEWER)
    p.pipe("A1", "w", "t", 1.5, Role.TRAP_ARM)
    fab = fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing)
    bored = [b for b in fab.bores if b.member_kind == "stud"]
    assert [round(b.centre.x) for b in bored] == [6688, 6282, 5876, 5489]
    zs = [b.height_subfloor_mm for b in bored]
    steps = [round(a - b, 1) for a, b in pairwise(zs)]
    assert steps == [8.1, 8.1, 7.7]
    assert zs[0] == pytest.approx(440 - (7039 - 6688) / 50)
    # fact 8: the 48.3 pipe passes the 49 limit only without play
    assert {b.verdict for b in bored} == {"ok"}
    assert all(b.limit_mm == pytest.approx(49.0) and b.hole_mm <= 49.0 for b in bored)
    assert all("no play" in b.note for b in bored)


# house 01 fact 8: limits by wall, and what may pass
@pytest.mark.parametrize(
    ("depth", "bearing", "size", "limit", "verdict"),
    [
        (89.0, False, 1.5, 49.0, "ok"),
        (89.0, False, 2.0, 49.0, "too big"),  # 60.3 not
        (140.0, False, 3.0, 100.0, "ok"),
        (140.0, True, 1.5, 140 / 3, "too big"),  # M-B: not even 48.3
    ],
)
def test_house_01_fact_8_stud_limits(plot, wall, house, npc, nbc_framing, depth, bearing, size, limit, verdict):
    w = wall(depth=depth, studs=[1000.0], bearing=bearing)
    fab = fabricate_network(
        arm(plot, x0=500, x1=1500, z0=400, fall=0.02, size=size).network(), house(walls=[w]), npc, nbc_framing
    )
    (bore,) = fab.bores
    assert bore.limit_mm == pytest.approx(limit, abs=0.05)
    assert bore.verdict == verdict


# house 01 fact 8: joist 235: 58.75; 48.3 yes, 60.3 and 88.9 no; I-joists: maker's chart, else stop
@pytest.mark.parametrize(("size", "verdict"), [(1.5, "ok"), (2.0, "too big"), (3.0, "too big")])
def test_house_01_fact_8_joists(plot, frame, house, npc, nbc_framing, size, verdict):
    f = frame(centres=[1000.0], depth=235.0, top=0.0)
    fab = fabricate_network(
        arm(plot, x0=500, x1=1500, z0=-110, fall=0.02, size=size).network(), house(frames=[f]), npc, nbc_framing
    )
    (bore,) = fab.bores
    assert bore.member == "floor joist at 1000 E"
    assert bore.limit_mm == pytest.approx(58.75)
    assert bore.verdict == verdict


def test_i_joist_is_for_the_engineer(plot, frame, house, npc, nbc_framing):
    f = frame(kind="i-joist", centres=[1000.0], depth=302.0, top=0.0, width=64.0)
    fab = fabricate_network(
        arm(plot, x0=500, x1=1500, z0=-150, fall=0.02).network(), house(frames=[f]), npc, nbc_framing
    )
    assert [b.verdict for b in fab.bores] == ["engineer"]
    chart = house(frames=[replace(f, bore_allowed=True)])
    held = fabricate_network(arm(plot, x0=500, x1=1500, z0=-150, fall=0.02).network(), chart, npc, nbc_framing)
    assert [(b.verdict, "chart" in b.note) for b in held.bores] == [("ok", True)]
    low = fabricate_network(
        arm(plot, x0=500, x1=1500, z0=-30, fall=0.02).network(), house(frames=[f]), npc, nbc_framing
    )
    assert [b.verdict for b in low.bores] == ["not allowed"]  # through the flange


# house 01 fact 11: WC3 flange 38 from the joist line: the 88.9 pipe overlaps the joist by 25.5
def test_house_01_fact_11_closet_drop_lies_in_the_joist(plot, frame, house, npc, nbc_framing):
    f = frame(centres=[5740.0], depth=235.0, top=-18.0)
    for x, hits in ((5778.0, 1), (5778.0 + 25.6, 0)):
        p = plot()
        p.node("f", x, 5800, 32, PointKind.FLANGE, "WC3").node("b", x, 5800, -500, PointKind.SEWER)
        p.pipe("C1", "f", "b", 3.0, Role.FIXTURE_DRAIN)
        fab = fabricate_network(p.network(), house(frames=[f]), npc, nbc_framing)
        assert len(fab.bores) == hits
        assert all(b.verdict == "not allowed" for b in fab.bores)


# house 01 fact 17: LV1 at station 1270 is 9 clear of the stud at 1218; MS at 3230 is on the stud at 3248
def test_house_01_fact_17_stub_on_a_stud(plot, wall, house, npc, nbc_framing):
    w = wall("M-P", depth=140.0, studs=[1218.0, 3248.0])
    for x, hits in ((1270.0, 0), (3230.0, 1)):
        p = plot()
        p.node("w", x, 400, 460, PointKind.CAP).node("t", x, 0, 452, PointKind.SEWER)
        p.pipe("A1", "w", "t", 1.5, Role.TRAP_ARM)
        fab = fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing)
        assert len(fab.bores) == hits
        assert all(b.verdict == "not allowed" for b in fab.bores)


def test_heights_are_from_subfloor_and_from_finished_floor(plot, wall, house, room, npc, nbc_framing):
    w = wall(depth=140.0, studs=[1000.0])
    h = house(walls=[w], rooms=[room(22.0)])
    fab = fabricate_network(arm(plot, x0=500, x1=1500, z0=410, fall=0.02).network(), h, npc, nbc_framing)
    (bore,) = fab.bores
    assert bore.height_subfloor_mm == pytest.approx(400.0)
    assert bore.height_finished_mm == pytest.approx(378.0)


def test_vertical_pipe_bores_both_plates_and_no_stud(plot, wall, house, npc, nbc_framing):
    w = wall(depth=140.0, studs=[800.0, 1206.0])
    p = plot()
    p.node("a", 1000, 0, -500, PointKind.CAP).node("b", 1000, 0, 4000, PointKind.TERMINAL)
    p.pipe("V1", "a", "b", 2.0, Role.VENT)
    fab = fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing)
    assert [b.member_kind for b in fab.bores] == ["bottom plate", "top plate"]
    assert {b.station_mm for b in fab.bores} == {1000.0}


def test_riser_inside_a_stud_is_not_allowed(plot, wall, house, npc, nbc_framing):
    w = wall(depth=140.0, studs=[1000.0])
    p = plot()
    p.node("a", 1030, 0, 100, PointKind.CAP).node("b", 1030, 0, 2000, PointKind.SEWER)
    p.pipe("V1", "a", "b", 2.0, Role.DRAIN)
    fab = fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing)
    assert [(b.member_kind, b.verdict) for b in fab.bores] == [("stud", "not allowed")]


def test_beams_and_blocking_are_for_the_engineer(plot, house, npc, nbc_framing):
    beam = Obstacle("O7", "blocking", Box(Vec(980, -500, -320), Vec(1020, 500, -18)), "blocking")
    fab = fabricate_network(
        arm(plot, x0=500, x1=1500, z0=-150, fall=0.02).network(), house(obstacles=[beam]), npc, nbc_framing
    )
    assert [(b.member, b.verdict) for b in fab.bores] == [("O7 blocking", "engineer")]


# NBC 9.23.5.4 (secondary): 50 mm sound width; 89 plate less a 54 mm hole leaves 35: reinforce. Not in a partition.
@pytest.mark.parametrize(("bearing", "verdict", "straps"), [(True, "strap", 1), (False, "ok", 0)])
def test_bearing_top_plate_is_tied(plot, wall, house, npc, nbc_framing, bearing, verdict, straps):
    w = wall(depth=89.0, studs=[800.0], bearing=bearing)
    p = plot()
    p.node("a", 1000, 0, 500, PointKind.CAP).node("b", 1000, 0, 4000, PointKind.TERMINAL)
    p.pipe("V1", "a", "b", 1.5, Role.VENT)
    fab = fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing)
    assert [b.verdict for b in fab.bores] == [verdict]
    assert sum(x.kind == "strap" for x in fab.plates) == straps


def irc_framing():
    name = next((b for b in book_ids() if "irc" in b and load_book(b).family == "framing"), None)
    if name is None:
        pytest.skip("no IRC framing book shipped")
    return load_book(name)


def family(letter):
    name = next((b for b in book_ids() if load_book(b).family == letter), None)
    if name is None:
        pytest.skip(f"no book of the {letter} family shipped")
    return load_book(name)


# house 02 fact 13 and house 03 fact 8 (IRC R602.6, read): 2x4 bearing 1.40, 2x4 non-bearing 2.10, 2x6 2.20 and 3.30
@pytest.mark.parametrize(
    ("depth_in", "bearing", "size", "limit_in", "verdict"),
    [
        (3.5, True, 1.25, 1.40, "too big"),  # no DWV pipe passes a bearing 2x4
        (3.5, False, 1.5, 2.10, "ok"),  # with a 2 in hole
        (3.5, False, 2.0, 2.10, "too big"),
        (5.5, True, 1.5, 2.20, "ok"),
        (5.5, False, 2.0, 3.30, "ok"),
        (5.5, False, 3.0, 3.30, "too big"),
    ],
)
def test_house_02_fact_13_and_house_03_fact_8(plot, wall, house, npc, depth_in, bearing, size, limit_in, verdict):
    w = wall(depth=depth_in * IN, studs=[1000.0], bearing=bearing, stud_mm=38.1, plate=38.1)
    net = arm(plot, x0=500, x1=1500, z0=400, fall=1 / 48, size=size).network()
    (bore,) = fabricate_network(net, house(walls=[w]), npc, irc_framing()).bores
    assert bore.limit_mm / IN == pytest.approx(limit_in, abs=0.005)
    assert bore.verdict == verdict
    if (depth_in, size) == (3.5, 1.5):
        assert bore.hole_mm == pytest.approx(2.0 * IN)


def test_house_02_fact_13_doubled_studs(plot, wall, house, npc):
    # doubled 2x4 bearing studs: 60 % = 2.10, so 1-1/2 only tight
    w = wall(depth=3.5 * IN, studs=[1000.0, 1038.1], bearing=True, stud_mm=38.1)
    net = arm(plot, x0=500, x1=1500, z0=400, fall=1 / 48).network()
    bored = fabricate_network(net, house(walls=[w]), npc, irc_framing()).bores
    assert len(bored) == 2
    assert all(b.limit_mm / IN == pytest.approx(2.10, abs=0.005) for b in bored)
    assert all(b.hole_mm == pytest.approx(2 * IN) and b.verdict == "ok" for b in bored)


# house 02 fact 13 (R602.6.1 quoted, read): a 2 in hole in the 3-1/2 plate of bearing wall A is 57 % > 50 %: strap
def test_house_02_top_plate_strap(plot, wall, house, npc):
    w = wall("A", depth=3.5 * IN, studs=[500.0], bearing=True)
    p = plot()
    p.node("a", 1000, 0, 500, PointKind.CAP).node("b", 1000, 0, 4000, PointKind.TERMINAL)
    p.pipe("V1", "a", "b", 1.5, Role.VENT)
    fab = fabricate_network(p.network(), house(walls=[w]), npc, irc_framing())
    assert [b.verdict for b in fab.bores] == ["strap"]
    assert [x.kind for x in fab.plates if x.kind == "strap"] == ["strap"]
    assert min(x.length_mm for x in fab.plates if x.kind == "strap") >= 2 * 6 * IN


# house 03 fact 7 (R502.8.1, read): 2x10 3.08: 2 in pipe yes, 3 in no; 2x8 2.42: 1-1/2 yes, 2 no
@pytest.mark.parametrize(
    ("depth_in", "size", "verdict"),
    [(9.25, 2.0, "ok"), (9.25, 3.0, "too big"), (7.25, 1.5, "ok"), (7.25, 2.0, "too big")],
)
def test_house_03_fact_7_joists(plot, frame, house, npc, depth_in, size, verdict):
    f = frame(centres=[1000.0], depth=depth_in * IN, top=0.0, width=38.1)
    net = arm(plot, x0=500, x1=1500, z0=-depth_in * IN / 2 + 10, fall=1 / 48, size=size).network()
    (bore,) = fabricate_network(net, house(frames=[f], unit="inch"), npc, irc_framing()).bores
    assert bore.verdict == verdict


def test_a_joist_hole_too_near_the_edge(plot, frame, house, npc):
    f = frame(centres=[1000.0], depth=9.25 * IN, top=0.0, width=38.1)
    net = arm(plot, x0=500, x1=1500, z0=-2.5 * IN, fall=0.0, size=2.0).network()
    (bore,) = fabricate_network(net, house(frames=[f]), npc, irc_framing()).bores
    assert bore.verdict == "edge"
    assert bore.edge_mm == pytest.approx(2.5 * IN - bore.hole_mm / 2)
    assert bore.edge_limit_mm == pytest.approx(2 * IN)


# house 03 fact 20, dimensions section 5 (derived): distance from the pipe's surface to the face of a stud, centred pipe
@pytest.mark.parametrize(
    ("depth_in", "size", "distance_in"),
    [(3.5, 1.5, 0.80), (5.5, 1.5, 1.80), (5.5, 2.0, 1.5625), (5.5, 3.0, 1.00)],
)
def test_house_03_fact_20_plate_distance(plot, wall, house, nbc_framing, depth_in, size, distance_in):
    book = family("i")
    w = wall(depth=depth_in * IN, studs=[1000.0], stud_mm=38.1)
    net = arm(plot, x0=500, x1=1500, z0=400, fall=1 / 48, size=size).network()
    fab = fabricate_network(net, house(walls=[w]), book, nbc_framing)
    trigger = book.value("plate.trigger").number
    plated = [p for p in fab.plates if p.kind == "nail plate"]
    assert bool(plated) == (distance_in * IN < trigger)
    for p in plated:
        assert p.distance_mm / IN == pytest.approx(distance_in, abs=0.005)
        assert p.face == "both"


def test_plate_stands_on_the_near_face_only(plot, wall, house, npc, nbc_framing):
    w = wall(depth=140.0, studs=[1000.0])
    net = arm(plot, x0=500, x1=1500, z0=400, fall=0.02, y=25.0).network()
    fab = fabricate_network(net, house(walls=[w]), npc, nbc_framing)
    (plate,) = [p for p in fab.plates if p.kind == "nail plate"]
    assert plate.face == "left"
    assert plate.distance_mm == pytest.approx(70 - 25 - 48.26 / 2)
    assert plate.bases[0].status == "memory"  # the n family gives no depth: trade practice, and it says so


# S7 (page read): 3 in pipe, u family, 1-1/2 past each side: a plate of at least 6-1/2
def test_u_family_plate_length(plot, wall, house, nbc_framing):
    book = family("u")
    w = wall(depth=5.5 * IN, studs=[1000.0])
    net = arm(plot, x0=500, x1=1500, z0=400, fall=1 / 48, size=3.0, y=10.0).network()
    fab = fabricate_network(net, house(walls=[w]), book, nbc_framing)
    plate = next(p for p in fab.plates if p.kind == "nail plate")
    assert plate.length_mm / IN == pytest.approx(6.5, abs=0.01)


def test_buried_pipe_bores_nothing(plot, wall, house, npc, nbc_framing):
    w = wall(depth=140.0, studs=[1000.0])
    p = plot()
    p.node("w", 500, 0, 400, PointKind.CAP).node("t", 1500, 0, 380, PointKind.SEWER)
    p.pipe("A1", "w", "t", 1.5, place="buried")
    assert fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing).bores == ()


def test_one_bore_where_two_pipes_of_a_run_meet_in_a_stud(plot, wall, house, npc, nbc_framing):
    w = wall(depth=140.0, studs=[1000.0])
    p = plot()
    p.node("a", 500, 0, 400, PointKind.CAP).node("m", 1000, 0, 390).node("b", 1500, 0, 380, PointKind.SEWER)
    p.pipe("A1", "a", "m", 1.5).pipe("A2", "m", "b", 1.5)
    assert len(fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing).bores) == 1


def test_mirrored_walls_give_mirrored_bores(plot, wall, house, npc, nbc_framing):
    made = {}
    for m in (1.0, -1.0):
        w = wall(start=(0, 0), end=(4000 * m, 0), depth=140.0, studs=[400.0, 806.0, 1212.0], bearing=True)
        net = arm(plot, x0=300 * m, x1=1500 * m, z0=400, fall=0.02, y=20.0).network()
        fab = fabricate_network(net, house(walls=[w]), npc, nbc_framing)
        made[m] = fab
    one, two = made[1.0].bores, made[-1.0].bores
    assert len(one) == 3
    for a, b in zip(one, two, strict=True):
        assert (a.member, a.verdict, a.hole_mm) == (b.member, b.verdict, b.hole_mm)
        assert a.height_subfloor_mm == pytest.approx(b.height_subfloor_mm)
        assert a.edge_mm == pytest.approx(b.edge_mm)
    faces = [[p.face for p in made[m].plates] for m in (1.0, -1.0)]
    assert faces[0] == ["left"] * 3  # walking the wall east, y = 20 is to the left; walking it west, to the right
    assert faces[1] == ["right"] * 3


def test_the_hole_minds_the_edge_too(plot, frame, house, npc, nbc_framing):
    # 235 joist, NBC: 58.75 and 50 mm of wood. 76.5 from the bottom: a 53.97 bit leaves 49.5, the 50.8 bit leaves 51.1
    f = frame(centres=[1000.0], depth=235.0, top=0.0)
    net = arm(plot, x0=500, x1=1500, z0=-235 + 76.5, fall=0.0).network()
    (bore,) = fabricate_network(net, house(frames=[f]), npc, nbc_framing).bores
    assert bore.hole_mm == pytest.approx(50.8)
    assert bore.verdict == "ok"
    assert "tight" in bore.note


# 16 in centres: 10'-8" and 13'-4" are eight and ten times 16 in
def test_members_are_named_in_the_units_of_the_job(wall, frame, house):
    joists = frame(centres=[160 * IN], depth=235.0, top=0.0)
    h = house(walls=[wall("Q", depth=140.0, studs=[128 * IN])], frames=[joists])
    inch = replace(h, job=replace(h.job, units="inch"))
    assert [m.name for m in members(inch)] == [
        "Q stud at 10'-8\"",
        "Q bottom plate",
        "Q top plate",
        "floor joist at 13'-4\" E",
    ]
    metric = replace(h, job=replace(h.job, units="mm"))
    assert [m.name for m in members(metric)][0::3] == ["Q stud at 3251", "floor joist at 4064 E"]
    north = replace(h, frames=(replace(joists, runs="x"),))
    assert members(north)[-1].name.endswith(" N")


@pytest.mark.parametrize("name", ["01-two-storey-basement", "02-slab-bungalow", "03-crawlspace-cottage", "drawn-bath"])
def test_every_member_of_the_examples_has_a_name_of_its_own(name):
    """Also where a door cuts a bottom plate in two: the parts go by where they begin.

    Plates along a roof are one member, reckoned in short pieces.
    """
    made, _ = resolve(read_job(str(EXAMPLES / f"{name}.yaml")))
    sloping = {f"{w.id} top plate" for w in made.walls if w.tops}
    names = [m.name for m in members(made) if m.name not in sloping]
    assert len(set(names)) == len(names)
    assert [m.name for m in members(made) if m.name not in sloping] == names
    assert any("bottom plate, part at " in n for n in names) == any(
        o.sill_z_mm <= w.bottom_z_mm + 1 for w in made.walls for o in w.openings
    )
