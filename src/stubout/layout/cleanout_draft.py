"""The layout while cleanouts are set into it: points and runs that can be split, and ways measured along the drain.

Lengths [mm]. Nothing here knows a rule book.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout.geometry.vec import Vec
from stubout.layout.model import CleanoutPlan, Layout, Place, Point, PointKind, Role, Run, TrapPlan

FIXTURE_ROLES = (Role.TRAP_ARM, Role.FIXTURE_DRAIN)


@dataclass(frozen=True, slots=True)
class Near:
    """A drain within reach of a point: how far along the pipe its nearer end is, and which end that is."""

    run: Run
    away_mm: float
    from_start: bool  # True: one comes to it at its start, that is, it lies down stream


class Draft:
    """Points, runs and traps of a layout, cut where a cleanout is set."""

    def __init__(self, layout: Layout) -> None:
        self.points = {p.id: p for p in layout.points}
        self.runs = {r.id: r for r in layout.runs}
        self.traps = list(layout.traps)
        self.plans = list(layout.cleanouts)
        self._tables: dict[str, list[Run]] = {}
        self._lines: tuple[tuple[str, Vec, Vec, float], ...] = ()

    # the graph -------------------------------------------------------------------------------------------------------

    def _index(self) -> dict[str, list[Run]]:
        """Return the runs by what they do at a point: "in:", "out:" drains, "at:" all; reckoned anew after a cut."""
        if not self._tables:
            for r in self.runs.values():
                if r.start not in self.points or r.end not in self.points:
                    continue
                for node in dict.fromkeys((r.start, r.end)):
                    self._tables.setdefault(f"at:{node}", []).append(r)
                if r.system == "drain":
                    self._tables.setdefault(f"in:{r.end}", []).append(r)
                    self._tables.setdefault(f"out:{r.start}", []).append(r)
        return self._tables

    def lines(self) -> tuple[tuple[str, Vec, Vec, float], ...]:
        """Return name, both ends and nominal size [in] of each run, in order; the same tuple until something is cut."""
        if not self._lines:
            self._lines = tuple(
                (r.id, self.a(r), self.b(r), r.size_in)
                for r in self.runs.values()
                if r.start in self.points and r.end in self.points
            )
        return self._lines

    def _forget(self) -> None:
        """Reckon what runs meet and where they lie anew, after a cut."""
        self._tables, self._lines = {}, ()

    def drains(self) -> list[Run]:
        """Return the drains whose two points are known, in order."""
        return [
            r for r in self.runs.values() if r.system == "drain" and r.start in self.points and r.end in self.points
        ]

    def into(self, node: str) -> list[Run]:
        """Return the drains that end at a point."""
        return self._index().get(f"in:{node}", [])

    def out(self, node: str) -> list[Run]:
        """Return the drains that start at a point."""
        return self._index().get(f"out:{node}", [])

    def meeting(self, node: str) -> list[Run]:
        """Return all runs, vents too, at a point."""
        return self._index().get(f"at:{node}", [])

    def a(self, run: Run) -> Vec:
        """Return the upper end of a drain."""
        return self.points[run.start].at

    def b(self, run: Run) -> Vec:
        """Return the lower end of a drain."""
        return self.points[run.end].at

    def length(self, run: Run) -> float:
        """Return the length of a run [mm]."""
        return self.a(run).to(self.b(run))

    def plumb(self, run: Run) -> bool:
        """Return whether a run stands within 45 degrees of plumb."""
        d = self.b(run).minus(self.a(run))
        return abs(d.z) >= d.plan_length - 1e-9

    def lying(self, run: Run) -> bool:
        """Return whether a run is a lying drain that is rodded: no arm, no extension of a cleanout."""
        return not self.plumb(run) and run.role not in (*FIXTURE_ROLES, Role.CLEANOUT_EXT)

    def chain(self, run: Run) -> Iterator[Run]:
        """Yield the drains a drain flows into, nearest first."""
        seen = {run.id}
        while True:
            nxt = [r for r in self.out(run.end) if r.id not in seen]
            if not nxt:
                return
            run = nxt[0]
            seen.add(run.id)
            yield run

    def heads(self) -> list[Run]:
        """Return the upper ends: lying drains with no lying drain above them."""
        return [r for r in self.drains() if self.lying(r) and not any(self.lying(p) for p in self.into(r.start))]

    def upstream(self, node: str, reach_mm: float) -> tuple[list[Near], dict[str, float]]:
        """Return drains and points up stream of a point, as far along the pipe as the reach [mm]."""
        near: list[Near] = []
        dist = {node: 0.0}
        front = [node]
        while front:
            here = front.pop(0)
            for r in self.into(here):
                if any(n.run.id == r.id for n in near):
                    continue
                near.append(Near(r, dist[here], False))
                far = dist[here] + (0.0 if r.role is Role.CLEANOUT_EXT else self.length(r))
                if far <= reach_mm and far < dist.get(r.start, far + 1.0):
                    dist[r.start] = far
                    front.append(r.start)
        return near, dist

    def downstream(self, node: str, reach_mm: float) -> tuple[list[Near], dict[str, float]]:
        """Return drains and points down stream of a point, as far as the reach [mm], until a lying drain falls.

        Extensions of cleanouts that come in on the way count.
        """
        near: list[Near] = []
        dist: dict[str, float] = {}
        at, here = 0.0, node
        while at <= reach_mm:
            dist.setdefault(here, at)
            for r in self.into(here):
                if r.role is Role.CLEANOUT_EXT:
                    self._extension(r, at, dist)
            nxt = self.out(here)
            if not nxt or any(n.run.id == nxt[0].id for n in near):
                break
            if self.plumb(nxt[0]) and any(not self.plumb(n.run) for n in near):
                break  # a lying drain ends where it falls
            near.append(Near(nxt[0], at, True))
            at += self.length(nxt[0])
            here = nxt[0].end
        return near, {k: v for k, v in dist.items() if v <= reach_mm}

    def _extension(self, run: Run, at_mm: float, dist: dict[str, float]) -> None:
        while True:  # the extension itself does not count: the joint is where the rod enters
            dist.setdefault(run.start, at_mm)
            above = [r for r in self.into(run.start) if r.role is Role.CLEANOUT_EXT]
            if not above:
                return
            run = above[0]

    def distances(self, node: str, reach_mm: float) -> dict[str, float]:
        """Return how far along the pipe points lie from a point, up stream and down stream [mm]."""
        out = self.downstream(node, reach_mm)[1]
        for k, v in self.upstream(node, reach_mm)[1].items():
            out[k] = min(v, out.get(k, v))
        return out

    # cutting ---------------------------------------------------------------------------------------------------------

    def new_point(self, at: Vec, kind: PointKind, note: str = "") -> str:
        """Add a point, numbered CO1, CO2 ... and return its id."""
        n = 1
        while f"CO{n}" in self.points:
            n += 1
        at = Vec(round(at.x, 3), round(at.y, 3), round(at.z, 3))
        self.points[f"CO{n}"] = Point(f"CO{n}", at, kind, "", note)
        return f"CO{n}"

    def joint_point(self, at: Vec, of: str) -> str:
        """Add the joint of an extension, named after its cleanout."""
        name = f"{of}J"
        while name in self.points:
            name += "J"
        self.points[name] = Point(name, Vec(round(at.x, 3), round(at.y, 3), round(at.z, 3)), PointKind.JUNCTION)
        return name

    def split(self, run_id: str, node: str) -> None:
        """Cut a run at a new point: the upper half keeps the name, the lower one gets a b."""
        run = self.runs[run_id]
        low = f"{run_id}b"
        while low in self.runs:
            low += "b"
        runs: dict[str, Run] = {}
        for r in self.runs.values():
            if r.id == run_id:
                runs[run_id] = replace(run, end=node)
                runs[low] = replace(run, id=low, start=node)
            else:
                runs[r.id] = r
        self.runs = runs
        self._forget()
        drain = run.system == "drain"
        self.traps = [_renamed(t, run_id, (low, run_id) if drain else (run_id, low)) for t in self.traps]

    def extend(self, name: str, start: str, end: str, place: Place, size_in: float) -> None:
        """Add the extension from a cleanout down to its joint; it stands before the pipe it enters."""
        new = Run(name, "drain", Role.CLEANOUT_EXT, start, end, place, size_in)
        runs: dict[str, Run] = {}
        for r in self.runs.values():
            if r.system == "drain" and r.start == end and name not in runs:
                runs[name] = new
            runs[r.id] = r
        runs.setdefault(name, new)
        self.runs = runs
        self._forget()

    def join(self, node: str) -> None:
        """Take a cut back: the two halves of a run become one again and the point goes."""
        upper = next(r for r in self.meeting(node) if r.end == node and r.role is not Role.CLEANOUT_EXT)
        lower = next(r for r in self.meeting(node) if r.start == node)
        gone, keep = (upper, lower) if len(upper.id) > len(lower.id) else (lower, upper)
        whole = replace(keep, start=upper.start, end=lower.end)
        self.runs = {i: whole if i == keep.id else r for i, r in self.runs.items() if i != gone.id}
        del self.points[node]
        self._forget()
        self.traps = [
            replace(
                t,
                arm_runs=_without(t.arm_runs, gone.id),
                vent_runs=_without(t.vent_runs, gone.id),
                wet_through=_without(t.wet_through, gone.id),
            )
            for t in self.traps
        ]

    def retract(self, node: str) -> str:
        """Take the extension below a cleanout away with the cleanout and return its joint."""
        while (run := self.out(node)[0]).role is Role.CLEANOUT_EXT:
            del self.runs[run.id], self.points[node]
            self._forget()
            node = run.end
        return node

    def rename(self, names: dict[str, str]) -> None:
        """Call the points of cleanouts, their joints and extensions by the numbers of the cleanouts."""
        points = {f"{old}J": f"{new}J" for old, new in names.items() if f"{old}J" in self.points} | names
        runs = {f"{old}{end}": f"{new}{end}" for old, new in names.items() for end in "EF"}
        self.points = {
            points.get(i, i): replace(p, id=points.get(i, i)) if i in points else p for i, p in self.points.items()
        }
        renamed = [
            replace(r, id=runs.get(r.id, r.id), start=points.get(r.start, r.start), end=points.get(r.end, r.end))
            for r in self.runs.values()
        ]
        self.runs = {r.id: r for r in renamed}
        self.plans = [replace(p, point=points.get(p.point, p.point)) for p in self.plans]
        self._forget()

    def add_words(self, index: int, plan: CleanoutPlan, serves: str) -> None:
        """Let a cleanout serve one more thing."""
        if serves not in plan.serves:
            self.plans[index] = replace(plan, serves=f"{plan.serves}; {serves}" if plan.serves else serves)


def _renamed(trap: TrapPlan, old: str, new: tuple[str, str]) -> TrapPlan:
    """Return a trap whose lists name both halves of a cut run, in the order the list goes."""

    def swap(ids: tuple[str, ...], order: tuple[str, str]) -> tuple[str, ...]:
        return tuple(x for i in ids for x in (order if i == old else (i,)))

    return replace(
        trap,
        arm_runs=swap(trap.arm_runs, (new[1], new[0])),
        vent_runs=swap(trap.vent_runs, new),
        wet_through=swap(trap.wet_through, new),
    )


def _without(ids: tuple[str, ...], gone: str) -> tuple[str, ...]:
    return tuple(i for i in ids if i != gone)
