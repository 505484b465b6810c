"""Drawing the one large vent of the building drain where no stack and no closet carries it. Lengths [mm].

A fixture's own vent is made so large if its drain and its wall take it; else a riser of its own stands on a lying drain
that passes under a wall deep enough. Where the vents together are to have the area of the sewer and would not, one of
the fixtures' own makes that up in the same way. Sizes in nominal inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stubout.geometry.vec import Vec
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import Board, DEdge
from stubout.layout.main_vent import bay_takes, main_vent_in
from stubout.layout.members_along import aside_for
from stubout.layout.model import PointKind, Role
from stubout.layout.space_shapes import Gauge, crossing_station
from stubout.layout.vent_upward import Upward
from stubout.layout.vent_ways import VentWays
from stubout.layout.work import TrapDraft, Work
from stubout.layout.zone_router import ZoneRouter
from stubout.layout.zone_targets import end_room


@dataclass(frozen=True, slots=True)
class _Foot:
    """Where a riser may stand on a lying drain."""

    cost: float
    edge: DEdge
    spot: Spot
    z: float
    router: ZoneRouter


def plan_main_vent(ways: VentWays, upward: Upward, traps: Sequence[TrapDraft], sizes: dict[str, float]) -> None:
    """See to the one large vent before the fixtures' own vents are drawn.

    Args:
        ways: What stands of the vents; the stack vents are drawn.
        upward: Draws a riser of its own where that is needed.
        traps: Traps whose own vents are yet to be drawn.
        sizes: Sizes of those vents by tag; the one that becomes the main vent is raised here [in].
    """
    work = ways.work
    asked = main_vent_in(work)
    size = asked or _sewer_in(work, traps, sizes)
    if not size or _begun(work.board, size) or any(sizes[t.tag] >= size - 1e-6 for t in traps):
        return
    priced = [(c, t.tag) for t in traps if (c := _grown(ways, t, size)) is not None]
    if priced:
        sizes[min(priced)[1]] = size
        return
    feet = sorted(_feet(ways, size), key=lambda f: (round(f.cost, 2), f.edge.id, f.spot.station)) if asked else []
    if feet:
        _draw(work, upward, feet[0], size)


def _sewer_in(work: Work, traps: Sequence[TrapDraft], sizes: dict[str, float]) -> float:
    """Return the size of the sewer where the vents of a book that asks for its area do not make it up, else 0 [in]."""
    rule = work.book.find("vent.area_rule")
    if rule is None or rule.text != "sewer area":
        return 0.0
    have = sum(e.size_in**2 for e in _first(work.board)) + sum(sizes[t.tag] ** 2 for t in traps)
    return work.trunk_in if have < work.trunk_in**2 - 1e-6 else 0.0


def main_vent_out(work: Work) -> bool:
    """Return whether one vent goes from a drain to the open air as large as the book asks; blocked if none does."""
    size = main_vent_in(work)
    drains = any(e.system == "drain" for e in work.board.edges.values())
    if not size or not drains or any(_way_in(work.board, e) >= size - 1e-6 for e in _first(work.board)):
        return True
    if _may_grow_later(work, size):
        return True
    closed = list(aside_for(work, size))
    why = "".join(f"; {w.id} is deep enough, but a member of {f.id} lies along it, over it" for w, f, _ in closed)
    first = "".join(f"the member of {f.id} over {w.id} set {by} to one side, or " for w, f, by in closed)
    work.block(
        ("building vent",),
        f"building vent: nothing carries the one {size:g} in vent from drain to open air that {work.book.title} asks "
        "for: no wall over a drain of that size, or within reach of a closet, is deep enough for its hubs and open to "
        f"the roof{why}",
        f"{first}a 2x6 or furred wall there in which a {size:g} in pipe can rise to the roof, or the vent drawn by "
        "hand",
    )
    return False


def _first(board: Board) -> list[DEdge]:
    """Return the vents that begin at a drain."""
    feet = {n for e in board.edges.values() if e.system == "drain" for n in (e.up, e.down)}
    return [e for e in board.edges.values() if e.system == "vent" and e.up in feet]


def _begun(board: Board, size: float) -> bool:
    """Return whether a vent that begins at a drain is so large already."""
    return any(e.size_in >= size - 1e-6 for e in _first(board))


def _way(board: Board, first: DEdge) -> list[DEdge]:
    """Return the vents from one that begins at a drain to its end."""
    out = [first]
    while (nxt := next(iter(board.out(out[-1].down, "vent")), None)) is not None and nxt not in out:
        out.append(nxt)
    return out


def _way_in(board: Board, first: DEdge) -> float:
    """Return the narrowest size from a drain to the open air, 0 if the way ends elsewhere [in]."""
    way = _way(board, first)
    return min(e.size_in for e in way) if board.nodes[way[-1].down].kind is PointKind.TERMINAL else 0.0


def _may_grow_later(work: Work, size: float) -> bool:
    """Return whether some vent could be made so large after all: every wall and floor on its way takes it."""
    for first in _first(work.board):
        way = _way(work.board, first)
        if work.board.nodes[way[-1].down].kind is not PointKind.TERMINAL:
            continue
        small = [e for e in way if e.size_in < size - 1e-6]
        if all(_takes(work, e, size) for e in small if e.place.kind == "wall") and not any(
            _meets_member(work, e, size) for e in small if e.plumb
        ):
            return True
    return False


def _takes(work: Work, e: DEdge, size: float) -> bool:
    """Return whether a vent in a wall could be of a size where it stands; what lies in studs could not."""
    w, xy = work.house.wall(e.place.ref), work.board.nodes[e.up].xy
    return e.plumb and bay_takes(w, w.station(Vec(xy[0], xy[1], 0.0)), work.gauge(size).hub_mm)


def _meets_member(work: Work, e: DEdge, size: float) -> bool:
    """Return whether an upright vent of a size would stand in a member of a floor or roof that it passes."""
    up, down = work.board.nodes[e.up], work.board.nodes[e.down]
    lo, hi = sorted((up.z or 0.0, down.z or 0.0))
    return bool(work.cavity.stands_in(up.xy, lo, hi, work.gauge(size)))


def _grown(ways: VentWays, trap: TrapDraft, size: float) -> float | None:
    """Return what a trap's own vent costs in a size, None where its drain or its wall does not take it."""
    work = ways.work
    if trap.spot is None:
        return None
    node = work.board.nodes[trap.takeoff]
    rule = work.book.find("drain.not_below_vent")
    below = min((e.size_in for e in work.board.out(node.id)), default=0.0)
    if rule is not None and rule.value is True and below < size - 1e-6:
        return None
    g = work.gauge(size)
    near = [(r, hub) for r, hub in work.risers if r != trap.spot and r.wall.id == trap.spot.wall.id]
    if any(abs(r.station - trap.spot.station) < (hub + g.hub_mm) / 2 + 6 for r, hub in near):
        return None
    z = max(node.z or 0.0, trap.spot.wall.bottom_z_mm)
    return ways.out_cost(work.cavity.rise(trap.spot, z, g), trap.spot.xy)


