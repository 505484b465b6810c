"""The windows of all marks on the wall sheets: moved on a copy of the design until a silent check would speak.

What goes along with a mark is `moves.carried`: a riser with its fittings and stub-outs, an arm with its trap. How far
it goes, to 1 mm or 1/16 in, is `course.first`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from stubout import units
from stubout.checks.base import Answers
from stubout.design import Design, Direction, Window
from stubout.geometry.vec import Vec
from stubout.house.framing import Side, Wall
from stubout.layout.model import PointKind
from stubout.problems import Finding
from stubout.sheets.wall_facts import Mark, marks, sides_with_work
from stubout.windows import table
from stubout.windows.course import Course
from stubout.windows.judge import Judge
from stubout.windows.looks import Looks, looks_of
from stubout.windows.moves import carried, marked_nodes
from stubout.windows.near import Boxes, boxes_of

STEPS = {"mm": 1.0, "inch": units.MM_PER_INCH / 16}
MOST = {"mm": 100, "inch": 64}  # steps: 100 mm, 4 in
WAYS: dict[str, tuple[Direction, ...]] = {
    "stub": ("up", "down", "away", "back"),
    "stud hole": ("up", "down", "out", "in"),
    "plate hole": ("away", "back", "out", "in"),
    "riser": ("away", "back", "out", "in"),
    "floor": ("up", "down", "away", "back", "out", "in"),
    "cleanout": ("up", "down", "away", "back"),
    "fitting": ("up", "down", "away", "back"),
    "standpipe": (),  # cut to length and box nailed up as the job says: no point of the network moves with them
    "box": (),
}
RISER_WAYS: tuple[Direction, ...] = (*WAYS["stub"], "out", "in")  # of an arm's riser that is clear of the wall


@dataclass(slots=True)
class _Solver:
    """One design: what was solved once is not solved again for the next mark on the same pipes."""

    design: Design
    boxes: Boxes = field(init=False)
    looks: Looks = field(init=False)
    answers: Answers = field(default_factory=Answers)
    judges: dict[frozenset[str], Judge] = field(default_factory=dict)
    solved: dict[tuple[frozenset[str], Vec], tuple[int, Finding | None]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.boxes = boxes_of(self.design)
        self.looks = looks_of(self.design, (one for ids in table.WIDE for one in table.checks_of(ids)))

    @property
    def step_mm(self) -> float:
        return STEPS[self.design.house.job.units]

    @property
    def most(self) -> int:
        return MOST[self.design.house.job.units]

    def solve(self, nodes: frozenset[str], way: Vec) -> tuple[int, Finding | None]:
        """Return how many steps the nodes may go along a direction, and what is said one step farther."""
        key = (nodes, Vec(round(way.x, 6) + 0.0, round(way.y, 6) + 0.0, round(way.z, 6) + 0.0))
        if key not in self.solved:
            self.solved[key] = self._solve(nodes, way)
        return self.solved[key]

    def _solve(self, nodes: frozenset[str], way: Vec) -> tuple[int, Finding | None]:
        if nodes not in self.judges:
            most_mm = (self.most + 1) * self.step_mm
            self.judges[nodes] = Judge(self.design, nodes, most_mm, self.boxes, self.looks, self.answers)
        return Course(self.judges[nodes], way, self.step_mm, self.most).first()


def windows(design: Design, about: str = "") -> tuple[Window, ...]:
    """Return the windows of the marks on the wall sheets, in the order they are printed.

    Args:
        design: The design.
        about: Id of the only marks wanted, in any case; "" for all.
    """
    solver = _Solver(design)
    return tuple(
        window
        for wall in design.house.walls
        for side in sides_with_work(design, wall)
        for mark in marks(design, wall, side)
        if about.casefold() in ("", mark.about.casefold())
        for window in _of_mark(solver, wall, side, mark)
    )


def _of_mark(solver: _Solver, wall: Wall, side: Side, mark: Mark) -> Iterator[Window]:
    seeds = seeds_of(solver.design, mark)
    if not seeds:
        return
    riser = frozenset({marked_nodes(solver.design)[mark.about]}) if mark.clear else seeds
    for direction in RISER_WAYS if mark.clear else WAYS[mark.kind]:
        way = way_of(wall, side, direction)
        nodes = carried(solver.design.network, seeds if way.z else riser, way)  # an arm goes up and down with its trap
        if not nodes:
            continue
        steps, said = solver.solve(nodes, way)
        yield Window(
            wall=wall.id,
            side=side,
            kind=mark.kind,
            about=mark.about,
            direction=direction,
            amount_mm=steps * solver.step_mm,
            bound=said is not None,
            check=said.check if said else "",
            name=said.name if said else "",
            words=f"{said.found}; wanted {said.wanted}" if said else "",
            bases=said.bases if said else (),
        )


def way_of(wall: Wall, side: Side, direction: Direction) -> Vec:
    """Return a direction of a wall sheet in house coordinates, length one."""
    out = wall.leftward.times(1.0 if side == "left" else -1.0)
    along = Vec(wall.along.x, wall.along.y)
    ways: dict[Direction, Vec] = {
        "up": Vec(0.0, 0.0, 1.0),
        "down": Vec(0.0, 0.0, -1.0),
        "away": along,
        "back": along.times(-1.0),
        "out": out,
        "in": out.times(-1.0),
    }
    return ways[direction]


def seeds_of(design: Design, mark: Mark) -> frozenset[str]:
    """Return the nodes a mark stands for; empty if the network has none of them."""
    net = design.network
    if mark.kind in ("stub", "floor"):
        kinds = (PointKind.TRAP, PointKind.FLANGE)
        return frozenset(n.id for n in net.nodes if n.tag == mark.about and n.kind in kinds)
    if mark.kind == "fitting":
        return frozenset({mark.about})
    if mark.kind == "cleanout":
        return frozenset(c.point for c in design.cleanouts if c.id == mark.about)
    ids = {b.pipe for b in design.fabrication.bores if b.id == mark.about} | {mark.about}
    return frozenset(n for p in net.pipes if p.id in ids for n in (p.start, p.end))
