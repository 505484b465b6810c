"""Fixtures that no drain takes to the connection: with the least fall it would begin higher than it can lie. [mm]

What is reckoned here holds whatever way the drain goes, so nobody looks for one, and the rest is laid out without them.
"""

from __future__ import annotations

import math

from stubout import units
from stubout.house.model import House, HouseFixture, HouseLevel
from stubout.kinds import FixtureKind
from stubout.layout.closets import closet_start_cap
from stubout.layout.floor_traps import floor_cap
from stubout.layout.weights import UNDER_SLAB_COVER_MM
from stubout.layout.work import Work

ASIDE_MM = 100.0  # besides the reach of its trap a drain may begin so much aside of its outlet; an estimate


def block_too_low(work: Work, trap_reach: dict[float, float]) -> None:
    """Block the fixtures of each slab that lie too low for the connection, and leave them out of the drawing.

    Args:
        work: The desk, nothing but drawn routes on it.
        trap_reach: How far the weir of a trap stands from the outlet over it [mm], by size [in].
    """
    if work.adopted is not None and work.adopted.root:
        return  # what is drawn may lie as it likes
    for level in work.space.levels:
        short = {
            f.tag: mm
            for f in work.of_level(level)
            if level.kind == "slab" and f.tag not in work.traps and (mm := _short_mm(work, level, f, trap_reach)) > 0.0
        }
        if short:
            work.too_low |= short.keys()
            work.block(tuple(short), *_words(work.house, level, sorted(short.values())))


def _short_mm(work: Work, level: HouseLevel, f: HouseFixture, trap_reach: dict[float, float]) -> float:
    """Return how much too low a fixture on a slab lies at the least; below 0 where that is not certain."""
    out, need = work.space.way_out, work.needs[f.tag]
    if out is None:
        return -1.0
    g = work.gauge(need.arm_in)
    high = level.subfloor_z_mm - level.slab_mm - UNDER_SLAB_COVER_MM - g.r
    aside = f.may_move_mm + ASIDE_MM
    if f.kind is FixtureKind.WATER_CLOSET:
        high = min(high, closet_start_cap(work, f))
    else:
        aside += trap_reach.get(need.arm_in, 0.0)
        if f.floor_outlet:
            high = min(high, floor_cap(f, g))
        else:  # its drop may stand anywhere along its arm
            aside += need.arm_max
    sewer = work.house.sewer.at
    return out.at_sewer_mm + out.fall * max(0.0, math.dist(work.xy(f), (sewer.x, sewer.y)) - aside) - high


def _words(house: House, level: HouseLevel, short: list[float]) -> tuple[str, str]:
    """Return in words why nothing takes what lies too low by so much, the least first, and what would."""
    u = house.job.units
    least, most = units.both(short[0], u), units.both(short[-1], u)
    by = most if least == most else f"{least} to {most}"
    return (
        f"{level.title or level.id}: too low for the connection: with the least fall a drain from here would have to "
        f"begin {by} higher than it can lie",
        f"a connection at least {most} lower; else a pit with an ejector pump, its vent and its discharge by the one "
        "who designs it (it is not laid out here), or fixtures on a storey above",
    )
