"""Vents that leave a drain beside a wall and lean over into it at 45 degrees, which counts as upright. Lengths [mm].

Where a drain lies deep enough, its vent fitting need not stand under a bay: the vent comes up out of it, leans over
below the slab or the frame, and rises in the wall. So the drain keeps its straight way. Sizes in nominal inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from stubout.geometry.distance import point_segment, segment_segment
from stubout.geometry.vec import Vec
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import DEdge, DNode
from stubout.layout.drain_zone import VENT_WEIGHT, DrainZone
from stubout.layout.floor_vent_spots import vent_spots
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.space_shapes import XY
from stubout.layout.traffic import Post
from stubout.layout.weights import LEAST_WON, WEIGHTS
from stubout.layout.work import TrapDraft, spot_key
from stubout.layout.zone_targets import end_room

MOST_LEAN_MM = 900.0  # farther aside no vent leans; common practice, no source
UPRIGHT_MM = 2.0  # so little aside it rises straight
APART_MM = 6.0
SPARE_MM = 1.0
ROOT_2 = math.sqrt(2.0)
LYING = ("under slab", "crawl", "below frame")


@dataclass(frozen=True, slots=True)
class Leaning:
    """A place on a drain whose vent rises in a wall beside it."""

    edge: DEdge
    at: XY
    spot: Spot
    cost: float


def leaning_vent(
    zone: DrainZone, need: Need, drain: Iterable[DEdge], vent_in: float, lifted: float = 0.0
) -> Leaning | None:
    """Return the cheapest place along a fixture's own drain, from its trap down, from which a vent gets into a wall.

    Args:
        zone: The lowest floor zone: elsewhere heights are not known yet.
        need: What the fixture needs: how long its arm may be and how far it may turn.
        drain: Its drain from the trap on, as far as no other joins it.
        vent_in: Size of the vent.
        lifted: How far its arm will be lifted: so much less is left under the floor to lean over.
    """
    best: Leaning | None = None
    walked = turned = 0.0
    last: Vec | None = None
    for e in drain:
        a, b = (zone.work.board.nodes[n] for n in (e.up, e.down))
        if e.plumb or e.place.kind not in LYING or a.z is None or b.z is None:
            break
        along = Vec(b.xy[0] - a.xy[0], b.xy[1] - a.xy[1], 0.0).unit()
        turned += 0.0 if last is None else math.degrees(math.acos(max(-1.0, min(1.0, along.dot(last)))))
        last = along
        if walked > need.arm_max or turned > need.arm_turn + 0.5:
            break
        for one in _along(zone, need, e, walked, vent_in, lifted):
            if best is None or one.cost < best.cost - LEAST_WON:
                best = one
        walked += zone.work.board.plan(e)
    return best


def _along(zone: DrainZone, need: Need, e: DEdge, walked: float, vent_in: float, lifted: float) -> Iterator[Leaning]:
    """Yield the places on one level drain whose vent leans, or rises straight, into a bay."""
    work, fits, total = zone.work, zone.fits, zone.work.board.plan(e)
    try:
        inlet, outlet, branch = (
            fits.room("combination", (e.size_in, e.size_in, min(vent_in, e.size_in)), port)
            for port in ("inlet", "outlet", "branch")
        )
    except LookupError:
        return
    lo = max(end_room(zone.router, e, False) + inlet + SPARE_MM, need.arm_min - walked)
    hi = min(total - end_room(zone.router, e, True) - outlet - SPARE_MM, need.arm_max - walked)
    if lo > hi or total < SPARE_MM:
        return
    a, b = (work.board.nodes[n] for n in (e.up, e.down))
    middle = ((a.xy[0] + b.xy[0]) / 2, (a.xy[1] + b.xy[1]) / 2)
    near = replace(need, arm_min=0.0, vent_in=vent_in)
    for against, spot in vent_spots(zone, middle, near, total / 2 + ROOT_2 * MOST_LEAN_MM):
        if (need.fixture.tag, spot_key(spot)) in work.bans:
            continue
        t = ((spot.xy[0] - a.xy[0]) * (b.xy[0] - a.xy[0]) + (spot.xy[1] - a.xy[1]) * (b.xy[1] - a.xy[1])) / total
        t = min(max(t, lo), hi)
        at = (a.xy[0] + (b.xy[0] - a.xy[0]) * t / total, a.xy[1] + (b.xy[1] - a.xy[1]) * t / total)
        aside = math.dist(at, spot.xy)
        if aside > MOST_LEAN_MM or not _fits(zone, e, a, b, at, t / total, spot, vent_in, branch, lifted):
            continue
        out = zone.outlook.cost(spot, spot.wall.bottom_z_mm, vent_in)
        if out is None:
            continue
        lean = aside * ROOT_2 + 2 * WEIGHTS.turn_45 if aside > UPRIGHT_MM else 0.0
        yield Leaning(e, at, spot, out * VENT_WEIGHT + against + lean)


def _fits(
    zone: DrainZone,
    e: DEdge,
    a: DNode,
    b: DNode,
    at: XY,
    part: float,
    spot: Spot,
    vent_in: float,
    branch: float,
    lifted: float,
) -> bool:
    """Return whether the bends of a leaning vent find their room under the floor, clear of what lies there."""
    aside = math.dist(at, spot.xy)
    if aside <= UPRIGHT_MM:
        return True
    work, fits = zone.work, zone.fits
    eighth = fits.eighth(vent_in)
    if aside * ROOT_2 < 2 * eighth:
        return False
    z = (a.z or 0.0) + ((b.z or 0.0) - (a.z or 0.0)) * part
    low = z + lifted + branch + eighth
    from_end = work.board.plan(e) * (1.0 - part)
    tops = [q.hi for q in e.parts if q.near - 1.0 <= from_end <= q.far + 1.0]
    if not tops or low + aside + eighth > min(tops):
        return False
    lean = (Vec(*at, low), Vec(*spot.xy, low + aside))
    r = work.gauge(vent_in).r
    for d in work.board.edges.values():
        if d.id == e.id or {d.up, d.down} & {e.up, e.down}:
            continue
        c, f = work.board.nodes[d.up], work.board.nodes[d.down]
        if c.z is None or f.z is None:
            continue
        if segment_segment(*lean, Vec(*c.xy, c.z), Vec(*f.xy, f.z)) < r + work.gauge(d.size_in).r + APART_MM:
            return False
    return not _meets_posts(zone.router.posts(), lean, r, (a.xy, b.xy))


def _meets_posts(posts: Sequence[Post], lean: tuple[Vec, Vec], r: float, own: tuple[XY, XY]) -> bool:
    """Return whether a leaning pipe runs into what comes down from above."""
    flat = tuple(Vec(p.x, p.y, 0.0) for p in lean)
    return any(
        point_segment(Vec(*p.xy, 0.0), flat[0], flat[1]) < r + p.r + APART_MM
        and min(math.dist(p.xy, own[0]), math.dist(p.xy, own[1])) > UPRIGHT_MM
        for p in posts
    )


def vent_leaning(zone: DrainZone, trap: TrapDraft, one: Leaning, vent_in: float) -> None:
    """Set the vent fitting into a fixture's drain, and keep what is drawn later off its vent."""
    set_take_off(zone, trap, one.edge, one.at, one.spot, vent_in)
    z = zone.work.board.nodes[trap.takeoff].z
    zone.router.planned.append(Post(one.spot.xy, z, zone.work.gauge(vent_in).r))


def set_take_off(zone: DrainZone, trap: TrapDraft, drain: DEdge, at: XY, spot: Spot, vent_in: float) -> None:
    """Set a vent fitting into a fixture's own drain; what lies before it is its trap arm, and nothing else joins that.

    Args:
        zone: The floor zone.
        trap: The fixture's trap.
        drain: The run of its drain that is cut.
        at: Where.
        spot: Where the vent rises.
        vent_in: Its size.
    """
    work, board = zone.work, zone.work.board
    joint = board.split(drain, at, PointKind.TAKEOFF)
    joint.tag = trap.tag
    layer = zone.router.edge_layer.get(drain.id)
    if layer is not None:
        zone.router.edge_layer[board.out(joint.id)[0].id] = layer
    trap.takeoff, trap.method, trap.spot = joint.id, VentMethod.INDIVIDUAL, spot
    trap.need = replace(trap.need, vent_in=vent_in)
    work.risers.append((spot, work.gauge(vent_in).hub_mm))
    node, trap.arm = trap.weir, []
    while node != trap.takeoff:
        e = board.out(node)[0]
        e.role = Role.TRAP_ARM
        trap.arm.append(e.id)
        node = e.down
