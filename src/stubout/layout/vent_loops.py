"""Vents of fixtures that no wall stands behind: the loop of an island, and the valve in a cabinet. Lengths [mm]."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout.geometry.vec import Box, Vec
from stubout.house.model import CabinetBox, HouseFixture
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import Board, DEdge, DNode
from stubout.layout.level_returns import LevelReturn, level_return
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.places import TOUCH_MM
from stubout.layout.route import Ask, Path, Target
from stubout.layout.space_shapes import XY, Gauge, inside
from stubout.layout.stub_limits import box_of
from stubout.layout.vent_upward import Upward
from stubout.layout.weights import LEAST_DROP_MM, WEIGHTS
from stubout.layout.work import TrapDraft, Work

FOOT_IN = 2.0  # a foot vent and the return below it
LOOP_SPREAD_MM = 200.0  # between the drop and the return of a loop
LEAST_SPREAD_MM = 165.0  # the same where the cabinet has no more: what a long turn and a wye in the drain take
LONG_MM = LOOP_SPREAD_MM * 2.2  # of the level drain under a cabinet that takes the return of a loop
LEAST_OVER_MM = 40.0  # a foot vent leaves no lower over its drain than two pipes one over the other
EASED_MM = 40.0  # so much less height than fittings take the layout still makes up for; an estimate
MOST_SPOTS = 6  # places in walls a foot vent is led to, nearest first


def draw_valve(work: Work, t: TrapDraft) -> list[int]:
    """Draw a trap's valve as high in its cabinet as it goes; return its edge."""
    board = work.board
    take = board.nodes[t.takeoff]
    f = t.need.fixture
    top = (f.flood_rim_z_mm or f.finished_z_mm + 860.0) - 120.0
    box = box_of(work.house, f)
    if box is not None and box.counter_z_mm is not None:
        top = box.counter_z_mm - box.counter_mm - 90.0
    z = max((take.z or 0.0) + 110.0, min(top, (take.z or 0.0) + 260.0))
    node = board.node(take.xy, PointKind.AAV, z, t.tag)
    e = board.edge(take, node, "vent", Role.VENT, Place("cabinet", f.cabinet_id), t.need.vent_in, tag=t.tag, plumb=True)
    return [e.id]


def return_at(first: tuple[XY, XY], box: Box | None, r: float) -> XY | None:
    """Return where the return of a loop comes down on the drain under its cabinet, within the cabinet if it can.

    Args:
        first: The level drain from the foot of the drop, in flow direction.
        box: The cabinet.
        r: Half of what the return's fittings take across [mm].

    Returns:
        None where the drain is too short for it.
    """
    (ax, ay), (bx, by) = first
    length = math.hypot(bx - ax, by - ay)
    if length < LONG_MM:
        return None
    ways = [(ax + (bx - ax) * mm / length, ay + (by - ay) * mm / length) for mm in (LOOP_SPREAD_MM, LEAST_SPREAD_MM)]
    return next((xy for xy in ways if box is not None and inside(box, xy, r)), ways[0])


def returns_in_box(first: tuple[XY, XY], box: Box | None, r: float) -> bool:
    """Return whether the return of a loop would come down within its cabinet."""
    xy = return_at(first, box, r)
    return xy is not None and box is not None and inside(box, xy, r)


def under_cabinet(board: Board, t: TrapDraft) -> DEdge | None:
    """Return the level drain from the foot of the drop in a cabinet, None where there is none."""
    drops = (e for e in board.out(t.takeoff) if e.plumb)
    return next((e for drop in drops for e in board.out(drop.down) if not e.plumb), None)


