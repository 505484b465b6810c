"""What the checks say when a set of points is moved: only those checks, on only those parts, that can react."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from stubout.checks.base import Check
from stubout.design import Design
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.network.model import Network
from stubout.problems import Finding, Level
from stubout.windows import table
from stubout.windows.moves import Moved, Mover, measured
from stubout.windows.near import Surroundings, local, surroundings

Said = tuple[str, tuple[str, ...], str]  # check, what it is about, what it found

_GROUND = ("under slab", "buried", "crawl")


@dataclass(frozen=True, slots=True)
class Group:
    """Checks that are made on the same part of a design."""

    scope: str
    checks: tuple[Check, ...]
    ends: bool = False  # silent here and at the far end of a move is silent all the way


@dataclass(slots=True)
class Judge:
    """One set of points of one design, and what the checks say as it stands."""

    design: Design
    nodes: frozenset[str]
    most_mm: float
    groups: tuple[Group, ...] = field(init=False)
    _mover: Mover = field(init=False)
    _here: Stand = field(init=False)
    _around: Surroundings = field(init=False)
    _known: dict[tuple[str, str], Bore] = field(init=False)
    _before: dict[str, frozenset[Said]] = field(default_factory=dict)  # by check, of those that spoke somewhere

    def __post_init__(self) -> None:
        self._mover = Mover(self.design, self.nodes)
        self._here = self.stand(Vec(0.0, 0.0))
        pipes = self._mover.pipes
        self._around = surroundings(self.design, pipes, self.most_mm)
        self._known = {(b.pipe, b.member): b for b in self.design.fabrication.bores}
        self.groups = groups(self.design, self.nodes, pipes)

    def stand(self, by: Vec) -> Stand:
        """Return the design with the points moved [mm]."""
        return Stand(by, self._mover.move(by))

    def new(self, one: Check, scope: str, stand: Stand) -> Finding | None:
        """Return something a check says of a moved design and does not say now; None if it stays silent."""
        found = _grave(one, self._part(scope, stand))
        if not found:
            return None
        if one.id not in self._before:  # asked only of the few that ever speak
            self._before[one.id] = frozenset(_said(f) for f in _grave(one, self._part(scope, self._here)))
        return next((f for f in found if _said(f) not in self._before[one.id]), None)

    def first(self, by: Vec) -> Finding | None:
        """Return something any check says when the points are moved and does not say now; None if all stay silent."""
        stand = self.stand(by)
        asked = ((group, one) for group in self.groups for one in group.checks)
        return next((f for group, one in asked if (f := self.new(one, group.scope, stand)) is not None), None)

    def _part(self, scope: str, stand: Stand) -> Design:
        if scope not in stand.parts:
            stand.parts[scope] = self._cut(scope, stand.moved, stand.by)
        return stand.parts[scope]

    def _cut(self, scope: str, moved: Moved, by: Vec) -> Design:
        net = moved.design.network
        match scope:
            case "bodies":
                return local(moved.design, moved.pipes, self._around, self._known)
            case "pairs":
                pipes = tuple(p for p in net.pipes if p.id in self._around.pipes)
                return replace(moved.design, network=Network(net.nodes, pipes, ()))
            case "openings":
                return replace(
                    moved.design, cleanouts=tuple(c for c in moved.design.cleanouts if c.point in self.nodes)
                )
            case "body":
                return with_bodies(moved.design, self.nodes, by)
            case "lines":
                return touched_only(moved, self.nodes)
        return measured(moved.design)


@dataclass(slots=True)
class Stand:
    """A design with the points moved, and the parts of it on which checks were made so far."""

    by: Vec
    moved: Moved
    parts: dict[str, Design] = field(default_factory=dict)


def groups(design: Design, nodes: frozenset[str], touched: frozenset[str]) -> tuple[Group, ...]:
    """Return the checks that can react, by the part of the design they are made on."""
    net = design.network
    kinds = {net.node(i).kind for i in nodes}
    pipes = [p for p in net.pipes if p.id in touched]
    stubs = {t.tag for t in net.traps if t.weir in nodes} & {s.tag for s in design.stubs}
    whole: tuple[str, ...] = ()
    whole += table.ROOF if PointKind.TERMINAL in kinds else ()
    whole += table.VALVES if any(n.kind is PointKind.AAV for n in net.nodes) else ()
    whole += table.LENGTHS if any(p.system == "vent" for p in pipes) else ()
    whole += table.REACH if any(p.system == "drain" and not p.vertical for p in pipes) else ()
    fixture: tuple[str, ...] = table.STUBS if stubs else ()
    fixture += table.FLOOR if kinds & {PointKind.FLANGE, PointKind.TRAP} else ()
    openings = table.OPENINGS if any(c.point in nodes for c in design.cleanouts) else ()
    bodies = table.BODIES + (table.BURIED if any(p.place.kind in _GROUND for p in pipes) else ())
    body = table.BODY if PointKind.FLANGE in kinds else ()
    given = (
        ("lines", table.LINES, True),
        ("whole", whole, True),
        ("lines", table.SPANS + fixture, False),
        ("openings", openings, False),
        ("body", body, False),
        ("bodies", bodies, False),
        ("pairs", table.PAIRS, False),
    )
    return tuple(Group(scope, table.checks_of(ids), ends) for scope, ids, ends in given if ids)


def touched_only(moved: Moved, nodes: frozenset[str]) -> Design:
    """Return the moved design with the traps, fittings and pieces that a move can touch; the network stays whole."""
    net, fab, touched = moved.design.network, moved.design.fabrication, moved.pipes
    traps = tuple(
        t
        for t in net.traps
        if t.weir in nodes or t.takeoff in nodes or touched & {*t.arm_runs, *t.vent_runs, *t.wet_through}
    )
    ends = {i for p in net.pipes if p.id in touched for i in (p.start, p.end)}
    beside = {i for n in ends for i in (*net.node(n).inflow, *net.node(n).outflow)}
    return replace(
        moved.design,
        network=Network(net.nodes, net.pipes, traps),
        fabrication=replace(
            fab,
            fittings=tuple(f for f in fab.fittings if f.node in ends or beside.intersection(f.pipes)),
            pieces=tuple(p for p in fab.pieces if touched.intersection(p.pipes or (p.pipe,))),
        ),
    )


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


def _grave(one: Check, design: Design) -> tuple[Finding, ...]:
    found, _ = one.run(design)
    return tuple(f for f in found if f.level in (Level.STOP, Level.FIX))


def _said(f: Finding) -> Said:
    return f.check, f.about, f.found
