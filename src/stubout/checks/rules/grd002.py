"""GRD002 trench-undermines-footing."""

import math

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.geometry.vec import Box, Vec
from stubout.network.model import Pipe
from stubout.problems import Level

PLANE_DEG = 45.0  # where the book is silent: common practice, no source


@check("GRD002", "trench-undermines-footing", Level.FIX)
def rule(on: Review) -> Findings:
    """A trench beside a footing is deeper than the load plane of the footing.

    ## What it checks
    Buried drains that run along a footing or pad: the bottom of the pipe must stay above the plane that falls from the
    lower edge of the footing, 45 degrees where the book is silent.

    ## Why it matters
    The earth under the footing slides into the trench.

    ## Fails
    A drain 300 mm beside a pad and 400 mm below its underside.

    ## Passes
    The same drain 500 mm beside it.

    ## Does not check
    Pipes that cross under a footing squarely (a short tunnel is filled again); what the engineer allows.
    """
    cell = on.book.find("ground.footing_plane")
    slope = math.tan(math.radians(cell.number if cell is not None else PLANE_DEG))
    for thing in on.house.obstacles:
        if thing.kind not in ("footing", "pad"):
            continue
        hits: list[tuple[float, Vec, Pipe]] = []
        for pipe in on.net.drains():
            size_mm = od_mm(on, pipe.size_in)
            if size_mm is None or pipe.vertical or pipe.place.kind not in ("under slab", "buried", "crawl"):
                continue
            worst = _worst(pipe, thing.box, size_mm, slope)
            if worst is not None and worst[0] > LEVEL_TOL_MM:
                hits.append((*worst, pipe))
        if not hits:
            continue
        hits.sort(key=lambda h: (-round(h[0], 3), h[2].id))
        deep_mm, at, first = hits[0]
        names = [first.id, *sorted(p.id for _, _, p in hits[1:])]
        yield on.finding(
            about=(*names, thing.id),
            found=f"the trench of {', '.join(names)} goes {on.mm(deep_mm)} below the load plane of "
            f"{thing.what or thing.kind} {thing.id} at the most",
            wanted="a trench that stays above the plane from the footing's lower edge",
            do=f"lay the drain {on.mm(deep_mm / slope)} farther from the footing, or {on.mm(deep_mm)} higher",
            why="The earth under the footing slides into the trench.",
            bases=(cell or trade("trench beside a footing", "above 45 degrees"),),
            at=at,
        )


def _worst(pipe: Pipe, box: Box, size_mm: float, slope: float) -> tuple[float, Vec] | None:
    """Return how far a pipe that runs along a footing goes below its load plane [mm], at its worst place."""
    d = pipe.b.minus(pipe.a)
    wide_x, wide_y = box.hi.x - box.lo.x, box.hi.y - box.lo.y
    long = Vec(1.0, 0.0) if wide_x >= wide_y else Vec(0.0, 1.0)
    square = max(wide_x, wide_y) < 1.5 * min(wide_x, wide_y)
    if d.plan_length <= 1.0 or (not square and abs(d.at_z(0.0).unit().dot(long)) < math.cos(math.radians(60.0))):
        return None
    best: tuple[float, Vec] | None = None
    steps = max(2, int(pipe.length_mm / 50.0) + 1)
    for i in range(steps):
        p = pipe.a.plus(d.times(i / (steps - 1)))
        gap_x = max(box.lo.x - p.x, 0.0, p.x - box.hi.x)
        gap_y = max(box.lo.y - p.y, 0.0, p.y - box.hi.y)
        away_mm = math.hypot(gap_x, gap_y) - size_mm / 2
        if not square and min(gap_x, gap_y) > 0.0:
            continue  # past the end of the footing
        below_mm = box.lo.z - (p.z - size_mm / 2)
        deep_mm = below_mm - max(away_mm, 0.0) * slope
        if below_mm > 0.0 and (best is None or deep_mm > best[0]):
            best = (deep_mm, p)
    return best
