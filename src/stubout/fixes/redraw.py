"""Pipes drawn anew: runs taken out, runs drawn in, points that become something else. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass, replace

from stubout.design import Change, Design
from stubout.fixes.graph import Sketch, relaid, sketch_of
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import CleanoutPlan, Place, PointKind, Role, Run, TrapPlan


@dataclass(frozen=True, slots=True)
class On:
    """A place on a run: the run is cut there and the new pipe joins."""

    run: str
    at: Vec


@dataclass(frozen=True, slots=True)
class End:
    """A new end of a pipe: terminal, valve, cleanout, trap."""

    at: Vec
    kind: PointKind
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Of:
    """Where another line of the same drawing ends."""

    line: int  # drawn before


Anchor = str | On | End | Of  # a point that is there, a place on a run, a new end, the end of another line


@dataclass(frozen=True, slots=True)
class Line:
    """One pipe drawn in, from its start over some points to its end."""

    stem: str  # the new pipes are called so, with a number
    system: str
    size_in: float
    start: Anchor
    end: Anchor
    through: tuple[Vec, ...] = ()
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Redraw:
    """Runs out, runs in, points changed, cleanouts with them."""

    kind: str
    what: tuple[str, ...]
    was: str
    to: str
    words: str
    gone: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    kinds: tuple[tuple[str, PointKind], ...] = ()
    plans: tuple[tuple[int, CleanoutPlan], ...] = ()  # which line's start opens there, and the cleanout
    trap: TrapPlan | None = None  # of a fixture whose arm is drawn: its weir is the start of the first line
    taps: tuple[tuple[int, Vec, CleanoutPlan], ...] = ()  # cleanouts in a line: which, at which place
    at_points: tuple[tuple[str, CleanoutPlan], ...] = ()  # cleanouts at points that are there

    def on(self, design: Design) -> Design:
        """Return the design with the pipes as drawn."""
        sketch = sketch_of(design)
        for run_id in self.gone:
            del sketch.runs[run_id]
        starts: list[str] = []
        ends: list[str] = []
        for line in self.lines:
            start, end = _drawn(sketch, line, design.house, ends)
            starts.append(start)
            ends.append(end)
        tapped = tuple(replace(c, point=_tapped(sketch, self.lines[i].stem, at)) for i, at, c in self.taps)
        for node, kind in self.kinds:
            sketch.points[node] = replace(sketch.points[node], kind=kind)
        used = {n for r in sketch.runs.values() for n in (r.start, r.end)}
        lone = {i for i in sketch.points if i not in used}
        sketch.points = {i: p for i, p in sketch.points.items() if i not in lone}
        if self.trap is not None:
            trap = replace(self.trap, weir=starts[0])
            others = tuple(t for t in design.network.traps if t.tag != trap.tag)
            design = replace(design, network=replace(design.network, traps=(*others, trap)))
        new = relaid(design, sketch)
        plans = tuple(replace(plan, point=starts[i]) for i, plan in self.plans)
        there = tuple(replace(plan, point=node) for node, plan in self.at_points)
        return replace(new, cleanouts=(*new.cleanouts, *plans, *tapped, *there))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        return Change(self.kind, self.what, self.was, self.to, self.words)


def _drawn(sketch: Sketch, line: Line, house: House, ends: list[str]) -> tuple[str, str]:
    """Put a line into a sketch; return the points it starts and ends at."""
    start = _anchored(sketch, line.start, line.stem, ends)
    here = start
    turns = [sketch.add(p, PointKind.TURN, line.stem) for p in line.through]
    end = _anchored(sketch, line.end, line.stem, ends)
    for nxt in (*turns, end):
        name = sketch.new_id(f"{line.stem}+")
        sketch.join(
            Run(
                name,
                "drain" if line.system == "drain" else "vent",
                Role.DRAIN if line.system == "drain" else Role.VENT,
                here,
                nxt,
                Place("room"),
                line.size_in,
                line.tag,
            ),
            house,
        )
        here = nxt
    return start, end


def _anchored(sketch: Sketch, anchor: Anchor, stem: str, ends: list[str]) -> str:
    if isinstance(anchor, str):
        return anchor
    if isinstance(anchor, Of):
        return ends[anchor.line]
    if isinstance(anchor, End):
        return sketch.add(anchor.at, anchor.kind, stem, anchor.tag)
    run = _piece(sketch, anchor.run, anchor.at)
    for node in (run.start, run.end):
        if sketch.points[node].at.to(anchor.at) < 1.0:
            return node
    kind = PointKind.TIE_IN if run.system == "vent" else PointKind.JUNCTION
    return sketch.split(run.id, anchor.at, kind)


def _piece(sketch: Sketch, run_id: str, at: Vec) -> Run:
    """Return the run, or the piece cut off it by another line, that a place lies on."""
    pieces = [r for i, r in sketch.runs.items() if i == run_id or i.startswith(f"{run_id}+")]
    return min(pieces, key=lambda r: _off(sketch.points[r.start].at, sketch.points[r.end].at, at))


def _off(a: Vec, b: Vec, at: Vec) -> float:
    return at.to(a) + at.to(b) - a.to(b)


def _tapped(sketch: Sketch, stem: str, at: Vec) -> str:
    """Cut a run of a line in two at a cleanout and return the point."""
    mine = [r for i, r in sketch.runs.items() if i.startswith(f"{stem}+")]
    run = min(mine, key=lambda r: _off(sketch.points[r.start].at, sketch.points[r.end].at, at))
    return sketch.split(run.id, at, PointKind.CLEANOUT)
