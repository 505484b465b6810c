"""One thing of a design in hand: what the checks say of it wherever it is dragged to. Lengths [mm].

What hangs on it goes along as with a mark that is off (`windows.moves`): an arm with its trap, a riser with its
fittings, cut longer or shorter where they lie in the way of the move. Fixtures, cabinets and the bands of stub-outs
follow from the job file as it would be. Only the checks that look at something of that are made, on the part of the
design round it; nothing is laid out anew. What they say is a quick answer: the whole plan may find another way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from stubout.checks.base import Answers, Check
from stubout.checks.registry import CHECKS
from stubout.design import Design
from stubout.fabrication.model import Bore
from stubout.fixes.bench import Key, key
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.job.model import Job
from stubout.layout.model import StubMark
from stubout.layout.stub_place import banded_at_riser
from stubout.layout.stubs import has_wall_stub, stub_mark
from stubout.live.follows import goes_along, seeds_of, slide_of, things_of
from stubout.live.given import given
from stubout.live.house_looks import house_looks_of
from stubout.live.model import Answer, Given, Handle
from stubout.live.needed import needed
from stubout.live.walls import Joined, joined
from stubout.problems import Finding
from stubout.windows import table
from stubout.windows.judge import Asked, Judge, Stand
from stubout.windows.looks import Looks, changed, looks_of
from stubout.windows.near import Boxes, boxes_of, rebuilt
from stubout.windows.solve import STEPS

FOLLOWING = ("FRM004", "FRM005", "SUP")  # straps, plates, hangers: the whole plan lists them anew, wherever pipes go
EACH = ("CLA001", "CLA002", "CLA003", "FRM007")  # judge each pipe against each thing of the house by itself
FAR_MM = 1200.0  # farther the surroundings are not looked at: let it go, and have it planned


@dataclass(slots=True)
class Ground:
    """A finished design with all that is found once for many drags."""

    design: Design
    job: Job
    boxes: Boxes = field(init=False)
    looks: Looks = field(init=False)
    house_looks: Looks = field(init=False)
    answers: Answers = field(default_factory=Answers)

    def __post_init__(self) -> None:
        self.boxes = boxes_of(self.design)
        wide = (one for ids in table.WIDE for one in table.checks_of(ids))
        self.looks = looks_of(self.design, (*wide, *table.checks_of(tuple(table.UNMOVED))))
        self.house_looks = house_looks_of(self.design, CHECKS)

    @property
    def step_mm(self) -> float:
        """Return the step in which things are dragged: 1 mm or 1/16 in."""
        return STEPS[self.design.house.job.units]


@dataclass(slots=True)
class Drag:
    """One handle of a design, held."""

    ground: Ground
    handle: Handle
    judge: Judge = field(init=False)
    seeds: frozenset[str] = field(init=False)
    groups: tuple[tuple[Vec, frozenset[str]], ...] = field(init=False)  # direction -> points that go along
    asked: tuple[Asked, ...] = field(init=False)
    spoken: frozenset[Asked] = field(init=False)  # those that look at what the drag changes, wherever it goes
    moved_pipes: frozenset[str] = field(init=False)
    joined: Joined | None = field(init=False)  # of a wall: what goes along with it
    _job: Job = field(init=False)
    _slide: dict[tuple[str, Vec], Vec] = field(default_factory=dict)
    _here: Stand = field(init=False)
    _before: dict[Asked, Counter[Key]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        g, handle = self.ground, self.handle
        self.joined = joined(g.design.house, g.job, handle.of) if handle.kind == "wall" else None
        self.seeds = seeds_of(g.design, handle)
        self.groups = tuple((w, goes_along(g.design, handle, self.seeds, w)) for w in handle.ways)
        nodes = frozenset(n for _, some in self.groups for n in some)
        self.moved_pipes = frozenset(p.id for p in g.design.network.pipes if p.start in nodes or p.end in nodes)
        self._job = needed(g.job, handle)
        self._slide = {
            (n, way): slide_of(g.design.network, n, some, way) for way, some in self.groups for n in sorted(some)
        }
        going = self.joined.walls if self.joined is not None else frozenset[str]()
        self.judge = Judge(g.design, nodes, FAR_MM, g.boxes, g.looks, g.answers, going)
        things = things_of(g.design.house, handle, self.joined)
        of_house = {c.id for c in CHECKS if not things.isdisjoint(g.house_looks[c.id])}
        known = {a.check.id for a in self.judge.asked}
        more = tuple(
            Asked(c, "whole", ends=False, hands_over=False, sees=True)
            for c in CHECKS
            if c.id not in known and (c.id in of_house or self._sees(c, nodes))
        )
        if self.joined is not None:
            asked = _of_walls(self.judge.asked, of_house, bool(nodes), more)
        else:
            asked = (*(self.judge.asked if nodes else _of(self.judge.asked, of_house)), *more)
        self.asked = tuple(a for a in asked if not a.check.id.startswith(FOLLOWING))
        self.spoken = frozenset(a for a in self.asked if a.sees or a.check.id in of_house)
        self._here = self.judge.stand(Vec(0.0, 0.0))

    def _sees(self, one: Check, nodes: frozenset[str]) -> bool:
        """Return whether a check looks at something here that no mark off its place can touch.

        A point of a drawn drain can be dragged until the drain has another slope, and carries less.
        """
        if self.handle.kind != "point" or one.id not in table.UNMOVED:
            return False
        moved = changed(self.ground.design, nodes, self.moved_pipes)
        return not moved.isdisjoint(self.ground.looks[one.id])

    def to(self, by: Vec) -> Answer:
        """Return what is said where the handle is dragged to; `by` is a whole number of steps along its ways [mm]."""
        g = self.ground
        now = given(g.design, self._job, self.handle, by)
        if now.faults and self.joined is not None:  # a wall that cannot go there takes nothing along
            return Answer(self.handle, by, faults=now.faults, house=now.house, walls=(self.handle.of,))
        stand = self.stand(now, by)
        came, gone = self._spoken(stand)
        whole = self.judge.part("whole", stand)
        pipes = tuple(p for p in whole.network.pipes if p.id in self.moved_pipes)
        return Answer(
            self.handle,
            by,
            came=came,
            gone=gone,
            stub=next((s for s in whole.stubs if s.tag == self.handle.of), None),
            bores=tuple(self._bores(stand)),
            pipes=pipes,
            faults=now.faults,
            house=whole.house,
            walls=tuple(sorted(self.joined.walls)) if self.joined is not None else (),
            design=whole,
        )

    def stand(self, now: Given, by: Vec) -> Stand:
        """Return the design with the handle dragged, to be looked at part by part."""
        around = None
        if self.joined is not None:
            around = rebuilt(self.judge.around, now.house, self.joined.walls)
        return self.judge.stand(Vec(0.0, 0.0), self.each(by), self._dress(now, by), around)

    def each(self, by: Vec) -> dict[str, Vec]:
        """Return how far every point goes that hangs on the handle [mm]."""
        each: dict[str, Vec] = {}
        for way, some in self.groups:
            mm = by.dot(way)
            for n in some:
                each[n] = each.get(n, Vec(0.0, 0.0)).plus(self._slide[n, way].times(mm))
        return each

    def _dress(self, now: Given, by: Vec) -> Callable[[Design], Design]:
        """Return what puts fixtures, cabinets and bands into a part of the design as the changed job has them."""
        was = self.ground.design
        old, new = ({f.tag: f for f in h.fixtures} for h in (was.house, now.house))
        boxes = was.house.cabinets != now.house.cabinets
        sizes = {s.tag: s.size_in for s in was.stubs}
        bands = {
            t: stub_mark(now.house, was.book, f, sizes[t])
            for t, f in new.items()
            if t in sizes and has_wall_stub(f) and (f != old.get(t) or (boxes and self._near(now.house, f.wall_id)))
        }

        j = self.joined
        walls = {w.id: w for w in was.house.walls}
        shifts = {i: j.shift_mm(walls[i], by) for i in j.ends} if j is not None else {}

        def restationed(stubs: tuple[StubMark, ...]) -> tuple[StubMark, ...]:
            said = (_banded(s, bands.get(s.tag)) for s in stubs)
            return tuple(replace(s, station_mm=s.station_mm - shifts.get(s.wall_id, 0.0)) for s in said)

        def dress(part: Design) -> Design:
            if j is not None:  # a part of the house stays a part
                return replace(part, house=_part_of(part.house, now.house), stubs=restationed(part.stubs))
            house = replace(
                part.house,
                fixtures=now.house.fixtures,
                cabinets=now.house.cabinets,
                walls=now.house.walls,
                obstacles=now.house.obstacles,
            )
            return replace(part, house=house, stubs=tuple(_banded(s, bands.get(s.tag)) for s in part.stubs))

        return dress

    def _near(self, house: House, wall_id: str) -> bool:
        return any(b.wall_id == wall_id for b in house.cabinets if b.run_id == self.handle.of)

    def _spoken(self, stand: Stand) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        """Return the findings that came and those that went."""
        came: list[Finding] = []
        gone: list[Finding] = []
        for asked in self.asked:
            if asked not in self.spoken and not stand.shift.turned:
                continue
            found = self.judge.said(asked, stand)
            before = self.judge.said(asked, self._here) if asked not in self._before else ()
            if asked not in self._before:
                self._before[asked] = Counter(key(f) for f in before)
            was, now = self._before[asked], Counter(key(f) for f in found)
            came += _beyond(found, was)
            if was - now:
                gone += _beyond(self.judge.said(asked, self._here), now)
        return tuple(came), tuple(gone)

    def _bores(self, stand: Stand) -> Iterator[Bore]:
        if self.judge.nodes:
            bored = self.judge.part("bodies", stand).fabrication.bores
            yield from (b for b in bored if b.pipe in self.moved_pipes)


def _of(asked: tuple[Asked, ...], ids: set[str]) -> tuple[Asked, ...]:
    return tuple(replace(a, scope="whole") for a in asked if a.check.id in ids)


def _of_walls(known: tuple[Asked, ...], of_house: set[str], moved: bool, more: tuple[Asked, ...]) -> tuple[Asked, ...]:
    """Return what is asked of a dragged wall.

    A check that judges each pipe against each thing is made on the pipes that move, and on the others with the walls
    that change alone; another one that looks at the walls is made on the whole.
    """
    apart = tuple(
        Asked(c, "still", ends=False, hands_over=False, sees=True) for c in CHECKS if c.id in EACH and c.id in of_house
    )
    on_moved = tuple(a for a in known if moved and (a.check.id in EACH or a.check.id not in of_house))
    wide = _of(tuple(a for a in known if a.check.id not in EACH), of_house)
    return (*on_moved, *wide, *apart, *(a for a in more if a.check.id not in EACH))


def _beyond(found: tuple[Finding, ...], known: Counter[Key]) -> list[Finding]:
    """Return the findings of which there are more than known ones like them."""
    left = Counter(known)
    out = []
    for f in found:
        if left[key(f)] > 0:
            left[key(f)] -= 1
        else:
            out.append(f)
    return out


def _banded(stub: StubMark, new: StubMark | None) -> StubMark:
    """Return a stub-out where it is, with the band it has in a changed job."""
    if new is None:
        return stub
    if stub.place.clear:  # it stays at its riser, which the band is carried to
        said = replace(stub, lo_governs=new.lo_governs, hi_governs=new.hi_governs, feasible=new.feasible)
        return banded_at_riser(said, new)
    return replace(
        stub,
        lo_z_mm=new.lo_z_mm,
        hi_z_mm=new.hi_z_mm,
        lo_governs=new.lo_governs,
        hi_governs=new.hi_governs,
        feasible=new.feasible,
        arm_fall_mm=new.arm_fall_mm,
        derivation=new.derivation,
    )


def _part_of(part: House, now: House) -> House:
    """Return a part of a house with what a dragged wall changes: its walls and obstacles stay the ones it has."""
    walls, obstacles = {w.id for w in part.walls}, {o.id for o in part.obstacles}
    return replace(
        part,
        walls=tuple(w for w in now.walls if w.id in walls),
        obstacles=tuple(o for o in now.obstacles if o.id in obstacles),
        fixtures=now.fixtures,
        cabinets=now.cabinets,
        rooms=now.rooms,
    )
