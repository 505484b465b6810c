"""The cheapest octilinear path in the layers of one floor zone, searched from the tree up to a fixture. Lengths [mm].

Searched against the flow: heights are known at the tree and rise by the slope, so each leg can be held against the
heights the frame leaves. Where heights are still free (a zone that drains into a stack) only the legs are asked.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from stubout.layout.lattice import Lattice, direction_index, octile, turn_between, ways_from
from stubout.layout.model import Place
from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge, Layer
from stubout.layout.traffic import Traffic
from stubout.layout.weights import WEIGHTS

MOST_STATES = 30_000  # a path that needs more is not one a plumber would lay
GREED = 1.15  # how much the way still to go weighs against the way gone: above 1 trades a little length for much time
JOG_MM = 14.0  # a jog this short is swallowed by the fitting


@dataclass(frozen=True, slots=True)
class Target:
    """A place of the tree where a path may end: its height if known, and the directions that may not be taken."""

    xy: XY
    layer: str
    z: float | None
    blocked: frozenset[int] = frozenset()  # directions (index, upstream) not allowed from here
    cost: float = 0.0
    ref: str = ""  # what it is: edge or node id of the builder
    rooms: tuple[float, ...] = ()  # room the joint takes of a branch that leaves in each of the eight directions
    dear: frozenset[int] = frozenset()  # directions in which the joint's fitting stands too near another


@dataclass(frozen=True, slots=True)
class Part:
    """Heights that a stretch of a leg may have, from its downstream end."""

    near: float  # distance of the stretch's ends from the downstream end of the leg
    far: float
    lo: float
    hi: float


@dataclass(frozen=True, slots=True)
class Step:
    """One leg of a found path, in flow direction: from the upstream end to the downstream end."""

    a: XY
    b: XY
    layer_a: str
    layer_b: str  # differs from layer_a in a plumb step
    place: Place | None  # None for a plumb step
    bores: int
    z_a: float | None
    z_b: float | None
    note: str = ""
    parts: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class Path:
    """A path in flow direction with its cost and the target it reached."""

    steps: tuple[Step, ...]
    cost: float
    length: float
    target: Target
    turn_deg: float


@dataclass(frozen=True, slots=True)
class Ask:
    """What is looked for: from which plan position, how low it may at least start, how far it may be."""

    xy: XY
    layers: tuple[str, ...]  # layers in which the fixture's drop may end
    z_cap: float | None  # highest centre line at the start, None = free
    max_length: float | None = None
    max_turn_deg: float | None = None
    least_length: float = 0.0
    z_floor: float | None = None
    flat: bool = False  # no plumb step: a trap arm
    half_45: float = 0.0  # room a bend takes on one side of its centre; legs too short for two cost extra
    half_90: float = 0.0
    half_start: float = 0.0  # the same at the asked position: trap or closet bend
    drop: float = 0.0  # least plumb distance between two level pipes
    swivel: bool = False  # what stands at the asked position turns any way: a closet bend, a trap, the foot of a drop
    jog: float = 0.0  # a jog shorter than this may stand at the asked position: the trap swings, or the fitting gives


class _State(NamedTuple):
    xy: XY
    layer: str
    direction: int  # upstream direction of the last leg, -1 after a plumb step or at the start


def layer_over(layers: Mapping[str, Layer], key: str, other: str) -> bool:
    """Return whether a layer lies over another: the joist bays over the space below them."""
    return layers[key].kind == "bay" and layers[other].kind == "below"


def find_path(
    space: Space,
    lattice: Lattice,
    layers: Mapping[str, Layer],
    g: Gauge,
    slope: float,
    ask: Ask,
    targets: Iterable[Target],
    traffic: Mapping[str, Traffic] | None = None,
    max_states: int = MOST_STATES,
) -> Path | None:
    """Return the cheapest path from the asked position to any target, None if there is none."""
    goal = lattice.snap(ask.xy)
    heap: list[tuple[float, int, _State, float | None, float, float, float, float, float]] = []
    back: dict[_State, tuple[_State | None, Step | None]] = {}
    best: dict[_State, float] = {}
    origin: dict[_State, Target] = {}
    count = 0
    for t in targets:
        s = _State(lattice.snap(t.xy), t.layer, -1)
        if s.layer not in layers or (s in best and best[s] <= t.cost):
            continue
        best[s], origin[s], back[s] = t.cost, t, (None, None)
        heapq.heappush(heap, (t.cost + GREED * octile(s.xy, goal), count, s, t.z, 0.0, 0.0, 0.0, t.cost, ask.half_90))
        count += 1
    root: dict[_State, _State] = {s: s for s in best}
    stores = {key: lattice.ways(space, layer, g) for key, layer in layers.items()}
    while heap:
        _, _, s, z, length, turned, since, cost, room = heapq.heappop(heap)
        if cost > best[s] + 1e-6:
            continue
        if s.xy == goal and s.layer in ask.layers and length >= ask.least_length - 1:
            ok = z is None or (
                (ask.z_cap is None or z <= ask.z_cap + 0.5) and (ask.z_floor is None or z >= ask.z_floor - 0.5)
            )
            if ok and ask.swivel and length > 0 and traffic is not None:  # what comes down there has to come through
                above = [t for k, t in traffic.items() if k == s.layer or layer_over(layers, k, s.layer)]
                ok = not any(t.stands_on(s.xy, z) for t in above)
            if ok and ask.swivel and layers[s.layer].kind == "below":
                ok = space.plumb_clear(layers[s.layer], s.xy, g)
            if ok and (length > 0 or ask.least_length <= 0):
                return _trace(s, back, origin[root[s]], cost, length, turned)
        space.effort += 1
        if len(best) > max_states:
            return None
        layer = layers[s.layer]
        start = origin[root[s]]
        known = stores[s.layer]
        ways = known.get(s.xy)
        if ways is None:
            ways = known[s.xy] = ways_from(space, lattice, layer, g, s.xy)
        for way in ways:
            n, k, run, leg = way.to, way.direction, way.run, way.leg
            turn = 0
            if s.direction >= 0:
                turn = turn_between(s.direction, k)
                if turn > 2:
                    continue
            elif length == 0 and k in start.blocked:
                continue
            left = octile(n, goal)
            if ask.max_length is not None and length + run + left > ask.max_length + 0.5:
                continue
            if z is not None and ask.z_cap is not None and z + slope * (run + left) > ask.z_cap + 0.5:
                continue
            turned_n = turned + 45.0 * turn
            if ask.max_turn_deg is not None and turned_n > ask.max_turn_deg + 0.5:
                continue
            zn: float | None = None
            extra, note = 0.0, ""
            span = leg.spans[0]
            if z is not None:
                zn = z + slope * run
                at_lo, at_hi = leg.at(z), leg.at(zn)
                if at_lo is None or at_hi is None:
                    continue
                span = at_hi
                extra = max(at_lo.cost, at_hi.cost)
                note = at_hi.note or at_lo.note
            c = cost + run + leg.bores * WEIGHTS.bore + extra
            half = (0.0, ask.half_45, ask.half_90)[turn]
            jogged = n == goal and turn > 0 and run < ask.jog
            c += 0.0 if jogged else (0.0, WEIGHTS.turn_45, WEIGHTS.turn_90)[turn]
            if length == 0 and s.direction < 0:  # the first leg: how its joint lets it go
                if start.rooms and s.layer == start.layer and s.xy == lattice.snap(start.xy):
                    room = start.rooms[k]
                if k in start.dear:
                    c += WEIGHTS.short_leg
            swallowed = since < JOG_MM and length <= JOG_MM
            since_n = run if turn else since + run
            room_n = half if turn else room
            if jogged:
                short = since < room + ask.half_start
            else:
                short = bool(turn) and since < room + half and not swallowed
                short = short or (n == goal and since_n < room_n + ask.half_start)
            if short:
                c += WEIGHTS.short_leg
            t_ = _State(n, s.layer, k)
            if c >= best.get(t_, math.inf) - 1e-6:
                continue
            if traffic is not None and s.layer in traffic:
                met = traffic[s.layer].cost(s.xy, n, z, zn, length == 0)
                if met is None:
                    continue
                c += met
            if c < best.get(t_, math.inf) - 1e-6:
                best[t_] = c
                root[t_] = root[s]
                part = Part(0.0, run, span.lo, span.hi)
                back[t_] = (s, Step(n, s.xy, s.layer, s.layer, leg.place, leg.bores, zn, z, note, (part,)))
                heapq.heappush(heap, (c + GREED * left, count, t_, zn, length + run, turned_n, since_n, c, room_n))
                count += 1
        # plumb: upstream is up, from below the frame into the joist bay over it
        if layer.kind == "below" and s.direction >= 0 and not ask.flat:
            upper = layers.get("bay:" + layer.level.id)
            if (
                upper is not None
                and upper.frame is not None
                and space.bay_of(upper.frame, s.xy, g) is not None
                and space.plumb_clear(layer, s.xy, g)
                and (traffic is None or upper.key not in traffic or not traffic[upper.key].stands_on(s.xy))
            ):
                t_ = _State(s.xy, upper.key, -1)
                c = cost + WEIGHTS.vertical_jog
                zn = None if z is None else max(z + ask.drop, upper.frame.bottom_z_mm + g.r)
                if c < best.get(t_, math.inf) - 1e-6:
                    best[t_], root[t_] = c, root[s]
                    back[t_] = (s, Step(s.xy, s.xy, upper.key, s.layer, None, 0, zn, z))
                    heapq.heappush(
                        heap,
                        (c + GREED * octile(s.xy, goal), count, t_, zn, length, turned + 90.0, 0.0, c, ask.half_90),
                    )
                    count += 1
    return None


def crosses_itself(path: Path) -> bool:
    """Return whether a path runs through itself in one layer."""
    legs = [s for s in path.steps if s.place is not None]
    for i, one in enumerate(legs):
        for two in legs[i + 2 :]:
            if one.layer_a != two.layer_a:
                continue
            ux, uy = one.b[0] - one.a[0], one.b[1] - one.a[1]
            vx, vy = two.b[0] - two.a[0], two.b[1] - two.a[1]
            cross = ux * vy - uy * vx
            if abs(cross) < 1.0:
                continue
            t = ((two.a[0] - one.a[0]) * vy - (two.a[1] - one.a[1]) * vx) / cross
            w = ((two.a[0] - one.a[0]) * uy - (two.a[1] - one.a[1]) * ux) / cross
            if -0.05 < t < 1.05 and -0.05 < w < 1.05:
                return True
    return False


def _trace(
    s: _State,
    back: dict[_State, tuple[_State | None, Step | None]],
    target: Target,
    cost: float,
    length: float,
    turned: float,
) -> Path:
    steps: list[Step] = []
    at: _State | None = s
    while at is not None:
        at, step = back[at]
        if step is not None:
            steps.append(step)
    return Path(tuple(_joined(steps)), cost, length, target, turned)


def _joined(steps: list[Step]) -> list[Step]:
    """Join neighbouring legs in one line and one place."""
    out: list[Step] = []
    for s in steps:
        if out and s.place is not None and out[-1].place == s.place:
            p = out[-1]
            d1 = direction_index(p.b[0] - p.a[0], p.b[1] - p.a[1])
            d2 = direction_index(s.b[0] - s.a[0], s.b[1] - s.a[1])
            if d1 == d2:
                run = math.hypot(s.b[0] - s.a[0], s.b[1] - s.a[1])
                parts = (*s.parts, *(Part(q.near + run, q.far + run, q.lo, q.hi) for q in p.parts))
                out[-1] = Step(
                    p.a, s.b, p.layer_a, s.layer_b, p.place, p.bores + s.bores, p.z_a, s.z_b, p.note or s.note, parts
                )
                continue
        out.append(s)
    return out
