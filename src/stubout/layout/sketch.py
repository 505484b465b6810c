"""The points of hand-drawn routes while they are sorted out: merged within a millimetre, legs split at joins."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from stubout.geometry.vec import Vec
from stubout.house.facts import RouteLeg
from stubout.layout.places import TOUCH_MM


@dataclass(slots=True)
class Sketch:
    """Points found so far and the legs as lists of point ids."""

    at: dict[str, Vec] = field(default_factory=dict)
    note: dict[str, str] = field(default_factory=dict)
    legs: dict[str, list[str]] = field(default_factory=dict)

    def point(self, p: Vec, name: str) -> str:
        """Return the id of the point within a millimetre of p, made if there is none."""
        for i, q in self.at.items():
            if p.to(q) <= TOUCH_MM:
                return i
        self.at[name] = p
        return name


def join_legs(sketch: Sketch, routes: tuple[RouteLeg, ...]) -> None:
    """Split every leg where another leg starts or ends on it."""
    ends = [n for leg in routes for n in (sketch.legs[leg.id][0], sketch.legs[leg.id][-1])]
    for leg in routes:
        nodes = sketch.legs[leg.id]
        out = [nodes[0]]
        for a, b in pairwise(nodes):
            on = {n for n in ends if n not in (a, b) and _foot(sketch.at[a], sketch.at[b], sketch.at[n]) is not None}
            out += sorted(on, key=lambda n: (sketch.at[a].to(sketch.at[n]), n))
            out.append(b)
        sketch.legs[leg.id] = [n for i, n in enumerate(out) if i == 0 or n != out[i - 1]]


def _foot(a: Vec, b: Vec, p: Vec) -> float | None:
    """Return how far along a-b the point p lies [mm], None if it is off the line or at its ends."""
    d = b.minus(a)
    if d.length <= TOUCH_MM:
        return None
    t = p.minus(a).dot(d.unit())
    if not TOUCH_MM < t < d.length - TOUCH_MM:
        return None
    return t if p.to(a.plus(d.unit().times(t))) <= TOUCH_MM else None


def distance_mm(sketch: Sketch, nodes: list[str], p: Vec) -> float:
    """Return the distance from a point to a leg [mm]."""
    best = min(p.to(sketch.at[n]) for n in nodes)
    for a, b in pairwise(nodes):
        d = sketch.at[b].minus(sketch.at[a])
        if d.length > 0:
            t = min(max(p.minus(sketch.at[a]).dot(d.unit()), 0.0), d.length)
            best = min(best, p.to(sketch.at[a].plus(d.unit().times(t))))
    return best
