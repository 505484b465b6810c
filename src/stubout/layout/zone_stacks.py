"""The stacks of one floor zone: where a new one may stand, how drains enter them, what they may vent.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

from collections.abc import Sequence

from stubout.house.model import HouseFixture
from stubout.layout.back_to_back import halfway
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import DStack
from stubout.layout.drain_zone import MOST_STEPS, DrainZone
from stubout.layout.jogs import jog_corners, level_vec, manhattan, near
from stubout.layout.lattice import DIRECTIONS, direction_index
from stubout.layout.model import PointKind
from stubout.layout.route import Path, Target
from stubout.layout.space_shapes import XY, Layer
from stubout.layout.stacks import free_spots, spot_below, stack_spots
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import STACK, stack_key
from stubout.rulebooks import queries as ask

MOST_STACK_SPOTS = 10
STACKS_APART_MM = 200.0


def find_spots(zone: DrainZone, fixtures: Sequence[HouseFixture], closets: Sequence[HouseFixture]) -> None:
    """Choose where a new stack may stand: where a vent can rise, and near what would drain into it."""
    work = zone.work
    size = 3.0 if closets else 2.0
    anchors = [*(work.xy(f) for f in (closets or fixtures)), *halfway(work, closets)]
    g, vents = work.gauge(size), (3.0, 2.0, 1.5)
    spots = list(stack_spots(work, zone.level, g, vents, anchors))
    spots = spots or list(free_spots(work, zone.level, g, vents, anchors))
    spots = [s for s in spots if (STACK, stack_key(s.xy)) not in work.bans]
    spots.sort(
        key=lambda s: (
            -s.vent_in if zone.main_vent_in else -min(s.vent_in, 2.0),
            min(manhattan(s.xy, a) for a in anchors),
            s.xy,
        )
    )
    nearest = sorted(spots, key=lambda s: (min(manhattan(s.xy, a) for a in anchors), s.xy))
    zone.spots = list(dict.fromkeys([*spots[: MOST_STACK_SPOTS // 2], *nearest]))[:MOST_STACK_SPOTS]
    for s in zone.spots:
        zone.router.keys.add(s.xy)


def stack_targets(zone: DrainZone, new: bool, size_in: float) -> list[Target]:
    """Return the places on stacks a drain may enter; with `new` also stacks that are not standing yet."""
    out: list[Target] = []
    board = zone.work.board
    for i, s in enumerate(board.stacks):
        if not _passes(zone, s):
            continue
        rooms = (zone.fits.tee(s.size_in, size_in),) * 8
        for layer in zone.layers:
            cost = WEIGHTS.short_leg * _too_many(zone, s, layer)
            out.append(Target(s.xy, layer.key, None, frozenset(), cost, f"s{i}", rooms))
    if new:
        for spot in zone.spots:
            if any(near(spot.xy, s.xy, STACKS_APART_MM) for s in board.stacks):
                continue
            cost = WEIGHTS.new_stack + (0.0 if spot.vent_in > 0 else 3000.0) + spot.extra
            rooms = (zone.fits.tee(3.0, size_in),) * 8
            out += [
                Target(spot.xy, layer.key, None, frozenset(), cost, f"new{zone.spots.index(spot)}", rooms)
                for layer in zone.layers
            ]
    return out


def side_inlets(zone: DrainZone, size_in: float) -> tuple[list[Target], list[XY]]:
    """Return places on stacks that a drain enters square to what is there, and where it turns towards them.

    A sanitary tee comes with a side inlet: both branches then lie on one level.
    """
    board = zone.work.board
    out: list[Target] = []
    turns: list[XY] = []
    for i, s in enumerate(board.stacks):
        into = [e for n in s.nodes for e in board.into(n) if e.id in zone.router.edge_layer]
        if len(into) != 1 or not _passes(zone, s):
            continue
        far = board.nodes[into[0].up].xy
        k = direction_index(far[0] - s.xy[0], far[1] - s.xy[1])
        if k is None:
            continue
        square = {(k + 2) % 8, (k - 2) % 8}
        room = zone.fits.tee(s.size_in, size_in)
        refs = [layer.key for layer in zone.layers]
        blocked = frozenset(set(range(8)) - square)
        out += [Target(s.xy, key, None, blocked, 0.0, f"s{i}", (room,) * 8) for key in refs]
        away = room + zone.fits.sweep(size_in) + 1.0
        turns += [(s.xy[0] + away * DIRECTIONS[d][0], s.xy[1] + away * DIRECTIONS[d][1]) for d in sorted(square)]
    return out, turns


def _passes(zone: DrainZone, s: DStack) -> bool:
    """Return whether a stack stands through the floor of this zone."""
    frame = zone.layers[0].frame
    if frame is None:
        return False
    return any(
        lo - 1 <= frame.bottom_z_mm <= hi + 1 or lo - 1 <= frame.bottom_z_mm - 50 <= hi + 1 for lo, hi, _ in s.places
    )


def _too_many(zone: DrainZone, s: DStack, layer: Layer) -> int:
    """Return how many joints more than go above each other in a layer a stack would have with one more there."""
    board, at = zone.work.board, zone.router.edge_layer
    here = sum(any(at.get(e.id) == layer.key for e in board.into(n, "drain")) for n in s.nodes)
    if layer.kind == "bay":
        return here
    apart = zone.fits.stacked(s.size_in, s.size_in, s.size_in)
    bands = [r.hi - r.lo for r in layer.regions if r.holds(s.xy)]
    room = 1 + max(0, int((max(bands) - zone.work.gauge(s.size_in).od_mm) // apart)) if bands else 0
    return max(0, here + 1 - room)


def stack_corners(zone: DrainZone, xy: XY) -> list[XY]:
    """Return the plan points where a 45 degree jog from a place to a stack would start and end."""
    out: list[XY] = []
    for p in [*(s.xy for s in zone.spots), *(s.xy for s in zone.work.board.stacks)]:
        if abs(p[0] - xy[0]) + abs(p[1] - xy[1]) < 6000.0:
            out += jog_corners(
                xy,
                p,
                zone.fits.closet(3.0) + zone.fits.eighth(3.0) + 5.0,
                zone.fits.eighth(3.0) + zone.fits.sweep(3.0),
            )
    return out


def straight_down(zone: DrainZone, xy: XY, size_in: float) -> Path | None:
    """Return the way of a drop that goes on as a stack of its own, plumb through this floor; None where it cannot.

    No vent rises from its top: the drop comes from above.
    """
    work = zone.work
    frame = zone.layers[0].frame
    if zone.lowest or frame is None or work.cavity.through_frame(frame, xy, work.gauge(size_in)):
        return None
    if any(near(xy, s.xy, STACKS_APART_MM) for s in work.board.stacks) or (STACK, stack_key(xy)) in work.bans:
        return None
    spot = spot_below(work, zone.level, xy, work.gauge(size_in))
    if spot is None:
        return None
    zone.spots.append(spot)
    target = Target(xy, zone.layers[0].key, None, frozenset(), WEIGHTS.new_stack, f"new{len(zone.spots) - 1}")
    return Path((), WEIGHTS.new_stack, 0.0, target, 0.0)


def with_stack(zone: DrainZone, path: Path, size_in: float) -> Path:
    """Make the stack a path ends at, if it is a new one."""
    ref = path.target.ref
    if not ref.startswith("new"):
        return path
    work, board = zone.work, zone.work.board
    spot = zone.spots[int(ref[3:])]
    foot = board.node(spot.xy, PointKind.STACK_FOOT)
    stack = DStack(
        spot.xy, foot.id, size_in, zone.level.id, spot.pieces, vent_ok=spot.vent_in > 0, vent_in=spot.vent_in
    )
    board.stacks.append(stack)
    g = work.gauge(size_in)
    through = [p.ref for _, _, p in spot.pieces if p.kind == "wall"]  # of all storeys that it comes down through
    for wall in map(work.house.wall, dict.fromkeys((*through, *filter(None, (spot.wall_id,))))):
        at = level_vec(spot.xy)
        bay = next((b for b in wall.bays if b.lo_mm <= wall.station(at) <= b.hi_mm), wall.bays[0])
        work.risers.append((Spot(wall, bay, wall.station(at), wall.offset(at)), g.hub_mm))
    if spot.above is not None:
        work.risers.append((spot.above, work.gauge(min(3.0, spot.vent_in)).hub_mm))
    for router in work.routers.values():
        router.keys.add(spot.xy)
    t = path.target
    return Path(
        path.steps,
        path.cost,
        path.length,
        Target(t.xy, t.layer, t.z, t.blocked, t.cost, f"s{len(board.stacks) - 1}"),
        path.turn_deg,
    )


def airs(zone: DrainZone, stack: DStack) -> bool:
    """Return whether a stack may vent a fixture of this level: by what upper levels drain into it, and the book."""
    work, board = zone.work, zone.work.board
    above = 0.0
    for t in work.traps.values():
        if t.need.fixture.level_id == zone.level.id:
            continue
        at = t.weir
        for _ in range(MOST_STEPS):
            nxt = board.out(at)
            if board.nodes[at].stack >= 0 or not nxt:
                break
            at = nxt[0].down
        if at in stack.nodes:
            above += t.need.load
    if above <= 0.0:
        return True
    limit = work.book.find("wet_vent.storey_load")
    if limit is None or above > limit.number + 1e-6:
        return False
    try:
        return ask.wet_vent_size(work.book, load=above, closets=1, other_load=above).number <= stack.size_in
    except LookupError:
        return False
