"""Traps under a floor: how high, where beside the outlet, and the outlet pipe to them. Lengths [mm]."""

from __future__ import annotations

import math

from stubout.house.model import HouseFixture
from stubout.layout.draft import DNode
from stubout.layout.drain_zone import DrainZone
from stubout.layout.jogs import swing
from stubout.layout.model import PointKind, Role
from stubout.layout.needs import Need
from stubout.layout.route import Ask, Part, Path
from stubout.layout.space_shapes import XY, Gauge

TRAP_ASIDE_MM = 600.0  # a trap may stand so far from its floor outlet; the outlet pipe's own limit is the book's


def floor_cap(f: HouseFixture, g: Gauge) -> float:
    """Return the highest centre line at the weir of a floor trap [mm]."""
    if f.trap_weir_z_mm is not None:
        return f.trap_weir_z_mm + g.id_mm / 2
    return f.subfloor_z_mm - 60.0 - g.hub_mm / 2


def floor_trap(zone: DrainZone, f: HouseFixture, cap: float, path: Path) -> DNode:
    """Put the trap weir of a floor outlet where its path begins."""
    weir = zone.work.board.node(path.steps[0].a if path.steps else zone.work.xy(f), PointKind.TRAP, None, f.tag)
    weir.cap = cap
    return weir


def trap_arm_ask(zone: DrainZone, need: Need, xy: XY, layers: tuple[str, ...], cap: float) -> Ask:
    """Return what is looked for from a floor trap: a level arm as long, short and turned as the book lets it be."""
    reach = zone.trap_reach.get(need.arm_in, 100.0)
    return Ask(
        xy,
        layers,
        cap,
        max_length=need.arm_max + reach,
        max_turn_deg=need.arm_turn,
        least_length=need.arm_min + reach,
        flat=True,
        jog=swing(reach),
        **zone.bends(need.arm_in, reach + zone.fits.trap(need.arm_in)),
    )


def trap_places(zone: DrainZone, f: HouseFixture, g: Gauge, closet: bool) -> list[tuple[XY, tuple[str, ...]]]:
    """Return where the trap may stand: under the outlet, or a short way along the bay where there is room below."""
    xy = zone.work.xy(f)
    out: list[tuple[XY, tuple[str, ...]]] = [(xy, zone.start_layers)]
    if closet or f.trap_weir_z_mm is not None or len(zone.layers) < 2:
        return out
    bay, below = zone.layers[0], zone.layers[1]
    if bay.frame is None or below.kind != "below":
        return out
    a = 0 if bay.frame.runs == "x" else 1
    margin = g.hub_r + 1.0
    for r in below.regions:
        lo, hi = ((r.x0, r.x1), (r.y0, r.y1))[a]
        olo, ohi = ((r.y0, r.y1), (r.x0, r.x1))[a]
        if not olo < xy[1 - a] < ohi or lo + margin <= xy[a] <= hi - margin:
            continue
        v = min(max(xy[a], lo + margin), hi - margin)
        p = (v, xy[1]) if a == 0 else (xy[0], v)
        if not zone.work.space.plumb_clear(below, p, g):
            continue
        if abs(v - xy[a]) <= TRAP_ASIDE_MM and zone.work.space.leg(bay, xy, p, g) is not None:
            out.append((p, (below.key,)))
    return out


def outlet_pipe(zone: DrainZone, f: HouseFixture, weir: DNode, inlet: XY, g: Gauge) -> None:
    """Draw the pipe from a floor outlet to a trap that stands aside of it."""
    work, board = zone.work, zone.work.board
    xy = work.xy(f)
    if not zone.layers[0].frame:
        return
    leg = work.space.leg(zone.layers[0], xy, inlet, g)
    if leg is None:
        return
    out = board.node(xy, PointKind.TURN, None, f.tag, "fixture outlet")
    turn = board.node(inlet, PointKind.TURN, None, f.tag)
    span = leg.spans[0]
    length = math.hypot(xy[0] - inlet[0], xy[1] - inlet[1])
    board.edge(
        out,
        turn,
        "drain",
        Role.FIXTURE_DRAIN,
        leg.place,
        g.size_in,
        tag=f.tag,
        slope=work.demands.slope(g.size_in),
        parts=(Part(0.0, length, span.lo, span.hi - 40.0),),
    )
    mouth = board.node(inlet, PointKind.TURN, None, f.tag, "trap inlet")
    board.edge(turn, mouth, "drain", Role.FIXTURE_DRAIN, leg.place, g.size_in, tag=f.tag, plumb=True)
    board.edge(
        mouth,
        weir,
        "drain",
        Role.FIXTURE_DRAIN,
        leg.place,
        g.size_in,
        tag=f.tag,
        slope=work.demands.slope(g.size_in),
    )
