"""The line round points of a plane."""

from __future__ import annotations

from collections.abc import Iterable

XY = tuple[float, float]


def convex(points: Iterable[XY]) -> tuple[XY, ...]:
    """Return the corners of the convex line round some points, counter-clockwise from the leftmost, lowest one.

    Source: the monotone chain, from memory.

    >>> convex([(0, 0), (2, 0), (1, 1), (2, 2), (0, 2), (1, 0)])
    ((0, 0), (2, 0), (2, 2), (0, 2))
    """
    left = sorted(set(points))
    if len(left) < 3:
        return tuple(left)
    lower, upper = _half(left), _half(left[::-1])
    return tuple(lower[:-1] + upper[:-1])


def _half(points: list[XY]) -> list[XY]:
    """Return the corners met while turning left only."""
    out: list[XY] = []
    for p in points:
        while len(out) > 1 and _turn(out[-2], out[-1], p) <= 0.0:
            out.pop()
        out.append(p)
    return out


def _turn(a: XY, b: XY, c: XY) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
