"""What the engine remembers or leaves out answers like the long way round. Origin: by hand, the long way."""

from dataclasses import fields

import pytest

from stubout.geometry.vec import Vec
from stubout.layout.draft import Board
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.outlook import tie_in_margin
from stubout.layout.route import Part
from stubout.layout.traffic import Lying, Post, Traffic
from stubout.layout.vent_ways import VentWays


@pytest.mark.parametrize("name", ["02-slab-bungalow", "03-crawlspace-cottage"])
def test_the_cheapest_way_out_is_the_least_of_all_ways(desk, name):
    work = desk(name)
    ways = VentWays(work, tie_in_margin(work))
    g = work.gauge(1.5)
    asked = 0
    for w in work.house.walls[::2]:
        tie = min(ways.tie_height(work.house.level(w.level_id)), w.top_z_mm - w.top_plate_mm - g.r - 5.0)
        for bay in w.bays[::2]:
            for spot in work.cavity.spots(w, bay, g)[:2]:
                found = [o.cost for o in ways.options(spot, w.bottom_z_mm, tie, 1.5)]
                assert ways.least(spot, w.bottom_z_mm, tie, 1.5) == min(found, default=None)
                asked += bool(found)
    assert asked > 10


def test_a_pipe_in_the_way_blocks_a_rise_only_as_long_as_it_is_there(desk):
    work = desk("02-slab-bungalow")
    cavity, g = work.cavity, work.gauge(1.5)
    spot = next(
        s
        for w in work.house.walls
        for bay in w.bays
        for s in cavity.spots(w, bay, g)
        if cavity.rise(s, w.bottom_z_mm, g).ends == "attic"
    )
    w = spot.wall
    free = cavity.rise(spot, w.bottom_z_mm, g)
    a, b = w.point(spot.station - 200.0, 0.0), w.point(spot.station + 200.0, 0.0)
    before = list(cavity.pipes)
    cavity.add_level((a.x, a.y), (b.x, b.y), w.bottom_z_mm + 1000.0, 24.0)
    assert cavity.rise(spot, w.bottom_z_mm, g).ends == "blocked"
    assert cavity.meets_pipe(spot.xy, w.bottom_z_mm, w.top_z_mm, g)
    cavity.pipes[:] = before
    assert cavity.rise(spot, w.bottom_z_mm, g) == free
    assert not cavity.meets_pipe(spot.xy, w.bottom_z_mm, w.top_z_mm, g)


def test_going_back_to_a_mark_brings_every_field_back():
    board = Board()
    a = board.node((0.0, 0.0), PointKind.TRAP, 5.0, "T1", "note")
    b = board.node((900.0, 0.0), PointKind.TURN)
    a.cap, a.stack, a.fixed, a.drawn, a.name = 7.0, 0, True, True, "J1"
    e = board.edge(a, b, "drain", Role.BRANCH, Place("room", "R1"), 2.0, tag="T1", slope=0.02, sleeve="through F1")
    e.parts, e.drawn, e.leg, e.apart = (Part(0.0, 1.0, 2.0, 3.0),), True, "L1", True
    kept = [[getattr(one, f.name) for f in fields(one)] for one in (a, e)]
    mark = board.mark()
    a.z, e.size_in = None, 3.0
    board.split(e, (450.0, 0.0), PointKind.JUNCTION)
    for _ in range(2):  # the mark stays good
        board.undo(mark)
        back = (board.nodes[a.id], board.edges[e.id])
        assert [[getattr(one, f.name) for f in fields(one)] for one in back] == kept
        assert len(board.nodes) == 2
        board.nodes[a.id].z = 99.0


def test_traffic_that_remembers_meets_what_fresh_traffic_meets():
    lying = [
        Lying((0.0, 0.0), (1000.0, 0.0), 0.0, -20.0, 30.0),
        Lying((500.0, 300.0), (500.0, 900.0), None, None, 24.0),
    ]
    posts = [Post((200.0, 600.0), -500.0, 30.0), Post((800.0, 600.0), None, 30.0)]
    shy = [((0.0, 1000.0), (1000.0, 1000.0))]
    known = {}
    ends = [(x, y) for x in (0.0, 200.0, 510.0, 800.0, 1100.0) for y in (-300.0, 40.0, 600.0, 990.0)]
    answers = set()
    for _ in range(2):
        remembering = Traffic(lying, 30.0, posts, shy=shy, known=known)
        for p in ends:
            for q in ends:
                for z in (None, -900.0, 0.0):
                    got = remembering.cost(p, q, z, z, None)
                    assert got == Traffic(lying, 30.0, posts, shy=shy).cost(p, q, z, z, None)
                    answers.add(got)
    assert None in answers
    assert len(answers) > 3


def test_a_wall_remembers_its_line(desk):
    w = desk("02-slab-bungalow").house.walls[0]
    along = w.end.minus(w.start).unit()
    assert (w.along, w.leftward, w.length_mm) == (along, Vec(-along.y, along.x, 0.0), w.start.to(w.end))
    p = w.point(300.0, 10.0, 20.0)
    assert (w.station(p), w.offset(p)) == (pytest.approx(300.0), pytest.approx(20.0))
