"""Joints of one stack: a fitting apart, or in one fitting where the branches allow it."""

from dataclasses import dataclass

import pytest

from stubout.layout.draft import Board, DStack
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.stack_joints import StackJoint, spread

HERE = (0.0, 0.0)
WALL = Place("wall", "A")


@dataclass
class Stack:
    """A 3 in stack at the origin, and the joints put on it."""

    board: Board
    joints: list[StackJoint]

    def joint(self, size_in: float, way: tuple[float, float], z: float, low: float) -> StackJoint:
        """Add a branch that comes from one side."""
        node = self.board.node(HERE, PointKind.JUNCTION, z)
        node.stack = 0
        far = self.board.node((way[0] * 500.0, way[1] * 500.0), PointKind.TURN)
        self.board.edge(far, node, "drain", Role.BRANCH, WALL, size_in)
        self.board.stacks[0].nodes.append(node.id)
        made = StackJoint(node, z, low)
        self.joints.append(made)
        return made

    def spread(self) -> int:
        """Set the joints apart and return how many find no room."""
        return spread(self.board, self.joints)


@pytest.fixture
def stack() -> Stack:
    board = Board()
    foot = board.node(HERE, PointKind.STACK_FOOT, 0.0)
    board.stacks.append(DStack(HERE, foot.id, 3.0, "upper", ((0.0, 3000.0, WALL),)))
    return Stack(board, [])


EAST, WEST, NORTH, SOUTH = (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)


def test_joints_with_room_below_go_a_fitting_apart(stack):
    top = stack.joint(3.0, EAST, 2600.0, 2000.0)
    low = stack.joint(3.0, EAST, 2590.0, 2000.0)
    assert stack.spread() == 0
    assert top.z == 2600.0
    assert top.z - low.z == pytest.approx(8.125 * 25.4, abs=0.1)  # from memory: 3 in tee over tee


def test_joints_without_room_that_come_from_one_side_are_told(stack):
    stack.joint(1.5, EAST, 2600.0, 2580.0)
    stack.joint(3.0, EAST, 2590.0, 2580.0)
    assert stack.spread() == 1


def test_like_pipes_that_face_each_other_share_a_double_tee(stack):
    one = stack.joint(1.5, EAST, 2600.0, 2500.0)
    two = stack.joint(1.5, WEST, 2590.0, 2590.0)
    assert stack.spread() == 0
    assert one.z == two.z == 2590.0


def test_two_closets_that_face_each_other_share_a_double_fixture_fitting(stack):
    one = stack.joint(3.0, EAST, 2600.0, 2590.0)
    two = stack.joint(3.0, WEST, 2590.0, 2590.0)
    assert stack.spread() == 0
    assert one.z == two.z == 2590.0


def test_a_closet_shares_no_double_fitting_with_a_lavatory(stack):
    stack.joint(3.0, EAST, 2600.0, 2590.0)
    stack.joint(1.5, WEST, 2590.0, 2590.0)
    assert stack.spread() == 1


def test_pipes_square_to_each_other_share_a_side_inlet(stack):
    one = stack.joint(3.0, EAST, 2600.0, 2500.0)
    two = stack.joint(1.5, NORTH, 2590.0, 2585.0)
    assert stack.spread() == 0
    assert one.z == two.z


def test_two_side_inlets_one_on_each_hand_share_the_closet_s_tee(stack):
    joints = [
        stack.joint(1.5, NORTH, 2610.0, 2550.0),
        stack.joint(1.5, SOUTH, 2605.0, 2550.0),
        stack.joint(3.0, WEST, 2590.0, 2585.0),
    ]
    assert stack.spread() == 0
    assert len({j.z for j in joints}) == 1


def test_nothing_moves_up(stack):
    joints = [stack.joint(1.5, way, z, z - 60.0) for way, z in ((EAST, 2600.0), (EAST, 2580.0), (EAST, 2570.0))]
    before = [j.z for j in joints]
    stack.spread()
    assert all(j.z <= z for j, z in zip(joints, before, strict=True))
    assert all(j.z >= j.low - 1e-9 for j in joints)
