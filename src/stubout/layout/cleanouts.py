"""Cleanouts: where the book asks for one, the best place a person can reach is found and the layout is cut there.

What the book asks for comes in a fixed order: where drain meets sewer, feet of stacks, kitchen sinks, island vents,
upper ends, turns, spacing. A cleanout that is there already serves the next demand too if it lies within the book's
reach along the pipe. Hand-drawn runs are never cut; hand-drawn cleanouts get their plan. All lengths [mm].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stubout import units
from stubout.geometry.vec import Vec, angle_deg
from stubout.house.model import FixtureKind, House
from stubout.layout.cleanout_access import USUAL_CLEAR_MM, Access
from stubout.layout.cleanout_draft import Draft
from stubout.layout.cleanout_drawn import drawn_plans
from stubout.layout.cleanout_spots import LARGEST_IN, Spot, Spots
from stubout.layout.model import CleanoutPlan, Layout, Place, PointKind, Role, Run, VentMethod
from stubout.problems import Basis, Derivation, NotInBook, Question
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook

AT_TURN_MM = 1524.0  # a cleanout within 5 ft along the pipe stands at the turn: common practice, no source
AT_END_MM = 1524.0  # the same for an upper end
STACK_MM = 1000.0  # where a book says "at the base" and no distance: common practice, no source
SEWER_MM = 3048.0  # 10 ft, where a book says "near": common practice, no source
OUTSIDE_MM = 600.0  # usual place outside, clear of wall and footing: common practice, no source
TURN_TOL_DEG = 1.0
SINKS = (FixtureKind.KITCHEN_SINK, FixtureKind.SINK, FixtureKind.BAR_SINK)


def with_cleanouts(layout: Layout, house: House, book: RuleBook) -> Layout:
    """Return the layout with the cleanouts the book asks for, and the points and runs they need.

    Args:
        layout: The layout as routed; its cleanouts and hand-drawn parts stay as they are.
        house: The resolved house.
        book: Rule book, amendments laid over it.
    """
    return _Setter(layout, house, book).done()


class _Setter:
    """Sets one cleanout after the other into a draft."""

    def __init__(self, layout: Layout, house: House, book: RuleBook) -> None:
        self.layout, self.house, self.book = layout, house, book
        self.draft = Draft(layout)
        self.access = Access(house, book, self.draft)
        self.spots = Spots(house, book, self.draft, self.access)
        self.questions: list[Question] = []
        self.notes: list[str] = []
        self.derivations: list[Derivation] = []
        self.told: set[str] = set()

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
            derivations=(*self.layout.derivations, *self.derivations),
            notes=tuple(dict.fromkeys((*self.layout.notes, *self.notes))),
        )

    # tools -----------------------------------------------------------------------------------------------------------

    def _asked(self, key: str) -> Cell | None:
        """Return a yes of the book, None for a no or silence."""
        cell = self.book.find(f"cleanout.{key}")
        return cell if cell is not None and cell.value is True else None

    def _silent_on_clearance(self) -> bool:
        try:
            queries.cleanout_clearance(self.book, self.draft.plans[0].size_in)
        except NotInBook:
            return True
        return False

    def _open(self) -> set[str]:
        return {p.point for p in self.draft.plans}

    def _serve(self, near: dict[str, float], serves: str, bases: Sequence[Cell | None]) -> bool:
        """Let the nearest cleanout among some points serve a demand; False if there is none."""
        held = [(near[p.point], i) for i, p in enumerate(self.draft.plans) if p.point in near]
        if not held:
            return False
        self._add(min(held)[1], serves, bases)
        return True

    def _add(self, index: int, serves: str, bases: Sequence[Cell | None]) -> None:
        self.draft.add_words(index, self.draft.plans[index], serves)
        plan = self.draft.plans[index]
        basis = tuple(dict.fromkeys((*plan.basis, *(c.basis for c in bases if c is not None))))
        self.draft.plans[index] = replace(plan, basis=basis)

    def _set(self, spot: Spot, serves: str, bases: Sequence[Cell | None]) -> str:
        """Cut a cleanout into the layout at a spot and return its point."""
        d = self.draft
        run = d.runs[spot.run]
        size = min(run.size_in, LARGEST_IN)
        if spot.how in ("end", "trap"):
            node = spot.node
            if spot.how == "end":
                d.points[node] = replace(d.points[node], kind=PointKind.CLEANOUT)
                size = min(max(r.size_in for r in d.meeting(node)), LARGEST_IN)
        elif spot.how == "riser":
            node = d.new_point(spot.at, PointKind.CLEANOUT)
            joint = d.joint_point(spot.joint, node)
            d.split(run.id, joint)
            place = Place("buried", run.place.ref) if not self.access.inside(spot.at) else Place("under slab", run.place.ref)
            d.extend(f"{node}E", node, joint, place, size)
        else:
            node = d.new_point(spot.at, PointKind.CLEANOUT)
            d.split(run.id, node)
        cells: list[Cell | None] = list(bases)
        try:
            least = queries.cleanout_size(self.book, run.size_in)
            size = max(size, least.number)
            cells.append(least)
        except NotInBook:
            self.notes.append(f"{self.book.title} gives no cleanout size for {units.size(run.size_in)} in: the pipe's size")
        try:
            deep = queries.cleanout_clearance(self.book, run.size_in)
            clear = deep.number
            cells.append(deep)
        except NotInBook:
            clear = USUAL_CLEAR_MM
        number = f"CO{len(d.plans) + 1}"
        words = f"{serves}; two-way" if spot.two_way else serves
        if spot.remark:
            self.notes.append(f"{number}: {spot.remark}")
        basis = tuple(dict.fromkeys(c.basis for c in cells if c is not None))
        d.plans.append(CleanoutPlan(number, node, size, spot.opens, clear, words, spot.access, basis))
        return node

    def _take(self, spots: list[Spot], serves: str, bases: Sequence[Cell | None]) -> bool:
        """Set the best of some spots; False if there is none."""
        if not spots:
            return False
        best = min(spots, key=_rank)
        self._set(best, serves, bases)
        if best.how == "riser" and "flush cover in the floor" in best.access:
            self._ask_cover(best)
        return True

    def _ask_cover(self, spot: Spot) -> None:
        number = self.draft.plans[-1].id
        room = spot.access.split(",")[0]
        self.questions.append(Question(
            f"Q-{number}-cover", f"Cleanout {number} ends under a flush cover in the floor of {room}, at x "
            f"{units.length(spot.at.x, self.house.job.units)}, y {units.length(spot.at.y, self.house.job.units)}. "
            "Is that place accepted?", self._who("owner"), f"cleanout {number}, before the floor is closed",
            "the place as drawn", (number, room)))  # fmt: skip

    def _who(self, role: str) -> str:
        return next((name for _, name in self.house.job.people if role in name), role)

    def _no_place(self, about: str, what: str, bases: Sequence[Cell | None]) -> None:
        """Ask what to do where the book wants a cleanout and no place for it can be reached."""
        if about in self.told:
            return
        self.told.add(about)
        where = next((c.section for c in bases if c is not None), "")
        self.questions.append(Question(
            f"Q-{about}-cleanout", f"The book ({self.book.id} {where}) asks for a cleanout {what}; no place for it was "
            "found that a person can reach in the finished house. Where may it be, or may it be left out?",
            self._who("inspector"), f"cleanout {what}", "left out", (about,)))  # fmt: skip

    # demands ---------------------------------------------------------------------------------------------------------

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
            edge = self._edge(a, b)
            serves = "building drain and sewer"
            held = [(self.draft.points[p.point].at.minus(edge).plan_length, i) for i, p in enumerate(self.draft.plans)]
            if held and min(held)[0] <= reach:
                self._add(min(held)[1], serves, (asked, within))
                continue
            joint_end = run.end
            spots = self.spots.near(joint_end, self.draft.length(run) + reach, down=True)
            way = [r.id for r in (run, *self.draft.chain(run))] + [r.id for r in self._before(run)]
            near = [s for s in spots if s.run in way and s.at.minus(edge).plan_length <= reach]
            near = [replace(s, two_way=both and not self.access.inside(s.at)) if s.how == "riser" else s for s in near]
            if wish is not None:
                near.sort(key=lambda s: (round(s.at.at_z(0.0).to(wish.at_z(0.0)) / 100.0), _rank(s)))
                near = near[:1]
            else:
                near = [replace(s, cost=s.cost + self._from_edge(s, edge)) for s in near]
            if not self._take(near, serves, (asked, within, rule)):
                self._no_place(run.id, f"where {run.id} leaves the house", (asked,))

    def _from_edge(self, spot: Spot, edge: Vec) -> float:
        away = spot.at.minus(edge).plan_length
        return abs(away - OUTSIDE_MM) / 1000.0 if not self.access.inside(spot.at) else away / 3000.0

    def _edge(self, a: Vec, b: Vec) -> Vec:
        """Return where a line leaves the footprint."""
        for _ in range(50):
            mid = a.plus(b).times(0.5)
            a, b = (mid, b) if self.access.inside(mid) else (a, mid)
        return a

    def _before(self, run: Run) -> list[Run]:
        """Return the drains straight above a drain, the largest at every joint."""
        out: list[Run] = []
        while True:
            into = [r for r in self.draft.into(run.start) if self.draft.lying(r)]
            if not into:
                return out
            run = max(into, key=lambda r: (r.size_in, r.role is Role.BUILDING_DRAIN, r.id))
            out.append(run)

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
            ids = [r for r in self._foot_vent(trap.takeoff) if r.system == "vent" and not r.drawn]
            upright = [r for r in ids if self.draft.b(r).z - self.draft.a(r).z > self.draft.b(r).minus(self.draft.a(r)).plan_length]
            spots: list[Spot] = []
            for r in upright:
                if r.role in (Role.FOOT_VENT, Role.VENT, Role.BRANCH_VENT) and r.place.kind == "wall":
                    spots += self.spots.vent_tees(r)
            if spots:
                self._set(min(spots, key=_rank), f"foot vent of {trap.tag}", (asked,))
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
            if head.role not in (Role.BRANCH, Role.DRAIN, Role.BUILDING_DRAIN) or self.draft.a(head).z > floor.subfloor_z_mm:
                continue
            if any(r.role in (Role.TRAP_ARM, Role.FIXTURE_DRAIN) and not self.draft.plumb(r) for r in self.draft.into(head.start)):
                continue
            if short is not None and self._own_mm(head) <= short.number and not self._sink_above(head):
                continue
            serves = f"upper end of {head.id}"
            if self._serve(self.draft.distances(head.start, AT_END_MM), serves, (asked, short)):
                continue
            if not self._take(self.spots.near(head.start, AT_END_MM), serves, (asked, short)):
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

    def _turns(self) -> None:
        """Cleanouts for turns of lying drains, each by itself or added up, as the book counts."""
        try:
            limit = queries.cleanout_turn(self.book)
        except NotInBook:
            return
        rule = self.book.find("cleanout.turn_rule")
        total = rule is not None and rule.text == "total"
        serves = self.book.find("cleanout.turn_serves")
        for head_id in [h.id for h in self.draft.heads()]:
            for _ in range(30):  # each pass sets one cleanout or gives up on one turn
                if not self._turn_once(self.draft.runs[head_id], limit, serves, total):
                    break

    def _turn_once(self, head: Run, limit: Cell, serves: Cell | None, total: bool) -> bool:
        """Settle the first turn of a drain that wants a cleanout; False if none does."""
        turns = self._turns_of(head)
        counted, sums = 0.0, list[tuple[str, float]]()
        for node, deg in turns:
            if self._covered(node, serves, total):
                counted, sums = 0.0, []
                continue
            counted = counted + deg if total else deg
            sums.append((node, deg))
            if counted - limit.number <= TURN_TOL_DEG:
                continue
            if node in self.told:
                counted, sums = 0.0, []
                continue
            if not self._set_turn(head, sums, turns, limit, serves, total):
                self._no_place(node, f"at the turn of {head.id} at {node}", (limit, serves))
                continue
            return True
        return False

    def _set_turn(
        self, head: Run, sums: list[tuple[str, float]], turns: list[tuple[str, float]], limit: Cell,
        serves: Cell | None, total: bool,
    ) -> bool:  # fmt: skip
        """Set a cleanout for the last of some turns, or for an earlier one that takes enough out of the sum."""
        last = sums[-1][0]
        tries = [last]
        if total:  # what is left below an earlier turn must keep within the limit
            for k in range(len(sums) - 2, -1, -1):
                if sum(d for _, d in sums[k + 1 :]) - limit.number <= TURN_TOL_DEG:
                    tries.append(sums[k][0])
        reach = AT_TURN_MM if total or serves is None else max(serves.number, AT_TURN_MM)
        spots: list[Spot] = []
        if not total:
            spots = [*self.spots.traps(last, reach), *self.spots.near(last, reach, down=False)]
        for node in tries:
            spots += self.spots.near(node, AT_TURN_MM)
        if not spots:
            return False
        places = {n: self.draft.points[n].at for n, _ in turns}

        def rank(s: Spot) -> tuple[float, ...]:
            also = sum(1 for n, p in places.items() if n not in self.told and p.to(s.joint) <= AT_TURN_MM * 0.9)
            return (round(s.cost - 0.4 * min(also, 3), 2), *_rank(s)[1:])

        best = min(spots, key=rank)
        self._set(best, f"turns of {head.id} at {', '.join(n for n, _ in sums)}", (limit, serves))
        if best.how == "riser" and "flush cover in the floor" in best.access:
            self._ask_cover(best)
        return True

    def _covered(self, node: str, serves: Cell | None, total: bool) -> bool:
        """Return whether a cleanout serves a turn; it is then said so."""
        open_at = self._open()
        if any(k in open_at for k in self.draft.distances(node, AT_TURN_MM)):
            return True
        if total or serves is None:
            return False
        return any(k in open_at for k in self.draft.upstream(node, serves.number)[1])

    def _turns_of(self, head: Run) -> list[tuple[str, float]]:
        """Return the turns of a lying drain in plan, from its upper end until it falls or joins a straighter one."""
        out: list[tuple[str, float]] = []
        last = head
        for run in self.draft.chain(head):
            if not self.draft.lying(run) or self._joins(last, run):
                break
            if self.draft.length(run) <= 1.0 or self.draft.length(last) <= 1.0:
                continue
            deg = angle_deg(self._way(last).at_z(0.0), self._way(run).at_z(0.0))
            if deg > TURN_TOL_DEG:
                out.append((run.start, deg))
            last = run
        return out

    def _way(self, run: Run) -> Vec:
        return self.draft.b(run).minus(self.draft.a(run))

    def _joins(self, last: Run, run: Run) -> bool:
        if self.draft.length(run) <= 1.0 or self.draft.length(last) <= 1.0:
            return False
        own = angle_deg(self._way(last), self._way(run))
        others = [r for r in self.draft.into(run.start) if r.id != last.id and self.draft.lying(r)]
        return any(
            self.draft.length(r) > 1.0 and angle_deg(self._way(r), self._way(run)) < own - TURN_TOL_DEG for r in others
        )

    def _spacing(self) -> None:
        """Cleanouts on the way where a lying drain runs farther than the book lets a rod reach."""
        for head_id in [h.id for h in self.draft.heads()]:
            for _ in range(30):
                if not self._space_once(self.draft.runs[head_id]):
                    break

    def _space_once(self, head: Run) -> bool:
        """Set the first cleanout a long drain lacks; False if it lacks none."""
        open_at = self._open()
        run_mm, start = 0.0, head.start
        for run in (head, *self.draft.chain(head)):
            if not self.draft.lying(run):
                return False
            if run.start in open_at or any(self._opened(r) for r in self.draft.into(run.start)):
                run_mm, start = 0.0, run.start
            run_mm += self.draft.length(run)
            try:
                limit = queries.cleanout_spacing(self.book, run.size_in)
            except NotInBook:
                continue
            if run_mm <= limit.number or run.id in self.told:
                continue
            gone = limit.number - (run_mm - self.draft.length(run))
            spots = self.spots.on(run, max(0.0, gone - limit.number), gone)
            for node in self._back(start, run):
                spots += [s for s in self.spots.near(node, 3000.0, up=False) if s.run != run.id]
            if not self._take(spots, f"length of {run.id}", (limit,)):
                self._no_place(run.id, f"on the way of {run.id}, every {limit.printed}", (limit,))
                continue
            return True
        return False

    def _back(self, start: str, run: Run) -> list[str]:
        """Return the points between the last opening and a run, the lowest first, without the opening itself."""
        nodes: list[str] = []
        for r in self._before(run):
            nodes.append(r.start)
            if r.start == start:
                break
        return [n for n in nodes if n != start]

    def _opened(self, run: Run) -> bool:
        """Return whether a pipe that comes in is the extension of a cleanout."""
        return run.role is Role.CLEANOUT_EXT


def _rank(s: Spot) -> tuple[float, float, float, float, str, str]:
    """Return the order of spots: good ones first, then a fixed order of places."""
    return (round(s.cost, 3), round(s.at.x, 1), round(s.at.y, 1), round(s.at.z, 1), s.run, s.access)

