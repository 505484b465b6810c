"""Points of a layout moved by a hand's breadth, the least in all, so that every fitting has its room. [mm].

A linear programme: how far every point moves along the three axes. Pipes keep their directions and their slopes, plumb
ones stay plumb, a terminal stays on its roof plane, a trap under its outlet; a piece that fits goes on fitting, one
that does not gets what it lacks. What the frame and the rules say is not in it: it comes in as limits, learned from
what the checks say of an answer (`ease_limits.py`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from stubout import units
from stubout.catalog.queries import measured_catalog
from stubout.fabrication.joining import FITTING_TOL_MM
from stubout.fabrication.model import CutPiece, Fabrication
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import Layout, Point, PointKind, Run, StubMark
from stubout.layout.places import place_of, roof_plane
from stubout.layout.stub_place import in_place
from stubout.layout.stubs import marked_at
from stubout.solver import INFINITE, Linear, Term

REACH_MM = 220.0  # farther than this a point is not eased but laid out anew
LEAST_RUN_MM = 15.0  # no run gets shorter than this, or than it is
COUPLED = 0.05  # of its length: so much shorter a run with couplings may get
PLUMB_MM = 1.0  # less aside in plan is nothing
UPRIGHT = 0.1  # plan to rise: what leans less keeps its lean and may become longer
LYING = 0.12  # rise to run: what rises more is leaned over
MOVED_MM = 0.4  # where no point moves farther nothing is eased
HAIR_MOVED_MM = 1e-3  # less is what the reckoning leaves
HAIR_MM = 0.2  # kept of what a socket may lack
DECIMALS = 4  # of a moved coordinate: finer the answer may differ from one machine to the next
LACK = 1000.0  # what a millimetre that lacks costs, beside one moved
SHORT_SOCKET = 3.0  # what a millimetre that a socket lacks costs
IN_BAND = "in its band, so that the fittings behind it go"  # why a mark is moved
STAYS = frozenset({PointKind.TRAP, PointKind.FLANGE, PointKind.SEWER, PointKind.AAV})

NOWHERE = Vec(0.0, 0.0, 0.0)  # how far a point goes that does not move

Axis = int  # 0 to 2: x, y, z
Moves = Mapping[str, Vec]  # points that move


@dataclass(frozen=True, slots=True)
class Room:
    """What the piece between two fittings asks of the runs it is cut from."""

    runs: tuple[str, ...]
    grow_mm: float  # they have to become so much longer; below 0: may become so much shorter
    play_mm: float = 0.0  # the sockets may lack so much of it
    lacks: bool = False  # the piece does not go as it is
    exact: bool = False  # neither more nor less: a street fitting joins its ends, and the distance is right

    @property
    def given_up(self) -> Room:
        """Return the same of a piece that will not go: its runs need not become longer."""
        return Room(self.runs, 0.0)


@dataclass(frozen=True, slots=True)
class Cap:
    """A point that may move no farther in a direction than so much."""

    point: str
    way: Vec
    most_mm: float


@dataclass(frozen=True, slots=True)
class Apart:
    """Two runs of which one lies so far beyond the other in a direction, at least."""

    beyond: str
    run: str
    way: Vec
    least_mm: float


@dataclass(frozen=True, slots=True)
class Clear:
    """Two runs that run into each other: where on each (0 at its start, 1 at its end) they come nearest."""

    one: str
    one_share: float
    two: str
    two_share: float
    way: Vec  # in which the second has to go from the first
    lack_mm: float  # how far


@dataclass(slots=True)
class Limits:
    """What was learned of where points may not go."""

    caps: list[Cap] = field(default_factory=list)
    apart: list[Apart] = field(default_factory=list)
    no_longer: list[tuple[str, ...]] = field(default_factory=list)  # runs that may not become longer in all


def rooms(fabrication: Fabrication, house: House) -> Iterator[Room]:
    """Yield what every straight run that is cut asks for."""
    parts = measured_catalog(house.measured)
    of: dict[tuple[str, ...], list[CutPiece]] = {}
    for piece in fabrication.pieces:
        if piece.pipe:  # the riser of a floor outlet belongs to its fitting
            of.setdefault(piece.pipes or (piece.pipe,), []).append(piece)
    for runs, pieces in of.items():
        if len(pieces) > 1:
            yield Room(runs, -COUPLED * sum(p.centre_mm for p in pieces))
            continue
        (piece,) = pieces
        if piece.street:
            yield Room(runs, 0.0, exact=True)
            continue
        sockets = sum(e not in ("", "trap", "terminal") for e in (piece.start_fitting, piece.end_fitting))
        takes = piece.takeoff_start_mm + piece.takeoff_end_mm + sockets * parts.socket_mm(piece.size_in)
        lack = takes - piece.centre_mm
        if piece.fits:
            yield Room(runs, min(lack, 0.0))
        else:
            yield Room(runs, lack, max(sockets * FITTING_TOL_MM - HAIR_MM, 0.0), lacks=True)


class Easing:
    """A layout and what its pieces ask for; asked again and again as more is learned of where points may not go."""

    def __init__(self, layout: Layout, house: House, asked: Iterable[Room], clear: Iterable[Clear] = ()) -> None:
        self.layout, self.house, self.rooms, self.clear = layout, house, tuple(asked), tuple(clear)
        self.at = {p.id: p.at for p in layout.points}
        self.runs = {r.id: r for r in layout.runs}
        self._drawn = {n for r in layout.runs if r.drawn for n in (r.start, r.end)}
        self._kinds = {p.id: p.kind for p in layout.points}
        self._bands = {t.weir: self._band(t.tag) for t in layout.traps}

    def _band(self, tag: str) -> tuple[float, float]:
        """Return how far the trap of a fixture may go down and up: its mark stays in its band."""
        mark = next((m for m in self.layout.stubs if m.tag == tag), None)
        fixture = next((f for f in self.house.fixtures if f.tag == tag), None)
        if fixture is None or fixture.trap_weir_z_mm is not None:
            return 0.0, 0.0
        if mark is None:
            return -REACH_MM, REACH_MM
        return min(0.0, mark.lo_z_mm - mark.mark_z_mm), max(0.0, mark.hi_z_mm - mark.mark_z_mm)

    def moves(self, limits: Limits, without: str = "") -> Moves | None:
        """Return the least moves that give the pieces room, as far as that goes within limits; None if none does.

        Args:
            limits: What was learned of where points may not go.
            without: A run that is to vanish: its ends come to one place.
        """
        asked = _Asked(self.at, self._bounds)
        for run in self.layout.runs:
            if not run.drawn and run.id != without:
                self._keeps_its_way(asked, run)
        for point in self.layout.points:
            if point.kind is PointKind.TERMINAL and point.id not in self._drawn:
                self._stays_on_roof(asked, point)
        self._gives_room(asked, without)
        for pair in self.clear:
            if without not in (pair.one, pair.two):
                self._come_clear(asked, pair)
        for cap in limits.caps:
            asked.programme.row(-INFINITE, cap.most_mm, asked.along(cap.point, cap.way))
        for one in limits.apart:
            self._stay_apart(asked, one)
        for ids in limits.no_longer:
            asked.programme.row(-INFINITE, 0.0, [t for i in ids for t in self._growth(asked, self.runs[i])])
        return asked.answer()

    def _bounds(self, point: str, axis: Axis) -> tuple[float, float]:
        kind = self._kinds[point]
        if point in self._drawn:
            return 0.0, 0.0
        if kind is PointKind.TRAP and axis == 2:
            return self._bands.get(point, (0.0, 0.0))
        return (0.0, 0.0) if kind in STAYS else (-REACH_MM, REACH_MM)

    # --- what a pipe keeps -------------------------------------------------------------------------------------

    def _keeps_its_way(self, asked: _Asked, run: Run) -> None:
        """Let a run keep its direction in plan and its slope."""
        way = self.at[run.end].minus(self.at[run.start])
        plan = way.plan_length
        kept: tuple[Vec, ...] = (Vec(1.0, 0.0), Vec(0.0, 1.0))
        if plan >= max(PLUMB_MM, UPRIGHT * abs(way.z)):
            x, y, slope = way.x / plan, way.y / plan, way.z / plan
            kept = (Vec(-y, x), Vec(-x * slope, -y * slope, 1.0))
        for one in kept:
            asked.programme.row(0.0, 0.0, asked.between(run, one))

    def _growth(self, asked: _Asked, run: Run) -> list[Term]:
        """Return by how much a run becomes longer; of one that lies, in plan."""
        way = self.at[run.end].minus(self.at[run.start])
        if way.length < MOVED_MM:
            return asked.between(run, Vec(0.0, 0.0, -1.0))
        plan = way.plan_length
        lies = plan >= PLUMB_MM and abs(way.z) < LYING * plan
        return asked.between(run, Vec(way.x / plan, way.y / plan) if lies else way.unit())

    def _stays_on_roof(self, asked: _Asked, point: Point) -> None:
        plane = roof_plane(self.house, point.at)
        if plane is not None:
            asked.programme.row(0.0, 0.0, asked.along(point.id, Vec(-plane.gx, -plane.gy, 1.0)))

    # --- what a piece asks for ---------------------------------------------------------------------------------

    def _gives_room(self, asked: _Asked, without: str) -> None:
        cut: set[str] = set()
        for room in self.rooms:
            if without in room.runs:
                continue
            runs = [self.runs[i] for i in room.runs if i in self.runs]
            if not runs:
                continue
            cut.update(r.id for r in runs)
            grows = [t for r in runs for t in self._growth(asked, r)]
            if room.exact:
                asked.programme.row(room.grow_mm, room.grow_mm, grows)
            elif room.lacks:
                lack = asked.programme.column(0.0, INFINITE, LACK)
                short = asked.programme.column(0.0, room.play_mm, SHORT_SOCKET)
                asked.programme.row(room.grow_mm, INFINITE, [*grows, (lack, 1.0), (short, 1.0)])
            else:
                asked.programme.row(room.grow_mm, INFINITE, grows)
        for run in self.layout.runs:
            if run.drawn:
                continue
            if run.id == without:
                self._vanishes(asked, run)
                continue
            long = self.at[run.start].to(self.at[run.end])
            grows = self._growth(asked, run)
            asked.programme.row(min(0.0, LEAST_RUN_MM - long), INFINITE if run.id in cut else 0.0, grows)

    def _vanishes(self, asked: _Asked, run: Run) -> None:
        for axis, far in enumerate(self.at[run.end].minus(self.at[run.start])):
            way = Vec(*(float(axis == a) for a in range(3)))
            asked.programme.row(-far, -far, asked.between(run, way))

    def _come_clear(self, asked: _Asked, pair: Clear) -> None:
        terms = [(asked.programme.column(0.0, INFINITE, LACK), 1.0)]
        for i, share, sign in ((pair.two, pair.two_share, 1.0), (pair.one, pair.one_share, -1.0)):
            run = self.runs[i]
            terms += asked.along(run.start, pair.way.times(sign * (1.0 - share)))
            terms += asked.along(run.end, pair.way.times(sign * share))
        asked.programme.row(pair.lack_mm, INFINITE, terms)

    def _stay_apart(self, asked: _Asked, one: Apart) -> None:
        beyond, run = self.runs[one.beyond], self.runs[one.run]
        for i in (beyond.start, beyond.end):
            for j in (run.start, run.end):
                now = one.way.dot(self.at[i].minus(self.at[j]))
                terms = [*asked.along(i, one.way), *asked.along(j, one.way.times(-1.0))]
                asked.programme.row(one.least_mm - now, INFINITE, terms)


class _Asked:
    """The columns of one question: how far each point goes forth and back along each axis."""

    def __init__(self, at: Mapping[str, Vec], bounds: Callable[[str, Axis], tuple[float, float]]) -> None:
        self.programme = Linear()
        self._columns: dict[tuple[str, Axis], tuple[int, int]] = {}
        for point in at:
            for axis in range(3):
                least, most = bounds(point, axis)
                forth = self.programme.column(0.0, max(most, 0.0), 1.0)
                self._columns[point, axis] = forth, self.programme.column(0.0, max(-least, 0.0), 1.0)

    def along(self, point: str, way: Vec) -> list[Term]:
        """Return how far a point moves, times a direction."""
        out: list[Term] = []
        for axis, share in enumerate(way):
            forth, back = self._columns[point, axis]
            out += ((forth, share), (back, -share))
        return out

    def between(self, run: Run, way: Vec) -> list[Term]:
        """Return how far the end of a run moves beyond its start, times a direction."""
        return [*self.along(run.end, way), *self.along(run.start, way.times(-1.0))]

    def answer(self) -> Moves | None:
        """Return the points that move, those by a hair too that others lean on; none where nothing moves farther."""
        found = self.programme.solved()
        if found is None:
            return None
        points = dict.fromkeys(point for point, _ in self._columns)
        moves = {p: Vec(*(found[f] - found[b] for f, b in (self._columns[p, a] for a in range(3)))) for p in points}
        if all(max(map(abs, by)) <= MOVED_MM for by in moves.values()):
            return {}
        return {p: by for p, by in moves.items() if max(map(abs, by)) > HAIR_MOVED_MM}


def moved(layout: Layout, house: House, moves: Moves) -> Layout:
    """Return a layout with points moved, and with the marks of the stub-outs whose traps went up or down."""

    def there(p: Point) -> Point:
        return replace(p, at=Vec(*(round(c, DECIMALS) for c in p.at.plus(moves[p.id])))) if p.id in moves else p

    lifted = {t.tag: moves.get(t.weir, NOWHERE).z for t in layout.traps}
    made = replace(
        layout,
        points=tuple(there(p) for p in layout.points),
        traps=tuple(replace(t, weir_z_mm=t.weir_z_mm + lifted[t.tag]) if lifted[t.tag] else t for t in layout.traps),
        stubs=tuple(marked(m, lifted.get(m.tag, 0.0), house.job.units, IN_BAND) for m in layout.stubs),
    )
    return in_place(house, placed(made, layout, house))


def placed(layout: Layout, before: Layout, house: House) -> Layout:
    """Return a layout whose runs say where they lie now, where that is another place than before."""
    old, now = {p.id: p.at for p in before.points}, {p.id: p.at for p in layout.points}
    was = {r.id: (r.place, old[r.start], old[r.end]) for r in before.runs}

    def run(r: Run) -> Run:
        here = now[r.start], now[r.end]
        if r.id not in was:
            return replace(r, place=place_of(house, *here))
        place, *there = was[r.id]
        if r.drawn or (here[0].to(there[0]) < MOVED_MM and here[1].to(there[1]) < MOVED_MM):
            return r
        new = place_of(house, *here)
        return replace(r, place=place if new == place_of(house, *there) else new)

    return replace(layout, runs=tuple(run(r) for r in layout.runs))


def marked(mark: StubMark, by_mm: float, system: units.Units, why: str) -> StubMark:
    """Return a mark moved up or down, with words that say what for."""
    if math.fabs(by_mm) <= MOVED_MM:
        return mark
    word = "up" if by_mm > 0.0 else "down"
    said = f"moved {word} {units.both(abs(by_mm), system)} {why}"
    return marked_at(mark, mark.mark_z_mm + by_mm, system, said)
