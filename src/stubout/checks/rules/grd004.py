"""GRD004 pipe-in-slab."""

from collections.abc import Iterator

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.checks.space import boxes_meet
from stubout.checks.surroundings import pipe_box
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
    How far below the slab a pipe must lie, vapour barrier, gravel and steel; sleeves round risers.
    """
    for level in on.house.levels:
        slab = _slab(on, level)
        if slab is None:
            continue
        for pipe in on.net.pipes:
            hit = None if pipe.vertical else _in(on, pipe, slab, level)
            if hit is None:
                continue
            deep_mm, at = hit
            yield on.finding(
                about=(pipe.id, level.id),
                found=f"{pipe.id} lies {on.mm(deep_mm)} deep in the slab of {level.title or level.id}",
                wanted="lying pipes below the concrete",
                do=f"lay {pipe.id} {on.mm(deep_mm)} lower, or ask the engineer for a thicker slab there",
                why="The slab cracks where it is thinned, and the pipe with it.",
                bases=(trade("lying pipe and slab", "below the concrete"),),
                at=at,
            )


def _slab(on: Review, level: HouseLevel) -> Box | None:
    """Return the concrete of a level, None where it has no slab."""
    if level.kind != "slab" or level.slab_mm <= 0.0:
        return None
    lo, hi, top = on.house.footprint.lo, on.house.footprint.hi, level.subfloor_z_mm
    return Box(Vec(lo.x, lo.y, top - level.slab_mm), Vec(hi.x, hi.y, top))


def _in(on: Review, pipe: Pipe, slab: Box, level: HouseLevel) -> tuple[float, Vec] | None:
    """Return how deep a pipe stands in the concrete at most [mm] and where; None where it lies clear of it."""
    size_mm = od_mm(on, pipe.size_in)
    if size_mm is None or not boxes_meet(pipe_box(pipe, size_mm / 2), slab):
        return None
    radius = size_mm / 2
    hits = []
    for p in _stretch(pipe, slab, radius):
        if any(box.lo.x <= p.x <= box.hi.x and box.lo.y <= p.y <= box.hi.y for _, box in level.recesses):
            continue
        deep = min(p.z + radius - slab.lo.z, slab.hi.z - (p.z - radius), size_mm)
        hits.append((deep, p))
    deep, at = max(hits, key=lambda h: (round(h[0], 3), h[1]), default=(0.0, pipe.a))
    return (deep, at) if deep > TOUCH_TOL_MM else None


def _stretch(pipe: Pipe, slab: Box, radius: float) -> Iterator[Vec]:
    """Yield the ends and the middle of the part of a pipe that is over or under the concrete, or in it."""
    tall = Box(slab.lo.at_z(slab.lo.z - radius), slab.hi.at_z(slab.hi.z + radius))
    held = clip_to_box(pipe.a, pipe.b, tall)
    if held is not None:
        way = pipe.b.minus(pipe.a)
        for share in (held[0], (held[0] + held[1]) / 2, held[1]):
            yield pipe.a.plus(way.times(share))
