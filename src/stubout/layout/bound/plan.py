"""How much pipe the plan asks for at least, whatever the angles it lies at. Lengths [mm].

A straight pipe is at least as long as its lengths along the square axes of four frames, each turned by 22.5 degrees,
added up and divided by `SUM_OF_FRAMES`: the sum is largest, and then just that many times the length, half way between
two axes. So a tree of pipes is at least as long as the shortest square trees of the four frames together, divided so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stubout.layout.bound.steiner import grid, least_tree
from stubout.layout.space_shapes import XY

FRAMES_DEG = (0.0, 22.5, 45.0, 67.5)
SUM_OF_FRAMES = 1.0 / math.sin(math.radians(22.5 / 2))  # eight axes, a 22.5 degree fan: 5.1258
MOST_POINTS = 20  # those that begin least far aside are reckoned with: more take long and bring little
SAME_MM = 1.0  # points this near are taken for one, and what that may lose is given back


def least_pipe(root: XY, points: Sequence[tuple[XY, float]]) -> float:
    """Return a length that no tree of pipes, at any angle, that joins points to a root can be shorter than [mm].

    Args:
        root: Where it ends.
        points: Each with how far from it the pipe may begin [mm].
    """
    far = [(xy, slack) for xy, slack in points if math.dist(xy, root) > slack]
    if not far:
        return 0.0
    singles = max(math.dist(xy, root) - slack for xy, slack in far)
    return max(singles, *(_together(root, some) for some in _loosest_dropped(far)), 0.0)


def _loosest_dropped(points: list[tuple[XY, float]]) -> list[list[tuple[XY, float]]]:
    """Return the points without the loosest ones: one that may begin far away can cost more than it brings.

    A tree that joins all points joins some of them, so leaving points out is always right.
    """
    ranked = sorted(points, key=lambda p: (p[1], p[0]))[:MOST_POINTS]
    counts = {len(ranked), (len(ranked) + 1) // 2}
    return [ranked[:n] for n in sorted(counts)]


def _together(root: XY, points: list[tuple[XY, float]]) -> float:
    total = 0.0
    for degrees in FRAMES_DEG:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        turned = [_merged(c * x + s * y, c * y - s * x) for x, y in (root, *(xy for xy, _ in points))]
        graph, numbers = grid(turned)
        total += least_tree(graph, numbers[0], numbers[1:])
    lost = sum(slack for _, slack in points) + SAME_MM * (len(points) + 1)
    return total / SUM_OF_FRAMES - lost


def _merged(x: float, y: float) -> XY:
    """Return a point on a raster of `SAME_MM`: at most 0.71 of it away, so that no hair's breadth makes a line."""
    return (round(x / SAME_MM) * SAME_MM, round(y / SAME_MM) * SAME_MM)
