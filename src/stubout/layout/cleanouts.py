"""Cleanouts: where the book asks for one, the best place a person can reach is found and the layout is cut there.

What the book asks for comes in a fixed order: where drain meets sewer, feet of stacks, kitchen sinks, island vents,
upper ends, turns, spacing. A cleanout that is there already serves the next demand too if it lies within the book's
reach along the pipe. Hand-drawn runs are never cut; hand-drawn cleanouts get their plan. All lengths [mm].
"""

from __future__ import annotations

from dataclasses import replace

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.cleanout_access import USUAL_CLEAR_MM
from stubout.layout.cleanout_drawn import drawn_plans
from stubout.layout.cleanout_setter import rank_of
from stubout.layout.cleanout_spots import Spot
from stubout.layout.cleanout_turns import TurnSetter
from stubout.layout.model import Layout, PointKind, Role, Run, VentMethod
from stubout.rulebooks.model import RuleBook

AT_END_MM = 1524.0  # a cleanout within 5 ft along the pipe stands at its upper end: common practice, no source
STACK_MM = 1000.0  # where a book says "at the base" and no distance: common practice, no source
SEWER_MM = 3048.0  # 10 ft, where a book says "near": common practice, no source
OUTSIDE_MM = 600.0  # usual place outside, clear of wall and footing: common practice, no source
SINKS = (FixtureKind.KITCHEN_SINK, FixtureKind.SINK, FixtureKind.BAR_SINK)


def with_cleanouts(layout: Layout, house: House, book: RuleBook) -> Layout:
    """Return the layout with the cleanouts the book asks for, and the points and runs they need.

    Args:
        layout: The layout as routed; its cleanouts and hand-drawn parts stay as they are.
        house: The resolved house.
        book: Rule book, amendments laid over it.
    """
    return _Demands(layout, house, book).done()