def _feet(ways: VentWays, size: float) -> Iterator[_Foot]:
    """Yield the places where a riser of a size may stand on a lying drain under a wall."""
    work, board = ways.work, ways.work.board
    g = work.gauge(size)
    for router in work.routers.values():
        for i in sorted(router.edge_layer):
            e = board.edges.get(i)
            if e is None or e.plumb or e.drawn or e.size_in < size - 1e-6 or e.role is Role.TRAP_ARM:
                continue
            for spot, z in _under(work, router, e, g):
                cost = ways.out_cost(work.cavity.rise(spot, max(z, spot.wall.bottom_z_mm), g), spot.xy)
                if cost is not None:
                    yield _Foot(cost, e, spot, z, router)


def _under(work: Work, router: ZoneRouter, e: DEdge, g: Gauge) -> Iterator[tuple[Spot, float]]:
    """Yield the bays a lying drain passes under, with its height there, where a fitting and a riser find room."""
    board, layer = work.board, router.layers[router.edge_layer[e.id]]
    a, b = board.nodes[e.up], board.nodes[e.down]
    length = board.plan(e)
    if a.z is None or b.z is None or length < 1.0:
        return
    sizes = (e.size_in, e.size_in, g.size_in)
    above = end_room(router, e, False) + board.fits.room("combination", sizes, "inlet")
    below = end_room(router, e, True) + board.fits.room("combination", sizes, "outlet")
    for w in work.cavity.walls_of(layer.level):
        station = crossing_station(w, a.xy, b.xy)
        if station is None or w.knee or w.exterior:
            continue
        bay = w.bay_at(station)
        spot = Spot(w, bay, station, 0.0) if bay is not None else None
        if spot is None or work.taken(spot, g) or not above <= math.dist(a.xy, spot.xy) <= length - below:
            continue
        z = a.z + (b.z - a.z) * math.dist(a.xy, spot.xy) / length
        shut = work.cavity.meets_pipe(spot.xy, z + 2 * g.hub_mm, max(z + 2 * g.hub_mm, w.bottom_z_mm), g)
        if not shut and not (layer.frame is not None and work.cavity.through_frame(layer.frame, spot.xy, g)):
            yield spot, z


def _draw(work: Work, upward: Upward, foot: _Foot, size: float) -> None:
    """Cut a fitting into a lying drain and carry the main vent up from it."""
    joint = work.board.split(foot.edge, foot.spot.xy, PointKind.TAKEOFF)
    joint.z = foot.z
    layers = foot.router.edge_layer
    layers[work.board.out(joint.id)[0].id] = layers[foot.edge.id]
    work.risers.append((foot.spot, work.gauge(size).hub_mm))
    upward.draw(joint, foot.spot, size, (), Role.VENT, quiet=True)
