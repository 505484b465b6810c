"""The bays that washer boxes fill: standpipe, trap and vent stand side by side in them. Lengths [mm]."""

from __future__ import annotations

from stubout.house.framing import Wall
from stubout.kinds import FixtureKind
from stubout.layout.work import Work


def in_washers_bay(work: Work, w: Wall, station: float, but: str = "") -> bool:
    """Return whether a place in a wall lies in the bay of a washer box whose pipes are not drawn yet.

    Args:
        work: The desk.
        w: The wall.
        station: Where in it.
        but: The fixture that asks; its own bay is its own.
    """
    if not work.order.leaves_room:
        return False
    for f in work.house.fixtures:
        if f.kind is not FixtureKind.CLOTHES_WASHER or f.wall_id != w.id or f.station_mm is None:
            continue
        home = w.bay_at(f.station_mm)
        if f.tag not in (but, *work.traps) and home is not None and home.lo_mm < station < home.hi_mm:
            return True
    return False