def draw_loop(work: Work, upward: Upward, t: TrapDraft) -> list[int]:
    """Draw the loop of an island: up under the counter, over, down, and a foot vent to the nearest wall.

    Returns its edges, none where it cannot be drawn.
    """
    board, f = work.board, t.need.fixture
    first = under_cabinet(board, t)
    if first is None:
        work.block((t.tag,), f"{t.tag}: its loop finds no level drain under the cabinet", "draw the route by hand")
        return []
    box = box_of(work.house, f)
    g = work.gauge(FOOT_IN)
    xy = return_at((board.nodes[first.up].xy, board.nodes[first.down].xy), box.box if box else None, g.hub_r)
    in_wall = xy is not None and work.cavity.wall_near(work.house.level(f.level_id), xy, g.r)
    ways = [] if xy is None or in_wall else _foot_ways(work, t, first, xy)
    if not any(w.high for w in ways):  # no height over the drain for the fittings of both: beside it, then
        near = _risers(work, f, board.nodes[first.up].xy, g)[:MOST_SPOTS]
        spots = [(_alone(work, spot), spot) for spot in near]
        beside = level_return(work, t, first, box.box if box else None, spots, FOOT_IN)
        if beside is not None:
            return _draw_beside(work, upward, t, beside, box)
    if xy is None:
        work.block(
            (t.tag,),
            f"{t.tag}: the drain under its cabinet is too short for the return of a loop vent",
            "draw the route by hand",
        )
        return []
    if in_wall:
        work.block(
            (t.tag,),
            f"{t.tag}: no wall takes its vent, and the return of a loop vent would stand in a wall",
            "a vent in the wall drawn by hand, or permission for an air admittance valve",
        )
        return []
    if not ways:
        work.block((t.tag,), f"{t.tag}: the foot vent of the loop reaches no wall", "draw the route by hand")
        return []
    way = min(ways, key=lambda w: (not w.high, w.path.cost + _alone(work, w.spot)))
    joint = _joint_on(work, f, first, xy)
    foot = board.node(xy, PointKind.TIE_IN, way.z, t.tag)
    runs = _over_and_down(work, t, foot, box)
    board.edge(foot, joint, "drain", Role.DRAIN, Place("cabinet", f.cabinet_id), FOOT_IN, tag=t.tag, plumb=True)
    return runs + _lead(work, upward, t, foot, way.spot, way.path)


def _draw_beside(work: Work, upward: Upward, t: TrapDraft, way: LevelReturn, box: CabinetBox | None) -> list[int]:
    """Draw a loop whose return comes down beside its drain; return the edges of its vent."""
    board, router = work.board, work.routers[t.need.fixture.level_id]
    foot = board.node(way.at, PointKind.TIE_IN, way.z, t.tag)
    runs = _over_and_down(work, t, foot, box)
    router.draw(way.drain, foot, size_in=FOOT_IN, slope=work.demands.slope(FOOT_IN), role=Role.DRAIN, tag=t.tag)
    return runs + _lead(work, upward, t, foot, way.spot, way.foot)


def _joint_on(work: Work, f: HouseFixture, first: DEdge, xy: XY) -> DNode:
    """Return the joint of a return on the drain under its cabinet."""
    board, router = work.board, work.routers[f.level_id]
    joint = board.split(first, xy, PointKind.JUNCTION)
    router.edge_layer[board.out(joint.id)[0].id] = router.edge_layer[first.id]
    return joint


def _over_and_down(work: Work, t: TrapDraft, foot: DNode, box: CabinetBox | None) -> list[int]:
    """Draw a loop from its take-off down to where its foot vent leaves; return the edges."""
    board, f = work.board, t.need.fixture
    take, xy = board.nodes[t.takeoff], foot.xy
    under = (f.flood_rim_z_mm or f.finished_z_mm + 900.0) - 60.0
    if box is not None and box.counter_z_mm is not None:
        under = box.counter_z_mm - box.counter_mm - 40.0
    size = max(t.need.vent_in, 1.5)
    place = Place("cabinet", f.cabinet_id)
    up = board.node(take.xy, PointKind.TURN, under, t.tag)
    down = board.node(xy, PointKind.TURN, under, t.tag)
    beside = place if box is None or box.box.contains(Vec(*xy, under), TOUCH_MM) else Place("room", f.room_id)
    vents = [
        board.edge(take, up, "vent", Role.VENT, place, size, tag=t.tag, plumb=True),
        board.edge(up, down, "vent", Role.VENT, place, size, tag=t.tag),
        board.edge(down, foot, "vent", Role.VENT, beside, size, tag=t.tag, plumb=True),
    ]
    return [e.id for e in vents]


def _foot_over(work: Work) -> float:
    """Return how far over the drain a foot vent should leave: what its tee and the fitting below take."""
    fits = work.board.fits
    return max(LEAST_DROP_MM, fits.tee(FOOT_IN, FOOT_IN, "lower") + fits.joint(FOOT_IN, FOOT_IN, True, "branch"))


