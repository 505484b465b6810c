"""Where a branch would turn and join if it ran straight, then went into a drain at 45 degrees. Lengths [mm].

The lines of a lattice go through places that matter; the place on a drain where a wye goes in best hangs on both pipes
and on the room that fittings take, and lies on none of those lines. These points are laid into the lattice so that the
search can find such a way.
"""

from __future__ import annotations

import math

from stubout.layout.draft import DEdge
from stubout.layout.lattice import DIRECTIONS, direction_index
from stubout.layout.space_shapes import XY
from stubout.layout.zone_pipes import ZonePipes
from stubout.layout.zone_targets import end_room

MOST_WAYS = 4  # the shortest of them: a drain far off is joined by lines that are there
MOST_OFF_MM = 4000.0
LEAST_OFF_MM = 60.0
SPARE_MM = 1.0  # more than face to face
ROOT_2 = math.sqrt(2.0)

Way = tuple[float, XY, XY]
"""How long a way is, where it turns, and where it joins."""


def dogleg_points(zone: ZonePipes, start: XY, size_in: float) -> tuple[XY, ...]:
    """Return the turns and joints of the shortest ways from a place into the level drains of a zone.

    Args:
        zone: The zone.
        start: Where the branch begins.
        size_in: Its size.
    """
    ways: list[Way] = []
    for i in sorted(zone.edge_layer):
        e = zone.board.edges.get(i)
        if e is not None and not e.plumb and not e.apart and e.size_in >= size_in and e.system == "drain":
            ways += _ways_into(zone, e, start, size_in)
    ways.sort()
    return tuple(dict.fromkeys(p for _, turn, joint in ways[:MOST_WAYS] for p in (turn, joint)))


def _ways_into(zone: ZonePipes, e: DEdge, start: XY, size_in: float) -> list[Way]:
    """Return the ways into one drain: along it and then in, square towards it and then in, along it and in square."""
    a, b = zone.board.nodes[e.up].xy, zone.board.nodes[e.down].xy
    k = direction_index(b[0] - a[0], b[1] - a[1])
    if k is None:
        return []
    ux, uy = DIRECTIONS[k]
    along = (start[0] - a[0]) * ux + (start[1] - a[1]) * uy
    foot = (a[0] + ux * along, a[1] + uy * along)
    off = math.dist(start, foot)
    if not LEAST_OFF_MM < off < MOST_OFF_MM:
        return []
    vx, vy = (foot[0] - start[0]) / off, (foot[1] - start[1]) / off
    fits, total = zone.board.fits, zone.board.plan(e)

    def at(t: float, w: float) -> XY:
        """Return the place so far along the drain from its upper end and so far from the start towards it."""
        return start[0] + ux * (t - along) + vx * w, start[1] + uy * (t - along) + vy * w

    def free(square: bool) -> tuple[float, float]:
        """Return from where to where a joint finds its room on the drain."""
        inlet, outlet = (fits.joint(e.size_in, size_in, square, port) for port in ("inlet", "outlet"))
        return end_room(zone, e, False) + inlet + SPARE_MM, total - end_room(zone, e, True) - outlet - SPARE_MM

    begin, bend = fits.sweep(size_in), fits.eighth(size_in)
    slant = (bend + fits.joint(e.size_in, size_in, False, "branch") + SPARE_MM) / ROOT_2
    lo, hi = free(square=False)
    out: list[Way] = []
    t = max(lo, along + off + begin + bend)
    if t <= hi and off >= slant:
        out.append((t - along - off + off * ROOT_2, at(t - off, 0.0), at(t, off)))
    t = max(lo, along + slant)
    if t <= hi and t - along <= off - begin - bend:
        aside = t - along
        out.append((off - aside + aside * ROOT_2, at(along, off - aside), at(t, off)))
    lo, hi = free(square=True)
    t = max(lo, along + begin + fits.sweep(size_in))
    if t <= hi and along < lo:
        out.append((t - along + off, at(t, 0.0), at(t, off)))
    return out
