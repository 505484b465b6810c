"""Legs in the ground: under a slab and outside, through footings and beside them. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.geometry.vec import Box
from stubout.layout.model import Place
from stubout.layout.premises import Premises
from stubout.layout.space_shapes import (
    DEEP,
    XY,
    Gauge,
    Layer,
    Leg,
    Rect,
    Span,
    box_hits_leg,
    cut_spans,
    length_inside,
    under_slab_mm,
)
from stubout.layout.weights import FOOTING_GAP_MM, OBSTACLE_GAP_MM, WEIGHTS

BELOW_SEWER_MM = 1000.0  # no drain lies so far below the connection it falls to


def under_leg(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg under a slab may be, None where it cannot be."""
    if not (premises.inside(p) and premises.inside(q)):
        return outside_leg(premises, layer, p, q, g)
    v = layer.level
    spans = without_footings(premises, [Span(DEEP, under_slab_mm(v, g.r))], p, q, g)
    return Leg(tuple(sorted(spans, key=lambda s: -s.hi)), 0, Place("under slab", v.id)) if spans else None


def outside_leg(premises: Premises, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
    """Return what a leg outside the house may be, None where it cannot be."""
    hi = min(premises.ground_z(p), premises.ground_z(q), premises.most_outside_mm) - g.r
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
    dx, dy = q[0] - p[0], q[1] - p[1]
    run = math.hypot(dx, dy)
    dear = WEIGHTS.undermine * run
    nowhere = premises.house.sewer.at.z - BELOW_SEWER_MM
    x_lo, x_hi = (p[0], q[0]) if dx > 0 else (q[0], p[0])
    y_lo, y_hi = (p[1], q[1]) if dy > 0 else (q[1], p[1])
    for x0, y0, x1, y1, o in premises.grown(("footing", "pad"), 0.0):
        far = max(x0 - x_hi, x_lo - x1, y0 - y_hi, y_lo - y1)
        if far > gap and (far - g.r) * premises.footing_plane > o.box.lo.z + g.r - nowhere:
            continue  # so far off that its load plane lies under every drain
        away = _away_along((x0, y0, x1, y1), p, dx, dy, run)
        if away is not None:
            plane = o.box.lo.z + g.r - max(0.0, away - g.r) * premises.footing_plane
            out = _beside_footing(out, plane, dear) if plane > nowhere else out
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


def _beside_footing(spans: list[Span], lim: float, dear: float) -> list[Span]:
    """Return the heights of a leg, dearer those below the load plane of a footing it runs along."""
    out: list[Span] = []
    for s in spans:
        if s.hi > lim:
            out.append(s if s.lo >= lim else Span(lim, s.hi, s.cost, s.note))
        if s.lo < lim:
            out.append(Span(s.lo, min(s.hi, lim), s.cost + dear, s.note))
    return out


def _crosses_short(box: Box, p: XY, q: XY) -> bool:
    dx, dy = box.hi.x - box.lo.x, box.hi.y - box.lo.y
    along_x, along_y = abs(q[0] - p[0]), abs(q[1] - p[1])
    return (dx <= dy and along_x > 0.5) or (dy <= dx and along_y > 0.5)


def _away_along(rect: Rect, p: XY, dx: float, dy: float, run: float) -> float | None:
    """Return how near a leg comes to a footing it runs along [mm], None if it crosses it or passes its ends.

    Args:
        rect: The footing in plan.
        p: Where the leg begins.
        dx: How far it goes east [mm].
        dy: How far it goes north [mm].
        run: Its length [mm].
    """
    x0, y0, x1, y1 = rect
    wide_x, wide_y = x1 - x0, y1 - y0
    square = max(wide_x, wide_y) < 1.5 * min(wide_x, wide_y)
    if run < 1.0 or (not square and (abs(dx) if wide_x >= wide_y else abs(dy)) / run < 0.5):
        return None
    best: float | None = None
    for t in (0.0, 0.25, 0.5, 0.75, 1.0):
        x, y = p[0] + dx * t, p[1] + dy * t
        gap_x = x0 - x if x < x0 else x - x1 if x > x1 else 0.0
        gap_y = y0 - y if y < y0 else y - y1 if y > y1 else 0.0
        if square or gap_x <= 0.0 or gap_y <= 0.0:
            away = math.hypot(gap_x, gap_y)
            if best is None or away < best:
                best = away
    return best
