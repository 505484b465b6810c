"""What the checks say when a set of points is moved: only those checks, on only those parts, that can react."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from stubout.checks.base import Answers, Check
from stubout.design import Design
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.network.model import Network
from stubout.problems import Finding, Level
from stubout.windows import table
from stubout.windows.looks import Looks, changed
from stubout.windows.moves import Mover, Shift, marked_nodes, measured
from stubout.windows.near import Boxes, Surroundings, bored, only, surroundings

Dress = Callable[[Design], Design]
Said = tuple[str, tuple[str, ...], str]  # check, what it is about, what it found

_GROUND = ("under slab", "buried", "crawl")


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A check, and the part of the design it is made on."""

    check: Check
    scope: str
    ends: bool  # silent here and at the far end of a move is silent all the way
    hands_over: bool  # beyond some place it leaves the case to another check: asked one step away as well
    sees: bool  # looks at something the move changes


@dataclass(slots=True)
class Judge:
    """One set of points of one design, and what the checks say as it stands."""

    design: Design
    nodes: frozenset[str]
    most_mm: float
    boxes: Boxes | None = None  # of the design, where many marks are asked for
    looks: Looks = field(default_factory=dict)  # what checks look at; of one that is not in it nothing is known
    answers: Answers = field(default_factory=Answers)
    walls: frozenset[str] = frozenset()  # that are moved, with what stands in them
    asked: tuple[Asked, ...] = field(init=False)
    _mover: Mover = field(init=False)
    _movers: dict[str, Mover] = field(default_factory=dict)  # by scope
    _here: Stand = field(init=False)
    _around: Surroundings = field(init=False)
    _known: dict[tuple[str, str], Bore] = field(init=False)
    _before: dict[Asked, frozenset[Said]] = field(default_factory=dict)  # of those that spoke somewhere

    def __post_init__(self) -> None:
        self._mover = Mover(self.design, self.nodes)
        self._here = self.stand(Vec(0.0, 0.0))
        pipes = self._mover.pipes
        self._around = surroundings(self.design, pipes, self.most_mm, self.boxes)
        self._known = {(b.pipe, b.member): b for b in self.design.fabrication.bores}
        self.asked = asked_of(self.design, self.nodes, pipes, self.looks)

    @property
    def around(self) -> Surroundings:
        """Return what stands round the points as the design has it."""
        return self._around

    def stand(
        self,
        by: Vec,
        each: Mapping[str, Vec] | None = None,
        dress: Dress | None = None,
        around: Surroundings | None = None,
    ) -> Stand:
        """Return the design with the points moved [mm].

        Args:
            by: How far all are moved.
            each: How far some are moved instead, by node.
            dress: What is changed besides in every part of the design, as fixtures that go along.
            around: What stands round the points then, where walls go along.
        """
        return Stand(self._mover.shift(by, each), dress=dress, around=around)

    def said(self, asked: Asked, stand: Stand) -> tuple[Finding, ...]:
        """Return all that a check says of a moved design, STOP and FIX only."""
        return _grave(asked.check, self.part(asked.scope, stand), self.answers)

    def new(self, asked: Asked, stand: Stand) -> Finding | None:
        """Return something a check says of a moved design and does not say now; None if it stays silent."""
        found = self.said(asked, stand) if asked.sees or stand.shift.turned else ()
        if not found:
            return None
        if asked not in self._before:  # asked only of the few that ever speak
            self._before[asked] = frozenset(_said(f) for f in self.said(asked, self._here))
        return next((f for f in found if _said(f) not in self._before[asked]), None)

    def first(self, by: Vec) -> Finding | None:
        """Return something any check says when the points are moved and does not say now; None if all stay silent."""
        stand = self.stand(by)
        return next((f for asked in self.asked if (f := self.new(asked, stand)) is not None), None)

    def part(self, scope: str, stand: Stand) -> Design:
        """Return the part of the moved design that some checks are made on."""
        if scope not in stand.parts:
            made = self._moved(scope, stand.shift, stand.around or self._around)
            stand.parts[scope] = stand.dress(made) if stand.dress else made
        return stand.parts[scope]

    def _moved(self, scope: str, shift: Shift, around: Surroundings) -> Design:
        """Return the part of the design that some checks are made on, moved."""
        if scope not in self._movers:
            self._movers[scope] = Mover(self._cut(scope), self.nodes)
        moved = self._movers[scope].put(shift)
        match scope:
            case "bodies":
                return bored(moved, around, self._known)
            case "body":
                return with_bodies(moved, self.nodes, shift.by)
            case "vents":
                return measured(moved)
        return moved

    def _cut(self, scope: str) -> Design:
        """Return the part of the design, as it stands, that some checks are made on."""
        design, touched = self.design, self._mover.pipes
        match scope:
            case "lines":
                return touched_only(design, touched, self.nodes)
            case "angles":
                return angled(design, touched)
            case "falls" | "bodies":
                return only(design, touched, self._around)
            case "pairs":
                return only(design, self._around.pipes, self._around)
            case "still":
                return still(design, touched, self.walls)
            case "openings":
                return replace(design, cleanouts=tuple(c for c in design.cleanouts if c.point in self.nodes))
        return design


@dataclass(slots=True)
class Stand:
    """Points moved, and the parts of the design with them on which checks were made so far."""

    shift: Shift
    dress: Dress | None = None
    around: Surroundings | None = None
    parts: dict[str, Design] = field(default_factory=dict)


