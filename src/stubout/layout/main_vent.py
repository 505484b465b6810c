"""The one vent as large as the book asks of every building drain: whether it is planned, and who carries it.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

from stubout.house.framing import Wall
from stubout.layout.model import VentMethod
from stubout.layout.work import Work
from stubout.rulebooks import queries as ask

HUB_TOL_MM = 0.5
MAIN_VENT_COST = 12_000.0  # nothing drawn so far can carry the one large vent the book asks for [mm of pipe]


def main_vent_in(work: Work) -> float:
    """Return the least size of the one vent from the building drain to the open air [in], 0 where no book asks."""
    cell = ask.building_vent_least(work.book, work.trunk_in)
    return cell.number if cell is not None else 0.0


def main_vent_missing(work: Work) -> float:
    """Return that size while no stack, closet or drawn vent is planned to be so large; 0 once one is [in]."""
    size = main_vent_in(work)
    if not size:
        return 0.0
    board = work.board
    least = size - 1e-6
    stack = any(s.vent_ok and s.vent_in >= least for s in board.stacks)
    drawn = any(e.drawn and e.system == "vent" and e.size_in >= least for e in board.edges.values())
    own = any(t.method is VentMethod.INDIVIDUAL and t.need.vent_in >= least for t in work.traps.values())
    return 0.0 if stack or drawn or own else size


def bay_takes(wall: Wall, station_mm: float, hub_mm: float) -> bool:
    """Return whether a plumb pipe's hubs go between the faces of a wall and the studs beside a station."""
    bay = wall.bay_at(station_mm)
    if bay is None or hub_mm > wall.depth_mm + HUB_TOL_MM:
        return False
    half = hub_mm / 2 - HUB_TOL_MM
    return bay.lo_mm + half <= station_mm <= bay.hi_mm - half
