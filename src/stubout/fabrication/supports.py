"""Hangers, clamps and beds from the book's spacing, the ends and the turns. Lengths [mm]."""

from __future__ import annotations

import math
from itertools import groupby, pairwise
from typing import Literal

from stubout.catalog.model import Catalog
from stubout.fabrication.ends import ask
from stubout.fabrication.model import Bore, Hanger
from stubout.fabrication.pieces import Straight
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import UNDERGROUND
from stubout.layout.weights import LEAST_HELD_MM
from stubout.network.model import Pipe
from stubout.problems import Basis
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

HAND_MM = 150.0  # a clamp sits a hand above what it is measured from
ONE_CLAMP_MM = 600.0  # base and floor this near share one clamp; common practice, no source
BELOW_JOISTS = ("crawl", "below frame")
IN_CABINET = ("cabinet", "room", "roof")


def hangers(
    runs: tuple[Straight, ...],
    bores: tuple[Bore, ...],
    house: House,
    book: RuleBook,
    catalog: Catalog,
) -> tuple[Hanger, ...]:
    """Return all supports, run by run.

    Horizontal: within the trade's 300 mm of ends and turns, between them at most the book's spacing apart, except where
    bored members carry the pipe. Vertical: a clamp at the base and at each floor, between them at most the book's
    spacing. Under a slab or in the ground: one continuous bed a run.

    Args:
        runs: The straight runs.
        bores: The bores: a bored member carries the pipe.
        house: Floors and material.
        book: Spacing of supports.
        catalog: Trade figures.
    """
    out: list[Hanger] = []
    from_turn = catalog.figure("hanger from turn")
    for run in (part for whole in runs for part in stretches(whole)):
        pipe = run.pipes[0][0]
        if pipe.place.kind in UNDERGROUND:
            bed = Basis("pipe in the ground", "firm, continuous bed", book.id, "", from_turn.status, "all books alike")
            out.append(Hanger(f"H{len(out) + 1}", pipe.id, run.point(run.length_mm / 2), "bed", (bed,)))
            continue
        orientation: Literal["vertical", "horizontal"] = "vertical" if pipe.vertical else "horizontal"
        spacing = ask(queries.hanger_spacing, book, house.job.material, orientation, pipe.size_in)
        limit = spacing.number if spacing else math.inf
        rule = spacing or book.find(f"support.{orientation}")
        bases = (rule.basis,) if rule else ()
        carried = sorted(_along(run, b) for b in bores if b.pipe in run.ids and b.verdict != "not allowed")
        if pipe.vertical:
            places = _vertical(run, house, limit)
        else:
            places = _horizontal(run, carried, limit, from_turn.value)
            bases = (*bases, from_turn.basis)
        kind: Literal["clamp", "hanger"] = "clamp" if pipe.vertical else "hanger"
        for at in places:
            reach = 0.0 if pipe.vertical else _reach_mm(run.at(at), run.point(at), house, catalog)
            out.append(Hanger(f"H{len(out) + 1}", run.at(at).id, run.point(at), kind, bases, reach))
    return tuple(out)


def _reach_mm(pipe: Pipe, at: Vec, house: House, catalog: Catalog) -> float:
    """Return how far a pipe hangs below the joists over it, from their bottom to its top [mm]."""
    over = next((f for f in house.frames if f.id == pipe.place.ref), None)
    if pipe.place.kind not in BELOW_JOISTS or over is None:
        return 0.0
    return max(0.0, over.bottom_z_mm - at.z - catalog.od_mm(pipe.size_in) / 2)


def stretches(run: Straight) -> tuple[Straight, ...]:
    """Return a run parted where it goes into or out of the ground."""
    parts = groupby(run.pipes, key=lambda p: p[0].place.kind in UNDERGROUND)
    return tuple(Straight(tuple(group)) for _, group in parts)


def _along(run: Straight, bore: Bore) -> float:
    at = 0.0
    for p, forward in run.pipes:
        if p.id == bore.pipe:
            return at + (p.a if forward else p.b).to(bore.centre)
        at += p.length_mm
    return at


def _horizontal(run: Straight, carried: list[float], limit: float, from_turn: float) -> list[float]:
    """Return where a horizontal run hangs: gaps between what carries it are filled evenly."""
    length = run.length_mm
    if all(p.place.kind in IN_CABINET for p, _ in run.pipes):
        return []
    if length < LEAST_HELD_MM:
        return []
    fixed = list(carried)
    for end in (from_turn, length - from_turn):
        if not any(abs(c - end) <= from_turn for c in fixed):
            fixed.append(end)
    fixed = sorted(set(fixed))
    places = [f for f in fixed if f not in carried]
    if not math.isfinite(limit):
        return places
    for a, b in pairwise(fixed):
        parts = math.ceil((b - a) / limit - 1e-9)
        places += [a + (b - a) * k / parts for k in range(1, parts)]
    return sorted(places)


def _vertical(run: Straight, house: House, limit: float) -> list[float]:
    """Return where a vertical run is clamped: base, each floor it passes, between them within the spacing."""
    first, last = run.point(0.0), run.point(run.length_mm)
    low, high = min(first.z, last.z), max(first.z, last.z)
    if high - low < LEAST_HELD_MM:
        return []
    rises = last.z > first.z
    solid = [v.subfloor_z_mm for v in house.levels if v.kind != "frame" and v.subfloor_z_mm < high]
    above_ground = max([low, *solid])  # what lies below slab or ground rests in it
    if high - above_ground < LEAST_HELD_MM:
        return []
    floors = [v.subfloor_z_mm for v in house.levels if v.kind == "frame"]
    marks = sorted(z for z in floors if above_ground + HAND_MM < z < high - 50.0)
    if not marks or marks[0] - above_ground > ONE_CLAMP_MM:
        marks.insert(0, above_ground + min(HAND_MM, (high - above_ground) / 2))  # at the base
    ends = [*marks, high]
    more: list[float] = []
    if math.isfinite(limit):
        for a, b in pairwise(ends):
            parts = math.ceil((b - a) / limit - 1e-9)
            more += [a + (b - a) * k / parts for k in range(1, parts)]
    tall = run.length_mm / (high - low)
    return sorted(((z - low) if rises else (high - z)) * tall for z in [*marks, *more])
