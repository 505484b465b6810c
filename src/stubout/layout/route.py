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

from stubout.layout.model import Place
from stubout.layout.space import XY, Gauge, Layer, Leg, Space
from stubout.layout.weights import WEIGHTS

MOST_SKIPPED = 5
MOST_STATES = 30_000  # a path that needs more is not one a plumber would lay
GREED = 1.15  # how much the way still to go weighs against the way gone: above 1 trades a little length for much time
SHY_MM = 30.0  # besides its own radius a pipe keeps so far from the line of a wall where a drop will come down
JOG_MM = 14.0  # a jog this short is swallowed by the fitting
DIRECTIONS: tuple[XY, ...] = tuple((math.cos(k * math.pi / 4), math.sin(k * math.pi / 4)) for k in range(8))


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


def direction_index(dx: float, dy: float) -> int | None:
    """Return which of the eight directions a displacement has, None if it has none of them."""
    if abs(dx) < 0.3 and abs(dy) < 0.3:
        return None
    k = round(math.atan2(dy, dx) / (math.pi / 4)) % 8
    ux, uy = DIRECTIONS[k]
    return k if abs(dx * uy - dy * ux) < 0.6 else None


def turn_between(a: int, b: int) -> int:
    """Return the turn between two directions in steps of 45 degrees, 0 to 4."""
    d = abs(a - b) % 8
    return min(d, 8 - d)


class Lattice:
    """The plan lines on which a search may move, and where its diagonals land."""

    def __init__(self, xs: Iterable[float], ys: Iterable[float]) -> None:
        self.xs = _merged(xs)
        self.ys = _merged(ys)
        self.ix = {x: i for i, x in enumerate(self.xs)}
        self.iy = {y: i for i, y in enumerate(self.ys)}
        self._diagonals: dict[XY, tuple[XY, ...]] = {}
        self._ways: dict[tuple[str, float], dict[XY, tuple[Way, ...]]] = {}

    def snap(self, p: XY) -> XY:
        """Return the lattice point nearest to a plan position."""
        return min(self.xs, key=lambda x: abs(x - p[0])), min(self.ys, key=lambda y: abs(y - p[1]))

    def straight(self, p: XY) -> tuple[tuple[XY, ...], ...]:
        """Return the points along the four axis directions, nearest first, as far as a leg may have to jump."""
        i, j = self.ix[p[0]], self.iy[p[1]]
        return (
            tuple((x, p[1]) for x in self.xs[i + 1 : i + 1 + MOST_SKIPPED]),
            tuple((x, p[1]) for x in reversed(self.xs[max(0, i - MOST_SKIPPED) : i])),
            tuple((p[0], y) for y in self.ys[j + 1 : j + 1 + MOST_SKIPPED]),
            tuple((p[0], y) for y in reversed(self.ys[max(0, j - MOST_SKIPPED) : j])),
        )

    def diagonal(self, p: XY) -> tuple[XY, ...]:
        """Return the lattice points that lie exactly on a diagonal, the first of each of the four."""
        if p not in self._diagonals:
            found: list[XY] = []
            i, j = self.ix[p[0]], self.iy[p[1]]
            for sx in (1, -1):
                for sy in (1, -1):
                    a, b = i + sx, j + sy
                    while 0 <= a < len(self.xs) and 0 <= b < len(self.ys):
                        dx, dy = abs(self.xs[a] - p[0]), abs(self.ys[b] - p[1])
                        if abs(dx - dy) < 0.3:
                            found.append((self.xs[a], self.ys[b]))
                            break
                        if dx < dy:
                            a += sx
                        else:
                            b += sy
            self._diagonals[p] = tuple(found)
        return self._diagonals[p]

    def __deepcopy__(self, memo: dict[int, object]) -> Lattice:
        """Return itself: nothing of it changes but what it remembers."""
        return self

    def ways(self, space: Space, layer: Layer, g: Gauge) -> dict[XY, tuple[Way, ...]]:
        """Return the store of the legs from each point in a layer, filled as a search asks."""
        return self._ways.setdefault((layer.key, g.size_in), {})


@dataclass(frozen=True, slots=True)
class Way:
    """One leg that may be gone from a lattice point."""

    to: XY
    direction: int
    run: float
    leg: Leg


