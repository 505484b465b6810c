"""The last hand on a drawing: points moved by a hand's breadth, so that fittings go and pipes pass each other. [mm].

Whatever was chosen stays chosen. A plumb line, with all that has to come along if level pipes are to keep their
directions, is moved along one axis where a fault of `judge` wants room; the move is kept if the drawing is better for
it, and nothing stands or lies where the frame does not let it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from stubout.geometry.distance import point_segment
from stubout.geometry.vec import Vec
from stubout.layout.crowded import Fault
from stubout.layout.draft import DEdge
from stubout.layout.judge import Look
from stubout.layout.model import PointKind, Role
from stubout.layout.roof import Roof
from stubout.layout.space_shapes import XY, Gauge, Layer, inside
from stubout.layout.work import Work

MOST_FAULTS = 12  # a drawing with more is not one to be nudged
MOST_ROUNDS = 16
MOST_MOVED = 24  # points that come along
MOST_MOVE_MM = 180.0
STEPS_MM = (12.0, 25.0, 40.0, 60.0, 90.0, 130.0)  # besides just what is wanted
LEAST_LEG_MM = 20.0
SAME_MM = 0.5
PAST_MM = 3.0  # between a pipe and the outlet of another fixture that it passes
AXES: tuple[XY, ...] = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
STAY = frozenset({PointKind.FLANGE, PointKind.TRAP, PointKind.SEWER, PointKind.AAV})
BETTER = 1.0  # so much less lacks, or it is not worth the move [mm]


def settle(work: Work) -> None:
    """Move points of a drawing whose heights are solved, as long as that makes it better."""
    hand = Hand(work)
    found = hand.look.faults(hand.live)
    if len(found) > MOST_FAULTS:
        return
    hopeless: set[tuple[int, ...]] = set()
    for _ in range(MOST_ROUNDS):
        todo = [f for f in found if f.edges and f.edges not in hopeless]
        if not todo:
            return
        if not hand.mended(todo[0]):
            hopeless.add(todo[0].edges)
        found = hand.look.faults(hand.live)


def _score(found: list[Fault]) -> tuple[float, float]:
    return math.fsum(f.weight for f in found), math.fsum(f.lacks for f in found)


class Hand:
    """The drawing with what hangs together in it."""

    def __init__(self, work: Work) -> None:
        self.work, self.board = work, work.board
        self.roof = Roof(work)
        self.look = Look(work)
        self.live, self.at = self.look.live, self.look.at
        self.layer: dict[int, Layer] = {
            i: router.layers[key]
            for router in work.routers.values()
            for i, key in router.edge_layer.items()
            if key in router.layers
        }
        self.arms = {i: t for t in work.traps.values() for i in t.arm}
        self.outlets = tuple(  # what comes down to a trap or a closet's pipe is no pipe of the drawing
            (t.tag, work.xy(t.need.fixture), work.board.nodes[t.weir].z or 0.0, work.gauge(t.need.arm_in).r)
            for t in work.traps.values()
            if t.need.fixture.floor_outlet and t.weir in work.board.nodes
        )
        self.moved_from: dict[int, tuple[XY, float | None]] = {}

    def mended(self, fault: Fault) -> bool:
        """Make the first move that leaves less of a fault and adds none elsewhere; return whether there is one."""
        known: dict[tuple[int, ...], tuple[float, float]] = {}  # a move that is taken back changes nothing
        for nodes, by in self._moves(fault):
            group = self._group(nodes, by)
            if group is None:
                continue
            touched = list({e.id: e for n in group for e in self.at.get(n, ())}.values())
            of = tuple(e.id for e in touched)
            if of not in known:
                known[of] = _score(self.look.faults(touched))
            before = known[of]
            stacks = [s.xy for s in self.board.stacks]
            self.moved_from = {}
            if self.moves(group, touched, by):
                after = _score(self.look.faults(self._all_touched(touched)))
                if after[0] < before[0] - 1e-6 or (after[0] < before[0] + 1e-6 and after[1] < before[1] - BETTER):
                    return True
            for i, (xy, z) in self.moved_from.items():
                self.board.nodes[i].xy, self.board.nodes[i].z = xy, z
            for s, xy in zip(self.board.stacks, stacks, strict=True):
                s.xy = xy
        return False

    def _all_touched(self, touched: list[DEdge]) -> list[DEdge]:
        """Return the pipes of a move with those whose heights followed."""
        more = {e.id: e for n in self.moved_from for e in self.at.get(n, ())}
        return list({**{e.id: e for e in touched}, **more}.values())

    def _keep(self, n: int) -> None:
        node = self.board.nodes[n]
        self.moved_from.setdefault(n, (node.xy, node.z))

    # --- which moves -------------------------------------------------------------------------------------------

    def _moves(self, f: Fault) -> Iterator[tuple[tuple[int, ...], XY]]:
        """Yield points to move and by how much, what is just wanted first."""
        wanted = f.lacks + SAME_MM
        steps = sorted({round(wanted, 1), *(s for s in STEPS_MM if s > wanted)})
        for step in (s for s in steps if s <= MOST_MOVE_MM):
            for i in f.edges:
                e = self.board.edges[i]
                for n in (e.down, e.up):
                    ways = AXES if len(f.edges) > 1 or e.plumb else self._outward(e, n)
                    for ux, uy in ways:
                        yield (n,), (ux * step, uy * step)

    def _outward(self, e: DEdge, n: int) -> tuple[XY, ...]:
        """Return the ways that make a level pipe longer at one end: along it, and along the axes it leans on."""
        far, here = self.board.nodes[e.up if n == e.down else e.down].xy, self.board.nodes[n].xy
        dx, dy = here[0] - far[0], here[1] - far[1]
        length = math.hypot(dx, dy)
        if length < SAME_MM:
            return AXES
        along = (dx / length, dy / length)
        leaning = tuple(a for a in AXES if a[0] * along[0] + a[1] * along[1] > 0.5)
        return tuple(dict.fromkeys((along, *leaning)))

    # --- one move ----------------------------------------------------------------------------------------------

    def moves(self, group: set[int], touched: list[DEdge], by: XY) -> bool:
        """Move points; False (and half done) if something would then be where it may not."""
        before = {e.id: (self.ends(e), self.why_not(e)) for e in touched}
        for n in group:
            self._keep(n)
            node = self.board.nodes[n]
            old, node.xy = node.xy, (node.xy[0] + by[0], node.xy[1] + by[1])
            if node.kind is PointKind.TERMINAL:
                if not self.roof.may(node.xy) or node.z is None:
                    return False
                node.z += self.roof.end_z(node.xy) - self.roof.end_z(old)
        for s in self.board.stacks:
            if s.foot in group or any(i in group for i in s.nodes):
                s.xy = (s.xy[0] + by[0], s.xy[1] + by[1])
        for e in touched:
            if (e.up in group) != (e.down in group) and not e.plumb and not self._new_length(e, before[e.id][0]):
                return False
        return all(self.still_good(e, *before[e.id]) for e in touched)

    def _group(self, start: Iterable[int], by: XY) -> set[int] | None:
        """Return the points that move together, None where one of them must stay."""
        group: set[int] = set()
        queue = list(start)
        while queue:
            n = queue.pop()
            if n in group:
                continue
            node = self.board.nodes[n]
            if node.fixed or node.drawn or node.kind in STAY or len(group) >= MOST_MOVED:
                return None
            group.add(n)
            for e in self.at.get(n, ()):
                m = e.down if e.up == n else e.up
                if m in group:
                    continue
                far = self.board.nodes[m].xy
                dx, dy = far[0] - node.xy[0], far[1] - node.xy[1]
                length = math.hypot(dx, dy)
                if e.plumb or length < SAME_MM or abs(dx * by[1] - dy * by[0]) > 0.01 * length * math.hypot(*by):
                    if e.drawn:
                        return None
                    queue.append(m)
        return group

    def ends(self, e: DEdge) -> tuple[XY, XY]:
        """Return the two ends of a pipe in plan."""
        return self.board.nodes[e.up].xy, self.board.nodes[e.down].xy

    def _new_length(self, e: DEdge, was: tuple[XY, XY]) -> bool:
        """Give a level pipe that became longer or shorter its fall again; False if that cannot be."""
        (a, b), (c, d) = self.ends(e), was
        now = (b[0] - a[0], b[1] - a[1])
        then = (d[0] - c[0], d[1] - c[1])
        if now[0] * then[0] + now[1] * then[1] <= 0.0 or math.hypot(*now) < LEAST_LEG_MM:
            return False
        if e.drawn:
            return False
        if e.role is Role.FOOT_VENT:  # it lies below the floor, gets wet and has to drain itself
            up, down = self.board.nodes[e.up], self.board.nodes[e.down]
            rise = (down.z or 0.0) - (up.z or 0.0)
            return rise >= self.work.demands.slope(e.size_in) * math.hypot(*now) - 1e-6
        if e.system == "vent":
            return True
        rise = e.slope * (math.hypot(*now) - math.hypot(*then))
        return self.raised(e, rise)

    def raised(self, e: DEdge, rise: float) -> bool:
        """Raise what lies level above a pipe, or lower the vent fitting an arm of fixed height ends in."""
        board = self.board
        tree, queue = {e.up}, [e.up]
        while queue:
            n = queue.pop()
            for d in self.at.get(n, ()):
                if d.down == n and not d.plumb and d.system == "drain" and d.up not in tree:
                    tree.add(d.up)
                    queue.append(d.up)
        if not any(board.nodes[n].fixed or board.nodes[n].drawn for n in tree):
            for n in tree:
                self._keep(n)
                board.nodes[n].z = (board.nodes[n].z or 0.0) + rise
            return True
        end = board.nodes[e.down]
        level = [d for d in self.at.get(e.down, ()) if not d.plumb and d.id != e.id]
        if end.fixed or end.drawn or level:
            return False
        self._keep(e.down)
        end.z = (end.z or 0.0) - rise
        return True

    # --- may it be there ----------------------------------------------------------------------------------------

    def still_good(self, e: DEdge, was: tuple[XY, XY], why: str) -> bool:
        """Return whether a pipe lies where it may, or at least no worse than before."""
        now = self.why_not(e)
        if now and now != why:
            return False
        return not now or _on_one_line(*was, *self.ends(e))

    def why_not(self, e: DEdge) -> str:
        """Return why a pipe cannot be where it is, "" if it can."""
        a, b = self.board.nodes[e.up], self.board.nodes[e.down]
        g = self.work.gauge(e.size_in)
        lo, hi = sorted((a.z or 0.0, b.z or 0.0))
        if why := self._too_far(e) or self._out_of_box(e, a.xy, b.xy, g):
            return why
        if e.plumb:
            return self._stands(a.xy, lo, hi, g) or self._stands(b.xy, lo, hi, g)
        if e.place.kind == "wall":
            return self._in_wall(e.place.ref, a.xy, b.xy, lo, hi, g)
        if why := self._past_outlet(e, a.xy, b.xy, hi, g):
            return why
        layer = self.layer.get(e.id) or self.work.space.layers.get(f"attic:{e.place.ref}")
        if layer is None:
            return ""
        leg = self.work.space.leg(layer, a.xy, b.xy, g)
        if leg is None:
            return "no leg"
        return "" if layer.kind == "attic" or (leg.at(lo) and leg.at(hi)) else "height"

    def _too_far(self, e: DEdge) -> str:
        """Return whether a trap arm is longer than the book lets it be."""
        t = self.arms.get(e.id)
        if t is None:
            return ""
        mm = sum(self.board.plan(self.board.edges[i]) for i in t.arm if i in self.board.edges)
        return "arm too long" if mm > self.work.arm_left(t) else ""

    def _past_outlet(self, e: DEdge, a: XY, b: XY, hi: float, g: Gauge) -> str:
        """Return whether a lying pipe runs through what comes down from another fixture's outlet."""
        for tag, xy, foot_z, r in self.outlets:
            near = r + g.r + PAST_MM
            if tag == e.tag or hi < foot_z - near:
                continue
            if point_segment(Vec(*xy, 0.0), Vec(*a, 0.0), Vec(*b, 0.0)) < near:
                return f"through the outlet of {tag}"
        return ""

    def _out_of_box(self, e: DEdge, a: XY, b: XY, g: Gauge) -> str:
        """Return whether a pipe of a cabinet stands outside it."""
        box = self.work.house.cabinet(e.place.ref) if e.place.kind == "cabinet" else None
        return "" if box is None or all(inside(box.box, xy, g.r) for xy in (a, b)) else "out of its cabinet"

    def _stands(self, xy: XY, lo: float, hi: float, g: Gauge) -> str:
        work, p = self.work, Vec(xy[0], xy[1], 0.0)
        for w in work.house.walls:
            s, off = w.station(p), w.offset(p)
            z0, z1 = max(lo, w.bottom_z_mm), min(hi, w.top_at(s))
            if z1 - z0 < 1.0 or not 0.0 < s < w.length_mm or abs(off) > w.depth_mm / 2 + g.r:
                continue
            if abs(off) > max(0.0, w.depth_mm / 2 - g.hub_r) + SAME_MM:
                return f"out of {w.id}"
            if why := work.cavity.stands(w, s, z0, z1, g, off):
                return why
        return work.cavity.stands_in(xy, lo, hi, g)

    def _in_wall(self, wall_id: str, a: XY, b: XY, lo: float, hi: float, g: Gauge) -> str:
        w = self.work.house.wall(wall_id)
        p, q = Vec(a[0], a[1], 0.0), Vec(b[0], b[1], 0.0)
        if abs(w.station(p) - w.station(q)) < abs(w.offset(p) - w.offset(q)):
            return ""  # it comes in square to the wall
        most = w.depth_mm / 2 - g.r + SAME_MM
        if abs(w.offset(p)) > most or abs(w.offset(q)) > most:
            return f"out of {w.id}"
        return self.work.cavity.lies(w, w.station(p), w.station(q), (lo + hi) / 2, g)


def _on_one_line(a: XY, b: XY, c: XY, d: XY) -> bool:
    """Return whether a pipe still lies on the line it lay on: only its length is another."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(ux, uy)
    if length < SAME_MM:
        return math.hypot(c[0] - a[0], c[1] - a[1]) < SAME_MM
    return all(abs((v[0] - a[0]) * uy - (v[1] - a[1]) * ux) / length < SAME_MM for v in (c, d))
