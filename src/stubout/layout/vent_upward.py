"""One vent upwards from its foot: straight, leaned over, along the studs, into another, out of the roof. [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterable

from stubout.geometry.vec import Vec
from stubout.house.model import HouseLevel
from stubout.layout.cavity_shapes import Rise, Spot
from stubout.layout.draft import DEdge, DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.roof import ROOF_LEAN_MM
from stubout.layout.space_shapes import XY
from stubout.layout.vent_ways import ON_LINE_MM, Header, Lift, Option, Riser, VentWays
from stubout.layout.weights import LEAST_DROP_MM

VENT_SLOPE = 0.01  # drips back to the drain; common practice, no source
STEEPER = 1.005  # than 45 degrees, lest a rounded height make it flatter
BELOW = ("under slab", "crawl", "below frame")
LEAN_START_MM = 150.0
LEAN_RISE = 2.414  # 22 1/2 degrees off plumb
STRAIGHT_LEAN = 0.04  # so far off plumb a riser may stand without a bend; common practice, no source


class Upward:
    """Draws single vents, and keeps the book of what stands and of each trap's runs."""

    def __init__(self, ways: VentWays, trap_runs: dict[str, list[int]]) -> None:
        self.work, self.ways, self.roof = ways.work, ways, ways.roof
        self.trap_runs = trap_runs

    def draw(
        self, start: DNode, spot: Spot, size: float, tags: tuple[str, ...], role: Role, quiet: bool = False
    ) -> list[int]:
        """Draw a vent from a node at the foot of a bay; return its edges, none if it cannot get out."""
        work = self.work
        g = work.gauge(size)
        w = spot.wall
        level = work.house.level(w.level_id)
        aside = math.hypot(start.xy[0] - spot.xy[0], start.xy[1] - spot.xy[1])
        if aside > 2.0 and start.z is not None:  # what it vents stands beside the wall: lean over into it at 45 degrees
            board, tag = work.board, tags[0] if tags else ""
            lying = next((e for e in board.out(start.id) if not e.plumb), None)  # the drain it vents, if that is level
            beside = lying or next((e for e in board.into(start.id) if e.place.kind in BELOW), None)
            place = Place("room", level.id) if beside is None else beside.place
            bends = self._out_of(lying, size) + board.fits.eighth(size)
            up = board.node(start.xy, PointKind.TURN, start.z + bends, tag)
            base = board.node(spot.xy, PointKind.TURN, start.z + bends + STEEPER * aside, tag)
            lean = [
                board.edge(a, b, "vent", role, place, size, tag=tag, plumb=True).id
                for a, b in ((start, up), (up, base))
            ]
            more = self.draw(base, spot, size, tags, role, quiet)
            if not more:
                for i in lean:
                    del board.edges[i]
                del board.nodes[up.id], board.nodes[base.id]
                return []
            return [*lean, *more]
        z0 = start.z or w.bottom_z_mm
        zt = self.ways.tie_height(level)
        plates = w.under_plates_at(spot.station)
        if zt > plates - g.r:
            zt = plates - g.r - 5
        options = self.ways.options(spot, max(z0, w.bottom_z_mm), zt, size)
        if not options:
            if not quiet:
                rise = work.cavity.rise(spot, max(z0, w.bottom_z_mm), g)
                work.block(
                    tags or ("stack vent",),
                    f"no way out for the vent of {', '.join(tags) or 'the stack'} in {w.id}: {rise.reason}",
                    "another wall, a furred wall, or a vent drawn by hand",
                )
            return []
        best = min(options, key=lambda o: (round(o.cost, 2), o.tie_edge, o.spot.station if o.spot else 0.0))
        runs = self._draw_option(start, spot, zt, size, role, best, tags)
        self._in_the_way(runs)
        return runs

    def _out_of(self, lying: DEdge | None, size: float) -> float:
        """Return the room that a vent fitting takes over its centre, in a level drain or (None) in a drop."""
        fits = self.work.board.fits
        if lying is None:
            return fits.tee(size, size, "upper")
        return fits.room("combination", (lying.size_in, lying.size_in, min(size, lying.size_in)), "branch")

    def _in_the_way(self, runs: Iterable[int]) -> None:
        """Let the vents drawn later keep off some pipes in walls."""
        board, cavity = self.work.board, self.work.cavity
        for e in (board.edges[i] for i in runs if board.edges[i].place.kind == "wall"):
            a, b, r = board.nodes[e.up], board.nodes[e.down], self.work.gauge(e.size_in).r
            if a.z is None or b.z is None:
                continue
            if not e.plumb:
                cavity.pipes.append((Vec(*a.xy, a.z), Vec(*b.xy, b.z), r))
            elif math.dist(a.xy, b.xy) < 1.0:
                cavity.plumbs.append((*a.xy, min(a.z, b.z), max(a.z, b.z), r))

    def _draw_option(
        self, start: DNode, spot: Spot, zt: float, size: float, role: Role, o: Option, tags: tuple[str, ...]
    ) -> list[int]:
        """Draw a vent by one of its ways; return its edges."""
        board = self.work.board
        tag = tags[0] if tags else ""
        if o.lift is not None and not o.hops:
            return self._lifted(start, spot, o.lift, size, role, tags)
        w = spot.wall
        runs: list[int] = []
        place = Place("wall", w.id, spot.bay.index)
        at = start
        level = self.work.house.level(w.level_id)
        if not o.hops and not o.tie_edge and o.rise is not None:
            ids = self._pieces(at, spot.xy, o.rise, size, role, tag)
            self._note_riser(spot, ids, level, size)
            return ids
        z = zt
        if o.tie_edge and not o.hops:  # straight up into a header that passes over
            e = board.edges[o.tie_edge]
            if o.rise is not None and o.spot is not None:
                room = o.rise.pieces[0].hi - (at.z or 0.0)
                if abs(o.spot.offset - spot.offset) > max(ON_LINE_MM, STRAIGHT_LEAN * room):
                    ids, at = self._lean(at, spot, o.spot.offset, size, role, tag)
                    runs += ids
                spot = o.spot
            a, b = board.nodes[e.up], board.nodes[e.down]
            total = board.plan(e) or 1.0
            t = math.hypot(spot.xy[0] - a.xy[0], spot.xy[1] - a.xy[1]) / total
            z = (a.z or zt) + ((b.z or zt) - (a.z or zt)) * min(1.0, t)
            joint = self._split(e, (a.xy[0] + (b.xy[0] - a.xy[0]) * t, a.xy[1] + (b.xy[1] - a.xy[1]) * t), z)
            if o.rise is not None:  # it passes over a storey higher up
                for p in o.rise.pieces[:-1]:
                    nxt = board.node(spot.xy, PointKind.TURN, p.hi, tag)
                    runs.append(board.edge(at, nxt, "vent", role, p.place, size, tag=tag, plumb=True).id)
                    at = nxt
                place = o.rise.pieces[-1].place
                runs.append(board.edge(at, joint, "vent", role, place, size, tag=tag, plumb=True).id)
                self._note_riser(spot, runs, level, size)
                return runs
            up = board.edge(at, joint, "vent", role, place, size, tag=tag, plumb=True)
            self._note_riser(spot, [up.id], level, size)
            return [up.id]
        hop_start = o.hops[0]
        lane = self._lane(o, spot)
        aside = abs(lane - spot.offset)
        if aside > max(2.0, STRAIGHT_LEAN * (z - (at.z or 0.0))):  # less than that the pipe itself leans over
            ids, at = self._lean(at, spot, lane, size, role, tag)
            runs += ids
        p0 = hop_start.wall.point(hop_start.s0, 0, lane)
        turn = board.node((p0.x, p0.y), PointKind.TURN, z, tag)
        up = board.edge(at, turn, "vent", role, place, size, tag=tag, plumb=True)
        runs.append(up.id)
        self._note_riser(spot, [up.id], level, size)
        at = turn
        behind: list[tuple[DNode, float]] = []  # the run so far: its points, and how far each is from the next
        for i, h in enumerate(o.hops):
            last = i == len(o.hops) - 1
            if abs(h.s1 - h.s0) < 1:
                continue
            z += VENT_SLOPE * abs(h.s1 - h.s0)
            off = h.offset if i else lane
            end = h.wall.point(h.s1 + (0.0 if last else self._over(o, i)), 0, off)
            if last and o.tie_edge and board.edges[o.tie_edge].plumb:
                e = board.edges[o.tie_edge]
                nxt = self._split(e, board.nodes[e.up].xy, z)
            elif last and (o.tie_edge or o.tie_node):
                nxt = self._into_lying(board.edges[o.tie_edge], end, z) if o.tie_edge else board.nodes[o.tie_node]
                nxt.kind = PointKind.TIE_IN
                top = nxt.z or z
                for n, run in reversed([*behind, (at, abs(h.s1 - h.s0))]):  # what ties in lower lets all of it down
                    top -= VENT_SLOPE * run
                    n.z = min(n.z or top, top)
            else:
                nxt = board.node((end.x, end.y), PointKind.TURN, z, tag)
            e2 = board.edge(at, nxt, "vent", Role.BRANCH_VENT, Place("wall", h.wall.id), size, tag=tag)
            runs.append(e2.id)
            self.ways.headers.append(Header(h.wall, e2.id, min(h.s0, h.s1), max(h.s0, h.s1)))
            behind.append((at, abs(h.s1 - h.s0)))
            at = nxt
        if o.lift is not None and o.spot is not None:
            self.work.risers.append((o.spot, self.work.gauge(size).hub_mm))
            branch = role if role is Role.STACK_VENT else Role.BRANCH_VENT
            runs += self._lifted(at, o.spot, o.lift, size, branch, tags)
        if o.rise is not None and o.spot is not None:
            ids = self._pieces(at, o.spot.xy, o.rise, size, role if role is Role.STACK_VENT else Role.BRANCH_VENT, tag)
            self._note_riser(o.spot, ids, level, size)
            self.work.risers.append((o.spot, self.work.gauge(size).hub_mm))
            runs += ids
        return runs

    def _into_lying(self, e: DEdge, end: Vec, z: float) -> DNode:
        """Return the joint in a level vent that a run comes to square, out of a wall across."""
        a, b = self.work.board.nodes[e.up], self.work.board.nodes[e.down]
        way = _vec(b.xy).minus(_vec(a.xy))
        t = min(max(end.at_z(0.0).minus(_vec(a.xy)).dot(way) / (way.dot(way) or 1.0), 0.0), 1.0)
        xy = (a.xy[0] + (b.xy[0] - a.xy[0]) * t, a.xy[1] + (b.xy[1] - a.xy[1]) * t)
        return self._split(e, xy, (a.z or z) + ((b.z or z) - (a.z or z)) * t)

    def _lying_tie(self, o: Option) -> bool:
        """Return whether an option ends in a level vent that it comes to out of a wall across."""
        return bool(o.tie_edge and o.hops) and not self.work.board.edges[o.tie_edge].plumb

    def _lifted(self, at: DNode, spot: Spot, lift: Lift, size: float, role: Role, tags: tuple[str, ...]) -> list[int]:
        """Draw a vent up to the foot of the wall above in which it is to turn, and on from there; return its edges."""
        board, ids, tag = self.work.board, list[int](), tags[0] if tags else ""
        for p in lift.rise.pieces[:-1]:
            top = board.node(spot.xy, PointKind.TURN, p.hi, tag)
            ids.append(board.edge(at, top, "vent", role, p.place, size, tag=tag, plumb=True).id)
            at = top
        self._note_riser(spot, ids[:1], self.work.house.level(spot.wall.level_id), size)
        self.work.risers.append((lift.spot, self.work.gauge(size).hub_mm))
        return [*ids, *self._draw_option(at, lift.spot, lift.rise.top, size, role, lift.onward, tags)]

    def _lean(self, at: DNode, spot: Spot, lane: float, size: float, role: Role, tag: str) -> tuple[list[int], DNode]:
        """Draw a riser leaned over to another lane of its wall with two bends; return the edges and the upper end."""
        board, w = self.work.board, spot.wall
        place = Place("wall", w.id, spot.bay.index)
        d = abs(lane - spot.offset)
        p = w.point(spot.station, 0, lane)
        foot = board.node(spot.xy, PointKind.TURN, (at.z or 0.0) + LEAN_START_MM, tag)
        head = board.node((p.x, p.y), PointKind.TURN, (at.z or 0.0) + LEAN_START_MM + LEAN_RISE * d, tag)
        ids = [
            board.edge(at, foot, "vent", role, place, size, tag=tag, plumb=True).id,
            board.edge(foot, head, "vent", role, place, size, tag=tag, plumb=True).id,
        ]
        return ids, head

    def _over(self, o: Option, i: int) -> float:
        """Return how much farther a hop goes so that the next begins in the lane it will run in [mm]."""
        here, then = o.hops[i].wall, o.hops[i + 1].wall
        lane = 0.0
        if i + 2 == len(o.hops):
            if o.spot is not None:
                lane = o.spot.offset
            elif not self._lying_tie(o):
                node = o.tie_node or self.work.board.edges[o.tie_edge].up
                lane = then.offset(_vec(self.work.board.nodes[node].xy))
        short = lane - then.offset(here.point(o.hops[i].s1, 0.0))  # a wall may end at the face of the one it meets
        return short * then.leftward.dot(here.along)

    def _lane(self, o: Option, spot: Spot) -> float:
        """Return how far off the stud centre line the header of an option runs in the first wall."""
        first = o.hops[0]
        if len(o.hops) > 1 or self._lying_tie(o):
            return spot.offset
        if o.spot is not None:
            return o.spot.offset
        node = o.tie_node or self.work.board.edges[o.tie_edge].up
        return first.wall.offset(_vec(self.work.board.nodes[node].xy))

    def _split(self, e: DEdge, xy: XY, z: float) -> DNode:
        board = self.work.board
        joint = board.split(e, xy, PointKind.TIE_IN)
        joint.z = z
        low = next(d for d in board.edges.values() if d.up == joint.id)
        for r in self.ways.risers:
            if e.id in r.edges:
                r.edges.append(low.id)
        for h in list(self.ways.headers):
            if h.edge == e.id:
                s = h.wall.station(_vec(xy))
                b = board.nodes[low.down].xy
                sb = h.wall.station(_vec(b))
                a = h.wall.station(_vec(board.nodes[e.up].xy))
                h.s_lo, h.s_hi = min(a, s), max(a, s)
                self.ways.headers.append(Header(h.wall, low.id, min(s, sb), max(s, sb)))
        for runs in self.trap_runs.values():
            if e.id in runs:
                runs.insert(runs.index(e.id) + 1, low.id)
        return joint

    def _note_riser(self, spot: Spot, ids: list[int], level: HouseLevel, size: float) -> None:
        self.ways.risers.append(Riser(spot.wall, spot.station, spot.offset, list(ids), level, size))

    def _pieces(self, start: DNode, xy: XY, rise: Rise, size: float, role: Role, tag: str) -> list[int]:
        board = self.work.board
        ids: list[int] = []
        at = start
        for p in rise.pieces:
            if p.hi - (at.z or p.lo) < 1:
                continue
            last = p is rise.pieces[-1]
            out = self.roof.exit(xy, rise.top) if last and rise.ends == "roof" else None
            shift = math.hypot(out[0] - xy[0], out[1] - xy[1]) if out is not None else 0.0
            grown = self._grown(p.place, xy, size) if last and rise.ends == "roof" else None
            if grown is not None and (at.z or p.lo) + LEAST_DROP_MM < grown[1] < p.hi - ROOF_LEAN_MM - LEAST_DROP_MM:
                mid = board.node(xy, PointKind.REDUCER, grown[1], tag)
                ids.append(board.edge(at, mid, "vent", role, p.place, size, tag=tag, plumb=True).id)
                at, size = mid, grown[0]
            nxt = board.node(xy, PointKind.TURN, p.hi - (ROOF_LEAN_MM if shift else 0.0), tag)
            ids.append(board.edge(at, nxt, "vent", role, p.place, size, tag=tag, plumb=True).id)
            if p.place.kind == "wall":
                w = self.work.house.wall(p.place.ref)
                bay = w.bay_at(w.station(_vec(xy)))
                if bay is not None and w.id != rise.pieces[0].place.ref:
                    spot = Spot(w, bay, w.station(_vec(xy)), w.offset(_vec(xy)))
                    self.work.risers.append((spot, self.work.gauge(size).hub_mm))
                    self.ways.risers.append(
                        Riser(w, spot.station, spot.offset, [ids[-1]], self.work.house.level(w.level_id), size)
                    )
            at = nxt
        if rise.ends == "roof":
            out = self.roof.exit(xy, rise.top)
            if out is not None and math.hypot(out[0] - xy[0], out[1] - xy[1]) > 1:
                shift = math.hypot(out[0] - xy[0], out[1] - xy[1])
                nxt = board.node(out, PointKind.TURN, (at.z or 0.0) + shift, tag)
                ids.append(board.edge(at, nxt, "vent", role, Place("attic"), size, tag=tag, plumb=True).id)
                at = nxt
        if rise.ends == "attic":
            self.ways.attic_ends.setdefault(rise.level.id, []).append((at, size))
        else:
            ids += self.roof.terminal(at, size, tag)
        return ids

    def _grown(self, place: Place, xy: XY, size: float) -> tuple[float, float] | None:
        """Return the size and height of a vent's enlargement against frost, None where its wall does not take it."""
        frost = self.roof.enlarged(xy, size)
        if frost is None or place.kind != "wall":
            return None
        w = self.work.house.wall(place.ref)
        g = self.work.gauge(frost[0])
        st, off = w.station(_vec(xy)), w.offset(_vec(xy))
        if not self.work.cavity.fits_depth(w, g) or abs(off) > w.depth_mm / 2 - g.hub_r + 0.5:
            return None
        return None if self.work.cavity.clear(w, st, frost[1], w.top_at(st), g, off) else frost


def _vec(p: XY) -> Vec:
    return Vec(p[0], p[1], 0.0)
