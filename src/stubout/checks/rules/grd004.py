"""GRD004 pipe-in-slab."""

import math

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.geometry.distance import clip_to_box
from stubout.geometry.vec import Box, Vec
from stubout.house.model import HouseLevel
from stubout.network.model import Pipe
from stubout.problems import Level


@check("GRD004", "pipe-in-slab", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying pipe is cast into the slab.

    ## What it checks
    Every pipe that lies, in three dimensions against the concrete of each slab, recesses left out; one finding a pipe.

    ## Why it matters
    The slab is thinned where it cracks first, and the crack goes through the pipe. Nobody mends it without a saw.

    ## Fails
    A 2 in branch whose top stands 20 mm in the concrete.

    ## Passes
    The same branch below the gravel or the slab; a riser that goes straight up through it.

    ## Does not check
    How far below the slab a pipe must lie, vapour barrier, gravel and steel; fittings, and sleeves round risers.
    """
    for level in on.house.levels:
        if level.kind != "slab" or level.slab_mm <= 0.0:
            continue
        for pipe in on.net.pipes:
            hit = None if pipe.vertical else _in(on, pipe, level)
            if hit is None:
                continue
            deep_mm, at = hit
            yield on.finding(
                about=(pipe.id, level.id),
                found=f"{pipe.id} lies {on.mm(deep_mm)} deep in the slab of {level.title or level.id}",
                wanted="lying pipes below the concrete",
                do=f"lay {pipe.id} {on.mm(deep_mm)} lower, or ask the engineer whether it may lie in the slab, and how",
                why="The slab cracks where it is thinned, and the pipe with it.",
                bases=(trade("lying pipe and slab", "below the concrete"),),
                at=at,
            )


def _in(on: Review, pipe: Pipe, level: HouseLevel) -> tuple[float, Vec] | None:
    """Return how deep a pipe stands in the concrete of a level at most [mm] and where; None where it lies clear."""
    size_mm = od_mm(on, pipe.size_in)
    if size_mm is None:
        return None
    radius, top, under = size_mm / 2, level.subfloor_z_mm, level.subfloor_z_mm - level.slab_mm
    way = pipe.b.minus(pipe.a)
    hits = []
    for first, last in _parts(on, pipe, level, radius):
        middle = ((top + under) / 2 - pipe.a.z) / way.z if way.z else first  # where it is deepest if it passes through
        for share in (first, min(max(middle, first), last), last):
            p = pipe.a.plus(way.times(share))
            hits.append((min(p.z + radius - under, top - (p.z - radius), size_mm), p))
    deep, at = max(hits, key=lambda h: (round(h[0], 3), h[1]), default=(0.0, pipe.a))
    return (deep, at) if deep > TOUCH_TOL_MM else None


def _parts(on: Review, pipe: Pipe, level: HouseLevel, radius: float) -> list[tuple[float, float]]:
    """Return the parts of a pipe that touch the concrete, as shares of its length: none where that is left out."""
    lo, hi = on.house.footprint.lo, on.house.footprint.hi
    reach = Box(lo.at_z(level.subfloor_z_mm - level.slab_mm - radius), hi.at_z(level.subfloor_z_mm + radius))
    held = clip_to_box(pipe.a, pipe.b, reach)
    parts = [] if held is None else [held]
    for _, box in level.recesses:
        out = clip_to_box(pipe.a, pipe.b, Box(box.lo.at_z(-math.inf), box.hi.at_z(math.inf)))
        if out is not None:
            parts = [
                (a, b)
                for first, last in parts
                for a, b in ((first, min(last, out[0])), (max(first, out[1]), last))
                if a < b
            ]
    return parts
