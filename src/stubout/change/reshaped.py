"""Other shapes of a place where a fitting has no room: what is tried where moving it a little will not do. [mm].

Each changes one short run of pipe: leaned over at 45 degrees, its corner cut, taken out so that what it joined meets in
one fitting or goes straight on, or parted where a tee has to stand beside a turn. Nothing here knows whether a shape
may be: the house is finished, eased and checked again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec
from stubout.layout.model import Layout, Point, PointKind, Role, Run, TrapPlan

SHORT_MM = 460.0  # longer runs have another reason
LEVEL = 0.12  # rise to run
ACROSS = 0.2  # cosine of an angle that is nearly square
LEAST_MM = 15.0  # left of a run that is parted: what it lacks is found by easing
APART_MM = 160.0  # two joints on one stack, at first
STEEPER = 1.04  # than 45 degrees, by more than a drain falls: leaned over further a vent is no upright one
BRANCHED = 3  # pipes at a fitting with one branch
BEVELS_MM = (160.0, 110.0)  # of a corner, the first that goes
SIXTH = math.tan(math.radians(30.0))  # along one leg of a square corner by the other: cut so, a sixth bend turns it
LEFT_MM = 60.0  # of the run along which a corner is cut
PLUMB = 0.1  # plan to rise
RANK = (  # of two points that become one, the kind that stays
    PointKind.TRAP,
    PointKind.FLANGE,
    PointKind.SEWER,
    PointKind.TERMINAL,
    PointKind.AAV,
    PointKind.TAKEOFF,
    PointKind.STACK_FOOT,
    PointKind.STACK_TOP,
    PointKind.JUNCTION,
    PointKind.TIE_IN,
    PointKind.CLEANOUT,
)
FIXED = frozenset({PointKind.TRAP, PointKind.FLANGE, PointKind.SEWER, PointKind.TERMINAL, PointKind.AAV})


class Shapes:
    """A layout asked for other shapes of one run or of one fitting."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.points = {p.id: p for p in layout.points}
        self.runs = {r.id: r for r in layout.runs}
        self.meet: dict[str, list[Run]] = {}
        for r in layout.runs:
            self.meet.setdefault(r.start, []).append(r)
            self.meet.setdefault(r.end, []).append(r)

    def of(self, run_id: str) -> Iterator[Layout]:
        """Yield the layout with one run in other shapes."""
        run = self.runs.get(run_id)
        if run is None or run.drawn or self.way(run).length > SHORT_MM:
            return
        if self.level(run):
            yield from self._leaned(run)
            yield from self._cut_corners(run)

    def without(self, run_id: str) -> Layout | None:
        """Return the layout with the ends of a run in one point, once nothing lies between them; None if it may not."""
        run = self.runs.get(run_id)
        if run is None or run.drawn or any(t.arm_runs == (run_id,) for t in self.layout.traps):
            return None  # a trap keeps an arm
        kept, gone = sorted((self.points[run.start], self.points[run.end]), key=lambda p: _rank(p.kind))
        if gone.kind in FIXED or any(r.drawn for r in self.meet[gone.id]):
            return None
        return _contracted(self.layout, run, kept.id, gone.id)

    # --- leaned over -------------------------------------------------------------------------------------------

    def _leaned(self, run: Run) -> Iterator[Layout]:
        """Yield a level run that falls at 45 degrees: one of its ends higher or lower on the plumb pipe there."""
        far = self.way(run).plan_length
        rises = (run.start, run.end) if run.system == "drain" else (run.end, run.start)
        for point, by in ((rises[0], far), (rises[1], -far)):
            others = [r for r in self.meet[point] if r.id != run.id]
            if others and all(self.plumb(r) for r in others) and self.may_move(point):
                yield self._with({point: Vec(0.0, 0.0, by)})

    # --- corners -----------------------------------------------------------------------------------------------

    def _cut_corners(self, run: Run) -> Iterator[Layout]:
        """Yield a level run laid across the corner it makes with the next one.

        At 45 degrees, or at 60 where what stands at its other end turns any way: a flange, or the foot of a plumb pipe.
        """
        for corner in (run.start, run.end):
            others = [r for r in self.meet[corner] if r.id != run.id]
            if len(others) != 1 or not self.may_move(corner) or not self.level(others[0]):
                continue
            far = others[0].end if others[0].start == corner else others[0].start
            on = self.points[far].at.minus(self.points[corner].at)
            here, there = self.way(run), on
            square = abs(here.x * there.x + here.y * there.y) < ACROSS * here.plan_length * there.plan_length
            end = run.end if corner == run.start else run.start
            for share in (1.0, SIXTH) if self._turns_any_way(end, run) else (1.0,):
                by = share * here.plan_length
                if square and on.plan_length > by + LEFT_MM:
                    yield self._with({corner: on.times(by / on.plan_length)})

    def _turns_any_way(self, point: str, run: Run) -> bool:
        """Return whether what stands at the end of a level run can be turned to it from any side."""
        others = [r for r in self.meet[point] if r.id != run.id]
        return self.points[point].kind is PointKind.FLANGE or (bool(others) and all(map(self.plumb, others)))

    # --- fittings beside their point -----------------------------------------------------------------------------

    def parted(self, use: FittingUse) -> Iterator[Layout]:
        """Yield the layout with what branches off a turn taken off beside it: where its fitting stands, or across."""
        branches = [self.runs[i] for i in use.pipes[2:] if i in self.runs]
        if not branches or any(b.drawn for b in branches):
            return
        first = 1 if use.beside_mm > 0.0 else 0
        for k in (first, 1 - first):
            along = self.runs.get(use.pipes[k])
            if along is None or along.drawn or use.node not in (along.start, along.end):
                continue
            if self.way(along).length > abs(use.beside_mm) + LEAST_MM:
                made = _parted(self, use.node, abs(use.beside_mm), along, branches)
                if made is not None:
                    yield made

    def leant(self, use: FittingUse) -> Iterator[Layout]:
        """Yield the layout with a vent taken off beside a turn and leaned over at 45 degrees to where it rises."""
        if len(use.pipes) != BRANCHED or (rise := self.runs.get(use.pipes[2])) is None:
            return
        if rise.drawn or rise.system != "vent" or rise.start != use.node or not self.plumb(rise):
            return
        far = abs(use.beside_mm)
        if self.way(rise).z < STEEPER * far + LEAST_MM:
            return
        foot = self.points[use.node].at.plus(Vec(0.0, 0.0, STEEPER * far))
        knee = Point(free_name(f"{use.node}c", self.points), foot, PointKind.TURN)
        lean = replace(rise, id=free_name(f"{rise.id}x", self.runs), end=knee.id)
        stands = replace(
            self.layout,
            points=(*self.layout.points, knee),
            runs=tuple(n for r in self.layout.runs for n in ((lean, replace(r, start=knee.id)) if r is rise else (r,))),
            traps=served_by(self.layout, {rise.id: (lean.id, rise.id)}),
        )
        on = Shapes(stands)
        for k in (0, 1):
            along = on.runs.get(use.pipes[k])
            if along is None or along.drawn or along.system != "drain" or use.node not in (along.start, along.end):
                continue
            if self.way(along).length > far + LEAST_MM:
                made = _parted(on, use.node, far, along, [lean], carried=False)
                if made is not None:
                    yield made

    def bevelled(self, node: str) -> Iterator[Layout]:
        """Yield the layout with a square turn of a drain that lies made in two of 45 degrees."""
        out = next((r for r in self.meet.get(node, ()) if r.start == node and r.system == "drain"), None)
        into = [r for r in self.meet.get(node, ()) if r.end == node and r.system == "drain"]
        if out is None or out.drawn or not self.level(out) or not self.may_move(node):
            return
        for run in into:
            here, on = self.way(run), self.way(out)
            square = abs(here.x * on.x + here.y * on.y) < ACROSS * here.plan_length * on.plan_length
            if not self.level(run) or not square:
                continue
            for by in BEVELS_MM:
                if min(here.length, on.length) > by + LEAST_MM:
                    yield _bevelled(self, node, run, out, by)

    def apart(self, run_id: str) -> Iterator[Layout]:
        """Yield the layout with a drain that joins a stack where others do joined to it a little lower."""
        run = self.runs.get(run_id)
        if run is None or run.drawn or run.system != "drain" or not self.level(run):
            return
        out = next((r for r in self.meet[run.end] if r.start == run.end and r.system == "drain"), None)
        if out is None or out.drawn or not self.plumb(out) or self.way(out).length < APART_MM + LEAST_MM:
            return
        if sum(r.end == run.end and r.system == "drain" for r in self.meet[run.end]) > 1:
            made = _parted(self, run.end, APART_MM, out, [run])
            if made is not None:
                yield made

    # --- what is asked of a drawing --------------------------------------------------------------------------------

    def way(self, r: Run) -> Vec:
        """Return the displacement from the start of a run to its end [mm]."""
        return self.points[r.end].at.minus(self.points[r.start].at)

    def level(self, r: Run) -> bool:
        """Return whether a run lies."""
        way = self.way(r)
        return abs(way.z) < LEVEL * way.plan_length

    def plumb(self, r: Run) -> bool:
        """Return whether a run stands."""
        way = self.way(r)
        return way.plan_length <= PLUMB * abs(way.z)

    def may_move(self, point: str) -> bool:
        """Return whether a point is bound to no place, and nothing drawn meets there."""
        return self.points[point].kind not in FIXED and not any(r.drawn for r in self.meet[point])

    def _with(self, moves: Mapping[str, Vec]) -> Layout:
        points = (replace(p, at=p.at.plus(moves[p.id])) if p.id in moves else p for p in self.layout.points)
        return replace(self.layout, points=tuple(points))


