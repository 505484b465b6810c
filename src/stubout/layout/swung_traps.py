"""The trap of a floor outlet clear of the joists: swung round its outlet where it would stand in one. Lengths [mm].

A P-trap turns round its inlet, and the bend on its outlet turns any way: its weir may stand anywhere round the outlet,
as far off as the trap reaches, and the arm leaves it in any direction. No hole lets the bend of a trap through a joist
(`FRM007`). Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from stubout.house.model import Frame, HouseFixture
from stubout.layout.drain_zone import DrainZone
from stubout.layout.jogs import past_trap
from stubout.layout.needs import Need
from stubout.layout.route import Ask, Path
from stubout.layout.space_shapes import XY
from stubout.layout.weights import LEAST_WON, WEIGHTS

AT_OUTLET_MM = 1.0  # a trap whose weir is no farther from its outlet is in line with its arm
CLEAR_MM = 1.0  # between trap and joist


def from_weir(zone: DrainZone, f: HouseFixture, need: Need, path: Path, again: Callable[[XY], Path | None]) -> Path:
    """Return a path from the weir of a floor trap on, with the trap swung round its outlet where it stood in a joist.

    Where no place round the outlet will do, the path as found, which then weighs as much as a joint in the wood.

    Args:
        zone: The floor zone.
        f: The fixture.
        need: What it asks of the book.
        path: The way found from under its outlet.
        again: Looks for one from another place, where the weir then stands.
    """
    reach = zone.trap_reach.get(need.arm_in, 100.0)
    begun, outlet = past_trap(path, reach), zone.work.xy(f)
    frame = _frame(zone, begun)
    if frame is None:
        return begun
    r = zone.work.gauge(need.arm_in).od_mm / 2
    weir, inlet = _body(begun, outlet, reach)
    if not _in_joist(frame, weir, inlet, r) or _in_joist(frame, outlet, outlet, r):
        return begun
    best: Path | None = None
    for at in places_round(frame, outlet, reach, r):
        found = again(at)
        if found is None or not found.steps or _frame(zone, found) is not frame:
            continue
        if best is None or found.cost < best.cost - LEAST_WON:
            best = found
    if best is None:
        return replace(begun, cost=begun.cost + WEIGHTS.in_stud)
    return replace(best, cost=best.cost + reach)


def swung(limits: Ask, at: XY, reach: float) -> Ask:
    """Return what is looked for from the weir of a trap that is swung, by what is looked for from under its outlet."""
    return replace(
        limits,
        xy=at,
        max_length=None if limits.max_length is None else limits.max_length - reach,
        least_length=max(0.0, limits.least_length - reach),
        half_start=max(0.0, limits.half_start - reach),
        jog=0.0,
    )


def places_round(frame: Frame, outlet: XY, reach: float, r: float) -> list[XY]:
    """Return where the weir of a trap may stand round an outlet, clear of the joists of a frame, by eighths of a turn.

    Args:
        frame: The frame the trap hangs in.
        outlet: The place of the outlet.
        reach: From the inlet of the trap to its weir.
        r: Half the thickness of the trap.
    """
    turns = ((math.cos(k * math.pi / 4), math.sin(k * math.pi / 4)) for k in range(8))
    places = [(round(outlet[0] + reach * x, 3), round(outlet[1] + reach * y, 3)) for x, y in turns]
    return [at for at in places if not _in_joist(frame, at, outlet, r)]


def _frame(zone: DrainZone, path: Path) -> Frame | None:
    """Return the frame in whose bays a path begins level, None where it begins elsewhere."""
    if not path.steps or path.steps[0].place is None:
        return None
    layer = zone.router.layers[path.steps[0].layer_a]
    return layer.frame if layer.kind == "bay" else None


def _body(path: Path, outlet: XY, reach: float) -> tuple[XY, XY]:
    """Return where weir and inlet of a trap stand at the beginning of a path."""
    s = path.steps[0]
    if math.dist(s.a, outlet) > AT_OUTLET_MM:
        return s.a, outlet
    run = math.dist(s.a, s.b)
    back = (s.a[0] + (s.a[0] - s.b[0]) * reach / run, s.a[1] + (s.a[1] - s.b[1]) * reach / run) if run else outlet
    return s.a, back


def _in_joist(frame: Frame, weir: XY, inlet: XY, r: float) -> bool:
    """Return whether a joist stands between two places, or beside the way so near that a pipe meets it."""
    a = 0 if frame.runs == "y" else 1
    lo, hi = sorted((weir[a], inlet[a]))
    half = frame.width_mm / 2 + r + CLEAR_MM
    return any(lo - half < c < hi + half for c in frame.centres_mm)