def asked_of(design: Design, nodes: frozenset[str], touched: frozenset[str], looks: Looks) -> tuple[Asked, ...]:
    """Return the checks that can react, with the part of the design each is made on."""
    net = design.network
    moved = changed(design, nodes, touched)
    kinds = {net.node(i).kind for i in nodes}
    pipes = [p for p in net.pipes if p.id in touched]
    stubs = {tag for tag, node in marked_nodes(design).items() if node in nodes} & {s.tag for s in design.stubs}
    given = (
        ("lines", table.LINES, True),
        ("whole", table.ROOF, PointKind.TERMINAL in kinds),
        ("whole", table.VALVES, any(n.kind is PointKind.AAV for n in net.nodes)),
        ("vents", table.LENGTHS, any(p.system == "vent" for p in pipes)),
        ("whole", table.REACH, any(p.system == "drain" and not p.vertical for p in pipes)),
        ("lines", table.SPANS, True),
        ("lines", table.STUBS, bool(stubs)),
        ("lines", table.DRAWERS, any(c.drawers for c in design.house.cabinets)),
        ("lines", table.FLOOR, bool(kinds & {PointKind.FLANGE, PointKind.TRAP})),
        ("openings", table.OPENINGS, any(c.point in nodes for c in design.cleanouts)),
        ("body", table.BODY, PointKind.FLANGE in kinds),
        ("bodies", table.BODIES, True),
        ("falls", table.FALLS, True),
        ("bodies", table.BURIED, any(p.place.kind in _GROUND for p in pipes)),
        ("pairs", table.PAIRS, True),
    )
    return tuple(
        Asked(
            one,
            "angles" if one.id in table.ANGLES else scope,
            ends=ids in table.ENDS,
            hands_over=ids in table.HAND_OVER,
            sees=not moved.isdisjoint(looks.get(one.id, moved)),
        )
        for scope, ids, wanted in given
        if wanted
        for one in table.checks_of(ids)
    )


def still(design: Design, touched: frozenset[str], walls: frozenset[str]) -> Design:
    """Return the design with the pipes that stay where they are, and some walls with what stands in them alone."""
    net, fab, house = design.network, design.fabrication, design.house
    return replace(
        design,
        house=replace(
            house,
            walls=tuple(w for w in house.walls if w.id in walls),
            obstacles=tuple(o for o in house.obstacles if o.wall_id in walls),
            frames=(),
        ),
        network=Network(net.nodes, tuple(p for p in net.pipes if p.id not in touched), ()),
        fabrication=replace(fab, fittings=(), pieces=(), bores=tuple(b for b in fab.bores if b.pipe not in touched)),
    )


def touched_only(design: Design, touched: frozenset[str], nodes: frozenset[str]) -> Design:
    """Return the design with the traps, fittings and pieces that a move can touch; the network stays whole.

    Args:
        design: The design.
        touched: The pipes that a move touches.
        nodes: The points moved.
    """
    net, fab = design.network, design.fabrication
    traps = tuple(
        t
        for t in net.traps
        if t.weir in nodes or t.takeoff in nodes or touched & {*t.arm_runs, *t.vent_runs, *t.wet_through}
    )
    ends = _ends(net, touched)
    beside = {i for n in ends for i in (*net.node(n).inflow, *net.node(n).outflow)}
    return replace(
        design,
        network=Network(net.nodes, net.pipes, traps),
        fabrication=replace(
            fab,
            fittings=tuple(f for f in fab.fittings if f.node in ends or beside.intersection(f.pipes)),
            pieces=tuple(p for p in fab.pieces if touched.intersection(p.pipes or (p.pipe,))),
        ),
    )


def angled(design: Design, touched: frozenset[str]) -> Design:
    """Return the design with the fittings at the ends of some pipes only: all whose angles change with those pipes."""
    fab, ends = design.fabrication, _ends(design.network, touched)
    fittings = tuple(f for f in fab.fittings if f.node in ends or touched.intersection(f.pipes))
    return replace(design, fabrication=replace(fab, fittings=fittings, pieces=()))


def _ends(net: Network, pipes: frozenset[str]) -> set[str]:
    return {i for p in net.pipes if p.id in pipes for i in (p.start, p.end)}


def with_bodies(design: Design, nodes: frozenset[str], by: Vec) -> Design:
    """Return the design with the closets set down on their moved flanges."""
    tags = {n.tag for n in design.network.nodes if n.id in nodes and n.kind is PointKind.FLANGE}
    plan = Vec(by.x, by.y)
    fixtures = tuple(
        replace(
            f,
            outlet=f.outlet.plus(plan) if f.outlet is not None else None,
            extent=f.extent._replace(lo=f.extent.lo.plus(plan), hi=f.extent.hi.plus(plan)) if f.extent else None,
        )
        if f.tag in tags
        else f
        for f in design.house.fixtures
    )
    return replace(design, house=replace(design.house, fixtures=fixtures))


def _grave(one: Check, design: Design, answers: Answers) -> tuple[Finding, ...]:
    found, _ = one.run(design, answers)
    return tuple(f for f in found if f.level in (Level.STOP, Level.FIX))


def _said(f: Finding) -> Said:
    return f.check, f.about, f.found
