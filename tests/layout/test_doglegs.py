"""Where a branch turns and joins on its own: plain geometry, by hand."""

import math
from itertools import pairwise

import pytest

from stubout.layout.doglegs import dogleg_points
from stubout.layout.draft import Board
from stubout.layout.lattice import direction_index
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.zone_pipes import ZonePipes

UNDER = Place("under slab", "main")


def zone_with(*ends: tuple[float, float]) -> ZonePipes:
    """Return a zone with one 3 in drain through some points."""
    zone = ZonePipes(space=None, board=Board(), layers=(), gauges={})
    nodes = [zone.board.node(p, PointKind.TURN) for p in ends]
    for a, b in pairwise(nodes):
        zone.edge_layer[zone.board.edge(a, b, "drain", Role.BRANCH, UNDER, 3.0).id] = "under"
    return zone


def pairs(points):
    """Return turns with their joints."""
    return list(zip(points[::2], points[1::2], strict=True))


@pytest.mark.parametrize("start", [(900.0, 4000.0), (-1400.0, 3000.0), (700.0, 6500.0)])
def test_a_way_goes_in_the_eight_directions_and_ends_on_the_drain_with_its_flow(start):
    zone = zone_with((0.0, 6000.0), (0.0, 0.0))  # flows south
    found = pairs(dogleg_points(zone, start, 2.0))
    assert found
    for turn, joint in found:
        assert joint[0] == pytest.approx(0.0, abs=1e-6)
        assert 0.0 < joint[1] < 6000.0
        into = direction_index(joint[0] - turn[0], joint[1] - turn[1])
        assert into in (0, 4, 5, 7)  # square, or at 45 degrees with the flow
        if math.dist(start, turn) > 1.0:
            assert direction_index(turn[0] - start[0], turn[1] - start[1]) is not None


def test_the_joint_leaves_both_fittings_their_room():
    zone = zone_with((0.0, 6000.0), (0.0, 0.0))
    fits = zone.board.fits
    for turn, joint in pairs(dogleg_points(zone, (1200.0, 5900.0), 2.0)):
        square = abs(turn[1] - joint[1]) < 1.0
        assert 6000.0 - joint[1] >= fits.joint(3.0, 2.0, square, "inlet")
        assert joint[1] >= fits.joint(3.0, 2.0, square, "outlet")
        if not square:
            assert math.dist(turn, joint) >= fits.eighth(2.0) + fits.joint(3.0, 2.0, False, "branch") - 1e-6


@pytest.mark.parametrize(
    ("start", "size"),
    [((20.0, 3000.0), 2.0), ((5000.0, 3000.0), 2.0), ((900.0, 3000.0), 4.0)],
    ids=["on it", "far off", "larger than it"],
)
def test_none_where_no_branch_would_come_in(start, size):
    assert dogleg_points(zone_with((0.0, 6000.0), (0.0, 0.0)), start, size) == ()


def test_a_drain_at_45_degrees_is_entered_along_the_axes():
    zone = zone_with((0.0, 0.0), (4000.0, 4000.0))
    found = pairs(dogleg_points(zone, (2000.0, 500.0), 2.0))
    assert found
    for turn, joint in found:
        assert joint[0] == pytest.approx(joint[1], abs=1e-6)
        assert direction_index(joint[0] - turn[0], joint[1] - turn[1]) is not None
