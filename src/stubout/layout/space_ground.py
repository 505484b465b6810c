"""Legs in the ground: under a slab and outside, through footings and beside them. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.geometry.vec import Box
from stubout.layout.model import Place
from stubout.layout.premises import Premises
from stubout.layout.space_shapes import DEEP, XY, Gauge, Layer, Leg, Span, box_hits_leg, cut_spans, length_inside
from stubout.layout.weights import FOOTING_GAP_MM, OBSTACLE_GAP_MM, UNDER_SLAB_COVER_MM, WEIGHTS


def under_leg(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg under a slab may be, None where it cannot be."""
    if not (premises.inside(p) and premises.inside(q)):
        return outside_leg(premises, layer, p, q, g)
    v = layer.level
    hi = v.subfloor_z_mm - v.slab_mm - UNDER_SLAB_COVER_MM - g.r
    spans = without_footings(premises, [Span(DEEP, hi)], p, q, g)
    return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), 0, Place("under slab", v.id)) if spans else None


def outside_leg(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg outside the house may be, None where it cannot be."""
    hi = min(premises.ground_z(p), premises.ground_z(q)) - g.r
    if premises.inside(p) or premises.inside(q):
        inner = p if premises.inside(p) else q
        fp = premises.house.footprint
        edge = min(abs(inner[0] - fp.lo.x), abs(inner[0] - fp.hi.x), abs(inner[1] - fp.lo.y), abs(inner[1] - fp.hi.y))
        if edge > 1500:  # split at the outline first: the lattice holds its lines
            return None
    spans = without_footings(premises, [Span(DEEP, hi)], p, q, g)
    spans = premises.without(spans, p, q, g, ("beam", "post"), OBSTACLE_GAP_MM)
    return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), 0, Place("buried", layer.level.id)) if spans else None


def without_footings(premises: Premises, spans: list[Span], p: XY, q: XY, g: Gauge) -> list[Span]:
    """Return the heights of a leg less those in a footing or pad, and with what sleeves and undermining cost."""
    out = spans
    sleeves: list[Span] = []
    gap = FOOTING_GAP_MM + g.r
    for o in premises.house.obstacles:
        if o.kind not in ("footing", "pad"):
            continue
        out = _beside_footing(premises, out, o.box, p, q, g)
        # a long footing is a rectangle along a wall: going along inside it is never right, across it may be sleeved
        if not box_hits_leg(o.box, p, q, g.r + FOOTING_GAP_MM):
            continue
        out = cut_spans(out, o.box.lo.z - gap, o.box.hi.z + gap)
        if o.kind == "footing" and _crosses_short(o.box, p, q):
            lo, hi = o.box.lo.z - gap, min(o.box.hi.z, max(s.hi for s in spans))
            if lo < hi:
                # by the part of the footing passed, so that the lattice does not charge one sleeve leg by leg
                wide = min(o.box.hi.x - o.box.lo.x, o.box.hi.y - o.box.lo.y) + 2 * gap
                part = length_inside(o.box, p, q, gap) / wide
                sleeves.append(Span(lo, hi, WEIGHTS.sleeve * part, f"sleeve through footing {o.id}"))
    return out + sleeves


def _beside_footing(premises: Premises, spans: list[Span], box: Box, p: XY, q: XY, g: Gauge) -> list[Span]:
    """Return the heights of a leg, those dearer at which its trench would undermine a footing it runs along."""
    away = _away_along(box, p, q)
    if away is None:
        return spans
    lim = box.lo.z + g.r - max(0.0, away - g.r) * premises.footing_plane
    dear = WEIGHTS.undermine * math.hypot(q[0] - p[0], q[1] - p[1])
    out: list[Span] = []
    for s in spans:
        if s.hi > lim:
            out.append(Span(max(s.lo, lim), s.hi, s.cost, s.note))
        if s.lo < lim:
            out.append(Span(s.lo, min(s.hi, lim), s.cost + dear, s.note))
    return out


def _crosses_short(box: Box, p: XY, q: XY) -> bool:
    dx, dy = box.hi.x - box.lo.x, box.hi.y - box.lo.y
    along_x, along_y = abs(q[0] - p[0]), abs(q[1] - p[1])
    return (dx <= dy and along_x > 0.5) or (dy <= dx and along_y > 0.5)


def _away_along(box: Box, p: XY, q: XY) -> float | None:
    """Return how near a leg comes to a footing it runs along [mm], None if it crosses it or passes its ends."""
    wide_x, wide_y = box.hi.x - box.lo.x, box.hi.y - box.lo.y
    dx, dy = q[0] - p[0], q[1] - p[1]
    run = math.hypot(dx, dy)
    square = max(wide_x, wide_y) < 1.5 * min(wide_x, wide_y)
    if run < 1.0 or (not square and (abs(dx) if wide_x >= wide_y else abs(dy)) / run < 0.5):
        return None
    best: float | None = None
    for t in (0.0, 0.25, 0.5, 0.75, 1.0):
        x, y = p[0] + dx * t, p[1] + dy * t
        gap_x = max(box.lo.x - x, 0.0, x - box.hi.x)
        gap_y = max(box.lo.y - y, 0.0, y - box.hi.y)
        if square or min(gap_x, gap_y) <= 0.0:
            best = min(math.hypot(gap_x, gap_y), math.inf if best is None else best)
    return best