def _rank(kind: PointKind) -> int:
    return RANK.index(kind) if kind in RANK else len(RANK)


def _contracted(layout: Layout, run: Run, kept: str, gone: str) -> Layout:
    def end(n: str) -> str:
        return kept if n == gone else n

    def left(ids: Iterable[str]) -> tuple[str, ...]:
        return tuple(i for i in ids if i != run.id)

    return replace(
        layout,
        points=tuple(p for p in layout.points if p.id != gone),
        runs=tuple(replace(r, start=end(r.start), end=end(r.end)) for r in layout.runs if r.id != run.id),
        traps=tuple(
            replace(
                t,
                weir=end(t.weir),
                takeoff=end(t.takeoff),
                arm_runs=left(t.arm_runs),
                vent_runs=left(t.vent_runs),
                wet_through=left(t.wet_through),
            )
            for t in layout.traps
        ),
        cleanouts=tuple(replace(c, point=end(c.point)) for c in layout.cleanouts),
    )


def _bevelled(shapes: Shapes, node: str, run: Run, out: Run, by_mm: float) -> Layout:
    """Return the layout with the corner of two runs cut off; what else meets there stays there."""
    corner = shapes.points[node].at
    first = Point(
        free_name(f"{node}b", shapes.points), corner.minus(shapes.way(run).unit().times(by_mm)), PointKind.TURN
    )
    past = corner.plus(shapes.way(out).unit().times(by_mm))
    others = [r for r in shapes.meet[node] if r.id not in (run.id, out.id)]
    runs: list[Run] = []
    if not others:
        points = tuple(replace(p, at=past) if p.id == node else p for p in shapes.layout.points)
        lean = replace(run, id=free_name(f"{run.id}x", shapes.runs), start=first.id, end=node)
        for r in shapes.layout.runs:
            runs += (replace(r, end=first.id), lean) if r.id == run.id else (r,)
        made = replace(shapes.layout, points=(*points, first), runs=tuple(runs))
        return replace(made, traps=served_by(made, {run.id: (run.id, lean.id)}))
    last = Point(free_name(f"{node}c", shapes.points), past, PointKind.JUNCTION)
    lean = replace(run, id=free_name(f"{run.id}x", shapes.runs), start=first.id, end=last.id)
    rest = replace(out, id=free_name(f"{out.id}x", shapes.runs), start=last.id)
    for r in shapes.layout.runs:
        if r.id == run.id:
            runs += (replace(r, end=first.id), lean)
        elif r.id == out.id:
            runs += (replace(r, end=last.id), rest)
        else:
            runs.append(r)
    made = replace(shapes.layout, points=(*shapes.layout.points, first, last), runs=tuple(runs))
    return replace(made, traps=served_by(made, {run.id: (run.id, lean.id), out.id: (out.id, rest.id)}))