@dataclass(frozen=True, slots=True)
class _FootWay:
    """A way for a foot vent from over its drain: its height there, where it rises, and whether fittings have room."""

    z: float
    spot: Spot
    path: Path
    high: bool


def _foot_ways(work: Work, t: TrapDraft, first: DEdge, xy: XY) -> list[_FootWay]:
    """Return the ways along under the floor, from over a place on the drain, to walls whose bays let it rise."""
    board, f, g = work.board, t.need.fixture, work.gauge(FOOT_IN)
    router = work.routers[f.level_id]
    layer = router.edge_layer[first.id]
    a, b = board.nodes[first.up], board.nodes[first.down]
    za, zb = a.z or 0.0, b.z or 0.0
    low_z = za + (zb - za) * math.dist(a.xy, xy) / board.plan(first)
    k = round(math.atan2(b.xy[1] - xy[1], b.xy[0] - xy[0]) / (math.pi / 4)) % 8
    along = frozenset({k, (k + 4) % 8})  # over the drain itself
    room = work.space.leg(router.layers[layer], xy, xy, g)
    slope, over = work.demands.slope(FOOT_IN), _foot_over(work)
    fits = board.fits
    bend, turn = fits.eighth(FOOT_IN), fits.sweep(FOOT_IN)
    leaves = (fits.tee(FOOT_IN, FOOT_IN, "branch"),) * 8
    ways: list[_FootWay] = []
    for spot in _risers(work, f, xy, g)[:MOST_SPOTS]:
        z = low_z + over
        if room is not None:  # low enough that the foot vent still has cover where it reaches the wall
            rise = slope * (abs(spot.xy[0] - xy[0]) + abs(spot.xy[1] - xy[1]))
            z = max(low_z + LEAST_OVER_MM, min(z, room.spans[0].hi - 5.0 - rise))
        limits = Ask(spot.xy, (layer,), None, half_45=bend, half_90=turn, half_start=turn)
        aim = Target(xy, layer, z, along, 0.0, "n0", leaves)
        path = router.search(limits, g, slope, [aim], router.lattice((xy, spot.xy)))
        if path is not None:
            ways.append(_FootWay(z, spot, path, z > low_z + over - EASED_MM))
    return ways


def _lead(work: Work, upward: Upward, t: TrapDraft, foot: DNode, spot: Spot, path: Path) -> list[int]:
    """Draw a foot vent along under the floor and up in its wall; return its edges."""
    board, f = work.board, t.need.fixture
    runs, at = [], foot
    for s in reversed(path.steps):
        nxt = board.node(s.a, PointKind.TURN, s.z_a, t.tag)
        place = s.place or Place("cabinet", f.cabinet_id)
        runs.append(board.edge(at, nxt, "vent", Role.FOOT_VENT, place, FOOT_IN, tag=t.tag).id)
        at = nxt
    work.risers.append((spot, work.gauge(FOOT_IN).hub_mm))
    return runs + upward.draw(at, spot, FOOT_IN, (t.tag,), Role.VENT)


def _alone(work: Work, spot: Spot) -> float:
    """Return what it weighs that a vent rises in a wall where no other will, into which it could tie or with it out."""
    return 0.0 if any(r.wall.id == spot.wall.id for r, _ in work.risers) else WEIGHTS.roof / 2


def _risers(work: Work, f: HouseFixture, xy: XY, g: Gauge) -> list[Spot]:
    """Return the places in walls of a storey where a foot vent may rise, nearest first."""
    spots = []
    for w in work.cavity.walls_of(work.house.level(f.level_id)):
        if w.knee or w.exterior or not work.cavity.allowed(w, "vent"):
            continue
        for bay in w.bays:
            station = min(max(w.station(Vec(xy[0], xy[1], 0)), bay.lo_mm + g.hub_r), bay.hi_mm - g.hub_r)
            spot = Spot(w, bay, station, 0.0)
            if bay.clear_mm < g.hub_mm or work.taken(spot, g):
                continue
            if not work.cavity.clear(w, spot.station, w.bottom_z_mm, w.bottom_z_mm + 1300, g):
                spots.append(spot)
    return sorted(spots, key=lambda s: (math.dist(s.xy, xy), s.wall.id))
