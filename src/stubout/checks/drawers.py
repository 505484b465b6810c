"""Where a trap and its tailpiece meet the drawers of the cabinet they hang in. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.catalog import queries as catalog
from stubout.checks.base import TOUCH_TOL_MM, Review
from stubout.checks.facts import fixture, hub_mm
from stubout.checks.surroundings import boxes_at
from stubout.house.model import CabinetBox, Drawer
from stubout.layout.model import StubMark


@dataclass(frozen=True, slots=True)
class Met:
    """One drawer that a trap or its tailpiece stands in the way of."""

    box: CabinetBox
    drawer: Drawer
    hub_mm: float
    deep_mm: float  # how far from the wall the tailpiece reaches
    high_mm: float  # how much of the drawer's height is in the way
    wide_mm: float  # how much wider its cut-out must be, 0 or less: wide enough
    short_mm: float  # how much deeper its cut-out must be
    pipe_only: bool  # the trap hangs below the drawer: only the tailpiece goes through it


def drawers_met(on: Review, mark: StubMark) -> tuple[Met, ...]:
    """Return the drawers that what hangs at a stub-out is in the way of, the lowest first."""
    body = fixture(on, mark.tag)
    hang = on.ask(catalog.trap_drop_mm, mark.size_in)
    hub = hub_mm(on, mark.size_in)
    if body is None or hang is None or hub is None:
        return ()
    trap_z_mm = mark.mark_z_mm + mark.arm_fall_mm
    lo_mm = trap_z_mm - hang
    hi_mm = max(trap_z_mm + hub / 2, body.outlet_z_mm or 0.0)
    at_mm = mark.station_mm
    if mark.place.clear and body.station_mm is not None:  # the mark is at the riser, the trap hangs under its outlet
        at_mm = body.station_mm
    deep_mm = (body.from_wall_mm or 0.0) + body.outlet_in * 25.4 / 2
    found = []
    for box in boxes_at(on, mark.wall_id, mark.side, at_mm):
        centre_mm = (box.from_station_mm + box.to_station_mm) / 2
        for drawer in box.drawers:
            meet_mm = min(hi_mm, drawer.hi_z_mm) - max(lo_mm, drawer.lo_z_mm)
            if meet_mm <= TOUCH_TOL_MM or drawer.back_gap_mm >= deep_mm:
                continue
            wide_mm = hub / 2 + abs(at_mm - centre_mm) - drawer.cut_width_mm / 2
            short_mm = deep_mm - drawer.cut_depth_mm - drawer.back_gap_mm
            if wide_mm <= 0.0 and short_mm <= TOUCH_TOL_MM:
                continue
            pipe_only = trap_z_mm + hub / 2 <= drawer.lo_z_mm
            found.append(Met(box, drawer, hub, deep_mm, meet_mm, wide_mm, short_mm, pipe_only))
    return tuple(sorted(found, key=lambda m: (m.box.id, m.drawer.lo_z_mm)))


def closed_by_drawer(on: Review, mark: StubMark) -> bool:
    """Return whether it is a drawer in front of a stub-out that leaves no height for it."""
    named = "drawer" in mark.lo_governs or "drawer" in mark.hi_governs
    return not mark.feasible and named and bool(drawers_met(on, mark))
