"""Which stretches of a wall a mark sheet shows: from the control corner on, long idle ones left out."""

from __future__ import annotations

from stubout.design import Design
from stubout.house.framing import Wall
from stubout.network.model import Pipe
from stubout.sheets.wall_facts import Mark, pipes_in_wall

Parts = tuple[tuple[float, float], ...]  # stretches of wall, by station [mm]
PAD_STATION_MM = 320.0
IDLE_MM = 1200.0  # a stretch without work longer than this may be left out
CORNER_MM = 200.0  # stretch of wall shown at the control corner when the work lies far off


def heights_shown(wall: Wall, found: tuple[Mark, ...]) -> tuple[float, float]:
    """Return the heights an elevation shows: the wall, and what is marked below or above it [mm]."""
    lo = wall.bottom_z_mm - 60.0
    hi = wall.top_z_mm + 30.0
    for m in found:
        if m.z_mm is not None:
            lo, hi = min(lo, m.z_mm - 60.0), max(hi, m.z_mm + 60.0)
    return lo, hi


def work_stretch(design: Design, wall: Wall, found: tuple[Mark, ...]) -> tuple[float, float]:
    """Return the stretch of wall with work on it, padded, cut at the ends of the wall."""
    at = [m.station_mm for m in found]
    at += [wall.station(p) for q in pipes_in_wall(design, wall) for p in (q.a, q.b)]
    at += [m for s in design.stubs if s.wall_id == wall.id for m in (s.station_mm,)]
    lo = max(0.0, min(at) - PAD_STATION_MM)
    hi = min(wall.length_mm, max(at) + PAD_STATION_MM)
    return lo, max(hi, min(wall.length_mm, lo + 600.0))


def stretches(work: tuple[float, float]) -> Parts:
    """Return the stretches shown: from the corner on, or the corner, a break, and the work."""
    lo, hi = work
    if lo <= 900.0:
        return ((0.0, hi),)
    return ((0.0, CORNER_MM), (lo, hi))


def broken(design: Design, wall: Wall, found: tuple[Mark, ...], parts: Parts) -> Parts:
    """Return the stretches shown with the long idle ones left out."""
    busy = [(m.station_mm, m.station_mm) for m in found]
    busy += [(min(a, b), max(a, b)) for q in pipes_in_wall(design, wall) for a, b in [_ends(wall, q)]]
    busy += [(s.station_mm, s.station_mm) for s in design.stubs if s.wall_id == wall.id]
    out: list[tuple[float, float]] = []
    for lo, hi in parts:
        first = lo
        at = lo + (CORNER_MM if lo == 0.0 else 0.0)
        for a, b in sorted(busy):
            if b < lo or a > hi:
                continue
            if a - at > IDLE_MM:
                out.append((first, at))
                first = a - PAD_STATION_MM
            at = max(at, b + PAD_STATION_MM)
        out.append((first, hi))
    return tuple(out)


def _ends(wall: Wall, pipe: Pipe) -> tuple[float, float]:
    return wall.station(pipe.a), wall.station(pipe.b)
