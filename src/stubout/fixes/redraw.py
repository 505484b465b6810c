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


Anchor = str | On | End  # a point that is there, a place on a run, a new end


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

    def on(self, design: Design) -> Design:
        """Return the design with the pipes as drawn."""
        sketch = sketch_of(design)
        for run_id in self.gone:
            del sketch.runs[run_id]
        starts = [_drawn(sketch, line, design.house) for line in self.lines]
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
        return replace(new, cleanouts=(*new.cleanouts, *plans))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        return Change(self.kind, self.what, self.was, self.to, self.words)


def _drawn(sketch: Sketch, line: Line, house: House) -> str:
    """Put a line into a sketch; return the point it starts at."""
    start = _anchored(sketch, line.start, line.stem)
    here = start
    turns = [sketch.add(p, PointKind.TURN, line.stem) for p in line.through]
    end = _anchored(sketch, line.end, line.stem)
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
    return start


def _anchored(sketch: Sketch, anchor: Anchor, stem: str) -> str:
    if isinstance(anchor, str):
        return anchor
    if isinstance(anchor, End):
        return sketch.add(anchor.at, anchor.kind, stem, anchor.tag)
    run = sketch.runs[anchor.run]
    for node in (run.start, run.end):
        if sketch.points[node].at.to(anchor.at) < 1.0:
            return node
    kind = PointKind.TIE_IN if run.system == "vent" else PointKind.JUNCTION
    return sketch.split(anchor.run, anchor.at, kind)
