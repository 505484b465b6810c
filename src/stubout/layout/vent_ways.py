"""The ways a vent may go on from its foot: straight up and out, or along the studs to what lets it out. [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from stubout.geometry.vec import Vec
from stubout.house.framing import Bay, Wall
from stubout.house.model import HouseLevel
from stubout.layout.cavity_shapes import Rise, Spot
from stubout.layout.draft import DNode
from stubout.layout.roof import Roof
from stubout.layout.space_shapes import XY, Gauge, off_line
from stubout.layout.wall_room import Corner, corner_in_stud, in_bay
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import Work
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask

DEEPEST_WALLS = 3
MOST_ASIDE_MM = 60.0  # farther aside in its wall a vent that comes up under a header does not lean
MOST_OFF_MM = 160.0  # a vent comes into one that lies so much higher or lower than it would: it is let down, or rises
ON_LINE_MM = 2.0  # a riser so near under a header comes up into it


@dataclass(slots=True)
class Riser:
    """A standing vent."""

    wall: Wall
    station: float
    offset: float
    edges: list[int]
    level: HouseLevel
    size_in: float


@dataclass(slots=True)
class Header:
    """A vent run along inside a wall."""

    wall: Wall
    edge: int
    s_lo: float
    s_hi: float


@dataclass(frozen=True, slots=True)
class Hop:
    """A stretch along one wall."""

    wall: Wall
    s0: float
    s1: float
    offset: float


@dataclass(frozen=True, slots=True)
class Option:
    """One way for a vent to go on from its tie-in height."""

    cost: float
    hops: tuple[Hop, ...]
    tie_edge: int = 0  # riser or header edge to tie into
    tie_node: int = 0
    rise: Rise | None = None
    spot: Spot | None = None
    lift: Lift | None = None  # from its start, or from the end of its hops at `spot`


@dataclass(frozen=True, slots=True)
class Lift:
    """A vent's way up into a wall of a storey above, to where it turns in it: nothing lets it out right over it."""

    rise: Rise
    spot: Spot  # where it stands in that wall
    onward: Option


@dataclass(frozen=True, slots=True)
class Foot:
    """Where a vent would have to turn in a wall of a storey above: what it costs to come there, and by which hops."""

    cost: float
    spot: Spot
    hops: tuple[Hop, ...]
    flat: float
    z: float


class _Every:
    """The ways found, all of them."""

    least = False

    def __init__(self) -> None:
        self.options: list[Option] = []
        self.feet: list[Foot] = []

    def append(self, option: Option) -> None:
        """Keep a way."""
        self.options.append(option)

    def hopeless(self, _cost: float) -> bool:
        """Return whether nothing that costs so much is wanted any more."""
        return False


class _Least(_Every):
    """The cheapest of the ways found."""

    least = True

    def append(self, option: Option) -> None:
        """Keep a way that is cheaper."""
        if not self.options or option.cost < self.options[0].cost:
            self.options = [option]

    def hopeless(self, cost: float) -> bool:
        """Return whether nothing that costs so much can be the cheapest."""
        return bool(self.options) and cost > self.options[0].cost + 0.01


