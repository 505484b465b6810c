"""A layout put together from the ways of several drawings: points, runs in flow order, traps, marks. Lengths [mm]."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import flow_of, own_vent, upstream_first
from stubout.layout.model import Blocked, Layout, Point, PointKind, Role, Run, StubMark, TrapPlan
from stubout.layout.select.pool import Piece, Place, Pool, Way, goes_on, meetings, place_at
from stubout.layout.worth import worth
from stubout.problems import Derivation, Question

STAYS = (  # kinds of points that are more than where pipes happen to meet, the weightiest first
    PointKind.TRAP,
    PointKind.FLANGE,
    PointKind.SEWER,
    PointKind.TERMINAL,
    PointKind.AAV,
    PointKind.CAP,
    PointKind.TAKEOFF,
    PointKind.STACK_FOOT,
    PointKind.STACK_TOP,
)


Chain = tuple[Piece, ...]
"""Pieces that follow each other in one line, with nothing between."""


@dataclass(frozen=True, slots=True)
class _Laid:
    """A piece with the run of the drawing it is taken from, as large as any that is taken has it there."""

    run: Run
    size_in: float


def put_together(pool: Pool, ways: Iterable[Way]) -> Layout | None:
    """Return the layout that one way for each fixture makes, without cleanouts; None if drains go in a ring."""
    return _Assembly(pool, ways).layout()


class _Assembly:
    def __init__(self, pool: Pool, ways: Iterable[Way]) -> None:
        self.pool, self.taken = pool, pool.as_drawn(ways)  # the drawing most is taken from comes first
        self.base = next(iter(self.taken))
        self.source = {w.tag: n for n, mine in self.taken.items() for w in mine}
        self.laid: dict[Piece, _Laid] = {}
        for n, mine in self.taken.items():
            self._lay(n, {p for w in mine for p in w.pieces})
        for n in self.taken:
            self._lay(n, self._loose(n))

    def _lay(self, n: int, pieces: set[Piece]) -> None:
        runs = {r.id: r for r in self.pool.drawings[n].runs}
        for run_id, some in self.pool.of_run[n].items():
            for piece in some:
                if piece in pieces:
                    there, run = self.laid.get(piece), runs[run_id]
                    size = run.size_in if there is None else max(run.size_in, there.size_in)
                    self.laid[piece] = _Laid(run if there is None else there.run, size)

    def _loose(self, n: int) -> set[Piece]:
        """Return the pieces of a drawing that are no fixture's own, where they hang on what is taken from it.

        A vent that goes up from a stack or from the building drain, a capped drain for later.
        """
        flow, parts = self.pool.flows[n], self.pool.of_run[n]
        owned = {p for w in self.pool.of(n) for p in w.pieces}
        loose = {i: some for i, some in parts.items() if some and not owned & set(some)}
        mine = {q for w in self.taken[n] for p in w.drains for q in p[1:]}
        gone = {p[:2] for p in self.laid}
        out: set[Piece] = set()
        more = True
        while more:
            more = False
            for i in list(loose):
                some = loose[i]
                drain = flow.runs[i].system == "drain"
                hangs = some[-1][2] in mine if drain else some[0][1] in mine
                if hangs and (drain or some[0][:2] not in gone):
                    out |= set(some)
                    mine |= {q for p in some for q in p[1:]}
                    gone |= {p[:2] for p in some}
                    del loose[i]
                    more = True
        return out

    def layout(self) -> Layout | None:
        """Return the layout; None if drains go in a ring."""
        meet, source = meetings(self.laid), self._points()
        kept = {q for q, some in meet.items() if self._stays(q, some, source)}
        chains = sorted(_chains(self.laid, kept), key=self._first_drawn)
        drains = {c: (c[0][1], c[-1][2]) for c in chains if c[0][0] == "drain"}
        ordered, ring = upstream_first(drains)
        if ring:
            return None
        ordered += [c for c in chains if c not in drains]
        ids = _names(ordered)
        points = tuple(_point(ids[q], q, source.get(q, ()), meet[q]) for q in ids)
        runs = self._runs(ordered, ids)
        run_of = {piece: run.id for chain, run in zip(ordered, runs, strict=True) for piece in chain}
        made = Layout(
            points,
            tuple(runs),
            self._traps(points, runs, ids, run_of),
            self._marks(),
            cleanouts=(),
            blocked=self._blocked(),
            questions=self._questions(),
            derivations=self._derivations(),
            notes=self._notes(run_of),
            chosen=self.pool.drawings[self.base].chosen,
        )
        return replace(made, cost=worth(made, self.pool.costs, self.pool.tops))

    def _runs(self, ordered: Sequence[Chain], ids: Mapping[Place, str]) -> list[Run]:
        """Return one run for each chain, drains and vents numbered in their order."""
        arms = {p: w.tag for mine in self.taken.values() for w in mine for p in w.arm}
        runs: list[Run] = []
        number = Counter[str]()
        for chain in ordered:
            laid = self.laid[chain[0]]
            letter = "D" if chain[0][0] == "drain" else "V"
            number[letter] += 1
            role, tag = laid.run.role, laid.run.tag
            if chain[0] in arms:
                role, tag = Role.TRAP_ARM, arms[chain[0]]
            elif role is Role.TRAP_ARM:
                role = Role.BRANCH
            start, end, size = ids[chain[0][1]], ids[chain[-1][2]], max(self.laid[p].size_in for p in chain)
            name = f"{letter}{number[letter]}"
            runs.append(replace(laid.run, id=name, role=role, tag=tag, size_in=size, start=start, end=end))
        return runs

    def _first_drawn(self, chain: Chain) -> tuple[str, int, Piece]:
        """Return the order of a chain: as its run came in its drawing."""
        run = self.laid[chain[0]].run
        return run.system, int("".join(c for c in run.id if c.isdigit()) or 0), chain[0]

    def _points(self) -> dict[Place, tuple[Point, ...]]:
        """Return the points of the drawings that something is taken from, by place."""
        out: dict[Place, tuple[Point, ...]] = {}
        for n in self.taken:
            for p in self.pool.drawings[n].points:
                q = place_at(p.at)
                out[q] = (*out.get(q, ()), p)
        return out

    def _stays(self, place: Place, some: Sequence[Piece], source: Mapping[Place, Sequence[Point]]) -> bool:
        """Return whether a place is a point of the layout, and not just on a pipe."""
        if len(some) != 2 or any(p.kind in STAYS for p in source.get(place, ())):
            return True
        a, b = (self.laid[p] for p in some)
        same = a.run.role is b.run.role and a.run.place == b.run.place and a.size_in == b.size_in
        return not (same and some[0][0] == some[1][0] and goes_on(place, *some))

    def _traps(
        self, points: Sequence[Point], runs: Sequence[Run], ids: Mapping[Place, str], run_of: Mapping[Piece, str]
    ) -> tuple[TrapPlan, ...]:
        flow = flow_of(runs, {p.id: p.at for p in points})

        def of(pieces: Iterable[Piece]) -> tuple[str, ...]:
            return tuple(dict.fromkeys(run_of[p] for p in pieces))

        out = []
        for n, mine in self.taken.items():
            at = self.pool.flows[n].at
            for w in mine:
                takeoff = ids[w.takeoff] if w.takeoff is not None else ""
                plan = replace(
                    w.trap,
                    weir=ids[place_at(at[w.trap.weir])],
                    takeoff=takeoff,
                    arm_runs=of(w.arm),
                    vent_runs=own_vent(flow, takeoff) if w.trap.vent_runs else (),
                    wet_through=of(w.wet),
                )
                out.append(plan)
        return tuple(sorted(out, key=lambda t: t.tag))

    def _marks(self) -> tuple[StubMark, ...]:
        """Return the stub mark of each fixture as its way was drawn."""
        stubs = [{m.tag: m for m in d.stubs} for d in self.pool.drawings]
        return tuple(stubs[self.source.get(tag, self.base)][tag] for tag in stubs[self.base])

    def _blocked(self) -> tuple[Blocked, ...]:
        """Return what is blocked in the first drawing, but for fixtures whose way is taken from another."""
        return tuple(b for b in self.pool.drawings[self.base].blocked if not set(b.about) & set(self.source))

    def _about(self, n: int, about: Iterable[str]) -> bool:
        """Return whether what a drawing says of something holds: of its fixtures, and in the first one of all else."""
        tags = [t for t in about if t in self.source]
        return all(self.source[t] == n for t in tags) if tags else n == self.base

    def _questions(self) -> tuple[Question, ...]:
        found = {q.id: q for n in self.taken for q in self.pool.drawings[n].questions if self._about(n, q.about)}
        return tuple(found.values())

    def _derivations(self) -> tuple[Derivation, ...]:
        every = (d for n in self.taken for d in self.pool.drawings[n].derivations if self._about(n, (d.about,)))
        return tuple(dict.fromkeys(every))

    def _notes(self, run_of: Mapping[Piece, str]) -> tuple[str, ...]:
        """Return the notes of the first drawing, and those of others about pipes that are taken, by their new names."""
        out = []
        for n in self.taken:
            parts = self.pool.of_run[n]
            for note in self.pool.drawings[n].notes:
                run, colon, words = note.partition(": ")
                if colon and run in parts:
                    names = dict.fromkeys(run_of[p] for p in parts[run] if p in run_of)
                    out += [f"{name}: {words}" for name in names]
                elif self._about(n, (run,)):
                    out.append(note)
        return tuple(dict.fromkeys(out))


def _chains(laid: Iterable[Piece], kept: set[Place]) -> Iterator[Chain]:
    """Yield all pieces, those that follow each other between two points of the layout in one."""
    starts: dict[tuple[str, Place], list[Piece]] = defaultdict(list)
    for piece in laid:
        starts[piece[0], piece[1]].append(piece)
    for piece in laid:
        if piece[1] not in kept:
            continue
        chain = [piece]
        while chain[-1][2] not in kept:
            chain.append(starts[piece[0], chain[-1][2]][0])
        yield tuple(chain)


def _names(ordered: Iterable[Chain]) -> dict[Place, str]:
    """Return the ids of the points at the ends of some chains."""
    ends = dict.fromkeys(end for chain in ordered for end in (chain[0][1], chain[-1][2]))
    return {place: f"N{k}" for k, place in enumerate(ends, start=1)}


def _point(name: str, place: Place, source: Sequence[Point], some: Sequence[Piece]) -> Point:
    """Return the point at a place: what it is in the drawings, or what meets there."""
    weighty = sorted((p for p in source if p.kind in STAYS), key=lambda p: STAYS.index(p.kind))
    if weighty:
        return replace(weighty[0], id=name)
    drains = any(system == "drain" for system, _, _ in some)
    into = sum(end == place and (system == "drain") == drains for system, _, end in some)
    joint = PointKind.JUNCTION if drains else PointKind.TIE_IN
    kind = joint if into > 1 else PointKind.TURN
    return replace(source[0], id=name, kind=kind) if source else Point(name, Vec(*place), kind)
