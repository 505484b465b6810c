"""Points and runs of a finished design changed: what hangs on them is reckoned anew, everything else stays as it is.

Only differences are taken over: a value of the design that the change does not touch keeps what it has, also where it
is not what the engine would give it. So a fix is never praised for what mere reckoning anew would have done. [mm].
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.complete import dead_ends, drawn_marks
from stubout.layout.drawn import kinds_of, trap_of
from stubout.layout.flowgraph import Flow, flow_of, reach_of
from stubout.layout.model import Blocked, Layout, Point, PointKind, Role, Run, StubMark, TrapPlan
from stubout.layout.places import place_of
from stubout.layout.roles import roles_of
from stubout.network.build import faults_of, flow_order, tags_upstream
from stubout.network.loads import load_of
from stubout.network.measure import measure_of
from stubout.network.model import Network, Node, Pipe
from stubout.network.vents import developed_lengths, served_by

OPEN_ENDS = (PointKind.TERMINAL, PointKind.AAV, PointKind.CLEANOUT, PointKind.CAP)


@dataclass(slots=True)
class Sketch:
    """Points and runs in work."""

    points: dict[str, Point]
    runs: dict[str, Run]

    def new_id(self, stem: str) -> str:
        """Return an id that no point and no run has."""
        number = 1
        while f"{stem}{number}" in self.points or f"{stem}{number}" in self.runs:
            number += 1
        return f"{stem}{number}"

    def add(self, at: Vec, kind: PointKind, stem: str, tag: str = "") -> str:
        """Put a point down and return its id."""
        name = self.new_id(f"{stem}+")
        self.points[name] = Point(name, at, kind, tag)
        return name

    def split(self, run_id: str, at: Vec, kind: PointKind) -> str:
        """Cut a run in two at a place on it and return the new point; the upper part keeps the name."""
        run = self.runs[run_id]
        node = self.add(at, kind, run_id)
        self.runs[run_id] = replace(run, end=node)
        rest = self.new_id(f"{run_id}+")
        self.runs[rest] = replace(run, id=rest, start=node)
        return node

    def join(self, run: Run, house: House) -> None:
        """Add a run; its place in the frame is looked up."""
        a, b = self.points[run.start].at, self.points[run.end].at
        self.runs[run.id] = replace(run, place=place_of(house, a, b))


def sketch_of(design: Design) -> Sketch:
    """Return the points and runs of a design."""
    layout = layout_of(design)
    return Sketch({p.id: p for p in layout.points}, {r.id: r for r in layout.runs})


def layout_of(design: Design) -> Layout:
    """Return the layout a finished design amounts to."""
    net = design.network
    points = tuple(Point(n.id, n.at, n.kind, n.tag) for n in net.nodes)
    runs = tuple(map(_run, net.pipes))
    return Layout(points, runs, net.traps, design.stubs, design.cleanouts, design.blocked)


@dataclass(slots=True)
class _Reckoned:
    """What the engine would make of points and runs."""

    house: House
    points: Mapping[str, Point]
    runs: Mapping[str, Run]
    old: tuple[TrapPlan, ...]
    flow: Flow = field(init=False)
    traps: dict[str, TrapPlan] = field(init=False)
    roles: dict[str, Role] = field(init=False)
    kinds: dict[str, PointKind] = field(init=False)

    def __post_init__(self) -> None:
        at = {i: p.at for i, p in self.points.items()}
        self.flow = flow_of([r for r in self.runs.values() if r.start in at and r.end in at], at)
        weirs = {t.tag: t.weir for t in self.old if t.weir in at}
        reaches = {tag: reach_of(self.flow, node) for tag, node in weirs.items()}
        ends = {i: p.kind for i, p in self.points.items() if p.kind in OPEN_ENDS}
        self.traps = {tag: trap_of(self.house, self.flow, tag, weirs, reaches, ends) for tag in weirs}
        access = {i for i, p in self.points.items() if p.kind is PointKind.CLEANOUT}
        self.roles = roles_of(self.house, self.flow, self.traps, access)
        sewer = {i for i, p in self.points.items() if p.kind is PointKind.SEWER}
        runs = {i: replace(r, role=self.roles[i]) for i, r in self.flow.runs.items()}
        self.kinds = kinds_of(self.house, self.flow, sewer, tuple(self.traps.values()), runs, ends)


def relaid(design: Design, sketch: Sketch) -> Design:
    """Return the design with other points and runs; the lists of what is cut and bored are not made anew.

    Args:
        design: The design as it stands.
        sketch: Its points and runs after the change.
    """
    before, after = _reckonings(design, sketch)
    house, book = design.house, design.book
    traps = tuple(
        _trap(t, before.traps.get(t.tag), after.traps.get(t.tag))
        for t in design.network.traps
        if t.weir in after.points
    )
    old_up, new_up = tags_upstream(before.flow, design.network.traps), tags_upstream(after.flow, traps)
    old_served, new_served = served_by(before.flow, design.network.traps), served_by(after.flow, traps)
    lengths = _lengths(design, before), _lengths(design, after)
    fixtures = {f.tag: f for f in house.fixtures}
    sizes = {t.tag: t.trap_in for t in traps}
    wet = {i for t in traps for i in t.wet_through}
    known = {p.id: p for p in design.network.pipes}
    pipes: list[Pipe] = []
    for run_id in flow_order(after.flow):
        run = after.flow.runs[run_id]
        a, b = after.flow.at[run.start], after.flow.at[run.end]
        tags = new_up[run_id] if run.system == "drain" else new_served[run_id]
        had = old_up.get(run_id) if run.system == "drain" else old_served.get(run_id)
        stem = known.get(run_id) or known.get(run_id.rpartition("+")[0])
        same = stem is not None and tags == had
        load = (
            stem.load
            if same and stem is not None
            else load_of(book, [fixtures[t] for t in sorted(tags) if t in fixtures], sizes).value
        )
        role = after.roles[run_id]
        if run_id in before.roles and before.roles[run_id] is role:
            role = known[run_id].role
        length = lengths[1].get(run_id, 0.0)
        if run_id in lengths[0]:
            length += known[run_id].vent_length_mm - lengths[0][run_id]
        pipes.append(
            Pipe(
                id=run_id,
                system=run.system,
                role=role,
                start=run.start,
                end=run.end,
                a=a,
                b=b,
                place=run.place,
                tag=run.tag,
                size_in=run.size_in,
                load=load,
                tags=stem.tags if same and stem is not None else tuple(sorted(tags)),
                wet=run.system == "drain" and run_id in wet,
                vent_length_mm=length,
                drawn=run.drawn,
                vents_by=run.vents_by,
                said=run.said,
                material=run.material,
            )
        )
    new = replace(
        design,
        network=Network(_nodes(sketch, before, after), tuple(pipes), traps),
        cleanouts=tuple(c for c in design.cleanouts if c.point in sketch.points),
    )
    new = replace(new, blocked=_blocked(design, sketch, layout_of(new)))
    return replace(new, stubs=marks_follow(design, new))


def _reckonings(design: Design, sketch: Sketch) -> tuple[_Reckoned, _Reckoned]:
    old = sketch_of(design)
    traps = design.network.traps
    return (
        _Reckoned(design.house, old.points, old.runs, traps),
        _Reckoned(design.house, sketch.points, sketch.runs, traps),
    )


def _trap(old: TrapPlan, before: TrapPlan | None, after: TrapPlan | None) -> TrapPlan:
    if before is None or after is None or before == after:
        return old
    return replace(after, trap_in=old.trap_in, weir_z_mm=old.weir_z_mm + after.weir_z_mm - before.weir_z_mm)


def _lengths(design: Design, reckoned: _Reckoned) -> dict[str, float]:
    return developed_lengths(reckoned.flow, reckoned.roles, measure_of(design.book.family))


def _nodes(sketch: Sketch, before: _Reckoned, after: _Reckoned) -> tuple[Node, ...]:
    flow = after.flow

    def kind(p: Point) -> PointKind:
        now = after.kinds[p.id]
        return p.kind if before.kinds.get(p.id) is now or p.kind in OPEN_ENDS else now

    return tuple(
        Node(
            p.id,
            p.at,
            kind(p),
            p.tag,
            (*flow.drains_in.get(p.id, ()), *flow.vents_in.get(p.id, ())),
            (*flow.drains_out.get(p.id, ()), *flow.vents_out.get(p.id, ())),
        )
        for p in sketch.points.values()
    )


def _blocked(design: Design, sketch: Sketch, after: Layout) -> tuple[Blocked, ...]:
    """Return what is blocked after a change: a fault of a run that was changed stays only where it is still true."""
    old = sketch_of(design)
    changed = {i for i, r in sketch.runs.items() if old.runs.get(i) != r} | set(old.runs) - set(sketch.runs)
    changed |= {r.id for r in sketch.runs.values() if sketch.points[r.end] != old.points.get(r.end)}
    legs = {leg_of(i) for i in changed} | changed
    now = faults_of(after)
    ends = dead_ends(design.house, after.points, after.runs, after.traps, {})
    told = {leg_of(i) for b in (*now, *ends) for i in b.about}
    kept = tuple(b for b in design.blocked if not set(b.about) & legs or {leg_of(i) for i in b.about} & told)
    before = set(faults_of(layout_of(design)))
    return (*kept, *(b for b in now if b not in before and b not in kept))


def leg_of(run_id: str) -> str:
    """Return the drawn route a run is part of: "S1.3" and what was cut off it are parts of "S1"."""
    stem = run_id.partition("+")[0]
    return stem.rpartition(".")[0] or stem


def marks_follow(before: Design, after: Design) -> tuple[StubMark, ...]:
    """Return the stub-outs moved by as much as their arms now pass the finished wall, or end, elsewhere."""
    was, now = (_arms(d) for d in (before, after))
    moved = frozenset(tag for tag in now if now[tag] != was.get(tag))
    if not moved:
        return after.stubs
    olds, news = ({m.tag: m for m in arm_marks(d, moved)} for d in (before, after))
    out = []
    for mark in after.stubs:
        old, new = olds.get(mark.tag), news.get(mark.tag)
        if old is None or new is None or old == new:
            out.append(mark)
            continue
        out.append(
            replace(
                mark,
                station_mm=mark.station_mm + new.station_mm - old.station_mm,
                mark_z_mm=mark.mark_z_mm + new.mark_z_mm - old.mark_z_mm,
                place=new.place,
            )
        )
    return tuple(out)


def _arms(design: Design) -> dict[str, tuple[tuple[Vec, Vec], ...]]:
    """Return where the pieces of every arm lie, by fixture."""
    net = design.network
    known = {p.id: (p.a, p.b) for p in net.pipes}
    return {t.tag: tuple(known[i] for i in t.arm_runs if i in known) for t in net.traps}


def arm_marks(design: Design, tags: frozenset[str] | None = None) -> tuple[StubMark, ...]:
    """Return the stub-outs where the arms pass the finished walls, or meet their risers clear of them.

    Args:
        design: The design.
        tags: Only those of some fixtures.
    """
    net = design.network
    traps = tuple(t for t in net.traps if tags is None or t.tag in tags)
    pipes = [net.pipe(i) for t in traps for i in t.arm_runs]
    ends = dict.fromkeys(n for p in pipes for n in (p.start, p.end))
    points = tuple(Point(i, net.node(i).at, net.node(i).kind, net.node(i).tag) for i in ends)
    marks = tuple(m for m in design.stubs if tags is None or m.tag in tags)
    return drawn_marks(design.house, marks, traps, points, tuple(map(_run, pipes)))


def _run(p: Pipe) -> Run:
    system: Literal["drain", "vent"] = "drain" if p.system == "drain" else "vent"
    return Run(p.id, system, p.role, p.start, p.end, p.place, p.size_in, p.tag, p.drawn, p.vents_by, p.said, p.material)


def measured_on(before: Design, after: Design) -> Design:
    """Return the changed design, same pipes, with its vents as much longer or shorter as the change made them."""
    laid = {p.id: (p.a, p.b) for p in before.network.vents()}
    if all(laid.get(p.id) == (p.a, p.b) for p in after.network.vents()):
        return after
    was, now = (_developed(d) for d in (before, after))
    pipes = tuple(
        replace(p, vent_length_mm=p.vent_length_mm + now[p.id] - was[p.id]) if p.id in now else p
        for p in after.network.pipes
    )
    return replace(after, network=Network(after.network.nodes, pipes, after.network.traps))


def _developed(design: Design) -> dict[str, float]:
    net = design.network
    flow = flow_of(layout_of(design).runs, {n.id: n.at for n in net.nodes})
    return developed_lengths(flow, {p.id: p.role for p in net.pipes}, measure_of(design.book.family))