class VentWays:
    """What stands of the vents, and the ways a new one may go."""

    def __init__(self, work: Work, tie_above_rim_mm: float) -> None:
        self.work = work
        self.margin = tie_above_rim_mm
        self.roof = Roof(work)
        self.risers: list[Riser] = []
        self.headers: list[Header] = []
        self.drawn = False  # a vent drawn in the job stands in a wall: worth coming up to it, though the roof is open
        self.attic_ends: dict[str, list[tuple[DNode, float]]] = {}  # level -> nodes under the attic, size

    def tie_height(self, level: HouseLevel) -> float:
        """Return the height above every flood rim of a level, the book's margin and a finger's breadth added."""
        rims = [f.flood_rim_z_mm for f in self.work.of_level(level) if f.flood_rim_z_mm is not None]
        top = max(rims, default=level.subfloor_z_mm + 900.0)
        return top + self.margin + 40.0

    def options(self, spot: Spot, z0: float, zt: float, size: float) -> list[Option]:
        """Return every way out for a vent of a size [in] that starts in a bay at one height and may turn at another."""
        return self._options(spot, z0, zt, size, least=False)

    def least(self, spot: Spot, z0: float, zt: float, size: float) -> float | None:
        """Return what the cheapest of those ways costs, None if there is none."""
        return min((o.cost for o in self._options(spot, z0, zt, size, least=True)), default=None)

    def _options(self, spot: Spot, z0: float, zt: float, size: float, *, least: bool) -> list[Option]:
        """Return the ways out; with `least` without those that cannot be cheaper than one found before."""
        work = self.work
        g = work.gauge(size)
        out = _Least() if least else _Every()
        rise = work.cavity.rise(spot, z0, g)
        cost = self.out_cost(rise, spot.xy)
        if cost is not None:
            out.append(Option(cost + self._grows(0.0, spot.xy, size), (), rise=rise, spot=spot))
        if cost is None:
            for into in self._into_above(spot, z0, g):
                out.append(into)
        if cost is None or self.drawn:
            out.feet.append(Foot(0.0, spot, (), 0.0, z0))
        high = self.turns_at(spot.wall, spot.station, zt)
        if not work.cavity.clear(spot.wall, spot.station, z0, high, g, spot.offset):
            seen = frozenset({spot.wall.id})
            self._along(spot.wall, spot.station, spot.offset, zt, size, (), 0.0, 0.0, out, seen, None)
        if cost is None or self.drawn:
            self._turned_above(size, out)
        return out.options

    def turns_at(self, w: Wall, station: float, zt: float) -> float:
        """Return how high a vent in a bay has to rise to turn at a height, or to where it meets one lying over it."""
        board = self.work.board
        for h in self.headers:
            e = board.edges[h.edge]
            a, b = board.nodes[e.up], board.nodes[e.down]
            run = board.plan(e)
            if h.wall.id == w.id and h.s_lo < station < h.s_hi and a.z is not None and b.z is not None:
                along = abs(station - w.station(Vec(*a.xy))) / run
                zt = min(zt, a.z + (b.z - a.z) * along)
        return zt

    def _height(self, h: Header, station: float) -> float | None:
        """Return how high a header lies at a station of its wall, None while that is open."""
        board = self.work.board
        e = board.edges[h.edge]
        a, b, run = board.nodes[e.up], board.nodes[e.down], board.plan(e)
        if a.z is None or b.z is None or run < 1.0:
            return None
        return a.z + (b.z - a.z) * abs(station - h.wall.station(Vec(*a.xy))) / run

    def _meets(self, h: Header, station: float, z: float) -> bool:
        """Return whether a vent that comes to a header at a height finds it near enough to tie into it."""
        lies = self._height(h, station)
        return lies is not None and abs(lies - z) < MOST_OFF_MM

    def _runs_into(self, w: Wall, s: float, to: float, lane: float, z: float, g: Gauge) -> bool:
        """Return whether a vent laid along a wall would lie in one that lies there already."""
        board = self.work.board
        for h in self.headers:
            lo, hi = max(min(s, to), h.s_lo), min(max(s, to), h.s_hi)
            if h.wall.id != w.id or hi - lo <= g.hub_mm:
                continue
            e = board.edges[h.edge]
            apart = g.r + self.work.gauge(e.size_in).r
            lies = self._height(h, (lo + hi) / 2)
            if lies is None or abs(w.offset(Vec(*board.nodes[e.up].xy)) - lane) >= apart:
                continue
            if abs(lies - z) < apart:
                return True
        return False

    def _into_above(self, spot: Spot, z0: float, g: Gauge) -> Iterator[Option]:
        """Yield the headers in walls of upper storeys that a vent comes up under: into them, since not past them."""
        board, cavity = self.work.board, self.work.cavity
        for h in self.headers:
            e = board.edges[h.edge]
            a, b = board.nodes[e.up], board.nodes[e.down]
            run = board.plan(e)
            if h.wall.level_id == spot.wall.level_id or a.z is None or b.z is None or run < 2 * g.hub_mm:
                continue
            under = spot
            if off_line(spot.xy, a.xy, b.xy) > ON_LINE_MM:  # it leans over to the lane of the header
                lane = spot.wall.offset(Vec(*a.xy))
                if abs(lane) > spot.wall.depth_mm / 2 - g.hub_r + 0.5 or abs(lane - spot.offset) > MOST_ASIDE_MM:
                    continue
                under = Spot(spot.wall, spot.bay, spot.station, lane)
            t = math.dist(a.xy, under.xy) / run
            if off_line(under.xy, a.xy, b.xy) > ON_LINE_MM or not g.hub_mm <= t * run <= run - g.hub_mm:
                continue
            rise = cavity.rise_to(under, z0, a.z + (b.z - a.z) * t - e.size_in * 25.4, g)
            if rise.ends == "there":
                aside = 2 * WEIGHTS.turn_45 if under is not spot else 0.0
                yield Option((rise.top - z0) * 0.5 + 200.0 + aside, (), tie_edge=e.id, rise=rise, spot=under)

    def _turned_above(self, size: float, out: _Every) -> None:
        """Add the cheapest way of a vent that comes up into a wall of a storey above and turns in it, if it is best."""
        ways, best = _Least(), Option(min((o.cost for o in out.options), default=math.inf), ())
        ways.options = [best]
        for foot in sorted(out.feet, key=lambda f: (round(f.cost, 2), f.spot.station)):
            for rise, at in self._lifts(foot.spot, foot.z, self.work.gauge(size)):
                so_far = foot.cost + (rise.top - foot.z) * 0.5
                if ways.hopeless(so_far + self._least_out()):
                    continue
                seen = frozenset({at.wall.id})
                self._along(at.wall, at.station, at.offset, rise.top, size, (), so_far, foot.flat, ways, seen, None)
                if (onward := ways.options[0]) is not best:
                    best = Option(onward.cost, foot.hops, spot=foot.spot, lift=Lift(rise, at, onward))
                    ways.options = [best]
        if best.lift is not None:
            out.append(best)

    def _lifts(self, spot: Spot, z0: float, g: Gauge) -> Iterator[tuple[Rise, Spot]]:
        """Yield the walls of the storeys above in which a vent may turn that comes straight up into them, and how."""
        cavity, space = self.work.cavity, self.work.space
        level = space.level_above(self.work.house.level(spot.wall.level_id))
        while level is not None:
            rise = cavity.rise_to(spot, z0, self.tie_height(level), g)
            if rise.ends != "there" or rise.level.id != level.id:
                return
            wall, at = self.work.house.wall(rise.pieces[-1].place.ref), Vec(*spot.xy)
            bay = wall.bay_at(wall.station(at))
            if bay is not None and rise.top <= wall.under_plates_at(wall.station(at)) - g.r:
                yield rise, Spot(wall, bay, wall.station(at), wall.offset(at))
            level = space.level_above(level)

    def out_cost(self, rise: Rise, xy: XY) -> float | None:
        """Return what it costs from the end of a rise to the open air, None if it does not get there."""
        if rise.ends == "attic":
            near = [math.hypot(n.xy[0] - xy[0], n.xy[1] - xy[1]) for n, _ in self.attic_ends.get(rise.level.id, [])]
            tight = any(1.0 < d < 2 * self.work.board.fits.quarter(2.0) for d in near)
            up = (rise.top - rise.level.subfloor_z_mm) * 0.5 + (WEIGHTS.short_leg if tight else 0.0)
            return up + (min(near) if near else WEIGHTS.roof / 2)
        if rise.ends == "roof" and (out := self.roof.exit(xy, rise.top)) is not None:
            return WEIGHTS.roof + 2 * math.hypot(out[0] - xy[0], out[1] - xy[1])
        return None

    def _along(
        self,
        w: Wall,
        s: float,
        off: float,
        z: float,
        size: float,
        hops: tuple[Hop, ...],
        cost: float,
        flat: float,
        out: _Every,
        seen: frozenset[str],
        corner: Corner | None,
    ) -> None:
        work = self.work
        g = work.gauge(size)

        room = work.board.fits.vent_turn(size)
        lies: dict[float, tuple[int, str]] = {}  # every lane of a bay asks for the same stations

        def reach(to: float, lane: float = 0.0) -> float | None:
            if abs(to - s) < 1:
                return 0.0
            if to not in lies:
                lies[to] = work.cavity.along(w, s, to, z, g)
            bores, why = lies[to]
            if why or self._runs_into(w, s, to, lane, z, g) or (bores and abs(lane) > self.widest_lane(w, g)):
                return None
            tight = WEIGHTS.short_leg if abs(to - s) < room else 0.0  # turn and tie-in do not go so near
            return abs(to - s) + bores * WEIGHTS.bore + WEIGHTS.turn_90 + tight

        def turns(lane: float) -> float:
            """Return what it weighs to come round the corner into a lane of this wall."""
            return WEIGHTS.in_stud if corner is not None and corner_in_stud(corner, w, lane, g.r) else 0.0

        def grows(to: float) -> float:
            p = w.point(to, 0.0)
            return self._grows(flat + abs(to - s), (p.x, p.y), size)

        for r in self.risers:
            if r.wall.id != w.id or r.size_in < size - 0.01:
                continue
            e = next((i for i in r.edges if self.covers(i, z)), 0)
            c = reach(r.station, r.offset)
            if e and c is not None and abs(r.station - s) > g.hub_mm:
                hop = Hop(w, s, r.station, off)
                round_it = turns(r.offset)
                out.append(Option(cost + c + round_it + 200.0 + grows(r.station), (*hops, hop), tie_edge=e))
        for h in self.headers:
            if h.wall.id != w.id:
                continue
            edge = work.board.edges[h.edge]
            if h.s_lo + g.hub_mm < s < h.s_hi - g.hub_mm:
                clear = in_bay(w, s, work.gauge(edge.size_in).r)  # the tee is as large as the header
                tee = 200.0 + (0.0 if clear else WEIGHTS.in_stud)
                if not hops:
                    out.append(Option(cost + tee, hops, tie_edge=edge.id))
                elif edge.size_in >= size - 0.01 and self._meets(h, s, z):  # it comes to it out of a wall across
                    out.append(Option(cost + tee + grows(s), hops, tie_edge=edge.id))
                continue
            n = work.board.nodes[edge.up]
            sn = w.station(Vec(*n.xy))
            if min(max(s, sn), h.s_hi) - max(min(s, sn), h.s_lo) > 1.0:  # from its other end: to where it turns up
                n = work.board.nodes[edge.down]
                sn = w.station(Vec(*n.xy))
            lane = w.offset(Vec(*n.xy))
            c = reach(sn, lane)
            if c is not None and n.z is not None and abs(n.z - z) < MOST_OFF_MM and abs(sn - s) > g.hub_mm:
                c += turns(lane)
                out.append(Option(cost + c + 250.0 + grows(sn), (*hops, Hop(w, s, sn, off)), tie_node=n.id))

        def hopeless(so_far: float) -> bool:
            """Return whether no way that has cost so much already can be the cheapest."""
            return out.hopeless(so_far + self._least_out())

        def away(bay: Bay) -> float:
            return max(0.0, bay.lo_mm - s, s - bay.hi_mm)

        for bay in sorted(w.bays, key=away) if out.least else w.bays:
            if hopeless(cost + away(bay)):
                continue
            footed = False
            for spot in work.cavity.spots(w, bay, g):
                if hopeless(cost + abs(spot.station - s)):
                    continue
                c = reach(spot.station, spot.offset)
                if c is None or work.taken(spot, g):
                    continue
                rise = work.cavity.rise(spot, z, g)
                oc = self.out_cost(rise, spot.xy)
                if (oc is None or self.drawn) and not hops and rise.comes_up and not footed:
                    hop, footed = Hop(w, s, spot.station, spot.offset), True
                    out.feet.append(Foot(cost + c, spot, (hop,), flat + abs(spot.station - s), z))
                if oc is not None:
                    hop = Hop(w, s, spot.station, spot.offset)
                    round_it = turns(spot.offset)
                    more = cost + c + oc + round_it
                    out.append(Option(more + grows(spot.station), (*hops, hop), rise=rise, spot=spot))
                    if not round_it:
                        break
        if len(seen) >= DEEPEST_WALLS:
            return
        for u, s_here, s_there in work.cavity.neighbours(w, z, g):
            if u.id in seen or not work.cavity.allowed(u, "vent") or u.knee:
                continue
            c = reach(s_here)
            if c is None or g.hole_mm > work.cavity.stud_limit(u) + 0.05:
                continue
            if abs(s_here - s) > 1.0 and work.cavity.stands_at(w.point(s_here, z), g):
                continue
            s_in = min(max(s_there, 0.0), u.length_mm)
            then = (*hops, Hop(w, s, s_here, off))
            so_far = cost + c + turns(0.0) + 2 * WEIGHTS.bore
            if not hopeless(so_far):
                flat_here, there = flat + abs(s_here - s), Corner(w, s_here, off)
                self._along(u, s_in, 0.0, z, size, then, so_far, flat_here, out, seen | {u.id}, there)

    def _least_out(self) -> float:
        """Return less than it costs to get out from the end of any rise, or to tie into what stands."""
        if self.risers or self.headers or self.attic_ends:
            return 0.0
        return self._least_alone

    @cached_property
    def _least_alone(self) -> float:
        """Return the least that `out_cost` gives where no vent stands yet: the lowest attic, or the roof."""
        lofts = [v for v in self.work.house.levels if v.attic_above]
        ups = [(w.top_z_mm - v.subfloor_z_mm) * 0.5 for v in lofts for w in self.work.cavity.walls_of(v)]
        return min([WEIGHTS.roof, *(up + WEIGHTS.roof / 2 for up in ups)])

    def _grows(self, flat: float, xy: XY, size: float) -> float:
        """Return what it weighs that a vent runs so far level, to the roof in the end, that it has to be larger."""
        if flat + self.roof.away(xy) <= self.roof.most_flat(size):
            return 0.0
        return WEIGHTS.grown_vent * (4.0 if flat > 0.0 else 1.0)

    def widest_lane(self, w: Wall, g: Gauge) -> float:
        """Return how far off the stud centre line a pipe may run through studs [mm]."""
        return w.depth_mm / 2 - g.hole_mm / 2 - self._stud_edge + 0.5

    @cached_property
    def _stud_edge(self) -> float:
        """Return the least wood between a hole and the edge of a stud by the book [mm]."""
        try:
            return ask.stud_edge(self.work.framing).number
        except NotInBook:
            return 0.0

    def covers(self, edge_id: int, z: float) -> bool:
        """Return whether an upright run passes a height with room for a fitting on either side."""
        e = self.work.board.edges.get(edge_id)
        if e is None:
            return False
        a, b = self.work.board.nodes[e.up], self.work.board.nodes[e.down]
        return a.z is not None and b.z is not None and a.z + 60 < z < b.z - 60
