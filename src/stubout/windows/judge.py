"""What the checks say when a set of points is moved: only those checks, on only those parts, that can react."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from stubout.checks.base import Check
from stubout.design import Design
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.network.model import Network
from stubout.problems import Finding, Level
from stubout.windows import table
from stubout.windows.moves import Moved, measured, move
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
    _around: Surroundings = field(init=False)
    _known: dict[tuple[str, str], Bore] = field(init=False)
    _groups: tuple[Group, ...] = field(init=False)
    _before: frozenset[Said] = field(init=False)

    def __post_init__(self) -> None:
        here = move(self.design, self.nodes, Vec(0.0, 0.0))
        self._around = surroundings(self.design, here.pipes, self.most_mm)
        self._known = {(b.pipe, b.member): b for b in self.design.fabrication.bores}
        self._groups = groups(self.design, self.nodes, here.pipes)
        made = [f for one, design in self._all(here, Vec(0.0, 0.0), self._groups) for f in _grave(one, design)]
        self._before = frozenset(_said(f) for f in made)

    def along(self, far: Vec) -> Course:
        """Return the judge of one direction, told how far it is looked at most [mm]."""
        moved = move(self.design, self.nodes, far)
        speak = tuple(
            Group(g.scope, tuple(one for one in g.checks if self._new(one, design)), ends=True)
            for g in self._groups
            if g.ends
            for design in (self._part(g.scope, moved, far),)
        )
        always = tuple(g for g in self._groups if not g.ends)
        return Course(self, (*(g for g in speak if g.checks), *always))

    def first(self, by: Vec, groups: tuple[Group, ...], ask_first: str) -> Finding | None:
        """Return something the checks say when the points are moved and do not say now; None if they stay silent."""
        moved = move(self.design, self.nodes, by)
        for one, design in self._all(moved, by, _with_first(groups, ask_first)):
            new = self._new(one, design)
            if new is not None:
                return new
        return None

    def _new(self, one: Check, design: Design) -> Finding | None:
        return next((f for f in _grave(one, design) if _said(f) not in self._before), None)

    def _all(self, moved: Moved, by: Vec, some: tuple[Group, ...]) -> Iterator[tuple[Check, Design]]:
        """Yield each check with the part of the moved design it is made on."""
        parts: dict[str, Design] = {}
        for group in some:
            if group.scope not in parts:
                parts[group.scope] = self._part(group.scope, moved, by)
            for one in group.checks:
                yield one, parts[group.scope]

    def _part(self, scope: str, moved: Moved, by: Vec) -> Design:
        net = moved.design.network
        match scope:
            case "bodies":
                return local(moved.design, moved.pipes, self._around, self._known)
            case "pairs":
                pipes = tuple(p for p in net.pipes if p.id in self._around.pipes)
                return replace(moved.design, network=Network(net.nodes, pipes, ()))
            case "body":
                return with_bodies(moved.design, self.nodes, by)
            case "lines":
                return touched_only(moved, self.nodes)
        return measured(moved.design)


@dataclass(frozen=True, slots=True)
class Course:
    """One direction in which the points of a judge are moved."""

    judge: Judge
    groups: tuple[Group, ...]

    def first(self, by: Vec, ask_first: str = "") -> Finding | None:
        """Return something the checks say at a place on the way and do not say now; None if they stay silent.

        Args:
            by: The move [mm].
            ask_first: Id of the check that is likeliest to speak.
        """
        return self.judge.first(by, self.groups, ask_first)


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
    fixture += table.OPENINGS if any(c.point in nodes for c in design.cleanouts) else ()
    bodies = table.BODIES + (table.BURIED if any(p.place.kind in _GROUND for p in pipes) else ())
    body = table.BODY if PointKind.FLANGE in kinds else ()
    given = (
        ("lines", table.LINES, True),
        ("whole", whole, True),
        ("lines", table.SPANS + fixture, False),
        ("body", body, False),
        ("bodies", bodies, False),
        ("pairs", table.PAIRS, False),
    )
    return tuple(Group(scope, table.checks_of(ids), ends) for scope, ids, ends in given if ids)


def _with_first(groups: tuple[Group, ...], check_id: str) -> tuple[Group, ...]:
    """Return the groups with one check put before all others."""
    for g in groups:
        first = tuple(c for c in g.checks if c.id == check_id)
        if first:
            return (Group(g.scope, first), *groups)
    return groups


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
