"""Bays of walls where the vent of a floor outlet may rise. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.layout.cavity_shapes import Spot
from stubout.layout.drain_zone import DrainZone
from stubout.layout.jogs import level_vec, manhattan, near
from stubout.layout.needs import Need
from stubout.layout.space_shapes import XY, Gauge
from stubout.layout.washer_bays import in_washers_bay

UNDER_MM = 500.0  # what a bay of the level below weighs more than one of its own
CROWD_MM = 2500.0  # what a bay weighs that another fixture or vent will want


def vent_spots(zone: DrainZone, xy: XY, need: Need, reach: float) -> list[tuple[float, Spot]]:
    """Return bays near a floor outlet in which a vent can rise, nearest first, with what speaks against each.

    What speaks against one is in millimetres of pipe, 0 where nothing does.
    """
    work = zone.work
    g = work.gauge(max(need.vent_in, 1.5))
    frame = zone.layers[0].frame
    found: list[tuple[float, float, Spot]] = []
    arm_g = work.gauge(max(need.arm_in, need.branch_in))
    walls = list(work.cavity.walls_of(zone.level))
    below = work.space.level_below(zone.level)
    if below is not None and any(k.startswith("below") for k in zone.start_layers) and not zone.lowest:
        walls += work.cavity.walls_of(below)
    for w in walls:
        if w.knee or w.against_concrete or not work.cavity.allowed(w, "vent") or w.exterior:
            continue
        under = w.level_id != zone.level.id
        lo_z = w.top_z_mm - 300.0 if under else w.bottom_z_mm
        foot = w.station(level_vec(xy))
        if under and not work.cavity.fits_depth(w, arm_g):
            continue
        half = max(g.hub_r, arm_g.hub_r) if under else g.hub_r
        for bay in w.bays:
            lo, hi = bay.lo_mm + half, bay.hi_mm - half
            if lo > hi:
                continue
            for s in dict.fromkeys((min(max(foot, lo), hi), bay.middle_mm, lo, hi)):
                spot = Spot(w, bay, s, 0.0)
                d = manhattan(spot.xy, xy)
                if d > reach + 1 or d < need.arm_min or work.taken(spot, g):
                    continue
                if work.cavity.shut_in(w, s, g, work.risers):
                    continue
                if under and _over_drain(zone, spot.xy, g):
                    continue
                if under:
                    layer = next(v for v in zone.layers if v.kind == "below")
                    if not any(r.holds(spot.xy) for r in layer.regions):
                        continue
                    if work.cavity.rise(spot, lo_z, g).ends == "blocked":
                        continue
                elif work.cavity.clear(w, s, w.bottom_z_mm, min(w.bottom_z_mm + 1200, w.top_at(s)), g) or (
                    frame is not None and work.cavity.through_frame(frame, spot.xy, work.gauge(need.arm_in))
                ):
                    continue
                crowd = any(  # leave the bays of other fixtures on this wall to them
                    o.wall_id == w.id
                    and o.station_mm is not None
                    and abs(o.station_mm - s) < 200.0
                    and o.tag != need.fixture.tag
                    and o.tag not in work.traps
                    for o in work.house.fixtures
                )
                crowd = crowd or in_washers_bay(work, w, s)
                crowd = crowd or any(  # two vents so near each other cannot both tie into one along the wall
                    o.wall.id == w.id and abs(o.station - s) < zone.fits.vent_apart(need.vent_in)
                    for o, _ in work.risers
                )
                crowd = crowd or any(  # nor a vent and that of a stack, which may be larger
                    near(stack.xy, spot.xy, zone.fits.vent_apart(max(need.vent_in, min(stack.vent_in, stack.size_in))))
                    for stack in work.board.stacks
                    if stack.vent_ok
                )
                against = (UNDER_MM if under else 0.0) + (CROWD_MM if crowd else 0.0)
                found.append((d + against, against, spot))
    found.sort(key=lambda t: (round(t[0], 1), t[2].wall.id, t[2].station))
    return [(against, spot) for _, against, spot in found]


def _over_drain(zone: DrainZone, xy: XY, g: Gauge) -> bool:
    """Return whether a plumb pipe through the joist bays would meet a drain that lies in them."""
    board = zone.work.board
    for i, key in zone.router.edge_layer.items():
        e = board.edges.get(i)
        if e is None or not key.startswith("bay"):
            continue
        a, b = board.nodes[e.up].xy, board.nodes[e.down].xy
        length = max(1.0, math.hypot(b[0] - a[0], b[1] - a[1]))
        t = max(0.0, min(1.0, ((xy[0] - a[0]) * (b[0] - a[0]) + (xy[1] - a[1]) * (b[1] - a[1])) / length**2))
        p = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
        if math.hypot(p[0] - xy[0], p[1] - xy[1]) < g.r + zone.work.gauge(e.size_in).r + 3.0:
            return True
    return False