def served_by(layout: Layout, parted: Mapping[str, tuple[str, ...]]) -> tuple[TrapPlan, ...]:
    """Return the traps of a layout in which runs were parted: each is served by all pieces of a run it named."""

    def pieces(ids: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(n for i in ids for n in parted.get(i, (i,)))

    return tuple(
        replace(t, arm_runs=pieces(t.arm_runs), vent_runs=pieces(t.vent_runs), wet_through=pieces(t.wet_through))
        for t in layout.traps
    )


def _parted(
    shapes: Shapes, node: str, far_mm: float, along: Run, branches: list[Run], *, carried: bool = True
) -> Layout | None:
    """Return the layout with a run in two, the branches off where the two meet.

    Args:
        shapes: The layout.
        node: Where the branches are drawn from.
        far_mm: How far from it they shall be.
        along: The run that is parted.
        branches: The branches.
        carried: Whether what they lead to comes along; it stays where a branch is to lean.
    """
    old = shapes.points[node]
    way = shapes.way(along)
    down = along.start == old.id
    at = old.at.plus(way.unit().times(far_mm if down else -far_mm))
    new = Point(free_name(f"{old.id}b", shapes.points), at, old.kind, old.tag)
    by = at.minus(old.at)
    between = _between(shapes, along, old.id, new.id, branches)
    if between is None:
        return None
    ids = {b.id for b in branches}
    starts = [b.end if b.start == old.id else b.start for b in branches]
    moved = _carried(shapes, starts, by, old.id) if carried else set[str]()
    if moved is None:
        return None
    runs: list[Run] = []
    for r in shapes.layout.runs:
        if r.id == along.id:
            rest = replace(r, start=new.id) if down else replace(r, end=new.id)
            runs += (between, rest) if down else (rest, between)
        elif r.id in ids:
            runs.append(replace(r, start=_as(r.start, old.id, new.id), end=_as(r.end, old.id, new.id)))
        else:
            runs.append(r)
    points: list[Point] = []
    for p in shapes.layout.points:
        if p.id == old.id:
            points += (replace(p, kind=PointKind.TURN, tag="") if p.kind is PointKind.TAKEOFF else p, new)
        else:
            points.append(replace(p, at=p.at.plus(by)) if p.id in moved else p)
    traps = tuple(_trap(t, old.id, new.id, along, between) for t in shapes.layout.traps)
    return replace(shapes.layout, points=tuple(points), runs=tuple(runs), traps=traps)


def _between(shapes: Shapes, along: Run, old: str, new: str, branches: list[Run]) -> Run | None:
    """Return the run between a turn and the fitting beside it."""
    name = free_name(f"{along.id}x", shapes.runs)
    down = along.start == old
    if along.system == "drain" or all(b.system == "vent" for b in branches):
        arm = next((t for t in shapes.layout.traps if t.takeoff == old), None)
        if arm is not None and along.system == "drain":
            if down:  # the arm goes on to the fitting
                return replace(along, id=name, start=old, end=new, role=Role.TRAP_ARM, tag=arm.tag)
            return replace(along, id=name, start=new, end=old, role=Role.BRANCH, tag="")
        return replace(along, id=name, start=old if down else new, end=new if down else old)
    out = next((r for r in shapes.meet[old] if r.system == "drain" and r.start == old), None)
    if out is None or not down:
        return None
    return replace(out, id=name, start=new, end=old, place=along.place)  # a drain that joins a vent makes it a drain


def _carried(shapes: Shapes, starts: list[str], by: Vec, old: str) -> set[str] | None:
    """Return the points that come along with branches that are moved in plan; None where one of them may not."""
    flat = Vec(by.x, by.y)
    moved: set[str] = set()
    queue = list(starts)
    while queue:
        n = queue.pop()
        if n in moved or n == old:
            continue
        p = shapes.points[n]
        if (p.kind in FIXED and p.kind is not PointKind.TERMINAL) or any(r.drawn for r in shapes.meet[n]):
            return None
        moved.add(n)
        for r in shapes.meet[n]:
            way, far = shapes.way(r), r.end if r.start == n else r.start
            turned = flat.length > 1.0 and abs(way.x * flat.y - way.y * flat.x) > 0.01 * way.length * flat.length
            if (shapes.plumb(r) and flat.length > 1.0) or turned:
                queue.append(far)
    return moved


def _trap(t: TrapPlan, old: str, new: str, along: Run, between: Run) -> TrapPlan:
    if t.takeoff == old:
        if between.role is Role.TRAP_ARM and between.start == old:
            t = replace(t, arm_runs=(*t.arm_runs, between.id))
        t = replace(t, takeoff=new)
    if along.id in t.wet_through:
        t = replace(t, wet_through=(*t.wet_through, between.id))
    return t


def _as(n: str, old: str, new: str) -> str:
    return new if n == old else n


def free_name(name: str, taken: Mapping[str, object]) -> str:
    """Return a name, or one like it, that no point or run has yet."""
    while name in taken:
        name += "b"
    return name
