"""The convex line round points."""

from __future__ import annotations

import math
import random

from stubout.geometry.convex import convex


def test_it_goes_round_all_points_turning_left() -> None:
    rnd = random.Random(7)
    points = [(rnd.uniform(0, 100), rnd.uniform(0, 60)) for _ in range(200)]
    ring = convex(points)
    assert set(ring) <= set(points)
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        assert all((bx - ax) * (y - ay) - (by - ay) * (x - ax) >= -1e-9 for x, y in points)


def test_points_along_a_side_are_no_corners() -> None:
    assert convex([(0, 0), (1, 0), (2, 0), (2, 2), (0, 2), (0, 1)]) == ((0, 0), (2, 0), (2, 2), (0, 2))


def test_of_few_points_all_are_corners() -> None:
    assert convex([(1.0, 2.0)]) == ((1.0, 2.0),)
    assert convex([(1.0, 2.0), (0.0, 0.0), (1.0, 2.0)]) == ((0.0, 0.0), (1.0, 2.0))


def test_a_ring_of_rays_keeps_its_corners() -> None:
    ring = convex((math.cos(math.radians(d)), math.sin(math.radians(d))) for d in range(0, 360, 30))
    assert len(ring) == 12
