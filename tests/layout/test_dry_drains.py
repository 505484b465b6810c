"""A drain laid large enough for a wet vent becomes smaller again where it vents nothing. Sizes [in]."""

from types import SimpleNamespace

import pytest

from stubout.layout.draft import DStack
from stubout.layout.model import Place, PointKind, Role, VentMethod
from stubout.layout.wet_vents import narrow_dry_drains
from stubout.layout.work import TrapDraft

BAY = Place("joist bay", "f")


@pytest.fixture
def laid(desk):
    """Return a zone with a lavatory's drop and branch in 2 in, into a 3 in drain, and those two edges."""
    work = desk("04-stacked-baths")
    board = work.board
    lav = next(n for n in work.needs.values() if n.fixture.kind == "lavatory" and n.fixture.level_id == "upper")
    weir, take, foot, joint, end = (
        board.node(at, PointKind.TURN, z)
        for at, z in (
            ((0.0, 0.0), 3200.0),
            ((200.0, 0.0), 3196.0),
            ((200.0, 0.0), 2700.0),
            ((900.0, 0.0), 2680.0),
            ((2000.0, 0.0), 2650.0),
        )
    )
    arm = board.edge(weir, take, "drain", Role.TRAP_ARM, BAY, lav.arm_in, slope=0.02)
    drop = board.edge(take, foot, "drain", Role.DRAIN, BAY, 2.0, plumb=True)
    branch = board.edge(foot, joint, "drain", Role.BRANCH, BAY, 2.0, slope=0.03)
    board.edge(joint, end, "drain", Role.BUILDING_DRAIN, BAY, 3.0, slope=0.03)
    work.traps[lav.fixture.tag] = TrapDraft(lav, weir.id, take.id, [arm.id], VentMethod.INDIVIDUAL)
    return SimpleNamespace(work=work, level=work.house.level("upper")), lav, drop, branch


def test_it_is_as_large_as_what_drains_through_it_asks(laid):
    zone, lav, drop, branch = laid
    narrow_dry_drains(zone)
    assert (drop.size_in, branch.size_in) == (lav.branch_in, lav.branch_in)
    assert [e.size_in for e in zone.work.board.edges.values() if e.role is Role.BUILDING_DRAIN] == [3.0]


def test_what_a_tub_breathes_through_stays_large(laid):
    zone, _lav, drop, branch = laid
    upper = [n for n in zone.work.needs.values() if n.fixture.level_id == "upper"]
    tub = next(n for n in upper if n.fixture.kind in ("bathtub", "shower"))
    board = zone.work.board
    weir = board.node((900.0, 500.0), PointKind.TRAP, 2700.0)
    board.edge(weir, board.nodes[branch.down], "drain", Role.TRAP_ARM, BAY, tub.arm_in, slope=0.02)
    zone.work.traps[tub.fixture.tag] = TrapDraft(tub, weir.id, branch.down, [], VentMethod.WET)
    narrow_dry_drains(zone)
    assert (drop.size_in, branch.size_in) == (2.0, 2.0)


def test_what_somebody_drew_stays_as_it_is_drawn(laid):
    zone, _, drop, branch = laid
    drop.drawn = branch.drawn = True
    narrow_dry_drains(zone)
    assert (drop.size_in, branch.size_in) == (2.0, 2.0)


def test_the_drain_of_a_stack_stays_as_large_as_the_stack(laid):
    zone, lav, drop, branch = laid
    board = zone.work.board
    board.stacks.append(DStack(board.nodes[branch.up].xy, branch.up, 2.0, "upper", ()))
    narrow_dry_drains(zone)
    assert (drop.size_in, branch.size_in) == (lav.branch_in, 2.0)


def test_a_smaller_pipe_that_would_lie_too_flat_stays_large(laid):
    zone, lav, _, branch = laid
    branch.slope = zone.work.demands.slope(lav.branch_in) / 2
    narrow_dry_drains(zone)
    assert branch.size_in == 2.0
