"""Pipes and fittings brought into a slab or out of it: what no change may bring about. Lengths [mm].

`GRD004` tells of lying pipes in the concrete. Here that is no matter of more or less found: however much else a change
clears, it is not made; nor where a pipe comes out of the ground into a room, or a fitting into the concrete.
"""

from __future__ import annotations

from stubout.catalog import queries as catalog
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.house.model import HouseLevel
from stubout.network.model import Pipe

TOUCH_MM = 1.0


def newly_cast(before: Design, after: Design) -> frozenset[str]:
    """Return the pipes that a change lifts from below a slab into it or out of it. Common practice, no source."""
    return _cast(after) - _cast(before)


def newly_cast_points(before: Design, after: Design) -> frozenset[str]:
    """Return the points that a change brings into a slab: no fitting is cast in. Common practice, no source."""
    return _points(after) - _points(before)


def _points(design: Design) -> frozenset[str]:
    slabs = [v for v in design.house.levels if v.kind == "slab" and v.slab_mm > 0.0]
    return frozenset(n.id for n in design.network.nodes if any(_between(design, v, n.at, 0.0) for v in slabs))


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
    return _between(design, level, pipe.a.plus(pipe.b).times(0.5), radius, below=pipe.place.kind == "under slab")


def _between(design: Design, level: HouseLevel, at: Vec, radius: float, *, below: bool = False) -> bool:
    """Return whether something so thick lies between the faces of a slab; of what is laid below it, whether above."""
    top, under = level.subfloor_z_mm, level.subfloor_z_mm - level.slab_mm
    outline = design.house.footprint
    if not (outline.lo.x < at.x < outline.hi.x and outline.lo.y < at.y < outline.hi.y):
        return False
    if level.left_out(at):
        return False
    # above the slab what is laid below it would lie open in a room
    return at.z + radius > under + TOUCH_MM and (below or at.z - radius < top - TOUCH_MM)
