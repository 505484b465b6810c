"""What the owner or the cabinet maker has to agree to: cabinets, bowls, faucets, wishes of the job. [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from stubout import units
from stubout.catalog import queries as catalog
from stubout.fixes.facts import SPARE_MM, Fact
from stubout.fixes.model import FACT, OTHERS, Candidate, Case, Edit, once
from stubout.geometry.vec import Box, Vec
from stubout.kinds import FixtureKind

SHALLOWEST_MM = 125.0  # from rim to outlet of the shallowest bowl; common practice, no source
BODY_MM = 60.0  # as much shorter as a round closet bowl is than a long one; common practice, no source


def drawers(case: Case) -> Iterator[Candidate]:
    """Yield drawers cut out from the back so that trap and tailpiece clear them: the cabinet maker's to do."""
    u = case.design.house.job.units
    for mark in case.design.stubs:
        body = next((f for f in case.design.house.fixtures if f.tag == mark.tag), None)
        if mark.tag not in case.about or body is None:
            continue
        hub = catalog.hub_od_mm(mark.size_in)
        deep = _up(case, (body.from_wall_mm or 0.0) + body.outlet_in * units.MM_PER_INCH / 2 + SPARE_MM)
        for box in case.design.house.cabinets:
            if box.id not in case.about or not box.drawers:
                continue
            aside = abs(mark.station_mm - (box.from_station_mm + box.to_station_mm) / 2)
            wide = _up(case, hub + 2 * aside + SPARE_MM)
            cut = tuple(
                replace(
                    d, cut_width_mm=max(d.cut_width_mm, wide), cut_depth_mm=max(d.cut_depth_mm, deep - d.back_gap_mm)
                )
                for d in box.drawers
            )
            size = f"{units.both(wide, u)} wide and {units.both(deep, u)} deep"
            told = f"Have the drawer of {box.id} cut out from the back, {size}"
            says: list[tuple[str, str, str, Any]] = [("cabinets", box.id, "drawers", cut)]
            if not mark.feasible and "drawer" in mark.lo_governs:  # with the cut-out no drawer holds it up any more
                says += [("stubs", mark.tag, "feasible", True), ("stubs", mark.tag, "lo_z_mm", mark.hi_z_mm)]
            fact = Fact("cut-out", (box.id,), "no cut-out", size, told, tuple(says))
            yield once(fact, cost=FACT, asks="cabinet maker")


def _up(case: Case, mm: float) -> float:
    """Return a length as the next larger one that the job's tape shows [mm]."""
    return math.ceil(mm / case.step_mm - 1e-6) * case.step_mm


def bowls(case: Case) -> Iterator[Candidate]:
    """Yield shallower bowls: an outlet so much higher that a height for the stub-out is left."""
    u = case.design.house.job.units
    for mark in case.design.stubs:
        body = next((f for f in case.design.house.fixtures if f.tag == mark.tag), None)
        gain = max(0.0, mark.lo_z_mm - mark.hi_z_mm - mark.arm_fall_mm)
        if mark.tag not in case.about or body is None or body.outlet_z_mm is None or body.flood_rim_z_mm is None:
            continue
        most = body.flood_rim_z_mm - SHALLOWEST_MM - body.outlet_z_mm - gain
        if most < case.step_mm:
            continue

        def made(
            mm: float,
            tag: str = body.tag,
            z: float = body.outlet_z_mm + gain,
            hi: float = mark.hi_z_mm + gain,
            gain: float = gain,
        ) -> tuple[Edit, ...]:
            higher = f"{units.both(gain + mm, u)} higher"
            says = (
                ("fixtures", tag, "outlet_z_mm", z + mm),
                ("stubs", tag, "hi_z_mm", hi + mm),
                ("stubs", tag, "feasible", True),
            )
            told = f"Take a bowl for {tag} whose outlet is {higher}"
            return (Fact("fixture", (tag,), "as chosen", higher, told, says),)

        yield Candidate(made, FACT, most, "owner")


