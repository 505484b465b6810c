"""Legs in a joist bay: along it, or across joists that may be bored or that let it through. Lengths [mm]."""

from __future__ import annotations

from stubout.house.model import Frame
from stubout.layout.charted import charted, crossing_spans
from stubout.layout.model import Place
from stubout.layout.premises import Premises
from stubout.layout.space_shapes import XY, Gauge, Layer, Leg, Span
from stubout.layout.weights import OBSTACLE_GAP_MM


def bay_leg(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg in the joist bays of a frame may be, None where it cannot be."""
    f = layer.frame
    assert f is not None
    c = 1 if f.runs == "x" else 0
    a = 1 - c
    lo_c, hi_c = min(p[c], q[c]), max(p[c], q[c])
    if lo_c < f.across_lo_mm or hi_c > f.across_hi_mm:
        return None
    if min(p[a], q[a]) < f.along_lo_mm or max(p[a], q[a]) > f.along_hi_mm:
        return None
    if premises.bay_of(f, p, g) is None or premises.bay_of(f, q, g) is None:
        return None
    half = f.width_mm / 2
    crossed = f.between(lo_c, hi_c)
    if crossed:
        if abs(p[a] - q[a]) > 1:
            return None
        through = _through_joists(premises, f, p[a], (lo_c, hi_c), g)
        if through is None:
            return None
        spans = through
    else:
        if abs(p[c] - q[c]) > 1 and f.between(lo_c - half - g.hub_r, hi_c + half + g.hub_r):
            return None
        spans = [Span(f.bottom_z_mm + g.r + 3, f.top_z_mm - g.r - 3)]
    if spans[0].lo > spans[0].hi:
        return None
    spans = premises.without(spans, p, q, g, ("duct", "beam", "post", "blocking", "appliance", "line"), OBSTACLE_GAP_MM)
    if not spans:
        return None
    return Leg(tuple(spans), crossed, Place("joist bay", f.id, f.before(p[c])))


def _through_joists(premises: Premises, f: Frame, along: float, crossed: XY, g: Gauge) -> list[Span] | None:
    """Return the heights at which a leg goes through the joists of a frame, None where it may not."""
    if charted(f):
        return crossing_spans(f, premises.bearings(f), along, crossed, g)
    hole, edge = g.hole_mm, premises.joist_edge.get(f.id, 0.0)
    if hole > premises.joist_limit.get(f.id, 0.0) + 0.05:
        return None
    return [Span(f.bottom_z_mm + edge + hole / 2, f.top_z_mm - edge - hole / 2)]