def _ways_from(space: Space, lattice: Lattice, layer: Layer, g: Gauge, p: XY) -> tuple[Way, ...]:
    """Return the legs a pipe may take from a lattice point in a layer: nearest diagonals and axes."""
    out: list[Way] = []
    for n in lattice.diagonal(p):
        _add_way(out, space, layer, g, p, n)
    for axis in lattice.straight(p):
        for n in axis:  # a lattice line may fall on a joist or a stud: jump to the next one where the pipe may be
            if _add_way(out, space, layer, g, p, n):
                break
    return tuple(out)


def _add_way(out: list[Way], space: Space, layer: Layer, g: Gauge, p: XY, n: XY) -> bool:
    leg = space.leg(layer, p, n, g)
    if leg is None:
        return False
    dx, dy = n[0] - p[0], n[1] - p[1]
    k = direction_index(dx, dy)
    if k is not None:
        out.append(Way(n, k, math.hypot(dx, dy), leg))
    return True


def octile(a: XY, b: XY) -> float:
    """Return the shortest length between two points on axes and diagonals [mm]."""
    dx, dy = abs(a[0] - b[0]), abs(a[1] - b[1])
    return max(dx, dy) + 0.41421356 * min(dx, dy)


def _merged(values: Iterable[float]) -> list[float]:
    out: list[float] = []
    for v in sorted(values):
        if not out or v - out[-1] > 2.0:
            out.append(v)
    return out


class _State(NamedTuple):
    xy: XY
    layer: str
    direction: int  # upstream direction of the last leg, -1 after a plumb step or at the start


@dataclass(frozen=True, slots=True)
class Lying:
    """A level pipe that already lies in a layer."""

    a: XY
    b: XY
    z_a: float | None
    z_b: float | None
    r: float


@dataclass(frozen=True, slots=True)
class Post:
    """A plumb pipe: it stands from its foot upwards."""

    xy: XY
    z_foot: float | None
    r: float


class Traffic:
    """The pipes already drawn, asked whether a leg would meet one of them."""

    def __init__(
        self,
        lying: Iterable[Lying],
        r: float,
        posts: Iterable[Post] = (),
        strict: bool = False,
        shy: Iterable[tuple[XY, XY]] = (),
    ) -> None:
        self.r, self.strict = r, strict
        self.posts = tuple((v, v.xy[0], v.xy[1], r + v.r + 3.0) for v in posts)
        self.lying = tuple((v, *_around(v, r + v.r + 8.0), r + v.r + 8.0) for v in lying)
        self.shy = tuple(Lying(a, b, None, None, 0.0) for a, b in shy)  # where others will want to come down
        self._shied: dict[tuple[XY, XY], float] = {}
        self._hit: dict[tuple[XY, XY], tuple[Post, ...]] = {}
        self._met: dict[tuple[XY, XY], tuple[tuple[Lying, float, float], ...]] = {}

    def cost(self, p: XY, q: XY, z_p: float | None, z_q: float | None, first: bool) -> float | None:
        """Return what crossing others costs on a leg, None where it would run through one."""
        key = (p, q)
        if key not in self._met:
            x0, x1 = (p[0], q[0]) if p[0] < q[0] else (q[0], p[0])
            y0, y1 = (p[1], q[1]) if p[1] < q[1] else (q[1], p[1])
            self._met[key] = tuple(
                (v, *m)
                for v, vx0, vy0, vx1, vy1, near in self.lying
                if x1 >= vx0 and x0 <= vx1 and y1 >= vy0 and y0 <= vy1 and (m := _meeting(p, q, v, near)) is not None
            )
            self._hit[key] = tuple(
                v
                for v, x, y, near in self.posts
                if x0 - near <= x <= x1 + near and y0 - near <= y <= y1 + near and _passes(p, q, v.xy, near)
            )
        for post in self._hit[key]:
            if first and math.hypot(post.xy[0] - p[0], post.xy[1] - p[1]) < 2.0:
                continue  # the plumb pipe this path drains into
            if z_p is None or z_q is None or post.z_foot is None or max(z_p, z_q) > post.z_foot - self.r - post.r - 3.0:
                return None
        if key not in self._shied:
            along = sum(1 for v in self.shy if (m := _meeting(p, q, v, self.r + SHY_MM)) is not None and m[1] < -0.5)
            self._shied[key] = WEIGHTS.crossing * along
        total = self._shied[key]
        for v, t, u in self._met[key]:
            if u < -0.5 and (self.strict or z_p is not None):
                return None  # along it, side by side too close
            if z_p is None or z_q is None or v.z_a is None or v.z_b is None:
                if self.strict:  # a joist bay or a bulkhead is not deep enough for one pipe over another
                    return None
                total += WEIGHTS.crossing * (2.0 if u < -0.5 else 1.0)
                continue
            apart = abs(z_p + (z_q - z_p) * t - (v.z_a + (v.z_b - v.z_a) * u))
            if apart < self.r + v.r + 10.0:
                return None
        return total

    def stands_on(self, p: XY, z: float | None = None) -> bool:
        """Return whether a plumb pipe at a plan position, from a height up, would run through a lying one."""
        for v, x0, y0, x1, y1, near in self.lying:
            if not (x0 <= p[0] <= x1 and y0 <= p[1] <= y1):
                continue
            t, away = _off_leg(p, v.a, v.b)
            if away >= near:
                continue
            if z is None or v.z_a is None or v.z_b is None or v.z_a + (v.z_b - v.z_a) * t > z - near:
                return True
        return False


