"""Where sawing and make-ups, stacked up along a run, could carry a mark out of its window. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stubout.design import Design, Window
from stubout.fabrication.model import RunTolerance
from stubout.house.framing import Wall
from stubout.network.model import Pipe

ALONG_WALL = 0.95  # cosine of the angle within which a run counts as lying along its wall


@dataclass(frozen=True, slots=True)
class StackUp:
    """A mark that a run could carry out of its window, in one direction."""

    wall: str
    kind: str  # of the mark
    about: str  # fixture tag or node
    direction: str
    window_mm: float
    run: tuple[str, ...]  # pipe ids
    worst_mm: float
    likely_mm: float
    check: str  # that would speak
    name: str


def stack_ups(design: Design, windows: tuple[Window, ...]) -> tuple[StackUp, ...]:
    """Return every mark at the end of a run whose stack-up is more than its window, the order of the windows kept.

    An upright run carries its ends up and down, a run along the wall carries them along it. The slope of what lies
    beside an upright run is among the windows: the check of the slope binds them.

    Args:
        design: The design.
        windows: How far its marks may be off.
    """
    walls = {w.id: w for w in design.house.walls}
    tags = {t.tag: t.arm_runs for t in design.network.traps}
    out: dict[tuple[str, str, str, str], StackUp] = {}
    for w in windows:
        if not w.bound or w.direction in ("out", "in") or w.kind not in ("fitting", "stub", "floor"):
            continue
        nodes = {w.about} if w.kind == "fitting" else {design.network.pipe(i).start for i in tags.get(w.about, ())[:1]}
        for run in _ending(design, nodes):
            if not _moves(design, run, w, walls) or run.worst_mm <= w.amount_mm + 1e-6:
                continue
            key = (w.wall, w.kind, w.about, w.direction)
            if key in out and out[key].worst_mm >= run.worst_mm:
                continue  # the longest stack at a mark tells of the others
            out[key] = StackUp(*key, w.amount_mm, run.pipes, run.worst_mm, run.likely_mm, w.check, w.name)
    return tuple(out.values())


def _ending(design: Design, nodes: set[str]) -> Iterator[RunTolerance]:
    known = {p.id for p in design.network.pipes}
    for run in design.fabrication.tolerances:
        pipes = [design.network.pipe(i) for i in run.pipes if i in known]
        if nodes & {n for p in pipes for n in (p.start, p.end)}:
            yield run


def _moves(design: Design, run: RunTolerance, window: Window, walls: dict[str, Wall]) -> bool:
    """Return whether an error of a run moves a mark in the direction of its window."""
    pipe: Pipe = design.network.pipe(run.pipes[0])
    if window.direction in ("up", "down"):
        return pipe.vertical
    wall = walls.get(window.wall)
    if wall is None or pipe.vertical or pipe.length_mm < 1.0:
        return False
    return abs(pipe.b.minus(pipe.a).unit().dot(wall.along)) >= ALONG_WALL