class _Demands(TurnSetter):
    """What the books ask for, in order."""

    def done(self) -> Layout:
        """Return the finished layout."""
        self.draft.plans += drawn_plans(self.draft, self.access, self.book)
        self._sewer()
        self._stacks()
        self._sinks()
        self._islands()
        self._upper_ends()
        self._turns()
        self._spacing()
        self._prune()
        self._number()
        if self.draft.plans and self._silent_on_clearance():
            self.notes.append(
                f"{self.book.title} names no free space in front of a cleanout: "
                f"{units.both(USUAL_CLEAR_MM, self.house.job.units)} are kept (common practice, no source)"
            )
        d = self.draft
        return replace(
            self.layout,
            points=tuple(d.points.values()),
            runs=tuple(d.runs.values()),
            traps=tuple(d.traps),
            cleanouts=tuple(d.plans),
            questions=(*self.layout.questions, *self.questions),
            notes=tuple(dict.fromkeys((*self.layout.notes, *self.notes))),
        )

    def _sewer(self) -> None:
        """A cleanout where the building drain leaves the house, at the place wished for or the nearest good one."""
        asked = self._asked("sewer_junction")
        if asked is None:
            return
        within = self.book.find("cleanout.sewer_junction_within")
        reach = within.number if within is not None else SEWER_MM
        wish = self.house.wishes.sewer_cleanout_at
        rule = self.book.find("cleanout.sewer_rule")
        both = rule is not None and "two-way" in rule.text
        for run in [r for r in self.draft.drains() if self.draft.lying(r)]:
            a, b = self.draft.a(run), self.draft.b(run)
            if not self.access.inside(a) or self.access.inside(b):
                continue
            edge = self.house.leaves(a, b)
            serves = "building drain and sewer"
            open_at, plans = self._open(run.size_in), enumerate(self.draft.plans)
            along = self._along(run, edge, reach)
            held = [(along[p.point], i) for i, p in plans if p.point in open_at and p.point in along]
            if held:
                self._add(min(held)[1], serves, (asked, within))
                continue
            joint_end = run.end
            spots = self.spots.near(joint_end, self.draft.length(run) + reach, down=True)
            way = [r.id for r in (run, *self.draft.chain(run))] + [r.id for r in self._before(run)]
            near = [s for s in spots if s.run in way and s.at.minus(edge).plan_length <= reach]
            near = self._large(near, run.size_in)
            near = [replace(s, two_way=both and not self.access.inside(s.at)) if s.how == "riser" else s for s in near]
            if wish is not None:
                near.sort(key=lambda s: (round(s.at.at_z(0.0).to(wish.at_z(0.0)), 1), rank_of(s)))
                near = near[:1]
            else:
                near = [replace(s, cost=s.cost + self._from_edge(s, edge)) for s in near]
            if not self._take(near, serves, (asked, within, rule)):
                self._no_place(run.id, f"where {run.id} leaves the house", (asked,))

    def _along(self, run: Run, edge: Vec, reach_mm: float) -> dict[str, float]:
        """Return the points within reach along the pipe of the place where a run leaves the house [mm]."""
        out: dict[str, float] = {}
        for node, first, on in ((run.start, self.draft.a(run), True), (run.end, self.draft.b(run), False)):
            own = first.to(edge)
            if own <= reach_mm:
                far = (self.draft.upstream if on else self.draft.downstream)(node, reach_mm - own)[1]
                out |= {k: v + own for k, v in far.items()}
        return out

    def _from_edge(self, spot: Spot, edge: Vec) -> float:
        away = spot.at.minus(edge).plan_length
        return abs(away - OUTSIDE_MM) / 1000.0 if not self.access.inside(spot.at) else away / 3000.0

    def _stacks(self) -> None:
        """A cleanout at the base of every stack, where the book asks for it."""
        asked = self._asked("stack_base")
        if asked is None:
            return
        within = self.book.find("cleanout.stack_base_within")
        reach = within.number if within is not None else STACK_MM
        for run in [r for r in self.draft.drains() if r.role is Role.STACK and self.draft.plumb(r)]:
            out = self.draft.out(run.end)
            if not out or self.draft.plumb(out[0]):
                continue
            node = run.end
            near = {k: v for k, v in self.draft.upstream(node, reach)[1].items() if self._above(k, node)}
            near[node] = 0.0
            if self._serve(near, f"foot of stack {run.id}", (asked, within)):
                continue
            spots = [
                s for s in self.spots.near(node, reach, down=False)
                if s.node == node or (s.how == "tee" and self._above_point(s.at, node))
            ]  # fmt: skip
            if not self._take(spots, f"foot of stack {run.id}", (asked, within)):
                self._no_place(run.id, f"at the foot of stack {run.id}", (asked, within))

    def _above(self, node: str, foot: str) -> bool:
        return self._above_point(self.draft.points[node].at, foot)

    def _above_point(self, p: Vec, foot: str) -> bool:
        return p.minus(self.draft.points[foot].at).plan_length <= 1.0

    def _sinks(self) -> None:
        """A cleanout on the fixture drain of every kitchen sink, where the book asks for it."""
        asked = self._asked("sink_arm")
        if asked is None:
            return
        for trap in list(self.draft.traps):
            body = next((f for f in self.house.fixtures if f.tag == trap.tag), None)
            if body is None or body.kind is not FixtureKind.KITCHEN_SINK or body.future or not trap.arm_runs:
                continue
            last = self.draft.runs.get(trap.arm_runs[-1])
            if last is None:
                continue
            near = self.draft.downstream(last.end, STACK_MM)[1]
            if self._serve(near, trap.tag, (asked,)):
                continue
            spots = [
                s for s in self.spots.near(last.end, STACK_MM, up=False) if s.how in ("tee", "end", "wye")
            ]  # fmt: skip
            if not self._take(spots, trap.tag, (asked,)):
                self._no_place(trap.tag, f"on the fixture drain of {trap.tag}", (asked,))

    def _islands(self) -> None:
        """A cleanout in the upright part of an island's foot vent, where the book asks for it."""
        asked = self.book.find("island.cleanout")
        if asked is None or asked.value is not True:
            return
        for trap in list(self.draft.traps):
            if trap.method is not VentMethod.LOOP:
                continue
            vents = self._foot_vent(trap.takeoff)
            if any(r.drawn and self.draft.points[r.end].kind is PointKind.CLEANOUT for r in vents):
                continue  # there is one, drawn by hand
            ids = [r for r in vents if not r.drawn]
            upright = [r for r in ids if (d := self._way(r)).z > d.plan_length]
            spots: list[Spot] = []
            for r in upright:
                if r.role in (Role.FOOT_VENT, Role.VENT, Role.BRANCH_VENT) and r.place.kind == "wall":
                    spots += self.spots.vent_tees(r)
            if spots:
                self._set(min(spots, key=rank_of), f"foot vent of {trap.tag}", (asked,))
            else:
                self._no_place(f"{trap.tag}-vent", f"in the upright foot vent of {trap.tag}", (asked,))

    def _foot_vent(self, takeoff: str) -> list[Run]:
        """Return the vents that can be reached from the take-off of an island, in order."""
        out: list[Run] = []
        front, seen = [takeoff], {takeoff}
        while front:
            node = front.pop(0)
            for r in self.draft.runs.values():
                if r.system == "vent" and r.start == node and r.id not in {x.id for x in out}:
                    out.append(r)
                    if r.end not in seen:
                        seen.add(r.end)
                        front.append(r.end)
        return out

    def _upper_ends(self) -> None:
        """A cleanout at the upper end of every lying drain of the lowest floor, where the book asks for it."""
        asked = self._asked("upper_end")
        if asked is None:
            return
        short = self.book.find("cleanout.short_free")
        floors = [v for v in self.house.levels if v.kind != "ground"] or list(self.house.levels)
        floor = min(floors, key=lambda v: v.order)
        for head in self.draft.heads():
            if (
                head.role not in (Role.BRANCH, Role.DRAIN, Role.BUILDING_DRAIN)
                or self.draft.a(head).z > floor.subfloor_z_mm
            ):
                continue
            if any(r.role is Role.FIXTURE_DRAIN and not self.draft.plumb(r) for r in self.draft.into(head.start)):
                continue
            if short is not None and self._own_mm(head) <= short.number and not self._sink_above(head):
                continue
            serves = f"upper end of {head.id}"
            open_at = self._open(head.size_in)
            near = {k: v for k, v in self.draft.distances(head.start, AT_END_MM).items() if k in open_at}
            if self._serve(near, serves, (asked, short)):
                continue
            if not self._take(
                self._large(self.spots.near(head.start, AT_END_MM), head.size_in), serves, (asked, short)
            ):
                self._no_place(head.id, f"at the upper end of {head.id}", (asked, short))

    def _own_mm(self, head: Run) -> float:
        """Return the length of a lying drain down to where it joins the next [mm]."""
        total = self.draft.length(head)
        for run in self.draft.chain(head):
            before = [r for r in self.draft.into(run.start) if r.role is not Role.CLEANOUT_EXT]
            if self.draft.plumb(run) or len(before) > 1:
                break
            total += self.draft.length(run)
        return total

    def _sink_above(self, head: Run) -> bool:
        nodes = self.draft.upstream(head.start, 1e9)[1]
        tags = {t.tag for t in self.draft.traps if t.weir in nodes}
        return any(f.tag in tags and f.kind in SINKS for f in self.house.fixtures)
