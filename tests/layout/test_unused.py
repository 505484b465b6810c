"""Upper ends that nothing drains into any more are taken up. Invented drains; expected by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest
from desks import desk_of

from stubout.files.demo import demo_job
from stubout.layout.draft import DEdge, DNode, DStack
from stubout.layout.model import Place, PointKind, Role, VentMethod
from stubout.layout.unused import take_up_unused
from stubout.layout.work import TrapDraft, Work

UNDER = Place("under slab", "slab")


@pytest.fixture
def work() -> Work:
    return desk_of(demo_job())


def drain(work: Work, up: DNode, down: DNode) -> DEdge:
    return work.board.edge(up, down, "drain", Role.BUILDING_DRAIN, UNDER, 3.0, slope=0.02)


def building_drain(work: Work, joint: PointKind = PointKind.JUNCTION) -> list[DNode]:
    """Return the points of a building drain from its upper end to the sewer; a lavatory joins the third."""
    board = work.board
    points = [board.node((x, 0.0), PointKind.JUNCTION) for x in (0.0, 500.0)]
    points += [board.node((2000.0, 0.0), joint), board.node((9000.0, 0.0), PointKind.SEWER)]
    for up, down in pairwise(points):
        drain(work, up, down)
    weir = board.node((2000.0, 800.0), PointKind.TRAP)
    arm = drain(work, weir, points[2])
    work.traps["LV1"] = TrapDraft(work.needs["LV1"], weir.id, points[2].id, [arm.id], VentMethod.INDIVIDUAL)
    return points


def test_an_upper_end_goes_up_to_the_first_joint(work: Work) -> None:
    upper, second, joint, sewer = building_drain(work)
    take_up_unused(work)
    assert {upper.id, second.id}.isdisjoint(work.board.nodes)
    assert [(e.up, e.down) for e in work.board.edges.values() if e.down == sewer.id] == [(joint.id, sewer.id)]
    assert len(work.board.into(joint.id)) == 1
    assert joint.kind is PointKind.TURN, "one pipe goes through it now"


def test_a_vent_fitting_stays_one(work: Work) -> None:
    joint = building_drain(work, PointKind.TAKEOFF)[2]
    take_up_unused(work)
    assert joint.kind is PointKind.TAKEOFF


@pytest.mark.parametrize("kind", [PointKind.CLEANOUT, PointKind.CAP])
def test_what_ends_in_a_cleanout_or_a_cap_stays(work: Work, kind: PointKind) -> None:
    upper = building_drain(work)[0]
    upper.kind = kind
    take_up_unused(work)
    assert len(work.board.edges) == 4


def test_what_is_drawn_or_below_a_stack_stays(work: Work) -> None:
    upper, second, *_ = building_drain(work)
    first = work.board.out(upper.id)[0]
    first.drawn = True
    take_up_unused(work)
    assert len(work.board.edges) == 4
    first.drawn = False
    work.board.stacks.append(DStack(second.xy, second.id, 3.0, "main", ()))
    take_up_unused(work)
    assert len(work.board.edges) == 3, "only the piece above the foot of the stack"


def test_the_way_to_the_sewer_stays_where_nothing_drains(work: Work) -> None:
    board = work.board
    drain(work, board.node((0.0, 0.0), PointKind.JUNCTION), board.node((9000.0, 0.0), PointKind.SEWER))
    take_up_unused(work)
    assert len(board.edges) == 1
