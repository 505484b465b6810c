"""The vent of a stack goes into one that lies across its bay; one that cannot rise is told. Expected: by hand. [mm]."""

from __future__ import annotations

import pytest

from stubout.geometry.vec import Vec
from stubout.layout.draft import DStack
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.outlook import tie_in_margin
from stubout.layout.vent_ways import Header
from stubout.layout.venting import Venting
from stubout.layout.work import Work

REACH_MM = 600.0  # of the header to either side of the stack


@pytest.fixture
def standing(desk):
    """Return what vents a desk with one stack in the middle of a bay of wall UP, and that bay's wall and station."""
    work: Work = desk("04-stacked-baths")
    w = work.house.wall("UP")
    station = next(b.middle_mm for b in w.bays if b.lo_mm > w.length_mm / 3)
    p = w.point(station, 0.0)
    top = work.board.node((p.x, p.y), PointKind.JUNCTION, w.bottom_z_mm - 100.0, "BT1")
    work.board.stacks.append(DStack((p.x, p.y), top.id, 2.0, "upper", (), [top.id]))
    return Venting(work, tie_in_margin(work)), w, station


def lying(venting: Venting, w, station: float, z: float):
    """Put a vent along the wall, over the stack at a height, and return its edge."""
    board, cavity = venting.work.board, venting.work.cavity
    a, b = (w.point(station + d, 0.0) for d in (-REACH_MM, REACH_MM))
    ends = [board.node((p.x, p.y), PointKind.TURN, z) for p in (a, b)]
    edge = board.edge(*ends, "vent", Role.BRANCH_VENT, Place("wall", w.id), 2.0)
    venting.ways.headers.append(Header(w, edge.id, station - REACH_MM, station + REACH_MM))
    cavity.pipes.append((Vec(a.x, a.y, z), Vec(b.x, b.y, z), venting.work.gauge(2.0).r))
    return edge


@pytest.mark.parametrize("below", [0.0, 10.0, 39.0])
def test_it_goes_into_a_vent_that_lies_over_it_a_finger_below_where_vents_turn(standing, below):
    venting, w, station = standing
    z = venting.ways.tie_height(venting.work.house.level("upper")) - below
    lying(venting, w, station, z)
    venting._stack_vent(0)
    board = venting.work.board
    assert not venting.work.blocked
    (riser,) = board.out(board.stacks[0].top, "vent")
    joint = board.nodes[riser.down]
    assert joint.kind is PointKind.TIE_IN
    assert joint.z == pytest.approx(z)
    assert len(board.out(joint.id, "vent")) == 1, "the vent that lies there goes on from it"


def test_a_stack_whose_bay_is_crossed_lower_down_is_told_and_has_no_vent(standing):
    venting, w, station = standing
    work = venting.work
    a, b = (w.point(station + d, 0.0) for d in (-REACH_MM, REACH_MM))
    work.cavity.add_level((a.x, a.y), (b.x, b.y), w.bottom_z_mm + 500.0, 24.0)
    venting._stack_vent(0)
    assert not work.board.out(work.board.stacks[0].top, "vent")
    (one,) = work.blocked
    assert one.about == ("BT1",)
    assert one.constraint == "no way out for the vent of a stack: another pipe crosses the bay of UP"


def test_nothing_is_told_of_a_stack_that_gets_out(standing):
    venting, _, _ = standing
    venting._stack_vent(0)
    assert not venting.work.blocked
    assert venting.work.board.out(venting.work.board.stacks[0].top, "vent")
