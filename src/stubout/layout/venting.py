"""Vents: up the bay above the flood rims, along the studs to where a wall goes on up, through the attic, out. [mm]."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stubout.geometry.vec import Vec
from stubout.house.model import HouseLevel
from stubout.layout.adopt_vents import adopt_vents, attic_riser, tie_in_attic
from stubout.layout.breathing import vent_sizes
from stubout.layout.cavity import Rise, Spot
from stubout.layout.draft import DEdge, DNode
from stubout.layout.model import Place, PointKind, Role, VentMethod
from stubout.layout.roof import ROOF_LEAN_MM, AtticEnd
from stubout.layout.route import Ask, Target
from stubout.layout.space import XY
from stubout.layout.trunk import ZoneRouter
from stubout.layout.vent_ways import Header, Option, Riser, VentWays
from stubout.layout.weights import LEAST_DROP_MM, half_45_mm, half_90_mm
from stubout.layout.work import TrapDraft, Work

VENT_SLOPE = 0.01  # drips back to the drain; common practice, no source
LEAN_START_MM = 150.0
LEAN_RISE = 2.414  # 22 1/2 degrees off plumb
STRAIGHT_LEAN = 0.04  # so far off plumb a riser may stand without a bend; common practice, no source
LOOP_SPREAD_MM = 200.0


class Venting:
    """Draws all vents after the drains have their heights."""

    def __init__(self, work: Work, tie_above_rim_mm: float) -> None:
        self.work = work
        self.ways = VentWays(work, tie_above_rim_mm)
        self.roof = self.ways.roof
        self.trap_runs: dict[str, list[int]] = {}
        self.sizes: dict[str, float] = {}  # by tag: its own vent, for what breathes through it too

    def run(self) -> None:
        """Draw the vents: stack vents first, then the fixtures' own, then the attic."""
        work = self.work
        work.cavity.pipes = [
            (Vec(a.xy[0], a.xy[1], a.z), Vec(b.xy[0], b.xy[1], b.z), work.gauge(e.size_in).r)
            for e in work.board.edges.values()
            if e.system == "drain" and not e.plumb
            for a, b in [(work.board.nodes[e.up], work.board.nodes[e.down])]
            if a.z is not None and b.z is not None
        ]
        work.cavity.plumbs = [
            (a.xy[0], a.xy[1], min(a.z, b.z), max(a.z, b.z), work.gauge(e.size_in).r)
            for e in work.board.edges.values()
            if e.system == "drain" and e.plumb
            for a, b in [(work.board.nodes[e.up], work.board.nodes[e.down])]
            if a.z is not None and b.z is not None
        ]
        adopt_vents(self)
        for trap in sorted((t for t in work.traps.values() if not t.drawn), key=lambda t: t.tag):
            if trap.method is VentMethod.LOOP:
                self._loop(trap)
            elif trap.method is VentMethod.AAV:
                self._valve(trap)
        for i, s in enumerate(work.board.stacks):
            if s.vent_ok and not s.vented:
                self._stack_vent(i)
        todo = [
            t for t in work.traps.values() if t.method is VentMethod.INDIVIDUAL and t.takeoff and t.spot is not None
        ]
        self.sizes = vent_sizes(work)
        todo.sort(key=lambda t: (-work.house.level(t.need.fixture.level_id).order, -self.sizes[t.tag], t.tag))
        # those that rise straight go first, so that the others find something to tie into
        straight = [t for t in todo if self._straight(t)]
        for t in [*straight, *[t for t in todo if t not in straight]]:
            self._individual(t)
        for level_id in sorted(self.ways.attic_ends):
            self._attic(level_id)

    # --- starts -----------------------------------------------------------------------------------------------

    def _straight(self, t: TrapDraft) -> bool:
        assert t.spot is not None
        z = self.work.board.nodes[t.takeoff].z or 0.0
        g = self.work.gauge(self.sizes[t.tag])
        rise = self.work.cavity.rise(t.spot, max(z, t.spot.wall.bottom_z_mm), g)
        return rise.ends == "attic" or (rise.ends == "roof" and self.roof.exit(t.spot.xy, rise.top) is not None)

    def _individual(self, t: TrapDraft) -> None:
        assert t.spot is not None
        node = self.work.board.nodes[t.takeoff]
        runs = self._from(node, t.spot, self.sizes[t.tag], (t.tag,), Role.VENT)
        self.trap_runs[t.tag] = runs

    def _stack_vent(self, index: int) -> None:
        work, board = self.work, self.work.board
        s = board.stacks[index]
        nodes = [board.nodes[i] for i in s.nodes if board.nodes[i].z is not None]
        if not nodes:
            return
        top = max(nodes, key=lambda n: n.z or 0.0)
        s.top = top.id
        level = work.house.level(s.zone)
        p = Vec(s.xy[0], s.xy[1], 0.0)
        for size in (3.0, 2.0, 1.5):
            g = work.gauge(size)
            for w in work.cavity.walls_of(level):
                st, off = w.station(p), w.offset(p)
                if not 0 < st < w.length_mm or abs(off) > max(0.0, w.depth_mm / 2 - g.hub_r) + 0.5:
                    continue
                bay = w.bay_at(st)
                if bay is None or work.cavity.clear(
                    w, st, w.bottom_z_mm, min(w.top_z_mm, w.bottom_z_mm + 1200), g, off
                ):
                    continue
                if self._from(top, Spot(w, bay, st, off), size, (), Role.STACK_VENT, quiet=size > 1.5):
                    return

    def _valve(self, t: TrapDraft) -> None:
        work, board = self.work, self.work.board
        take = board.nodes[t.takeoff]
        f = t.need.fixture
        top = (f.flood_rim_z_mm or f.finished_z_mm + 860.0) - 120.0
        box = next((b for b in work.house.cabinets if b.id == f.cabinet_id), None)
        if box is not None and box.counter_z_mm is not None:
            top = box.counter_z_mm - box.counter_mm - 90.0
        z = max((take.z or 0.0) + 110.0, min(top, (take.z or 0.0) + 260.0))
        node = board.node(take.xy, PointKind.AAV, z, t.tag)
        e = board.edge(
            take, node, "vent", Role.VENT, Place("cabinet", f.cabinet_id), t.need.vent_in, tag=t.tag, plumb=True
        )
        self.trap_runs[t.tag] = [e.id]

    def _loop(self, t: TrapDraft) -> None:
        """Draw the loop of an island: up under the counter, over, down, and a foot vent to the nearest wall."""
        work, board = self.work, self.work.board
        f = t.need.fixture
        take = board.nodes[t.takeoff]
        drop = next(e for e in board.out(take.id) if e.plumb)
        first = next((e for e in board.out(drop.down) if not e.plumb), None)
        if first is None:
            work.block((t.tag,), f"{t.tag}: its loop finds no level drain under the cabinet", "draw the route by hand")
            return
        box = next((b for b in work.house.cabinets if b.id == f.cabinet_id), None)
        under = (f.flood_rim_z_mm or f.finished_z_mm + 900.0) - 60.0
        if box is not None and box.counter_z_mm is not None:
            under = box.counter_z_mm - box.counter_mm - 40.0
        a, b = board.nodes[first.up], board.nodes[first.down]
        length = board.plan(first)
        if length < LOOP_SPREAD_MM * 2.2:
            work.block(
                (t.tag,),
                f"{t.tag}: the drain under its cabinet is too short for the return of a loop vent",
                "draw the route by hand",
            )
            return
        ux, uy = (b.xy[0] - a.xy[0]) / length, (b.xy[1] - a.xy[1]) / length
        xy = (a.xy[0] + ux * LOOP_SPREAD_MM, a.xy[1] + uy * LOOP_SPREAD_MM)
        router = work.routers[f.level_id]
        za, zb = a.z or 0.0, b.z or 0.0
        joint = board.split(first, xy, PointKind.JUNCTION)
        joint.z = za + (zb - za) * LOOP_SPREAD_MM / length
        low = board.out(joint.id)[0]
        router.edge_layer[low.id] = router.edge_layer[first.id]
        size = max(t.need.vent_in, 1.5)
        g = work.gauge(2.0)
        place = Place("cabinet", f.cabinet_id)
        layer = router.edge_layer[first.id]
        room = work.space.leg(router.layers[layer], xy, xy, g)
        foot = board.node(xy, PointKind.TIE_IN, joint.z + LEAST_DROP_MM, t.tag)
        runs: list[int] = []
        top1 = board.node(take.xy, PointKind.TURN, under, t.tag)
        top2 = board.node(xy, PointKind.TURN, under, t.tag)
        runs.append(board.edge(take, top1, "vent", Role.VENT, place, size, tag=t.tag, plumb=True).id)
        runs.append(board.edge(top1, top2, "vent", Role.VENT, place, size, tag=t.tag).id)
        runs.append(board.edge(top2, foot, "vent", Role.VENT, place, size, tag=t.tag, plumb=True).id)
        board.edge(foot, joint, "drain", Role.DRAIN, place, 2.0, tag=t.tag, plumb=True)
        # the foot vent: along under the floor to the nearest wall whose bay lets it rise
        spots = []
        for w in work.cavity.walls_of(work.house.level(f.level_id)):
            if w.knee or w.exterior or not work.cavity.allowed(w, "vent"):
                continue
            for bay in w.bays:
                spot = Spot(
                    w, bay, min(max(w.station(Vec(xy[0], xy[1], 0)), bay.lo_mm + g.hub_r), bay.hi_mm - g.hub_r), 0.0
                )
                if bay.clear_mm < g.hub_mm or work.taken(spot, g):
                    continue
                if not work.cavity.clear(w, spot.station, w.bottom_z_mm, w.bottom_z_mm + 1300, g):
                    spots.append(spot)
        spots.sort(key=lambda s: (math.hypot(s.xy[0] - xy[0], s.xy[1] - xy[1]), s.wall.id))
        slope = work.demands.slope(2.0)
        for spot in spots[:6]:
            if room is not None:  # low enough that the foot vent still has cover where it reaches the wall
                rise = slope * (abs(spot.xy[0] - xy[0]) + abs(spot.xy[1] - xy[1]))
                foot.z = max(joint.z + 40.0, min(joint.z + LEAST_DROP_MM, room.spans[0].hi - 5.0 - rise))
            lat = router.lattice((xy, spot.xy))
            k = round(math.atan2(uy, ux) / (math.pi / 4)) % 8
            blocked = frozenset({k, (k + 4) % 8})
            path = router.search(
                Ask(spot.xy, (layer,), None), g, slope, [Target(xy, layer, foot.z, blocked, 0.0, "n0")], lat
            )
            if path is None:
                continue
            at = foot
            for s in reversed(path.steps):
                nxt = board.node(s.a, PointKind.TURN, s.z_a, t.tag)
                e = board.edge(at, nxt, "vent", Role.FOOT_VENT, s.place or place, 2.0, tag=t.tag)
                runs.append(e.id)
                at = nxt
            work.risers.append((spot, g.hub_mm))
            runs += self._from(at, spot, 2.0, (t.tag,), Role.VENT)
            self.trap_runs[t.tag] = runs
            return
        work.block((t.tag,), f"{t.tag}: the foot vent of the loop reaches no wall", "draw the route by hand")

    # --- one vent upwards -------------------------------------------------------------------------------------

    def _from(
        self, start: DNode, spot: Spot, size: float, tags: tuple[str, ...], role: Role, quiet: bool = False
    ) -> list[int]:
        """Draw a vent from a node at the foot of a bay; return its edges, none if it cannot get out."""
        work = self.work
        g = work.gauge(size)
        w = spot.wall
        level = work.house.level(w.level_id)
        aside = math.hypot(start.xy[0] - spot.xy[0], start.xy[1] - spot.xy[1])
        if aside > 2.0 and start.z is not None:  # the drop stands in front of the wall: lean back into it at 45 degrees
            board, tag, place = work.board, tags[0] if tags else "", Place("room", level.id)
            bends = board.fits.tee(size, size, "upper") + board.fits.eighth(size)
            up = board.node(start.xy, PointKind.TURN, start.z + bends, tag)
            base = board.node(spot.xy, PointKind.TURN, start.z + bends + aside, tag)
            lean = [
                board.edge(a, b, "vent", role, place, size, tag=tag, plumb=True).id
                for a, b in ((start, up), (up, base))
            ]
            more = self._from(base, spot, size, tags, role, quiet)
            if not more:
                for i in lean:
                    del board.edges[i]
                del board.nodes[up.id], board.nodes[base.id]
                return []
            return [*lean, *more]
        z0 = start.z or w.bottom_z_mm
        zt = self.ways.tie_height(level)
        if zt > w.top_z_mm - w.top_plate_mm - g.r:
            zt = w.top_z_mm - w.top_plate_mm - g.r - 5
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
        return self._draw(start, spot, zt, size, role, best, tags)

    def _draw(
        self, start: DNode, spot: Spot, zt: float, size: float, role: Role, o: Option, tags: tuple[str, ...]
    ) -> list[int]:
        board = self.work.board
        tag = tags[0] if tags else ""
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
            a, b = board.nodes[e.up], board.nodes[e.down]
            total = board.plan(e) or 1.0
            t = math.hypot(spot.xy[0] - a.xy[0], spot.xy[1] - a.xy[1]) / total
            z = (a.z or zt) + ((b.z or zt) - (a.z or zt)) * min(1.0, t)
            joint = self._split(e, (a.xy[0] + (b.xy[0] - a.xy[0]) * t, a.xy[1] + (b.xy[1] - a.xy[1]) * t), z)
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
            if last and o.tie_edge:
                e = board.edges[o.tie_edge]
                a = board.nodes[e.up]
                nxt = self._split(e, a.xy, z)
            elif last and o.tie_node:
                nxt = board.nodes[o.tie_node]
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
        if o.rise is not None and o.spot is not None:
            ids = self._pieces(at, o.spot.xy, o.rise, size, role if role is Role.STACK_VENT else Role.BRANCH_VENT, tag)
            self._note_riser(o.spot, ids, level, size)
            self.work.risers.append((o.spot, self.work.gauge(size).hub_mm))
            runs += ids
        return runs

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
            else:
                node = o.tie_node or self.work.board.edges[o.tie_edge].up
                lane = then.offset(_vec(self.work.board.nodes[node].xy))
        short = lane - then.offset(here.point(o.hops[i].s1, 0.0))  # a wall may end at the face of the one it meets
        return short * then.leftward.dot(here.along)

    def _lane(self, o: Option, spot: Spot) -> float:
        """Return how far off the stud centre line the header of an option runs in the first wall."""
        first = o.hops[0]
        if len(o.hops) > 1:
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
        return None if self.work.cavity.clear(w, st, frost[1], w.top_z_mm, g, off) else frost

    # --- attic ------------------------------------------------------------------------------------------------

    def _attic(self, level_id: str) -> None:
        ends = [AtticEnd(n, s, self._left(n), self._bored(n)) for n, s in self.ways.attic_ends[level_id]]
        drawn_riser = attic_riser(self.work, level_id, max(e.size_in for e in ends))
        for group in [ends] if drawn_riser is not None else self.roof.groups(ends):
            self._to_terminal(level_id, group, drawn_riser)

    def _left(self, node: DNode) -> float:
        """Return how far the vents that come up at a node may yet run level before one of them has to grow [mm]."""
        board = self.work.board
        left = math.inf
        for e in board.into(node.id, "vent"):
            most = min(self._left(board.nodes[e.up]), self.roof.most_flat(e.size_in))
            left = min(left, most - board.plan(e))
        return left

    def _bored(self, node: DNode) -> bool:
        """Return whether the vent that comes up at a node has run level in a wall."""
        board = self.work.board
        return any(
            (not e.plumb and e.place.kind == "wall") or self._bored(board.nodes[e.up])
            for e in board.into(node.id, "vent")
        )

    def _to_terminal(self, level_id: str, ends: Sequence[AtticEnd], drawn_riser: DEdge | None) -> None:
        """Bring vents together in the attic and out of the roof."""
        work, board = self.work, self.work.board
        layer = work.space.layers[f"attic:{level_id}"]
        router = ZoneRouter(work.space, board, (layer,), work.demands.gauges)
        router.system = "vent"
        size = max(e.size_in for e in ends)
        if drawn_riser is not None:
            spot: XY | None = board.nodes[drawn_riser.up].xy
        else:
            found = self.roof.placed(ends)
            spot = found[1] if found is not None else None
        if spot is None:
            work.block(
                ("roof",), "no place on the roof where a vent may come out", "allow another slope or ask the authority"
            )
            return
        root = board.node(spot, PointKind.TURN)
        router.keys |= {e.xy for e in ends} | {spot}
        gaps = [(o.box.lo.x - 200, o.box.lo.y - 200) for o in work.house.obstacles if o.kind in ("appliance", "zone")]
        gaps += [(o.box.hi.x + 200, o.box.hi.y + 200) for o in work.house.obstacles if o.kind in ("appliance", "zone")]
        order = sorted(ends, key=lambda e: (-e.size_in, math.hypot(e.xy[0] - spot[0], e.xy[1] - spot[1]), e.node.id))
        drawn: list[DEdge] = []
        for end in order:
            n, s = end.node, end.size_in
            g = work.gauge(s)
            if math.hypot(n.xy[0] - spot[0], n.xy[1] - spot[1]) < 1:
                board.edge(n, root, "vent", Role.STACK_VENT, Place("attic", level_id), s, tag=n.tag, plumb=True)
                continue
            lat = router.lattice((*gaps,), diagonals=False)
            targets = [
                Target(spot, layer.key, None, frozenset(), 0.0, f"n{root.id}"),
                *router.targets(lat, drawn, gap=60.0),
            ]
            targets += router.node_targets(drawn, root.id)
            path = router.search(
                Ask(n.xy, (layer.key,), None, half_45=half_45_mm(s), half_90=half_90_mm(s), half_start=half_90_mm(s)),
                g,
                VENT_SLOPE,
                targets,
                lat,
            )
            if path is None:
                work.block((n.tag or "vent",), "no way through the attic to the terminal", "draw the vent by hand")
                continue
            base = board.node(n.xy, PointKind.TURN, None, n.tag)
            edges, joint = router.draw(path, base, size_in=s, slope=VENT_SLOPE, role=Role.HEADER, tag=n.tag)
            base = base if edges else joint
            if joint.id != root.id:
                joint.kind = PointKind.TIE_IN
            board.edge(n, base, "vent", Role.BRANCH_VENT, Place("attic", level_id), s, tag=n.tag, plumb=True)
            drawn = [board.edges[i] for i in router.edge_layer if i in board.edges]
        self._attic_heights(root)
        if drawn_riser is not None:
            tie_in_attic(self, drawn_riser, root)
        else:
            self.roof.terminal(root, size, "")

    def _attic_heights(self, root: DNode) -> None:
        board = self.work.board
        rise = {root.id: 0.0}
        stack, z0 = [root.id], -math.inf
        flat: list[DEdge] = []
        while stack:
            at = stack.pop()
            for e in board.into(at, "vent"):
                if e.plumb:
                    continue
                rise[e.up] = rise[at] + VENT_SLOPE * board.plan(e)
                flat.append(e)
                stack.append(e.up)
        for e in flat:
            z0 = max([z0, *(q.lo + rise[e.up] for q in e.parts)])
        for i, r in rise.items():
            for e in board.into(i, "vent"):
                if e.plumb and board.nodes[e.up].z is not None:
                    z0 = max(z0, (board.nodes[e.up].z or 0.0) + 60.0 + r)
        if math.isinf(z0):  # nothing has come up to it: said where the way through the attic was not found
            return
        for i, r in rise.items():
            board.nodes[i].z = z0 - r


def _vec(p: XY) -> Vec:
    return Vec(p[0], p[1], 0.0)
