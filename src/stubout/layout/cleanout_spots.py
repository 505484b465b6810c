"""Places where a cleanout can be set, each with how it is made and how good it is. Lengths [mm].

- tee: in an upright drain, in a wall or a cabinet or free in a room;
- wye: in a lying drain one can get at, opening to the side;
- end: at a turn or foot one can get at, the run carried straight on into the plug;
- riser: from a drain in the ground up to the floor, to grade or to the ground of a crawl space;
- back: at a turn of such a drain, a wye in place of the bend: its run is carried straight back and turned up;
- trap: a removable trap, where the book lets it count.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from stubout.catalog import queries as catalog
from stubout.geometry.vec import Vec, angle_deg
from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.cleanout_access import HEADROOM_MM, Access, Sight
from stubout.layout.cleanout_draft import FIXTURE_ROLES, Draft, Near
from stubout.layout.model import PointKind, Role, Run, VentMethod
from stubout.layout.places import level_under
from stubout.rulebooks.model import RuleBook

BEST_MM = 380.0  # 15 in above the floor: common practice, no source
LOW_MM, HIGH_MM = 90.0, 1500.0  # what a person reaches with a key: common practice, no source
STEP_MM = 50.0
REMOVABLE = (
    FixtureKind.LAVATORY,
    FixtureKind.KITCHEN_SINK,
    FixtureKind.BAR_SINK,
    FixtureKind.SINK,
    FixtureKind.LAUNDRY_TRAY,
)
AXES = (Vec(1.0, 0.0), Vec(0.0, 1.0), Vec(-1.0, 0.0), Vec(0.0, -1.0))
UP = Vec(0.0, 0.0, 1.0)
DOWN = Vec(0.0, 0.0, -1.0)  # a trap comes off downwards
VENT_ROOM_MM = 200.0  # room for two fittings on an upright vent, each end
LARGEST_IN = 4.0  # plugs of larger pipes stay at 4 in where the book lets them
CRAWL_MM = 300.0  # what hangs so near beside a cleanout is over the person too; common practice, no source
FOUNDATION_MM = 350.0  # from the outside of the framing: an 8 in wall and a hand; common practice, no source
OUT_OF_GROUND_MM = 50.0  # the plug of a cleanout in a crawl space
LEAST_PIECE_MM = 15.0  # between two sockets, beyond what stands in them
STOREY = 3.0  # what a storey more over the foot of its drain weighs: more than all else that tells two walls apart
BACK = 0.4  # what a bend and a piece of pipe more weigh, in the units of a place's cost
IN_LINE_DEG = 4.0  # what turns less is one pipe
EIGHTH_DEG = 50.0  # an eighth bend, and what slopes add to its turn
VALVE_MM = 600.0  # a backwater valve and the lid above it: common practice, no source


@dataclass(frozen=True, slots=True)
class Spot:
    """One place for a cleanout."""

    how: Literal["tee", "wye", "end", "riser", "back", "trap"]
    run: str  # the run it is set in, or that it opens
    node: str  # the point that is there already (end, back, trap)
    joint: Vec  # place on the run
    at: Vec  # place of the opening
    opens: Vec
    access: str
    cost: float
    remark: str = ""
    corner: Vec | None = None  # where a run carried back turns up
    two_way: bool = False
    cover: bool = False  # it ends under a cover in a finished floor


class Spots:
    """Finds places for cleanouts."""

    def __init__(self, house: House, book: RuleBook, draft: Draft, access: Access) -> None:
        self.house, self.book, self.draft, self.access = house, book, draft, access

    # along a way -----------------------------------------------------------------------------------------------------

    def near(self, node: str, reach_mm: float, *, up: bool = True, down: bool = True) -> list[Spot]:
        """Return the spots within reach of a point, measured along the pipe."""
        out: list[Spot] = []
        found: list[Near] = []
        nodes: dict[str, float] = {}
        if up:
            near, dist = self.draft.upstream(node, reach_mm)
            found += near
            nodes.update(dist)
        if down:
            near, dist = self.draft.downstream(node, reach_mm)
            found += [n for n in near if all(n.run.id != f.run.id for f in found)]
            nodes = {**dist, **nodes}
        for n in found:
            left = reach_mm - n.away_mm
            length = self.draft.length(n.run)
            lo, hi = (0.0, min(left, length)) if n.from_start else (max(0.0, length - left), length)
            out += self.on(n.run, lo, hi)
        for k in nodes:
            out += self.ends(k)
        return out

    def on(self, run: Run, lo_mm: float, hi_mm: float) -> list[Spot]:
        """Return the spots in a run between two lengths from its start."""
        if run.role in (*FIXTURE_ROLES, Role.CLEANOUT_EXT) or run.drawn:
            return []
        if self.draft.plumb(run):
            return list(self._tees(run, lo_mm, hi_mm))
        if run.place.kind in ("under slab", "buried"):
            return list(self._risers(run, lo_mm, hi_mm, self._to_floor))
        if run.place.kind == "crawl":
            return [*self._wyes(run, lo_mm, hi_mm), *self._risers(run, lo_mm, hi_mm, self._to_crawl)]
        return list(self._wyes(run, lo_mm, hi_mm))

    # room for the fitting --------------------------------------------------------------------------------------------

    def _room(self, run: Run, at_start: bool, mine: float) -> float:
        """Return how far from an end of a run a new fitting must stay: both make-ups and both sockets."""
        node = run.start if at_start else run.end
        meet = self.draft.meeting(node)
        size = max(r.size_in for r in meet)
        one = len(meet) == 1
        straight = len(meet) == 2 and self._in_line(node, meet)
        if one or (straight and self.draft.points[node].kind is not PointKind.CLEANOUT):
            return mine + catalog.socket_mm(size)
        if len(meet) == 2:
            bend = "1/8 bend" if self._turn_deg(node, meet) <= EIGHTH_DEG else "long-turn 1/4 bend"
            port = catalog.fitting(bend, (size, size)).ports["inlet"]
        elif self.draft.plumb(run) and not at_start:
            port = catalog.fitting("combination", (size, size, run.size_in)).ports["branch"]
        elif self.draft.plumb(run):
            port = catalog.fitting("sanitary tee", (size, size, size)).ports["lower"]
        else:
            port = catalog.fitting("combination", (size, size, size)).ports["outlet" if at_start else "inlet"]
        return mine + port + catalog.socket_mm(run.size_in) + catalog.socket_mm(size)

    def _in_line(self, node: str, meet: list[Run]) -> bool:
        return self._turn_deg(node, meet) < IN_LINE_DEG

    def _turn_deg(self, node: str, meet: list[Run]) -> float:
        """Return how far the pipe turns from the first run at a point into the second; 180 where one has no length."""
        at = self.draft.points[node].at
        ways = [self.draft.points[r.end if r.start == node else r.start].at.minus(at) for r in meet]
        return 180.0 - angle_deg(ways[0], ways[1]) if all(w.length > 1.0 for w in ways) else 180.0

    # tee in an upright drain -----------------------------------------------------------------------------------------

    def _tees(self, run: Run, lo_mm: float, hi_mm: float) -> Iterator[Spot]:
        data = catalog.fitting("cleanout tee", (run.size_in, run.size_in, run.size_in))
        a, b = self.draft.a(run), self.draft.b(run)
        length = a.to(b)
        if length < 1.0:
            return
        lo = max(lo_mm, self._room(run, True, data.ports["upper"]))
        hi = min(hi_mm, length - self._room(run, False, data.ports["lower"]))
        for t in _steps(lo, hi):
            p = a.plus(b.minus(a).times(t / length))
            high = STOREY * self._storeys_up(run, p)
            for opens, sight in self._views(run, p):
                yield Spot("tee", run.id, "", p, p, opens, sight.words, 1.0 + high + sight.cost, sight.remark)

    def _storeys_up(self, run: Run, p: Vec) -> int:
        """Return how many storeys the floor of a place in an upright drain stands over the first above its foot."""
        foot, seen = run, {run.id}
        while below := [r for r in self.draft.out(foot.end) if self.draft.plumb(r) and r.id not in seen]:
            foot = below[0]
            seen.add(foot.id)
        low = self.draft.b(foot).z
        return max(0, sum(low < v.subfloor_z_mm <= p.z for v in self.house.levels if v.kind != "ground") - 1)

    def vent_tees(self, run: Run) -> list[Spot]:
        """Return the spots in an upright vent."""
        a, b = self.draft.a(run), self.draft.b(run)
        length = a.to(b)
        out: list[Spot] = []
        for t in _steps(VENT_ROOM_MM, length - VENT_ROOM_MM):
            p = a.plus(b.minus(a).times(t / length))
            for opens, sight in self._views(run, p):
                out.append(Spot("tee", run.id, "", p, p, opens, sight.words, 1.0 + sight.cost, sight.remark))
        return out

    def _views(self, run: Run, p: Vec) -> Iterator[tuple[Vec, Sight]]:
        """Yield the ways one can look out of an upright pipe at a height."""
        level = level_under(self.house, p.z)
        if level is None or not self.access.inside(p):
            return
        floor = self.house.finished_floor_z(level.id, p)
        over = p.z - floor
        if not LOW_MM <= over <= HIGH_MM:
            return
        off = abs(over - BEST_MM) / 1000.0
        wall = next((w for w in self.house.walls if w.level_id == level.id and self._in_wall(w.id, p)), None)
        own = {run.id, *(r.id for n in (run.start, run.end) for r in self.draft.meeting(n))}
        if wall is not None:
            for side in (1, -1):
                sight = self.access.wall_sight(wall, p, side, run.size_in, own)
                if sight is not None:
                    yield wall.leftward.times(side), Sight(sight.words, sight.cost + off, sight.remark)
            return
        box = next((c for c in self.house.cabinets if c.box.contains(p)), None)
        start = catalog.od_mm(run.size_in)
        if box is not None:
            front = max(AXES, key=lambda u: _to_face(p, u, box.box.lo, box.box.hi))
            if box.wall_id:
                w = self.house.wall(box.wall_id)
                front = w.leftward.times(1 if box.side == "left" else -1)
            across = Vec(-front.y, front.x)
            word = self.access.behind_cabinet(p, run.size_in, along=across)
            if not word:
                return
            room = self.access.room_at(level.id, p)
            title = (room.title or room.id) if room else level.title
            for u, turned in ((front, 0.0), (front.plus(across).unit(), 0.1), (front.minus(across).unit(), 0.1)):
                got = self.access.sight(p, u, start, run.size_in, own)
                if got is not None:
                    yield u, Sight(f"{title}, inside {word}", got.cost * 0.3 + off + turned, got.remark)
            return
        if level.kind == "ground":
            return
        for u in AXES:
            got = self.access.sight(p, u, start, run.size_in, own)
            if got is None:
                continue
            room = self.access.room_at(level.id, p.plus(u.times(300.0)))
            title = (room.title or room.id) if room else level.title
            cost = got.cost + self.access.room_cost(room, floor=False) + off
            yield u, Sight(f"{title}, at the open pipe", cost, got.remark)

    def _in_wall(self, wall_id: str, p: Vec) -> bool:
        w = self.house.wall(wall_id)
        return (
            abs(w.offset(p)) <= w.depth_mm / 2 + 1.0
            and -1.0 <= w.station(p) <= w.length_mm + 1.0
            and w.bottom_z_mm <= p.z <= w.top_z_mm
        )

    # lying drains one can get at -------------------------------------------------------------------------------------

    def open_at(self, p: Vec) -> Sight | None:
        """Return how one gets at a pipe that hangs in the open: crawl space, open ceiling; None if it is closed in."""
        level = level_under(self.house, p.z)
        if level is None or not self.access.inside(p):
            return None
        if level.kind == "ground":
            frame = next((f for f in self.house.frames if f.bottom_z_mm >= p.z and f.carries), None)
            asked = self.book.find("cleanout.crawl_height")
            head = asked.number if asked is not None else HEADROOM_MM
            over = [] if frame is None else [frame.bottom_z_mm]
            over += [
                o.box.lo.z
                for o in self.house.obstacles
                if o.kind in ("beam", "duct")
                and o.box.lo.z > level.subfloor_z_mm
                and o.box.contains(p.at_z(o.box.centre.z), CRAWL_MM)
            ]
            if min(over, default=math.inf) - level.subfloor_z_mm < head:
                return None
            return Sight(level.title or level.id, 2.0)
        room = self.access.room_at(level.id, p)
        if room is None:
            return Sight(f"{level.title}, under the ceiling", 0.8) if not self.house.frame_carrying(level.id) else None
        if room.ceiling_open or room.exposed_pipe_ok:
            return Sight(f"{room.title or room.id}, under the ceiling", 0.5)
        return None

    def _hangs(self, run: Run) -> bool:
        return run.place.kind in ("crawl", "below frame", "room")

    def _wyes(self, run: Run, lo_mm: float, hi_mm: float) -> Iterator[Spot]:
        if not self._hangs(run):
            return
        data = catalog.fitting("wye", (run.size_in, run.size_in, run.size_in))
        a, b = self.draft.a(run), self.draft.b(run)
        length = a.to(b)
        if length < 1.0:
            return
        way = b.minus(a).at_z(0.0).unit()
        lo = max(lo_mm, self._room(run, True, data.ports["inlet"]))
        hi = min(hi_mm, length - self._room(run, False, data.ports["outlet"]))
        own = {run.id, *(r.id for n in (run.start, run.end) for r in self.draft.meeting(n))}
        for t in _steps(lo, hi, 100.0):
            p = a.plus(b.minus(a).times(t / length))
            place = self.open_at(p)
            if place is None:
                continue
            for side in (1.0, -1.0):
                u = Vec(-way.x - side * way.y, -way.y + side * way.x).unit()
                got = self.access.sight(p, u, data.ports["branch"], run.size_in, own)
                if got is not None:
                    yield Spot("wye", run.id, "", p, p, u, place.words, 1.3 + place.cost + got.cost, got.remark)

    def ends(self, node: str) -> list[Spot]:
        """Return the spot at a turn: the run goes straight on into the plug where one gets at it, else it is led up."""
        point = self.draft.points[node]
        meet = self.draft.meeting(node)
        into, out = self.draft.into(node), self.draft.out(node)
        if (
            point.kind not in (PointKind.TURN, PointKind.STACK_FOOT)
            or len(meet) != 2
            or len(into) != 1
            or len(out) != 1
        ):
            return []
        if any(r.drawn or r.role in (*FIXTURE_ROLES, Role.CLEANOUT_EXT) for r in meet) or self.draft.plumb(out[0]):
            return []
        if self._in_line(node, meet):
            return []
        if out[0].place.kind in ("under slab", "buried", "crawl") and not self.draft.plumb(into[0]):
            led = self._back(node, into[0], out[0])
            if led is not None:
                return [led]
        place = self.open_at(point.at)
        if place is None or not self._hangs(out[0]):
            return []
        u = self.draft.a(out[0]).minus(self.draft.b(out[0])).at_z(0.0).unit()
        size = max(r.size_in for r in meet)
        own = {r.id for r in meet}
        ports = catalog.fitting("combination", (size, size, into[0].size_in)).ports
        if self.draft.length(out[0]) < self._room(out[0], False, ports["outlet"]) or self.draft.length(
            into[0]
        ) < self._room(into[0], True, ports["branch"]):
            return []  # the fitting that opens the run is longer than the bend it replaces
        start = ports["inlet"]
        got = self.access.sight(point.at, u, start, size, own)
        if got is None:
            return []
        cost = 1.0 + place.cost + got.cost
        return [Spot("end", out[0].id, node, point.at, point.at, u, place.words, cost, got.remark)]

    def _back(self, node: str, into: Run, out: Run) -> Spot | None:
        """Return the spot at a turn in the ground: the run of a wye goes straight back, turns up and ends above."""
        at, fall = self.draft.points[node].at, self.draft.a(out).minus(self.draft.b(out))
        size = max(into.size_in, out.size_in)
        eighth = self._turn_deg(node, [into, out]) <= EIGHTH_DEG
        ports = catalog.fitting("wye" if eighth else "combination", (size, size, into.size_in)).ports
        if size > LARGEST_IN or fall.plan_length < 1.0:
            return None
        short = self.draft.length(out) < self._room(out, False, ports["outlet"])
        if short or self.draft.length(into) < self._room(into, True, ports["branch"]):
            return None  # the fitting is longer than the bend it replaces
        bend = catalog.fitting("long-turn 1/4 bend", (size, size)).ports["inlet"]
        away = ports["inlet"] + bend + 2 * catalog.socket_mm(size) + LEAST_PIECE_MM
        corner = at.plus(fall.times(away / fall.plan_length))
        own = {into.id, out.id}
        if self.access.line_blocked(at, corner, size, own):
            return None
        if not self.access.inside(corner):
            spot = self._outdoors(out, corner)
        else:
            spot = self._to_crawl(out, corner) if out.place.kind == "crawl" else self._to_floor(out, corner)
        if spot is None:
            return None
        return replace(spot, how="back", node=node, joint=at, corner=corner, cost=spot.cost + BACK)

    # from the ground to the floor ------------------------------------------------------------------------------------

    def _risers(self, run: Run, lo_mm: float, hi_mm: float, up_to: Callable[[Run, Vec], Spot | None]) -> Iterator[Spot]:
        """Yield the spots over a drain in the ground: out of doors, and what it is brought up to in the house."""
        data = catalog.fitting("combination", (run.size_in, run.size_in, min(run.size_in, LARGEST_IN)))
        a, b = self.draft.a(run), self.draft.b(run)
        length = a.to(b)
        if length < 1.0:
            return
        lo = max(lo_mm, self._room(run, True, data.ports["inlet"]))
        hi = min(hi_mm, length - self._room(run, False, data.ports["outlet"]))
        for t in _steps(lo, hi, 100.0):
            p = a.plus(b.minus(a).times(t / length))
            spot = self._outdoors(run, p) if not self.access.inside(p) else up_to(run, p)
            if spot is not None:
                yield spot

    def least_rise(self, run: Run) -> float:
        """Return the least height from a pipe to the face of a plug above it [mm]."""
        size = min(run.size_in, LARGEST_IN)
        port = catalog.fitting("combination", (run.size_in, run.size_in, size)).ports["branch"]
        return port + 2 * catalog.socket_mm(size) + catalog.fitting("cleanout adapter", (size,)).ports["outlet"]

    def ground_z(self, p: Vec) -> float:
        """Return the ground at a plan position, on a straight line from the house to the connection [mm]."""
        lo, hi = self.house.footprint.lo, self.house.footprint.hi

        def away(q: Vec) -> float:
            return Vec(max(lo.x - q.x, 0.0, q.x - hi.x), max(lo.y - q.y, 0.0, q.y - hi.y)).length

        whole = away(self.house.sewer.at)
        share = 0.0 if whole <= 0.0 else min(away(p) / whole, 1.0)
        g = self.house.ground
        return g.at_house_z_mm + share * (g.at_sewer_z_mm - g.at_house_z_mm)

    def _outdoors(self, run: Run, p: Vec) -> Spot | None:
        top = p.at_z(self.ground_z(p))
        size = min(run.size_in, LARGEST_IN)
        if top.z - p.z < self.least_rise(run) or self.access.line_blocked(p, top, size, {run.id}):
            return None
        if any(o.kind == "zone" and o.box.contains(top.at_z(o.box.centre.z)) for o in self.house.obstacles):
            return None
        got = self.access.sight(top, UP, 0.0, size, {run.id}, up=True)
        if got is None:
            return None
        rise = (top.z - p.z) / 1000.0
        snow = 0.5 if self.house.climate.snow_mm > 0.0 else 0.0
        return Spot("riser", run.id, "", p, top, UP, f"outside, {self._beside_house(p)}, cover at grade",
                    2.0 + rise + snow + got.cost, got.remark)  # fmt: skip

    def _beside_house(self, p: Vec) -> str:
        lo, hi = self.house.footprint.lo, self.house.footprint.hi
        gaps = {"west": lo.x - p.x, "east": p.x - hi.x, "south": lo.y - p.y, "north": p.y - hi.y}
        word = max(gaps, key=lambda k: gaps[k])
        return f"{word} of the house"

    def _to_floor(self, run: Run, p: Vec) -> Spot | None:
        slab = [v for v in self.house.levels if v.kind == "slab" and v.subfloor_z_mm > p.z]
        if not slab:
            return None
        level = min(slab, key=lambda v: v.subfloor_z_mm)
        top = p.at_z(self.house.finished_floor_z(level.id, p))
        size = min(run.size_in, LARGEST_IN)
        valve = self.house.sewer.valve_at
        if valve is not None and valve.at_z(0.0).to(p.at_z(0.0)) < VALVE_MM:
            return None
        if level.left_out(p, 25.0):
            return None
        if top.z - p.z < self.least_rise(run) or self.access.line_blocked(p, top, size, {run.id}):
            return None
        got = self.access.sight(top, UP, 0.0, size, {run.id}, up=True)
        if got is None:
            return None
        room = self.access.room_at(level.id, p)
        title = (room.title or room.id) if room else level.title
        cost = 2.0 + (top.z - p.z) / 1000.0 + got.cost + self.access.room_cost(room, floor=True)
        return Spot("riser", run.id, "", p, top, UP, f"{title}, flush cover in the floor", cost, got.remark, cover=True)

    def _to_crawl(self, run: Run, p: Vec) -> Spot | None:
        """Return the spot over a drain that lies below the ground of a crawl space: its plug stands out of the ground.

        Common practice, no source: so earth does not fall in when it is opened.
        """
        ground = next((v for v in self.house.levels if v.kind == "ground"), None)
        if ground is None or p.z >= ground.subfloor_z_mm or self._by_foundation(p):
            return None
        top = p.at_z(max(ground.subfloor_z_mm + OUT_OF_GROUND_MM, p.z + self.least_rise(run)))
        size = min(run.size_in, LARGEST_IN)
        place = self.open_at(top)
        if place is None or self.access.line_blocked(p, top, size, {run.id}):
            return None
        got = self.access.sight(top, UP, 0.0, size, {run.id}, up=True)
        if got is None:
            return None
        words = f"{place.words}, plug above the ground"
        return Spot("riser", run.id, "", p, top, UP, words, 1.3 + place.cost + got.cost, got.remark)

    def _by_foundation(self, p: Vec) -> bool:
        """Return whether a place in a crawl space may lie in the foundation, or so near that nobody gets there."""
        lo, hi = self.house.footprint.lo, self.house.footprint.hi
        return min(p.x - lo.x, hi.x - p.x, p.y - lo.y, hi.y - p.y) < FOUNDATION_MM

    # removable traps -------------------------------------------------------------------------------------------------

    def traps(self, node: str, reach_mm: float) -> list[Spot]:
        """Return the removable traps up stream of a point, where the book lets them count."""
        asked = self.book.find("cleanout.trap_serves")
        if asked is None or asked.value is not True:
            return []
        dist = self.draft.upstream(node, reach_mm)[1]
        out: list[Spot] = []
        for trap in self.draft.traps:
            body = next((f for f in self.house.fixtures if f.tag == trap.tag), None)
            if body is None or body.kind not in REMOVABLE or body.future or trap.weir not in dist:
                continue
            arm = self.draft.out(trap.weir)
            if not arm or trap.method is VentMethod.NONE:
                continue
            room = next((r for r in self.house.rooms if r.id == body.room_id), None)
            title = (room.title or room.id) if room else body.room_id
            at = self.draft.points[trap.weir].at
            out.append(Spot("trap", arm[0].id, trap.weir, at, at, DOWN,
                            f"{title}, removable trap of {trap.tag}", 0.1 + dist[trap.weir] / 1e6))  # fmt: skip
        return out


def _steps(lo: float, hi: float, step: float = STEP_MM) -> Iterator[float]:
    """Yield lengths from lo to hi, both ends among them."""
    if lo > hi:
        return
    n = int((hi - lo) // step)
    for k in range(n + 1):
        yield lo + k * step
    if lo + n * step < hi - 1.0:
        yield hi


def _to_face(p: Vec, u: Vec, lo: Vec, hi: Vec) -> float:
    """Return how far it is from a point in a box to the face it looks at [mm]."""
    return max((hi.x - p.x) * u.x, (lo.x - p.x) * u.x, 0.0) + max((hi.y - p.y) * u.y, (lo.y - p.y) * u.y, 0.0)
