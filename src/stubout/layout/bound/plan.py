"""How much pipe the plan asks for at least, whatever the angles it lies at. Lengths [mm].

A straight pipe is at least as long as its lengths along the square axes of four frames, each turned by 22.5 degrees,
added up and divided by `SUM_OF_FRAMES`: the sum is largest, and then just that many times the length, half way between
two axes. So a tree of pipes is at least as long as the shortest square trees of the four frames together, divided so.
Where all pipes lie along eight directions, two frames are enough, and their sum is the same for each of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stubout.layout.bound.steiner import grid, least_tree
from stubout.layout.space_shapes import XY
from stubout.layout.straighten import PLAY_DEG

FRAMES_DEG = (0.0, 22.5, 45.0, 67.5)
SUM_OF_FRAMES = 1.0 / math.sin(math.radians(22.5 / 2))  # eight axes, a 22.5 degree fan: 5.1258
SUM_OF_EIGHT = 1.0 + math.sqrt(2.0)  # of every pipe along one of the eight axes of the first and the third: 2.4142
BETWEEN_AXES = 1.0 / math.cos(
    math.radians(22.5)
)  # half way between two axes a way along them is so much longer: 1.0824
# and so much longer where a pipe leans as far off one as `straighten.PLAY_DEG`: 1.0171
LEAN = math.cos(math.radians(PLAY_DEG)) + (math.sqrt(2.0) - 1.0) * math.sin(math.radians(PLAY_DEG))
SLANT_MM = 42.0  # a fixture's first half metre may lie at any angle, which spares 8 % of it at the most
MOST_POINTS = 20  # those that begin least far aside are reckoned with: more take long and bring little
SAME_MM = 1.0  # points this near are taken for one, and what that may lose is given back

Points = Sequence[tuple[XY, float]]


def least_pipe(root: XY, points: Points, eight_ways: bool = False) -> float:
    """Return a length that no tree of pipes that joins points to a root can be shorter than [mm].

    Args:
        root: Where it ends.
        points: Each with how far from it the pipe may begin [mm].
        eight_ways: Whether its pipes lie along the axes of the house and half way between, but for a lean of
            `PLAY_DEG` and the first half metre; else they lie at any angle.
    """
    far = [(xy, slack) for xy, slack in points if math.dist(xy, root) > slack]
    if not far:
        return 0.0
    found = [max(math.dist(xy, root) - slack for xy, slack in far)]
    for some in _loosest_dropped(far):
        trees = [_square(root, some, degrees) for degrees in FRAMES_DEG]
        lost = sum(slack for _, slack in some) + SAME_MM * (len(some) + 1)
        found.append(sum(trees) / SUM_OF_FRAMES - lost)
        if eight_ways:
            found.append(sum(trees[::2]) / SUM_OF_EIGHT / LEAN - lost * BETWEEN_AXES - SLANT_MM * len(some))
    return max(*found, 0.0)


def _loosest_dropped(points: list[tuple[XY, float]]) -> list[list[tuple[XY, float]]]:
    """Return the points without the loosest ones: one that may begin far away can cost more than it brings.

    A tree that joins all points joins some of them, so leaving points out is always right.
    """
    ranked = sorted(points, key=lambda p: (p[1], p[0]))[:MOST_POINTS]
    counts = {len(ranked), (len(ranked) + 1) // 2}
    return [ranked[:n] for n in sorted(counts)]


def _square(root: XY, points: Points, degrees: float) -> float:
    """Return the shortest square tree of a frame [mm]."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned = [_merged(c * x + s * y, c * y - s * x) for x, y in (root, *(xy for xy, _ in points))]
    graph, numbers = grid(turned)
    return least_tree(graph, numbers[0], numbers[1:])


def _merged(x: float, y: float) -> XY:
    """Return a point on a raster of `SAME_MM`: at most 0.71 of it away, so that no hair's breadth makes a line."""
    return (round(x / SAME_MM) * SAME_MM, round(y / SAME_MM) * SAME_MM)
