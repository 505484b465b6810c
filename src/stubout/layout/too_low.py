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
from stubout.layout.space_shapes import under_slab_mm
from stubout.layout.work import Work

OVER_THE_SLAB = (
    "nothing under the slab falls to the connection; from the height of its stub-out a drain may, over the floor along "
    "the walls",
    "draw its route and the building drain by hand, or a pit with an ejector pump by the one who designs it",
)
ASIDE_MM = 100.0  # besides the reach of its trap a drain may begin so much aside of its outlet; an estimate


def block_too_low(work: Work, trap_reach: dict[float, float]) -> None:
    """Block the fixtures of each slab that lie too low for the connection, and leave them out of the drawing.

    Args:
        work: The desk, nothing but drawn routes on it.
        trap_reach: How far the weir of a trap stands from the outlet over it [mm], by size [in].
    """
    if work.adopted is not None and work.adopted.root:
        return  # what is drawn may lie as it likes
    for level in (v for v in work.space.levels if v.kind == "slab"):
        short = {
            f.tag: mm
            for f in work.of_level(level)
            if f.tag not in work.traps and (mm := _short_mm(work, level, f, trap_reach)) > 0.0
        }
        if short:
            work.too_low |= short.keys()
            work.block(tuple(short), *_words(work.house, level, sorted(short.values())), certain=True)
        left = tuple(f.tag for f in work.of_level(level) if f.tag not in work.traps)
        if left and level is work.space.undrained:
            work.too_low |= set(left)
            work.block(left, *OVER_THE_SLAB, certain=True)


def _short_mm(work: Work, level: HouseLevel, f: HouseFixture, trap_reach: dict[float, float]) -> float:
    """Return how much too low a fixture of a slab lies at the least; below 0 where that is not certain."""
    out, need = work.space.way_out, work.needs[f.tag]
    if out is None:
        return -1.0
    g = work.gauge(need.arm_in)
    high = under_slab_mm(level, g.r)
    aside = f.may_move_mm + ASIDE_MM
    if f.kind is FixtureKind.WATER_CLOSET:
        high = min(high, closet_start_cap(work, f))
    else:
        aside += trap_reach.get(need.arm_in, 0.0)
        if f.floor_outlet:
            high = min(high, floor_cap(f, g))
        else:  # its drop may stand anywhere along its arm
            aside += need.arm_max
            if level is work.space.undrained and f.tag in work.marks:
                high = work.marks[f.tag].hi_z_mm  # over the slab, along the walls, it might still get there
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
