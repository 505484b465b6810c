"""Legs in an attic: over its ceiling, under its roof. Lengths [mm]."""

from __future__ import annotations

from stubout.layout.model import Place
from stubout.layout.premises import Premises
from stubout.layout.space_shapes import DEEP, XY, Gauge, Layer, Leg, Span, box_hits_leg


def attic_leg(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg in an attic may be, None where it cannot be."""
    if not (premises.inside(p) and premises.inside(q)):
        return None
    lo = layer.level.subfloor_z_mm + layer.level.wall_height_mm
    frame = next((f for f in premises.house.frames if f.open_above and abs(f.bottom_z_mm - lo) < 400), None)
    lo = (frame.top_z_mm if frame and frame.kind != "truss" else lo + 90) + g.r
    roof = min(premises.roof_z(p) or DEEP, premises.roof_z(q) or DEEP)
    hi = roof - 200 - g.r
    if lo > hi:
        return None
    kinds = ("duct", "appliance", "skylight", "zone")
    spans = premises.without([Span(lo, hi)], p, q, g, kinds, 50.0)
    for o in premises.house.roof_openings:
        if o.box.hi.z - o.box.lo.z < 2500 and box_hits_leg(o.box, p, q, 100.0 + g.r):
            return None
    return Leg(tuple(spans), 0, Place("attic", layer.level.id)) if spans else None