def _off_leg(p: XY, a: XY, b: XY) -> tuple[float, float]:
    """Return where on a plan segment a point is nearest (0 to 1) and how far; infinitely far from its own ends [mm]."""
    if max(abs(p[0] - a[0]), abs(p[1] - a[1])) < 2.0 or max(abs(p[0] - b[0]), abs(p[1] - b[1])) < 2.0:
        return 0.0, math.inf
    dx, dy = b[0] - a[0], b[1] - a[1]
    ll = dx * dx + dy * dy
    t = 0.0 if ll < 1.0 else max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / ll))
    return t, math.hypot(a[0] + dx * t - p[0], a[1] + dy * t - p[1])


def _around(v: Lying, near: float) -> tuple[float, float, float, float]:
    """Return the plan rectangle about a lying pipe, grown by how near another may come."""
    return (
        min(v.a[0], v.b[0]) - near,
        min(v.a[1], v.b[1]) - near,
        max(v.a[0], v.b[0]) + near,
        max(v.a[1], v.b[1]) + near,
    )


def _passes(p: XY, q: XY, c: XY, near: float) -> bool:
    """Return whether a leg passes a plan point too near."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    ll = math.hypot(dx, dy)
    if ll < 1:
        return False
    t = max(0.0, min(1.0, ((c[0] - p[0]) * dx + (c[1] - p[1]) * dy) / (ll * ll)))
    return math.hypot(p[0] + dx * t - c[0], p[1] + dy * t - c[1]) < near


def _meeting(p: XY, q: XY, v: Lying, near: float) -> tuple[float, float] | None:
    """Return where a leg crosses a lying pipe, as fractions of both; (0, -1) if it runs beside it too close."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    ex, ey = v.b[0] - v.a[0], v.b[1] - v.a[1]
    ll, lv = math.hypot(dx, dy), math.hypot(ex, ey)
    if ll < 1 or lv < 1:
        return None
    cross = dx * ey - dy * ex
    ax, ay = v.a[0] - p[0], v.a[1] - p[1]
    if abs(cross) < 1e-6 * ll * lv:
        if abs(ax * dy - ay * dx) / ll > near:
            return None
        s0, s1 = sorted(((ax * dx + ay * dy) / ll, ((v.b[0] - p[0]) * dx + (v.b[1] - p[1]) * dy) / ll))
        return (0.0, -1.0) if min(s1, ll) - max(s0, 0.0) > 30.0 else None
    t = (ax * ey - ay * ex) / cross
    u = (ax * dy - ay * dx) / cross
    if abs(t) * ll < 2.0 and -2.0 / lv <= u <= 1.0 + 2.0 / lv:
        return None  # the leg leaves this pipe: it is what it drains into
    if 0.0 <= t <= 1.0 and 0.0 <= u <= 1.0:
        return t, u
    # no crossing, but an end may come too near; what is near the leg's own lower end belongs to the leg before
    best: tuple[float, float, float] | None = None
    w, away = _off_leg(q, v.a, v.b)
    if away < near:
        best = (away, 1.0, w)
    for end, at in ((v.a, 0.0), (v.b, 1.0)):
        w, away = _off_leg(end, p, q)
        if away < near and w * ll > near and (best is None or away < best[0]):
            best = (away, w, at)
    return None if best is None else (best[1], best[2])


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
            ways = known[s.xy] = _ways_from(space, lattice, layer, g, s.xy)
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