def faucets(case: Case) -> Iterator[Candidate]:
    """Yield faucets in the deck instead of the wall: the owner's to choose."""
    for body in case.design.house.fixtures:
        if body.tag in case.about and body.faucet == "wall":
            told = f"Take a faucet in the deck for {body.tag}"
            says = (("fixtures", body.tag, "faucet", "deck"),)
            yield once(Fact("fixture", (body.tag,), "wall", "deck", told, says), cost=OTHERS, asks="owner")


def air_gaps(case: Case) -> Iterator[Candidate]:
    """Yield an air-gap fitting for the dishwasher of a sink."""
    for body in case.design.house.fixtures:
        if body.tag in case.about and body.dishwasher in ("tailpiece", "disposer"):
            told = f"Set an air-gap fitting at {body.tag} for the dishwasher, and write `dishwasher: air gap`"
            says = (("fixtures", body.tag, "dishwasher", "air gap"),)
            yield once(Fact("fixture", (body.tag,), body.dishwasher, "air gap", told, says), cost=20.0)


def floor_drains(case: Case) -> Iterator[Candidate]:
    """Yield floor drains with a larger outlet."""
    for body in case.design.house.fixtures:
        if body.tag not in case.about or body.kind is not FixtureKind.FLOOR_DRAIN:
            continue
        for size in (2.0, 3.0, 4.0):
            if size > body.outlet_in:
                told = f"Set a floor drain {body.tag} with a {units.size(size)} in outlet"
                was = f"{units.size(body.outlet_in)} in"
                says = (("fixtures", body.tag, "outlet_in", size),)
                yield once(Fact("fixture", (body.tag,), was, f"{units.size(size)} in", told, says), cost=20.0 * size)


def bodies(case: Case) -> Iterator[Candidate]:
    """Yield closets and lavatories that stand out less far from their wall: the owner's to choose."""
    house, u = case.design.house, case.design.house.job.units
    for body in house.fixtures:
        wall = next((w for w in house.walls if w.id == body.wall_id), None)
        if body.tag not in case.about or body.extent is None or wall is None:
            continue
        out = wall.leftward if body.side == "left" else wall.leftward.times(-1.0)
        box = body.extent

        def made(mm: float, tag: str = body.tag, box: Box = box, out: Vec = out) -> tuple[Edit, ...]:
            amount = units.both(mm, u)
            told = (
                f"Take a {'round' if case.finding.check == 'CLR002' else 'shallower'} bowl for {tag}, {amount} shorter"
            )
            says = (("fixtures", tag, "extent", _shorter(box, out, mm)),)
            return (Fact("fixture", (tag,), "as chosen", f"{amount} shorter", told, says),)

        yield Candidate(made, FACT, BODY_MM, "owner")


def _shorter(box: Box, out: Vec, mm: float) -> Box:
    """Return a box drawn in on the side that a direction points to."""
    lo = tuple(c - min(0.0, o) * mm for c, o in zip(box.lo, out, strict=True))
    hi = tuple(c - max(0.0, o) * mm for c, o in zip(box.hi, out, strict=True))
    return Box(Vec(*lo), Vec(*hi))


def wishes(case: Case) -> Iterator[Candidate]:
    """Yield a wall opened to pipes that a wish of the job closes: the owner's to agree, no rule of a book."""
    wish = case.design.house.wishes
    for name, kind in (("no_vent_in_walls", "vents"), ("no_drain_in_walls", "drains")):
        for wall in getattr(wish, name):
            if wall in case.about:
                told = f"Have wall {wall} opened to {kind}, which the job closes to them"
                left = tuple(w for w in getattr(wish, name) if w != wall)
                says = (("wishes", "", name, left),)
                yield once(
                    Fact("house", (wall,), f"closed to {kind}", "open", told, says), cost=2 * OTHERS, asks="owner"
                )
