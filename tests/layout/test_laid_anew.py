"""Branches laid anew once the rest stands. Invented drains; expected by hand."""

from __future__ import annotations

import pytest
from laid_out import design_named

from stubout.layout.draft import Board
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.route import Part
from stubout.network.model import Network


@pytest.fixture(scope="module")
def network() -> Network:
    return design_named("01").network


def test_a_lavatory_goes_no_longer_past_what_it_vents(network):
    """LV4 stands 1.9 m from SH4's drain; it went 4.3 m round to gain height before it could drop into it."""
    own = [p for p in network.drains() if p.tags == ("LV4",) and p.role is Role.BRANCH]
    assert sum(p.length_mm for p in own) < 3000.0
    assert [t.method.value for t in network.traps if t.tag == "SH4"] == ["wet"]


def test_a_drain_that_was_parted_is_one_again():
    """Ten metres, 9 to 10 m of it lower; a joint 4 m from its upper end."""
    board = Board()
    a, b = board.node((0.0, 0.0), PointKind.TURN, 100.0), board.node((10_000.0, 0.0), PointKind.TURN, -100.0)
    parts = (Part(0.0, 1000.0, -500.0, -200.0), Part(1000.0, 10_000.0, -500.0, 200.0))
    drain = board.edge(a, b, "drain", Role.BRANCH, Place("under slab", "slab"), 2.0, slope=0.02, parts=parts)
    joint = board.split(drain, (4000.0, 0.0), PointKind.JUNCTION)
    low = board.out(joint.id)[0]
    assert board.plan(low) == pytest.approx(6000.0)
    low.size_in = 3.0
    board.rejoin(drain, low)
    assert list(board.edges) == [drain.id]
    assert joint.id not in board.nodes
    assert (drain.up, drain.down, drain.size_in) == (a.id, b.id, 3.0)
    assert board.plan(drain) == pytest.approx(10_000.0)
    assert {(p.near, p.far, p.lo, p.hi) for p in drain.parts} == {
        (0.0, 1000.0, -500.0, -200.0), (1000.0, 6000.0, -500.0, 200.0), (6000.0, 10_000.0, -500.0, 200.0),
    }  # fmt: skip
