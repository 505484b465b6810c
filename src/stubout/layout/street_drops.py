"""Drops that a street fitting joins: how much higher a level tree may then lie than with pipe between two bends. [mm].

Between a bend that turns a drain down and the one that lays it level again stands a piece of pipe, or the spigot of a
street fitting in place of it. The second is shorter, but of one length only; a tree that several drops come down into
has to suit them all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stubout.layout.takeup import TakeUp

HAIR_MM = 0.5

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Drop:
    """A plumb drain that comes down into a level tree."""

    size_in: float
    short: bool  # the book lets a short bend lay it level
    height: float  # between the level pipes it joins


def lifts(fits: TakeUp, drops: Sequence[Drop], room: float) -> tuple[Range, ...]:
    """Return by how much a level tree may be raised beyond what pipe in its drops allows, lowest range first.

    Args:
        fits: The room of fittings.
        drops: What comes down into it, as it hangs now.
        room: How much higher the frame and everything else would let it lie [mm].
    """
    left: list[Range] = [(HAIR_MM, room)] if drops else []
    for d in drops:
        pipe = (-math.inf, d.height - fits.drop(d.size_in) + HAIR_MM)
        street = [(d.height - most, d.height - least) for least, most in fits.street_drops(d.size_in, d.short)]
        left = [c for a in left for b in (pipe, *street) if (c := _common(a, b)) is not None]
    return tuple(sorted(set(left)))


def seated(fits: TakeUp, drop: Drop) -> bool:
    """Return whether a street fitting joins the two bends of a drop."""
    windows = fits.street_drops(drop.size_in, drop.short)
    return any(least - HAIR_MM <= drop.height <= most + HAIR_MM for least, most in windows)


def _common(a: Range, b: Range) -> Range | None:
    lo, hi = max(a[0], b[0]), min(a[1], b[1])
    return (lo, hi) if lo <= hi else None
