"""The cheapest octilinear path in the layers of one floor zone, searched from the tree up to a fixture. Lengths [mm].

Searched against the flow: heights are known at the tree and rise by the slope, so each leg can be held against the
heights the frame leaves. Where heights are still free (a zone that drains into a stack) only the legs are asked.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stubout.house.model import Frame
from stubout.layout.lattice import Lattice, direction_index, octile, turn_between, ways_from
from stubout.layout.model import Place
from stubout.layout.space import Space
from stubout.layout.space_below import in_wall
from stubout.layout.space_shapes import XY, Gauge, Layer, Leg, Span
from stubout.layout.traffic import Traffic
from stubout.layout.weights import WEIGHTS

MOST_STATES = 30_000  # a path that needs more is not one a plumber would lay
GREED = 1.15  # how much the way still to go weighs against the way gone: above 1 trades a little length for much time
STILL_HOME_MM = 120.0  # straight from the plumb pipe it drains into, a path is still beside that pipe
PAST_END = 0.05  # by its length: a leg that ends so near another runs through it,
PAST_END_MM = 60.0  # but no farther off than about a pipe's girth
JOG_MM = 14.0  # a jog this short is swallowed by the fitting
MOST_EXTRA_MM = 14_000.0  # what a path may cost beyond the shortest way: five places too near, or two sleeves and more
WAYS_IN = 9  # a point may be reached in eight directions, or without one
# by how the point was reached (0 without a direction) and by the direction gone on: the turn in steps of 45 degrees
TURNS = ((0,) * 8, *(tuple(turn_between(a, b) for b in range(8)) for a in range(8)))


class Target(NamedTuple):
    """A place of the tree where a path may end: its height if known, and the directions that may not be taken."""

    xy: XY
    layer: str
    z: float | None
    blocked: frozenset[int] = frozenset()  # directions (index, upstream) not allowed from here
    cost: float = 0.0
    ref: str = ""  # what it is: edge or node id of the builder
    rooms: tuple[float, ...] = ()  # room the joint takes of a branch that leaves in each of the eight directions
    dear: frozenset[int] = frozenset()  # directions in which the joint's fitting stands too near another
    rise: float = 0.0  # how far above the drain the path ends, over it: the last piece drops plumb into a wye turned up
    upright: bool = False  # a tee that stands upright, with a drop under it: it can be turned to any arm
    opposite: XY | None = None  # whence another branch comes that is to be faced, in one double fitting


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
    most_cost: float = math.inf  # a path that costs more is of no use: where none is found, none is looked for closely
    max_turn_deg: float | None = None
    least_length: float = 0.0
    z_floor: float | None = None
    ring_z: float | None = None  # of a closet whose drop counts with the length: the height of its flange
    flat: bool = False  # no plumb step: a trap arm
    half_45: float = 0.0  # room a bend takes on one side of its centre; legs too short for two cost extra
    half_90: float = 0.0
    half_start: float = 0.0  # the same at the asked position: trap or closet bend
    drop: float = 0.0  # least plumb distance between two level pipes
    swivel: bool = False  # what stands at the asked position turns any way: a closet bend, a trap, the foot of a drop
    turn_free: float = math.inf  # degrees that a lying drain may turn in all without a cleanout; more is dear
    jog: float = 0.0  # a jog shorter than this may stand at the asked position: the trap swings, or the fitting gives
    arrive: int | None = None  # the upstream direction in which the asked position must be reached, None = any


# How a state was reached: from which one down stream (None at a target), its own plan position, the heights down stream
# and its own, and the leg with the heights it leaves there and a note (None for a plumb step).
_Back = tuple[int | None, XY, float | None, float | None, Leg | None, Span | None, str]


class _Lift:
    """Whether a pipe below a frame may rise into the joist bay over it, asked once a point."""

    def __init__(
        self, space: Space, layers: Mapping[str, Layer], layer: Layer, g: Gauge, traffic: Mapping[str, Traffic] | None
    ) -> None:
        self.space, self.layer, self.g = space, layer, g
        self.upper = layers.get("bay:" + layer.level.id)
        self.crowd = None if traffic is None or self.upper is None else traffic.get(self.upper.key)
        self._known: dict[int, bool] = {}

    def clear(self, at: int, xy: XY) -> Frame | None:
        """Return the frame over it, None if the pipe may not rise there."""
        upper = self.upper
        if upper is None or upper.frame is None:
            return None
        if at not in self._known:
            self._known[at] = (
                self.space.bay_of(upper.frame, xy, self.g) is not None
                and self.space.plumb_clear(self.layer, xy, self.g)
                and (self.crowd is None or not self.crowd.stands_on(xy))
            )
        return upper.frame if self._known[at] else None


def layer_over(layers: Mapping[str, Layer], key: str, other: str) -> bool:
    """Return whether a layer lies over another: the joist bays over the space below them."""
    return layers[key].kind == "bay" and layers[other].under_frame


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
    """Return the cheapest path from the asked position to any target, None if there is none.

    A state of the search is a lattice point in a layer and the upstream direction of the leg that led there (none after
    a plumb step or at a target), packed into one number.
    """
    goal = lattice.snap(ask.xy)
    goal_at = lattice.number(goal)
    in_order = list(layers.values())
    first_state = {key: i * lattice.size * WAYS_IN for i, key in enumerate(layers)}
    stores = [lattice.ways(layer, g) for layer in in_order]
    crowds = [None if traffic is None else traffic.get(layer.key) for layer in in_order]
    lifts = [_Lift(space, layers, layer, g, traffic) for layer in in_order]
    points: dict[int, XY] = {}  # plan positions by number
    lefts: dict[int, float] = {}  # the shortest way still to go, by number
    heap: list[tuple[float, int, int, float | None, float, float, float, float, float, float]] = []
    back: dict[int, _Back] = {}
    best: dict[int, float] = {}
    source: dict[int, Target] = {}
    count = 0
    for t in targets:
        xy = lattice.snap(t.xy)
        if t.layer not in layers:
            continue
        at = lattice.number(xy)
        s = first_state[t.layer] + at * WAYS_IN
        if s in best and best[s] <= t.cost:
            continue
        best[s], source[s], back[s], points[at] = t.cost, t, (None, xy, None, None, None, None, ""), xy
        heapq.heappush(
            heap, (t.cost + GREED * octile(xy, goal), count, s, t.z, 0.0, 0.0, 0.0, t.cost, ask.half_90, 0.0)
        )
        count += 1
    size, inf, z_cap, max_length, max_turn = lattice.size, math.inf, ask.z_cap, ask.max_length, ask.max_turn_deg
    halves, turn_costs = (0.0, ask.half_45, ask.half_90), (0.0, WEIGHTS.turn_45, WEIGHTS.turn_90)
    most = min(ask.most_cost, MOST_EXTRA_MM + min((f[0] for f in heap), default=0.0))
    while heap:
        _, _, s, z, length, turned, since, cost, room, bent = heapq.heappop(heap)
        if cost > best[s] + 1e-6:
            continue
        nth, arrived = divmod(s, WAYS_IN)
        n_layer, at = divmod(nth, size)
        layer, xy = in_order[n_layer], points[at]
        this_way = ask.arrive is None or arrived == ask.arrive + 1
        if at == goal_at and this_way and layer.key in ask.layers and length >= ask.least_length - 1:
            ok = z is None or (
                (ask.z_cap is None or z <= ask.z_cap + 0.5) and (ask.z_floor is None or z >= ask.z_floor - 0.5)
            )
            if ok and ask.ring_z is not None and z is not None and max_length is not None:
                ok = length + ask.ring_z - z <= max_length + 0.5
            if ok and ask.swivel and length > 0 and traffic is not None:  # what comes down there has to come through
                above = [t for k, t in traffic.items() if k == layer.key or layer_over(layers, k, layer.key)]
                ok = not any(t.stands_on(xy, z) for t in above)
            if ok and ask.swivel and layer.under_frame:
                ok = space.plumb_clear(layer, xy, g)
            if ok and (length > 0 or ask.least_length <= 0):
                return _trace(space, s, back, in_order, lattice.size, source[s], cost, length, turned)
        space.effort += 1
        if len(best) > max_states:
            return None
        start, crowd, known = source[s], crowds[n_layer], stores[n_layer]
        ways = known.get(at)
        if ways is None:
            ways = known[at] = ways_from(space, lattice, layer, g, xy)
        turns = TURNS[arrived]
        barred = start.blocked if not arrived and length == 0 else frozenset()
        own = s - at * WAYS_IN - arrived + 1  # the layer's first state with a direction
        for n, n_at, k, run, bores, leg in ways:
            turn = turns[k]
            if turn > 2 or k in barred:
                continue
            t_ = own + n_at * WAYS_IN + k
            c = cost + run + bores
            known_best = best.get(t_, inf) - 1e-6
            if c >= known_best:
                continue
            left = lefts.get(n_at)
            if left is None:
                left = lefts[n_at] = octile(n, goal)
                points[n_at] = n
            if c + left > most or (max_length is not None and length + run + left > max_length + 0.5):
                continue
            if z is not None and z_cap is not None and z + slope * (run + left) > z_cap + 0.5:
                continue
            turned_n = turned + 45.0 * turn
            if max_turn is not None and turned_n > max_turn + 0.5:
                continue
            bent_n = bent + 45.0 * turn
            if turn and bent_n > ask.turn_free + 0.5:
                c += WEIGHTS.unrodded
            zn: float | None = None
            note = ""
            span = leg.spans[0]
            if z is not None:
                zn = z + slope * run
                at_lo, at_hi = leg.at(z), leg.at(zn)
                if at_lo is None or at_hi is None:
                    continue
                span = at_hi
                c += max(at_lo.cost, at_hi.cost)
                note = at_hi.note or at_lo.note
            half = halves[turn]
            jogged = n_at == goal_at and turn > 0 and run < ask.jog
            c += 0.0 if jogged else turn_costs[turn]
            if length == 0 and not arrived:  # the first leg: how its joint lets it go
                if start.rooms and layer.key == start.layer and xy == lattice.snap(start.xy):
                    room = start.rooms[k]
                if k in start.dear:
                    c += WEIGHTS.short_leg
            swallowed = since < JOG_MM and length <= JOG_MM
            since_n = run if turn else since + run
            room_n = half + (room if swallowed else 0.0) if turn else room
            if jogged:
                short = since < room + ask.half_start
            else:
                short = bool(turn) and since < room + half and not swallowed
                short = short or (n_at == goal_at and since_n < room_n + ask.half_start)
            if short:
                c += WEIGHTS.short_leg
            if c >= known_best or c + left > most:
                continue
            if crowd is not None:
                home = start.xy if turned == 0.0 and length < STILL_HOME_MM else None
                met = crowd.cost(xy, n, z, zn, home)
                if met is None:
                    continue
                c += met
            if c < known_best:
                best[t_], source[t_] = c, start
                back[t_] = (s, n, z, zn, leg, span, note)
                heapq.heappush(
                    heap, (c + GREED * left, count, t_, zn, length + run, turned_n, since_n, c, room_n, bent_n)
                )
                count += 1
        # plumb: upstream is up, from below the frame into the joist bay over it
        if layer.under_frame and arrived and not ask.flat and (frame := lifts[n_layer].clear(at, xy)) is not None:
            t_ = first_state["bay:" + layer.level.id] + at * WAYS_IN
            c = cost + WEIGHTS.vertical_jog + (WEIGHTS.short_leg if JOG_MM < since < room + ask.half_90 else 0.0)
            zn = None if z is None else max(z + ask.drop, frame.bottom_z_mm + g.r)
            if c < best.get(t_, math.inf) - 1e-6:
                best[t_], source[t_], back[t_] = c, start, (s, xy, z, zn, None, None, "")
                f = c + GREED * octile(xy, goal)
                heapq.heappush(heap, (f, count, t_, zn, length, turned + 90.0, 0.0, c, ask.half_90, 0.0))
                count += 1
    return None


def flows_out(path: Path) -> int | None:
    """Return the direction in which a path leaves where it begins, jogs that a fitting swallows left out."""
    return _direction(path.steps)


def flows_in(path: Path) -> int | None:
    """Return the direction in which a path comes to where it ends, jogs that a fitting swallows left out."""
    return _direction(path.steps[::-1])


def _direction(steps: Iterable[Step]) -> int | None:
    for s in steps:
        if s.place is not None and math.hypot(s.b[0] - s.a[0], s.b[1] - s.a[1]) > JOG_MM:
            return direction_index(s.b[0] - s.a[0], s.b[1] - s.a[1])
    return None


def crosses_itself(path: Path) -> bool:
    """Return whether a path runs through itself in one layer."""
    legs = [s for s in path.steps if s.place is not None]
    for i, one in enumerate(legs):
        between = 0.0  # pipe from the one leg to the other: what only turns twice does not meet itself
        for past, two in zip(legs[i + 1 :], legs[i + 2 :], strict=False):
            between += math.dist(past.a, past.b)
            if one.layer_a == two.layer_a and _met(one, two, min(PAST_END_MM, between / 2)):
                return True
    return False


def _met(one: Step, two: Step, past_mm: float) -> bool:
    """Return whether two legs cross, or one would if both went on so far past their ends."""
    ux, uy = one.b[0] - one.a[0], one.b[1] - one.a[1]
    vx, vy = two.b[0] - two.a[0], two.b[1] - two.a[1]
    cross = ux * vy - uy * vx
    if abs(cross) < 1.0:
        return False
    t = ((two.a[0] - one.a[0]) * vy - (two.a[1] - one.a[1]) * vx) / cross
    w = ((two.a[0] - one.a[0]) * uy - (two.a[1] - one.a[1]) * ux) / cross
    past_t, past_w = (min(PAST_END, past_mm / max(1.0, math.hypot(x, y))) for x, y in ((ux, uy), (vx, vy)))
    return -past_t < t < 1.0 + past_t and -past_w < w < 1.0 + past_w


def _trace(
    space: Space,
    s: int,
    back: Mapping[int, _Back],
    layers: Sequence[Layer],
    size: int,
    target: Target,
    cost: float,
    length: float,
    turned: float,
) -> Path:
    steps: list[Step] = []
    down, xy, z_down, z, leg, span, note = back[s]
    while down is not None:
        below = back[down]
        b = below[1]
        key, key_down = (layers[v // WAYS_IN // size].key for v in (s, down))
        if leg is None or span is None:
            steps.append(Step(xy, b, key, key_down, None, 0, z, z_down))
        else:
            near = 0.0 if below[0] is not None else in_wall(space, layers[s // WAYS_IN // size], b, xy)
            part = Part(near, math.hypot(xy[0] - b[0], xy[1] - b[1]), span.lo, span.hi)
            steps.append(Step(xy, b, key, key, leg.place, leg.bores, z, z_down, note, (part,)))
        s = down
        down, xy, z_down, z, leg, span, note = below
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
