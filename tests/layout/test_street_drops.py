"""Drops joined by a street fitting, and joints of a stack raised by them. Make-ups: dimensions page, memory."""

import pytest

from stubout.layout.draft import Board, DStack
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.stack_joints import StackJoint, spread
from stubout.layout.street_drops import Drop, lifts, seated
from stubout.layout.takeup import TakeUp

INCH = 25.4
WALL = Place("wall", "A")
FITS = TakeUp()
PIPE = FITS.drop(3.0)


def test_a_drop_with_a_street_fitting_is_hub_and_spigot():
    # 3 in, from memory: hub 3-1/16 and spigot 4-9/16 of the short bend make 7-5/8; into the long turn 4-1/16 8-5/8
    short = FITS.street_drops(3.0, short=True)
    assert short[-1][1] / INCH == pytest.approx(7.625)
    assert short[0][1] / INCH == pytest.approx(8.625)
    assert FITS.street_drops(3.0, short=False) == short[:2]
    assert all(least <= most < PIPE for least, most in short)


def test_a_drop_is_of_pipe_or_of_one_street_length():
    assert seated(FITS, Drop(3.0, True, 7.625 * INCH))
    assert not seated(FITS, Drop(3.0, False, 7.625 * INCH))
    assert not seated(FITS, Drop(3.0, True, 8.2 * INCH))


def test_a_tree_with_one_drop_may_rise_by_what_the_street_fitting_saves():
    (first, *_, last) = lifts(FITS, [Drop(3.0, True, PIPE)], 500.0)
    assert first[1] == pytest.approx(0.5)  # a hair of play in the sockets
    assert last[0] == pytest.approx(PIPE - 7.625 * INCH)


def test_a_tree_with_two_drops_has_to_suit_both():
    long = Drop(2.0, False, 900.0)  # has pipe enough wherever the tree lies
    assert lifts(FITS, [Drop(3.0, True, PIPE), long], 500.0) == lifts(FITS, [Drop(3.0, True, PIPE)], 500.0)
    other = Drop(3.0, True, PIPE + 10.0)  # not seated where the first is, nor room for pipe
    assert all(hi <= 0.5 + 1e-9 for _, hi in lifts(FITS, [Drop(3.0, True, PIPE), other], 500.0))


def test_nothing_rises_beyond_the_room_there_is():
    assert lifts(FITS, [Drop(3.0, True, PIPE)], 30.0) == lifts(FITS, [Drop(3.0, True, PIPE)], 0.5)
    assert lifts(FITS, [], 500.0) == ()


def joints(*heights: float, lift: float) -> tuple[Board, list[StackJoint]]:
    """Return joints of one stack whose branches come from one side and cannot go lower, the second may rise."""
    board = Board()
    foot = board.node((0.0, 0.0), PointKind.STACK_FOOT, 0.0)
    board.stacks.append(DStack((0.0, 0.0), foot.id, 3.0, "upper", ((0.0, 3000.0, WALL),)))
    out = []
    for i, z in enumerate(heights):
        node = board.node((0.0, 0.0), PointKind.JUNCTION, z)
        node.stack = 0
        board.edge(board.node((500.0, 0.0), PointKind.TURN), node, "drain", Role.BRANCH, WALL, 3.0)
        out.append(StackJoint(node, z, z, ((lift, lift),) if i == len(heights) - 2 else ()))
    return board, out


def test_a_joint_rises_where_the_one_below_it_cannot_sink():
    board, (top, low) = joints(2289.0, 2140.0, lift=65.0)  # tee over tee 206 mm, faces touching
    assert spread(board, (top, low)) == 0
    assert (top.z, low.z) == (2354.0, 2140.0)


def test_a_rise_that_is_not_enough_is_not_taken():
    board, (top, low) = joints(2289.0, 2140.0, lift=20.0)
    assert spread(board, (top, low)) == 1
    assert top.z == 2289.0


def test_a_joint_does_not_rise_into_the_one_above():
    board, (_, mid, low) = joints(2520.0, 2289.0, 2140.0, lift=65.0)
    assert spread(board, (_, mid, low)) == 1
    assert mid.z == 2289.0
