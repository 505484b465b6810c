"""Pipes lifted into a slab or out of it: what no change may bring about, though no rule speaks of it. Lengths [mm]."""

from __future__ import annotations

from stubout.catalog import queries as catalog
from stubout.design import Design
from stubout.house.model import HouseLevel
from stubout.network.model import Pipe

TOUCH_MM = 1.0


def newly_cast(before: Design, after: Design) -> frozenset[str]:
    """Return the pipes that a change lifts from below a slab into it or out of it. Common practice, no source."""
    return _cast(after) - _cast(before)


def _cast(design: Design) -> frozenset[str]:
    slabs = [v for v in design.house.levels if v.kind == "slab" and v.slab_mm > 0.0]
    material = design.house.job.material
    return frozenset(
        p.id
        for p in design.network.pipes
        for v in slabs
        if not p.vertical and _in(design, v, p, catalog.pipe(material, p.size_in).od_mm / 2)
    )


def _in(design: Design, level: HouseLevel, pipe: Pipe, radius: float) -> bool:
    top, under = level.subfloor_z_mm, level.subfloor_z_mm - level.slab_mm
    middle = pipe.a.plus(pipe.b).times(0.5)
    outline = design.house.footprint
    if not (outline.lo.x < middle.x < outline.hi.x and outline.lo.y < middle.y < outline.hi.y):
        return False
    if any(box.lo.x <= middle.x <= box.hi.x and box.lo.y <= middle.y <= box.hi.y for _, box in level.recesses):
        return False
    laid_below = pipe.place.kind == "under slab"  # above the slab it would lie open in a room
    return middle.z + radius > under + TOUCH_MM and (laid_below or middle.z - radius < top - TOUCH_MM)
