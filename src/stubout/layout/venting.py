"""Vents in the order they are drawn: loops and valves, stack vents, the fixtures' own, the attic. Lengths [mm]."""

from __future__ import annotations

from stubout.geometry.vec import Vec
from stubout.layout.adopt_vents import adopt_vents, attic_riser, tie_in_attic
from stubout.layout.breathing import vent_sizes
from stubout.layout.cavity_shapes import Spot
from stubout.layout.main_riser import main_vent_out, plan_main_vent
from stubout.layout.model import Role, VentMethod
from stubout.layout.vent_attic import attic_ends, gather
from stubout.layout.vent_loops import draw_loop, draw_valve
from stubout.layout.vent_upward import Upward
from stubout.layout.vent_ways import VentWays
from stubout.layout.work import TrapDraft, Work


class Venting:
    """Draws all vents after the drains have their heights."""

    def __init__(self, work: Work, tie_above_rim_mm: float, first: str = "") -> None:
        self.work = work
        self.first = first  # the fixture whose vent is drawn before the others, "" for none
        self.ways = VentWays(work, tie_above_rim_mm)
        self.roof = self.ways.roof
        self.trap_runs: dict[str, list[int]] = {}
        self.upward = Upward(self.ways, self.trap_runs)
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
                runs = draw_loop(work, self.upward, trap)
                if runs:
                    self.trap_runs[trap.tag] = runs
            elif trap.method is VentMethod.AAV:
                self.trap_runs[trap.tag] = draw_valve(work, trap)
        for i, s in enumerate(work.board.stacks):
            if s.vent_ok and not s.vented:
                self._stack_vent(i)
        todo = own_vents(work)
        self.sizes = vent_sizes(work)
        plan_main_vent(self.ways, self.upward, todo, self.sizes)
        todo.sort(key=lambda t: (-work.house.level(t.need.fixture.level_id).order, -self.sizes[t.tag], t.tag))
        # those that rise straight go first, so that the others find something to tie into
        straight = [t for t in todo if self._straight(t)]
        usual = [*straight, *[t for t in todo if t not in straight]]
        for t in sorted(usual, key=lambda t: t.tag != self.first):
            self._individual(t)
        for level_id in sorted(self.ways.attic_ends):
            self._attic(level_id)
        main_vent_out(work)

    def _straight(self, t: TrapDraft) -> bool:
        assert t.spot is not None
        z = self.work.board.nodes[t.takeoff].z or 0.0
        g = self.work.gauge(self.sizes[t.tag])
        rise = self.work.cavity.rise(t.spot, max(z, t.spot.wall.bottom_z_mm), g)
        return rise.ends == "attic" or (rise.ends == "roof" and self.roof.exit(t.spot.xy, rise.top) is not None)

    def _individual(self, t: TrapDraft) -> None:
        assert t.spot is not None
        node = self.work.board.nodes[t.takeoff]
        runs = self.upward.draw(node, t.spot, self.sizes[t.tag], (t.tag,), Role.VENT)
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
        turns = self.ways.tie_height(level)
        why = "no wall stands over it"
        most = s.top_in or s.size_in  # a vent larger than its stack is of no use
        for size in (v for v in (3.0, 2.0, 1.5) if v <= most):
            g = work.gauge(size)
            for w in work.cavity.walls_of(level):
                st, off = w.station(p), w.offset(p)
                if not 0 < st < w.length_mm or abs(off) > max(0.0, w.depth_mm / 2 - g.hub_r) + 0.5:
                    continue
                bay = w.bay_at(st)
                high = self.ways.turns_at(w, st, min(w.top_at(st), turns))
                why = work.cavity.clear(w, st, w.bottom_z_mm, high, g, off)
                if bay is None or why:
                    continue
                if self.upward.draw(top, Spot(w, bay, st, off), size, (), Role.STACK_VENT, quiet=size > 1.5):
                    return
        if why and not s.drawn:  # what is drawn by hand is told of as it is drawn
            tags = tuple(sorted({n.tag for n in nodes if n.tag})) or ("stack vent",)
            work.block(tags, f"no way out for the vent of a stack: {why}", "another place for the stack")

    def _attic(self, level_id: str) -> None:
        """Bring the vents of an attic together and out of the roof, or into a drawn riser."""
        ends = attic_ends(self.ways, level_id)
        drawn_riser = attic_riser(self.work, level_id, max(e.size_in for e in ends))
        for group in [ends] if drawn_riser is not None else self.roof.groups(ends):
            root = gather(self.ways, level_id, group, drawn_riser)
            if root is None:
                continue
            if drawn_riser is not None:
                tie_in_attic(self, drawn_riser, root)
            else:
                self.roof.terminal(root, max(e.size_in for e in group), "")


def own_vents(work: Work) -> list[TrapDraft]:
    """Return the traps that breathe through a vent of their own, each where it may rise."""
    return [t for t in work.traps.values() if t.method is VentMethod.INDIVIDUAL and t.takeoff and t.spot is not None]
