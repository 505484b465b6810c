"""Trap arms under a floor to a vent of their own, and the drain on from there.

Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from stubout.house.model import HouseFixture
from stubout.layout.arms_on_the_way import arm_on_the_way
from stubout.layout.cavity_shapes import Spot
from stubout.layout.drain_targets import path_from, path_square
from stubout.layout.drain_zone import MOST_ARM_TRIES, VENT_WEIGHT, DrainZone, Snapshot
from stubout.layout.floor_traps import floor_trap, outlet_pipe, trap_arm_ask, trap_places
from stubout.layout.floor_vent_spots import vent_spots
from stubout.layout.jogs import dear, jog_corners, near
from stubout.layout.lattice import Lattice, octile, turn_between
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.route import GREED, Ask, Path, Target, flows_in, flows_out
from stubout.layout.space_shapes import XY
from stubout.layout.swung_traps import from_weir, swung
from stubout.layout.traffic import Post
from stubout.layout.upright_arms import draw_upright, upright_arm
from stubout.layout.weights import LEAST_WON, WEIGHTS
from stubout.layout.work import TrapDraft, spot_key
from stubout.layout.zone_stacks import with_stack

MOST_WALL_TRIES = 4  # of the MOST_ARM_TRIES in one wall
NEAREST_OF_WALL = 2  # of those, nearest first; then the cheapest
OUT_OF_REACH = "no arm within reach"

_Place = tuple[float, XY, tuple[str, ...], Spot, float]
"""What arm, vent and drain by way of a place cost at least, where the trap stands, its layers, the bay, its vent."""

Onward = Literal["any", "in line", "square"]
"""How the drain goes on from a vent fitting: the cheapest way, in line with the arm, or square into a side inlet."""


def floor_own_vent(zone: DrainZone, f: HouseFixture, need: Need, cap: float, closet: bool = False) -> None:
    """Run the arm to a point under a wall bay where a vent can rise, and the drain on from there.

    Or into a stack of its own in the wall beside it, where that is simpler.
    """
    work, short = zone.work, zone.work.order.short
    why: list[str] = []
    tried: dict[str, int] = {}
    start, short_before = zone.snapshot(), zone.work.board.short_of_room()  # every try begins from the same board
    best: _Try | None = None

    def better(xy: XY, layers: tuple[str, ...], spot: Spot, out: float, onward: Onward = "any") -> _Try | None:
        """Draw an arm to one spot and take it back; return it if it is the best so far."""
        most = math.inf if best is None else best.total - LEAST_WON
        one = _tried(zone, f, need, cap, closet, xy, layers, spot, out, why, onward, most, short_before)
        zone.restore(start)
        return one if one is not None and one.total < most else None

    way = None if closet else arm_on_the_way(zone, f, need, cap)
    if way is not None:
        best = _Try(way[0], False, zone.snapshot(), work.xy(f), (), way[1], 0.0, False, False)
        zone.restore(start)
    places: Iterable[_Place] = _places(zone, f, need, closet, why)
    if short:
        places = sorted(places, key=_least)
    elif closet:
        places = _mixed(list(places))
    for least, xy, layers, spot, out in places:
        if tried.get(spot.wall.id, 0) >= MOST_WALL_TRIES or sum(tried.values()) >= MOST_ARM_TRIES:
            continue
        if best is not None and (least >= best.total or not (best.dear or short)):
            break
        said = len(why)
        best = better(xy, layers, spot, out) or best
        if len(why) == said or not why[-1].startswith(OUT_OF_REACH):
            tried[spot.wall.id] = tried.get(spot.wall.id, 0) + 1
    if best is not None and best.dear and best.turned:
        # rather a drain on from there that the arm need not turn into
        best = better(best.xy, best.layers, best.spot, best.out, "in line") or best
    if best is not None and best.crowded:
        # rather square into a side inlet of the tee that leaves it no room
        best = better(best.xy, best.layers, best.spot, best.out, "square") or best
    up = None if closet else upright_arm(zone, f, need, cap)
    if up is not None and (best is None or up.cost < best.total):
        draw_upright(zone, f, need, cap, up)
        return
    if best is not None:
        zone.restore(best.board)
        return
    work.block(
        (f.tag,),
        f"{f.tag}: no vented trap arm: " + "; ".join(dict.fromkeys(why)),
        "a wall nearer to the drain, another vent method, or a route drawn by hand",
    )


def _least(place: _Place) -> float:
    """Return the least that arm, vent and drain by way of a place may cost."""
    return round(place[0], 1)


def _mixed(places: Sequence[_Place]) -> list[_Place]:
    """Return places nearest first, but of each wall the cheapest soon after its nearest.

    Beside a fixture that stands close to its wall the nearest are a few inches apart: where one has no room for what
    turns there, the next has none either.
    """
    left, out, of_wall = list(places), list[_Place](), Counter[str]()
    while left:
        wall = left[0][3].wall.id
        cheapest = NEAREST_OF_WALL <= of_wall[wall] < MOST_WALL_TRIES
        one = min((p for p in left if p[3].wall.id == wall), key=_least) if cheapest else left[0]
        of_wall[wall] += 1
        left.remove(one)
        out.append(one)
    return out


def _places(zone: DrainZone, f: HouseFixture, need: Need, closet: bool, why: list[str]) -> Iterator[_Place]:
    """Yield the places for the vent of a fixture, the nearest first.

    Each with the least that arm, vent and drain from there may cost, where the trap stands, in which layers it may lie,
    and what its vent costs.
    """
    work = zone.work
    reach = 0.0 if closet else zone.trap_reach.get(need.arm_in, 100.0)
    for xy, layers in trap_places(zone, f, work.gauge(need.arm_in), closet):
        spots = vent_spots(zone, xy, need, need.arm_max + reach)
        if not spots:
            why.append("no wall with a free bay within reach of the trap arm")
        for against, spot in spots:
            if (f.tag, spot_key(spot)) in work.bans:
                continue
            vent = zone.outlook.cost(spot, spot.wall.bottom_z_mm, need.vent_in)
            if vent is None:
                why.append(f"no way out for its vent from {spot.wall.id}")
                continue
            if work.order.short:  # else what speaks against a place has put it farther back
                vent += against / VENT_WEIGHT
            yield octile(xy, spot.xy) + vent * VENT_WEIGHT + zone.to_tree(spot.xy), xy, layers, spot, vent


@dataclass(frozen=True, slots=True)
class _Try:
    """One arm with the drain on from it, drawn."""

    total: float
    dear: bool
    board: Snapshot
    xy: XY
    layers: tuple[str, ...]
    spot: Spot
    out: float
    turned: bool  # the arm turns into its vent fitting
    crowded: bool  # its joint on a stack finds no room


def _tried(
    zone: DrainZone,
    f: HouseFixture,
    need: Need,
    cap: float,
    closet: bool,
    xy: XY,
    layers: tuple[str, ...],
    spot: Spot,
    out: float,
    why: list[str],
    onward: Onward,
    most: float,
    short_before: tuple[int, int],
) -> _Try | None:
    """Draw one arm and return it with what it weighs; None if it cannot be, or certainly weighs more than `most`."""
    short, tight = short_before
    cost = _arm_to(zone, f, need, cap, closet, xy, layers, spot, why, onward, most - out * VENT_WEIGHT)
    if cost is None:
        return None
    now = zone.work.board.short_of_room()
    if now[0] > short:
        why.append(f"by way of {spot.wall.id} there is not height enough to the stack")
        return None
    crowded = now[1] - tight
    total = cost[0] + out * VENT_WEIGHT + crowded * WEIGHTS.short_leg
    return _Try(total, cost[1] or crowded > 0, zone.snapshot(), xy, layers, spot, out, cost[2], crowded > 0)


def _arm_to(
    zone: DrainZone,
    f: HouseFixture,
    need: Need,
    cap: float,
    closet: bool,
    xy: XY,
    layers: tuple[str, ...],
    spot: Spot,
    why: list[str],
    onward: Onward,
    most: float,
) -> tuple[float, bool, bool] | None:
    """Draw one arm and the drain on from it.

    Return what they cost, whether something of it is dear, and whether the arm turns into its vent fitting. None also
    where both together would certainly cost more than `most`.
    """
    work, board = zone.work, zone.work.board
    g = work.gauge(need.arm_in)
    reach = 0.0 if closet else zone.trap_reach.get(need.arm_in, 100.0)
    size = max(need.branch_in, need.arm_in)
    aside = not closet and not near(xy, work.xy(f), 5.0)
    start = (
        zone.start_layers
        if spot.wall.level_id == zone.level.id
        else tuple(k for k in zone.start_layers if k.startswith("below"))
    )
    limits = _closet_ask(zone, need, xy, layers, cap) if closet else trap_arm_ask(zone, need, xy, layers, cap)
    eighth = zone.fits.eighth(need.arm_in)
    jogs = jog_corners(
        xy, spot.xy, reach + zone.fits.trap(need.arm_in) + eighth + 5.0, eighth + zone.fits.sweep(need.arm_in)
    )
    lat = zone.router.lattice((xy, spot.xy, *jogs))
    free = {k: zone.router.search(limits, g, need.slope, [Target(spot.xy, k, None)], lat) for k in start}
    start = tuple(k for k in start if free[k] is not None)
    if not start:
        why.append(f"{OUT_OF_REACH} to {spot.wall.id}")
        return None
    least = min(arm.cost for arm in free.values() if arm is not None) / GREED
    if any(v.kind == "walls" for v in zone.layers):  # its drain may drop there from an upright tee
        least = min(least, math.dist(xy, spot.xy))
    if least + zone.to_tree(spot.xy) > most:
        return None
    path = _on_from(zone, need, spot, limits, lat, free, onward, most - least)
    if path is None or not path.steps:
        why.append(f"no way with fall on from {spot.wall.id}")
        return None
    targets = [_take_off(zone, need, spot, path)]
    z = targets[0].z
    before = zone.snapshot()
    take = board.node(spot.xy, PointKind.TAKEOFF, z, f.tag)
    path = with_stack(zone, path, max(size, 2.0))
    zone.router.draw(path, take, size_in=size, slope=work.demands.slope(size), role=Role.BRANCH, tag=f.tag)
    arm = zone.router.search(limits, g, need.slope, targets, lat)
    if arm is None:
        zone.restore(before)
        why.append(f"the arm to {spot.wall.id} does not meet its drain with fall")
        return None
    if closet:
        weir = board.node(xy, PointKind.FLANGE, None, f.tag)
        weir.cap = cap
    else:

        def again(at: XY) -> Path | None:
            lines = zone.router.lattice((at, xy, spot.xy, *jogs))
            return zone.router.search(swung(limits, at, reach), g, need.slope, targets, lines)

        arm = from_weir(zone, f, need, arm, again)
        weir = floor_trap(zone, f, cap, arm)
    t = arm.target
    arm = Path(
        arm.steps, arm.cost, arm.length, Target(t.xy, t.layer, t.z, t.blocked, t.cost, f"n{take.id}"), arm.turn_deg
    )
    edges, _ = zone.router.draw(arm, weir, size_in=need.arm_in, slope=need.slope, role=Role.TRAP_ARM, tag=f.tag)
    if aside:
        outlet_pipe(zone, f, weir, xy, g)
    work.traps[f.tag] = TrapDraft(need, weir.id, take.id, [e.id for e in edges], VentMethod.INDIVIDUAL, spot)
    work.traps[f.tag].dear = dear(arm) or dear(path)
    work.risers.append((spot, work.gauge(need.vent_in).hub_mm))
    zone.router.planned.append(Post(spot.xy, take.z, work.gauge(need.vent_in).r))
    turned = not t.upright and flows_in(arm) != flows_out(path)
    return arm.cost + path.cost, dear(arm) or dear(path) or (turned and zone.lowest), turned


def _on_from(
    zone: DrainZone,
    need: Need,
    spot: Spot,
    limits: Ask,
    lat: Lattice,
    arms: dict[str, Path | None],
    onward: Onward,
    most: float,
) -> Path | None:
    """Return the drain on from a vent fitting.

    Args:
        zone: The floor zone.
        need: What the fixture needs.
        spot: Where its vent rises.
        limits: What is looked for from the trap.
        lat: The lines to search on.
        arms: The arm alone, by the layer it ends in.
        onward: How it goes on.
        most: What a way costs that is of no use any more.
    """
    g, size = zone.work.gauge(need.arm_in), max(need.branch_in, need.arm_in)
    start = tuple(k for k, arm in arms.items() if arm is not None)
    if onward == "square":
        return path_square(zone, spot.xy, size, need, start, need.vent_in)
    if onward == "any":
        return path_from(zone, spot.xy, size, need, start=start, vent_in=need.vent_in, most_cost=most)[0]
    best: tuple[float, Path] | None = None
    ways = {way for arm in arms.values() if arm is not None and (way := flows_in(arm)) is not None}
    for way in sorted(ways):
        path, _ = path_from(zone, spot.xy, size, need, start=start, vent_in=need.vent_in, straight=way)
        if path is None or not path.steps:
            continue
        arm = zone.router.search(limits, g, need.slope, [_take_off(zone, need, spot, path)], lat)
        if arm is not None and (best is None or arm.cost + path.cost < best[0]):
            best = (arm.cost + path.cost, path)
    return None if best is None else best[1]


def _take_off(zone: DrainZone, need: Need, spot: Spot, path: Path) -> Target:
    """Return a vent fitting as the end of an arm: its height, and how much room it leaves from which side."""
    first = path.steps[0]
    if first.place is None and zone.router.layers[first.layer_b].kind == "walls":
        # its drain drops through the plates of the wall below: a tee that stands upright
        room = zone.fits.tee(max(need.branch_in, need.arm_in), need.arm_in)
        return Target(spot.xy, first.layer_a, first.z_a, frozenset(), 0.0, "n0", (room,) * 8, upright=True)
    blocked: frozenset[int] = frozenset()
    off_line: frozenset[int] = frozenset()
    rooms: tuple[float, ...] = ()
    out_k = flows_out(path)
    if out_k is not None:
        blocked = frozenset((out_k + d) % 8 for d in (-1, 0, 1))
        ways = [min(2, turn_between(k, (out_k + 4) % 8)) for k in range(8)]
        if zone.lowest:  # no fitting turns a drain and takes a vent; in joist bays there is seldom another way
            off_line = frozenset(k for k, turn in enumerate(ways) if turn)
        rooms = tuple(zone.fits.take_off(need.arm_in, need.vent_in, turn) for turn in ways)
    return Target(spot.xy, first.layer_a, first.z_a, blocked, 0.0, "n0", rooms, off_line)


def _closet_ask(zone: DrainZone, need: Need, xy: XY, layers: tuple[str, ...], cap: float) -> Ask:
    """Return what is looked for from a closet's flange: a drain within the reach of its vent, drops allowed."""
    return Ask(
        xy,
        layers,
        cap,
        max_length=need.arm_max,
        z_floor=need.z_floor,
        ring_z=need.ring_z,
        max_turn_deg=need.arm_turn,
        least_length=need.arm_min,
        **zone.bends(need.arm_in, zone.fits.closet(need.arm_in)),
    )
