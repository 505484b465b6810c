"""A layout put together from the ways of several drawings: points, runs in flow order, traps, marks. Lengths [mm]."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stubout.geometry.vec import Vec
from stubout.layout.flowgraph import flow_of, own_vent
from stubout.layout.model import Blocked, Layout, Point, PointKind, Role, Run, StubMark, TrapPlan
from stubout.layout.select.pool import Piece, Place, Pool, System, place_at, straight_on
from stubout.layout.select.together import Picks
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


def put_together(pool: Pool, picks: Picks) -> Layout | None:
    """Return the layout that some ways make together, without cleanouts; None if they do not go together after all."""
    return _Assembly(pool, picks).layout()


class _Assembly:
    def __init__(self, pool: Pool, picks: Picks) -> None:
        self.pool, self.picks = pool, picks
        taken = Counter(w.drawing for w in picks.values())
        self.order = sorted(taken, key=lambda n: (-taken[n], n))  # the drawing most is taken from comes first
        self.base = pool.drawings[self.order[0]]
        self.laid: dict[Piece, _Laid] = {}
        for n in self.order:
            mine = [w for w in picks.values() if w.drawing == n]
            self._lay(n, {p for w in mine for p in w.pieces})
        for n in self.order:
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
        mine = {q for w in self.picks.values() if w.drawing == n for p in w.drains for q in p[1:]}
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
        """Return the layout; None if a pipe goes on two ways, or one that vents another is not there."""
        meet: dict[Place, list[Piece]] = defaultdict(list)
        for piece in self.laid:
            meet[piece[1]].append(piece)
            meet[piece[2]].append(piece)
        source = self._points()
        kept = {q for q, some in meet.items() if self._stays(q, some, source)}
        chains = sorted(_chains(self.laid, kept), key=self._first_drawn)
        ordered = _in_flow_order(chains)
        if ordered is None:
            return None
        ids = _names(ordered)
        points = tuple(self._point(ids[q], q, source.get(q, ()), meet[q]) for q in ids)
        runs = self._runs(ordered, ids)
        run_of = {piece: run.id for chain, run in zip(ordered, runs, strict=True) for piece in chain}
        traps = self._traps(points, runs, ids, run_of)
        if traps is None:
            return None
        made = Layout(points, tuple(runs), traps, self._marks(), (), self._blocked(), self._questions(), chosen=None)
        made = replace(made, derivations=self._derivations(), notes=self._notes(run_of), chosen=self.base.chosen)
        return replace(made, cost=worth(made, self.pool.costs))

    def _runs(self, ordered: Sequence[Chain], ids: Mapping[Place, str]) -> list[Run]:
        """Return one run for each chain, drains and vents numbered in their order."""
        arms = {p: w.tag for w in self.picks.values() for p in w.arm}
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
        for n in self.order:
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
        return not (same and some[0][0] == some[1][0] and straight_on(place, *some))

    def _point(self, name: str, place: Place, source: Sequence[Point], some: Sequence[Piece]) -> Point:
        """Return the point at a place: what it is in the drawings, or what meets there."""
        exact = source[0].at if source else None
        weighty = sorted((p for p in source if p.kind in STAYS), key=lambda p: STAYS.index(p.kind))
        if weighty:
            return replace(weighty[0], id=name)
        into = Counter(p[0] for p in some if p[2] == place)
        system: System = "drain" if any(p[0] == "drain" for p in some) else "vent"
        kind = PointKind.TURN
        if into[system] > 1:
            kind = PointKind.JUNCTION if system == "drain" else PointKind.TIE_IN
        one = next((p for p in source), None)
        at = exact if exact is not None else _vec(place)
        return Point(name, at, kind, one.tag if one is not None else "", one.note if one is not None else "")

    def _traps(
        self, points: Sequence[Point], runs: Sequence[Run], ids: Mapping[Place, str], run_of: Mapping[Piece, str]
    ) -> tuple[TrapPlan, ...] | None:
        flow = flow_of(runs, {p.id: p.at for p in points})

        def of(pieces: Iterable[Piece]) -> tuple[str, ...]:
            return tuple(dict.fromkeys(run_of[p] for p in pieces))

        out = []
        for tag, w in sorted(self.picks.items()):
            at = {p.id: place_at(p.at) for p in self.pool.drawings[w.drawing].points}
            if any(p not in run_of for p in (*w.arm, *w.wet)) or at[w.trap.weir] not in ids:
                return None
            takeoff = ids[w.takeoff] if w.takeoff is not None else ""
            vents = own_vent(flow, takeoff) if w.trap.vent_runs else ()
            weir = ids[at[w.trap.weir]]
            out.append(replace(w.trap, weir=weir, takeoff=takeoff, arm_runs=of(w.arm), wet_through=of(w.wet)))
            out[-1] = replace(out[-1], vent_runs=vents, tag=tag)
        return tuple(out)

    def _of(self, tag: str) -> Layout:
        """Return the drawing a fixture's way is taken from."""
        return self.pool.drawings[self.picks[tag].drawing] if tag in self.picks else self.base

    def _marks(self) -> tuple[StubMark, ...]:
        return tuple(next((o for o in self._of(m.tag).stubs if o.tag == m.tag), m) for m in self.base.stubs)

    def _blocked(self) -> tuple[Blocked, ...]:
        """Return what is blocked in the first drawing, but for fixtures whose way is taken from another."""
        return tuple(b for b in self.base.blocked if not set(b.about) & set(self.picks))

    def _about(self, n: int, about: Iterable[str]) -> bool:
        """Return whether what a drawing says of something holds: of its fixtures, and in the first one of all else."""
        tags = [t for t in about if t in self.picks]
        return all(self.picks[t].drawing == n for t in tags) if tags else n == self.order[0]

    def _questions(self) -> tuple[Question, ...]:
        found = {q.id: q for n in self.order for q in self.pool.drawings[n].questions if self._about(n, q.about)}
        return tuple(found.values())

    def _derivations(self) -> tuple[Derivation, ...]:
        every = (d for n in self.order for d in self.pool.drawings[n].derivations if self._about(n, (d.about,)))
        return tuple(dict.fromkeys(every))

    def _notes(self, run_of: Mapping[Piece, str]) -> tuple[str, ...]:
        """Return the notes of the first drawing, and those of others about pipes that are taken, by their new names."""
        out = []
        for n in self.order:
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


def _in_flow_order(chains: Sequence[Chain]) -> list[Chain] | None:
    """Return drains upstream first, each after all that flows into it, then the vents; None if drains go in a ring."""
    drains = [c for c in chains if c[0][0] == "drain"]
    comes = Counter(c[-1][2] for c in drains)
    left = dict.fromkeys(drains)
    ready = [c for c in drains if not comes[c[0][1]]]
    out = []
    while ready:
        chain = ready.pop(0)
        del left[chain]
        out.append(chain)
        end = chain[-1][2]
        comes[end] -= 1
        if not comes[end]:
            ready = [c for c in left if c[0][1] == end] + ready
    return None if left else [*out, *(c for c in chains if c[0][0] == "vent")]


def _names(ordered: Iterable[Chain]) -> dict[Place, str]:
    """Return the ids of the points at the ends of some chains."""
    ends = dict.fromkeys(end for chain in ordered for end in (chain[0][1], chain[-1][2]))
    return {place: f"N{k}" for k, place in enumerate(ends, start=1)}


def _vec(place: Place) -> Vec:
    return Vec(*place)
