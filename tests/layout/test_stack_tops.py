"""A stack is no larger than the wall it was placed in takes, down to where something larger joins it. Sizes [in]."""

import pytest

from stubout.layout.assemble import raise_stacks
from stubout.layout.draft import DStack
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.trunk_drains import _grow


@pytest.fixture
def joined(desk):
    """Return a desk with a 2 in stack that a 2 in branch joins in one floor and a 3 in one in the floor below."""
    work = desk("04-stacked-baths")
    board, at = work.board, (3000.0, 2000.0)
    foot = board.node(at, PointKind.STACK_FOOT, -500.0)
    nodes = []
    for z, size in ((2600.0, 2.0), (-100.0, 3.0)):
        far, joint = board.node((3500.0, 2000.0), PointKind.TURN, z + 10.0), board.node(at, PointKind.JUNCTION, z)
        board.edge(far, joint, "drain", Role.BRANCH, Place("joist bay", "f"), size, slope=0.02)
        joint.stack = 0
        nodes.append(joint.id)
    board.stacks.append(DStack(at, foot.id, 2.0, "upper", ((-600.0, 2700.0, Place("wall", "P")),), nodes))
    return work


def pieces(work):
    """Return the sizes of the stack's pieces from the top down."""
    raise_stacks(work)
    of = [e for e in work.board.edges.values() if e.role is Role.STACK]
    return [e.size_in for e in sorted(of, key=lambda e: -work.board.nodes[e.up].z)]


@pytest.mark.parametrize(("vent_in", "sizes"), [(0.0, [2.0, 3.0]), (2.0, [2.0, 3.0]), (3.0, [3.0, 3.0])])
def test_it_grows_where_the_larger_branch_joins_or_all_the_way_where_its_vent_may(joined, vent_in, sizes):
    (stack,) = joined.board.stacks
    stack.vent_in = vent_in
    _grow(stack, 3.0)
    assert stack.size_in == 3.0
    assert pieces(joined) == sizes


def test_what_does_not_grow_has_one_size(joined):
    _grow(joined.board.stacks[0], 2.0)
    joined.board.edges = {i: e for i, e in joined.board.edges.items() if e.size_in < 3.0}
    assert pieces(joined) == [2.0, 2.0]
