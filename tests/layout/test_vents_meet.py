"""A vent that comes round a corner to one that lies there goes into it, and none is laid into another. [mm]."""

from __future__ import annotations

import pytest
from desks import desk_of
from three_storeys import JOB

from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.geometry.vec import Vec
from stubout.layout.cavity_shapes import Spot
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.outlook import tie_in_margin
from stubout.layout.vent_ways import Header, Riser
from stubout.layout.venting import Venting

ACROSS = "  - {id: X, level: top, from: [400, 3000], to: [2430, 3000], stud: 140, spacing: 400, left: 13, right: 13}\n"
AT, REACH, FAR = 3000.0 - 140.0, 450.0, 1250.0  # along wall T: where X comes to it, its header, the riser it goes to


@pytest.fixture
def venting() -> Venting:
    job = read_job_text(JOB.replace("rooms:\n", ACROSS + "rooms:\n"), "tall.yaml", book_ids())
    work = desk_of(job)
    return Venting(work, tie_in_margin(work))


def high(venting: Venting) -> float:
    """Return the height at which vents of the upper storey turn."""
    return venting.ways.tie_height(venting.work.house.level("top"))


def header(venting: Venting, z: float, size: float = 2.0, lane: float = 0.0) -> int:
    """Lay a vent along wall T past where wall X comes to it, and return its edge."""
    board, wall = venting.work.board, venting.work.house.wall("T")
    ends = [
        board.node((p.x, p.y), PointKind.TURN, z) for d in (-REACH, REACH) for p in (wall.point(AT + d, 0.0, lane),)
    ]
    edge = board.edge(*ends, "vent", Role.BRANCH_VENT, Place("wall", "T"), size)
    venting.ways.headers.append(Header(wall, edge.id, AT - REACH, AT + REACH))
    return edge.id


def riser(venting: Venting) -> int:
    """Stand a vent in wall T beyond the header, and return its edge."""
    board, wall = venting.work.board, venting.work.house.wall("T")
    p = wall.point(AT + FAR, 0.0)
    ends = [board.node((p.x, p.y), PointKind.TURN, z) for z in (wall.bottom_z_mm + 300.0, wall.top_z_mm + 200.0)]
    edge = board.edge(*ends, "vent", Role.VENT, Place("wall", "T"), 2.0, plumb=True)
    venting.ways.risers.append(Riser(wall, AT + FAR, 0.0, [edge.id], venting.work.house.level("top"), 2.0))
    return edge.id


def start(venting: Venting) -> Spot:
    """Return a place in wall X, in the bay nearest to wall T but one."""
    wall = venting.work.house.wall("X")
    bay = wall.bays[-2]
    return Spot(wall, bay, bay.middle_mm, 0.0)


def ways(venting: Venting) -> list[tuple[int, int, list[str]]]:
    """Return the ways of a vent out of wall X: what it ties into, and the walls it goes along."""
    spot = start(venting)
    found = venting.ways.options(spot, spot.wall.bottom_z_mm + 500.0, high(venting), 1.5)
    return [(o.tie_edge, o.tie_node, [h.wall.id for h in o.hops]) for o in found]


def test_without_a_header_it_goes_along_the_wall_to_what_stands_there(venting: Venting) -> None:
    stands = riser(venting)
    assert (stands, 0, ["X", "T"]) in ways(venting)


@pytest.mark.parametrize(("off", "runs"), [(0.0, False), (30.0, False), (60.0, True), (-60.0, True)])
def test_it_runs_into_no_vent_that_lies_there(venting: Venting, off: float, runs: bool) -> None:
    """A 1-1/2 in vent is 48.3 thick, one of 2 in 60.3: they clear each other by 54.3 between their middles."""
    stands = riser(venting)
    header(venting, high(venting) + off)
    assert ((stands, 0, ["X", "T"]) in ways(venting)) is runs


@pytest.mark.parametrize(
    ("off", "size", "goes"), [(0.0, 2.0, True), (159.0, 2.0, True), (161.0, 2.0, False), (0.0, 1.25, False)]
)
def test_it_goes_into_one_as_large_and_near_its_height(venting: Venting, off: float, size: float, goes: bool) -> None:
    lies = header(venting, high(venting) - off, size)
    assert ((lies, 0, ["X"]) in ways(venting)) is goes


@pytest.mark.parametrize("lane", [0.0, 25.0])
def test_it_is_drawn_square_into_it_without_a_low_point(venting: Venting, lane: float) -> None:
    z = high(venting) - 20.0
    lies = header(venting, z, lane=lane)
    spot, board = start(venting), venting.work.board
    option = next(
        o for o in venting.ways.options(spot, spot.wall.bottom_z_mm + 500.0, high(venting), 1.5) if o.tie_edge == lies
    )
    at = board.node(spot.xy, PointKind.TAKEOFF, spot.wall.bottom_z_mm + 500.0, "LV")
    drawn = [
        board.edges[i] for i in venting.upward._draw_option(at, spot, high(venting), 1.5, Role.VENT, option, ("LV",))
    ]
    joint = board.nodes[drawn[-1].down]
    assert joint.kind is PointKind.TIE_IN
    wall = venting.work.house.wall("T")
    assert wall.station(Vec(*joint.xy)) == pytest.approx(AT, abs=1.0)
    assert wall.offset(Vec(*joint.xy)) == pytest.approx(lane)
    assert joint.z == pytest.approx(z)
    heights = [board.nodes[e.up].z for e in drawn] + [joint.z]
    assert heights == sorted(h for h in heights if h is not None)  # it rises all the way
    assert len(board.out(joint.id, "vent")) == 1, "the vent that lies there goes on from it"
    assert len([h for h in venting.ways.headers if h.wall.id == "T"]) == 2, "two headers where there was one"
