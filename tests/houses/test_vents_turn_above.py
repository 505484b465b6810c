"""Vents of a lower storey turn in a wall of the upper one where a truss lies over the whole plumbing wall. [mm].

The house is one of the plausible ones: its trusses stand 2 ft apart from the corner, one of them along the middle of
walls P and UP. That a vent may turn no lower than 6 in above the flood rims it serves: IPC 905.4 (read), UPC 905.3
(secondary); above those of the storey it passes too: common practice, no source.
"""

import itertools

import pytest
from desks import desk_of
from plausible import plausible

from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout.cavity_shapes import Spot
from stubout.layout.model import PointKind, Role
from stubout.layout.outlook import tie_in_margin
from stubout.layout.venting import Venting

SIZE_IN = 1.5


@pytest.fixture
def venting():
    work = desk_of(read_job_text(plausible(133), "house.yaml", book_ids()))
    return Venting(work, tie_in_margin(work))


def foot(work, bay):
    """Return the middle of a bay of wall P, and a vent fitting there."""
    w = work.house.wall("P")
    spot = Spot(w, bay, bay.middle_mm, 0.0)
    return spot, work.board.node(spot.xy, PointKind.TAKEOFF, w.bottom_z_mm + 450.0, "LV1")


def drawn(venting, bay):
    """Return the edges of a vent drawn up from a bay of wall P."""
    work = venting.work
    spot, at = foot(work, bay)
    ids = venting.upward.draw(at, spot, SIZE_IN, ("LV1",), Role.VENT)
    return [work.board.edges[i] for i in ids]


def test_the_truss_lets_nothing_out_right_over_the_plumbing_wall(venting):
    cavity, house = venting.work.cavity, venting.work.house
    g = venting.work.gauge(SIZE_IN)
    for bay in house.wall("UP").bays:
        for spot in cavity.spots(house.wall("UP"), bay, g):
            assert cavity.rise(spot, house.wall("UP").bottom_z_mm, g).ends == "blocked"


def test_a_vent_rises_into_the_upper_wall_and_turns_above_every_rim_of_that_storey(venting):
    work = venting.work
    board, house = work.board, work.house
    edges = drawn(venting, house.wall("P").bays[5])
    walls = [e.place.ref for e in edges if e.place.kind == "wall"]
    assert {"P", "UP"} <= set(walls)
    assert not [w for w in walls if house.wall(w).exterior]
    rims = [f.flood_rim_z_mm for f in house.fixtures if f.level_id == "upper" and f.flood_rim_z_mm is not None]
    lying = [e for e in edges if not e.plumb]
    assert lying
    for e in lying:
        assert min(board.nodes[n].z for n in (e.up, e.down)) >= max(rims) + venting.ways.margin
    for one, two in itertools.pairwise(edges):
        assert one.down == two.up
    assert not work.blocked


def test_what_rises_later_ties_into_it(venting):
    first = drawn(venting, venting.work.house.wall("P").bays[5])
    second = drawn(venting, venting.work.house.wall("P").bays[8])
    board = venting.work.board
    joint = board.nodes[second[-1].down]
    assert joint.kind is PointKind.TIE_IN
    assert any(joint.id in (e.up, e.down) for e in board.edges.values() if e.id in {f.id for f in first})


def test_what_it_would_cost_is_known_before_it_is_drawn(venting):
    spot, at = foot(venting.work, venting.work.house.wall("P").bays[5])
    tie = venting.ways.tie_height(venting.work.house.level("main"))
    ways = venting.ways.options(spot, at.z, tie, SIZE_IN)
    above = [o for o in ways if o.lift is not None]
    assert len(above) == 1
    assert venting.ways.least(spot, at.z, tie, SIZE_IN) == pytest.approx(min(o.cost for o in ways), abs=0.02)
