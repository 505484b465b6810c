"""Cleanouts for turns and for length: found drain by drain, and taken out again where a later one does for both."""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.geometry.vec import Vec, angle_deg
from stubout.house.model import House
from stubout.layout.cleanout_draft import FIXTURE_ROLES
from stubout.layout.cleanout_setter import NO_PLACE, Setter, rank_of
from stubout.layout.cleanout_spots import Spot
from stubout.layout.model import Layout, PointKind, Role, Run
from stubout.problems import NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook

AT_TURN_MM = 1524.0  # 5 ft: what a cleanout serves where the book is silent; common practice, no source
TURN_TOL_DEG = 1.0
NEAR_NODE_MM = 3000.0  # how far below a point of the way a place is looked for
FAR_MM = 3000.0  # stopping so much short of the rod's reach costs as much as one plain fitting
MORE_TURNS = 1.5  # what a place is worth that serves one more turn, in the units of its cost


class TurnSetter(Setter):
    """Sets what turns and lengths of lying drains ask for."""

    def _turns(self) -> None:
        """Cleanouts for turns of lying drains, each by itself or added up, as the book counts."""
        try:
            limit = queries.cleanout_turn(self.book)
        except NotInBook:
            return
        rule = self.book.find("cleanout.turn_rule")
        total = rule is not None and rule.text == "total"
        serves = self.book.find("cleanout.turn_serves")
        for head_id in [h.id for h in self._lines()]:
            for _ in range(30):  # each pass sets one cleanout or gives up on one turn
                if not self._turn_once(self.draft.runs[head_id], limit, serves, total):
                    break

    def _turn_once(self, head: Run, limit: Cell, serves: Cell | None, total: bool) -> bool:
        """Settle the first turn of a drain that wants a cleanout; False if none does."""
        turns = self._turns_of(head)
        counted, sums = 0.0, list[tuple[str, float]]()
        for node, deg in self._way_of(head):
            if self._covered(node, deg, serves, total, self._open()):
                counted, sums = 0.0, []
                continue
            if deg <= TURN_TOL_DEG:
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
            self.told.add(node)
            return True
        return False

    def _set_turn(
        self, head: Run, sums: list[tuple[str, float]], turns: list[tuple[str, float]], limit: Cell,
        serves: Cell | None, total: bool,
    ) -> bool:  # fmt: skip
        """Set a cleanout for the last of some turns, or for an earlier one that takes enough out of the sum."""
        last = sums[-1][0]
        offsets, turn_mm = self._offsets(head, turns)
        if total:
            spots = self._between(head, sums, limit, offsets, turn_mm)
        else:
            reach = _reach(serves, total)
            spots = [*self.spots.traps(last, reach), *self.spots.near(last, reach, down=False)]
        spots = self._large(spots, self.draft.out(last)[0].size_in)
        if not spots:
            return False

        def more(s: Spot) -> tuple[float, tuple[float, float, float, float, str, str]]:
            at = offsets.get(s.run, -math.inf) + self.draft.a(self.draft.runs[s.run]).to(s.joint)
            served = [mm for n, mm in turn_mm.items() if n not in self.told]
            if total:  # the fewer turns are left below it, the later the next one is wanted
                also = sum(mm <= at + 1.0 for mm in served)
            else:
                also = sum(at - 1.0 <= mm <= at + AT_TURN_MM for mm in served)
            return round(s.cost - MORE_TURNS * also, 3), rank_of(s)

        best = min(spots, key=more)
        point = self._set(best, f"turns of {head.id} at {', '.join(n for n, _ in sums)}", (limit, serves))
        self.for_turns.add(point)
        return True

    def _between(
        self, head: Run, sums: list[tuple[str, float]], limit: Cell, offsets: dict[str, float],
        turn_mm: dict[str, float],
    ) -> list[Spot]:  # fmt: skip
        """Return the spots on a drain below which no more turns are left, down to the last of some, than are free."""
        hi = turn_mm[sums[-1][0]]
        left = [sum(deg for _, deg in sums[k + 1 :]) for k in range(len(sums))]  # below each of the turns
        lo = min(turn_mm[node] for (node, _), deg in zip(sums, left, strict=True) if deg - limit.number <= TURN_TOL_DEG)
        out: list[Spot] = []
        for run in (head, *self.draft.chain(head)):
            from_mm, length = offsets[run.id], self.draft.length(run)
            if from_mm > hi + 1.0:
                break
            if from_mm + length >= lo:
                out += self.spots.on(run, max(0.0, lo - from_mm), min(length, hi - from_mm))
            if from_mm >= lo - 1.0:
                out += self.spots.ends(run.start)
        return out

    def _offsets(self, head: Run, turns: list[tuple[str, float]]) -> tuple[dict[str, float], dict[str, float]]:
        """Return how far from the upper end the runs of a drain begin and its turns lie [mm]."""
        offsets: dict[str, float] = {}
        total = 0.0
        names = {n for n, _ in turns}
        turn_mm: dict[str, float] = {}
        for run in (head, *self.draft.chain(head)):
            offsets[run.id] = total
            if run.start in names:
                turn_mm[run.start] = total
            total += self.draft.length(run)
        return offsets, turn_mm

    def _covered(self, node: str, deg: float, serves: Cell | None, total: bool, open_at: set[str]) -> bool:
        """Return whether a cleanout that is large enough serves a turn, or opens into the drain where it runs on."""
        out = self.draft.out(node)
        open_at = open_at & self._open(out[0].size_in if out else 0.0)
        if any(k in open_at for k in self.draft.upstream(node, _reach(serves, total))[1]):
            return True
        both = {p.point for p in self.draft.plans if "two-way" in p.serves} & open_at
        return deg > TURN_TOL_DEG and any(k in both for k in self.draft.downstream(node, AT_TURN_MM)[1])

    def _turns_of(self, head: Run) -> list[tuple[str, float]]:
        """Return the turns of a lying drain in plan, from its upper end until it falls or joins another."""
        return [(node, deg) for node, deg in self._way_of(head) if deg > TURN_TOL_DEG]

    def _way_of(self, head: Run) -> list[tuple[str, float]]:
        """Return the points of a lying drain with how much it turns there in plan, as far as its turns are counted."""
        out: list[tuple[str, float]] = []
        last = head
        for run in self.draft.chain(head):
            if not self.draft.lying(run) or self._joins(last, run):
                break
            if not self._long(run):
                continue
            way = self._way(last).at_z(0.0), self._way(run).at_z(0.0)
            out.append((run.start, angle_deg(*way) if self._long(last) else 0.0))
            last = run
        return out

    def _way(self, run: Run) -> Vec:
        return self.draft.b(run).minus(self.draft.a(run))

    def _lines(self) -> list[Run]:
        """Return where lying drains begin whose turns are counted."""
        return [r for r in self.draft.drains() if self.draft.lying(r) and self._begins(r)]

    def _begins(self, run: Run) -> bool:
        """Return whether a drain begins with a run: all that lies above it joins a stack's foot or a fixture's arm.

        The stack is larger; the arm is no smaller and goes straighter on.
        """
        into = [r for r in self.draft.into(run.start) if r.role is not Role.CLEANOUT_EXT]
        lying = [r for r in into if self.draft.lying(r)]
        widest = max((r.size_in for r in lying), default=0.0)
        if not lying or any(self.draft.plumb(r) and r.size_in > widest for r in into):
            return True
        bent = min((self._bend(r, run) for r in lying if self._long(r) and self._long(run)), default=0.0)
        arms = (r for r in into if r.role in FIXTURE_ROLES and r.size_in >= widest and self._long(r))
        return any(self._bend(r, run) < bent - TURN_TOL_DEG for r in arms if not self.draft.plumb(r))

    def _bend(self, last: Run, run: Run) -> float:
        return angle_deg(self._way(last), self._way(run))

    def _long(self, run: Run) -> bool:
        return self.draft.length(run) > 1.0  # a piece without length has no direction

    def _joins(self, last: Run, run: Run) -> bool:
        if not (self._long(run) and self._long(last)):
            return False
        if self._begins(run):
            return True
        own = self._bend(last, run)
        others = [r for r in self.draft.into(run.start) if r.id != last.id and self.draft.lying(r)]
        return any(self._long(r) and self._bend(r, run) < own - TURN_TOL_DEG for r in others)

    def _spacing(self) -> None:
        """Cleanouts on the way where a lying drain runs farther than the book lets a rod reach."""
        for head_id in [h.id for h in self.draft.heads()]:
            for _ in range(30):
                if not self._space_once(self.draft.runs[head_id]):
                    break

    def _space_once(self, head: Run) -> bool:
        """Set the first cleanout a long drain lacks; False if it lacks none."""
        lack = self._too_long(head, self._open())
        if lack is None:
            return False
        run, gone, start, limit = lack
        far = self.draft.a(run)
        spots = [  # as far on as the rod reaches, unless a much better place comes before
            replace(s, cost=s.cost + (gone - far.to(s.joint)) / FAR_MM)
            for s in self.spots.on(run, max(0.0, gone - limit.number), gone)
        ]
        for node in self._back(start, run):
            short_mm = gone + far.to(self.draft.points[node].at)
            more = self.spots.near(node, NEAR_NODE_MM, up=False)
            spots += [replace(s, cost=s.cost + short_mm / FAR_MM) for s in more if s.run != run.id]
        if not self._take(spots, f"length of {run.id}", (limit,)):
            self._no_place(run.id, f"on the way of {run.id}, every {limit.printed}", (limit,))
        return True

    def _too_long(self, head: Run, open_at: set[str]) -> tuple[Run, float, str, Cell] | None:
        """Return the first run a rod does not reach the end of, how far it reaches, the last opening and the limit."""
        run_mm, start = 0.0, head.start
        for run in (head, *self.draft.chain(head)):
            if not self.draft.lying(run):
                return None
            if run.start in open_at or any(self._opened(r, open_at) for r in self.draft.into(run.start)):
                run_mm, start = 0.0, run.start
            run_mm += self.draft.length(run)
            try:
                limit = queries.cleanout_spacing(self.book, run.size_in)
            except NotInBook:
                continue
            if run_mm > limit.number and run.id not in self.told:
                return run, limit.number - (run_mm - self.draft.length(run)), start, limit
        return None

    def _back(self, start: str, run: Run) -> list[str]:
        """Return the points between the last opening and a run, the lowest first, without the opening itself."""
        nodes: list[str] = []
        for r in self._before(run):
            nodes.append(r.start)
            if r.start == start:
                break
        return [n for n in nodes if n != start]

    def _opened(self, run: Run, open_at: set[str]) -> bool:
        """Return whether a pipe that comes in is the extension of an open cleanout."""
        return run.role is Role.CLEANOUT_EXT and run.start in open_at

    def _prune(self) -> None:
        """Take out again what later ones made needless, floor covers first."""
        try:
            limit = queries.cleanout_turn(self.book)
        except NotInBook:
            return
        before = self.lacking(limit)
        led = ("riser", "back")
        order = sorted(
            self.for_turns & set(self.made), key=lambda n: (self.made[n].how not in led, -self.made[n].cost, n)
        )
        for node in order:
            if self.lacking(limit, self._open() - {node}) <= before and self._spaced(self._open() - {node}):
                self._unset(node)
        self._withdraw(self.lacking(limit))

    def _withdraw(self, lacking: set[str]) -> None:
        """Take back the question about a turn that a cleanout set later serves after all."""
        turns = {node for head in self._lines() for node, _ in self._turns_of(head)}
        served = {f"Q-{node}{NO_PLACE}" for node in turns - lacking}
        self.questions = [q for q in self.questions if q.id not in served]

    def _unset(self, node: str) -> None:
        spot = self.made.pop(node)
        self.draft.plans = [p for p in self.draft.plans if p.point != node]
        if spot.how == "end":
            self.draft.points[node] = replace(self.draft.points[node], kind=PointKind.TURN)
        elif spot.how == "riser":
            self.draft.join(self.draft.retract(node))
        elif spot.how == "back":
            joint = self.draft.retract(node)
            self.draft.points[joint] = replace(self.draft.points[joint], kind=PointKind.TURN)
        elif spot.how != "trap":
            self.draft.join(node)

    def lacking(self, limit: Cell, open_at: set[str] | None = None) -> set[str]:
        """Return the turns that go without a cleanout, as the layout is or when some points are open."""
        open_at = self._open() if open_at is None else open_at
        rule, serves = self.book.find("cleanout.turn_rule"), self.book.find("cleanout.turn_serves")
        total = rule is not None and rule.text == "total"
        out: set[str] = set()
        for head in self._lines():
            counted = 0.0
            for node, deg in self._way_of(head):
                open_here = self._covered(node, deg, serves, total, open_at)
                counted = 0.0 if open_here else (counted + deg if total else deg)
                if counted - limit.number > TURN_TOL_DEG:
                    out.add(node)
                    counted = 0.0
        return out

    def _spaced(self, open_at: set[str]) -> bool:
        """Return whether no drain is longer than a rod reaches when some points are open."""
        return all(self._too_long(h, open_at) is None for h in self.draft.heads())


def turns_as_drawn(layout: Layout, house: House, book: RuleBook) -> Layout:
    """Return a layout that asks where to open a turn only if it still wants a cleanout, after points were moved."""
    points = {p.id for p in layout.points}
    asked = {f"Q-{i}{NO_PLACE}": i for i in points} if any(q.id.endswith(NO_PLACE) for q in layout.questions) else {}
    if not any(q.id in asked for q in layout.questions):
        return layout
    try:
        limit = queries.cleanout_turn(book)
    except NotInBook:
        return layout
    lacking = TurnSetter(layout, house, book).lacking(limit)
    still = tuple(q for q in layout.questions if q.id not in asked or asked[q.id] in lacking)
    return replace(layout, questions=still)


def _reach(serves: Cell | None, total: bool) -> float:
    """Return how far down stream a cleanout serves turns [mm]: where they are added up, those above it only."""
    return 0.0 if total else serves.number if serves is not None else AT_TURN_MM
