"""Facts several checks need, read off the finished design: arms, reaches, rims, surroundings.

Nothing here judges and nothing here knows how a layout came about.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from stubout.catalog import queries as catalog
from stubout.checks.base import Review, trade
from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec, angle_deg
from stubout.house.model import HouseFixture
from stubout.house.outlet_drops import closet_drop_mm
from stubout.kinds import FixtureKind
from stubout.layout.model import SAID_METHODS, PointKind, Role, StubMark, TrapPlan, VentMethod
from stubout.network.model import Network, Node, Pipe
from stubout.problems import Basis
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell

FIXTURE_PIPES = (Role.TRAP_ARM, Role.FIXTURE_DRAIN)


def od_mm(on: Review, size_in: float) -> float | None:
    """Return the outside diameter of the job's pipe [mm]."""
    pipe = on.ask(catalog.pipe, on.house.job.material, size_in)
    return None if pipe is None else pipe.od_mm


def id_mm(on: Review, size_in: float) -> float | None:
    """Return the inside diameter of the job's pipe [mm]."""
    pipe = on.ask(catalog.pipe, on.house.job.material, size_in)
    return None if pipe is None else pipe.id_mm


def hub_mm(on: Review, size_in: float) -> float | None:
    """Return the outside diameter of a fitting's hub [mm]."""
    return on.ask(catalog.hub_od_mm, size_in)


def fixture(on: Review, tag: str) -> HouseFixture | None:
    """Return a fixture by tag, None if the house has none."""
    return next((f for f in on.house.fixtures if f.tag == tag), None)


@dataclass(frozen=True, slots=True)
class Arm:
    """One trap arm as it lies: the pipes from the weir to the vent fitting."""

    trap: TrapPlan
    fixture: HouseFixture
    pipes: tuple[Pipe, ...]

    @property
    def closet(self) -> bool:
        """Return whether the fixture is a closet: it has its trap inside and siphons on purpose."""
        return self.fixture.kind == FixtureKind.WATER_CLOSET

    @property
    def length_mm(self) -> float:
        """Return the developed length, weir to vent fitting [mm]."""
        return sum(p.length_mm for p in self.pipes)

    @property
    def drop_mm(self) -> float:
        """Return how far below a closet's flange on the finished floor its pipe begins [mm]; 0 for other traps."""
        return closet_drop_mm(self.fixture, self.start.z) if self.closet else 0.0

    @property
    def plan_mm(self) -> float:
        """Return the length of the flat pieces, seen from above [mm]."""
        return sum(p.plan_mm for p in self.pipes)

    @property
    def fall_mm(self) -> float:
        """Return the fall from the weir to the vent fitting [mm]."""
        return self.pipes[0].a.z - self.pipes[-1].b.z

    @property
    def plumb(self) -> tuple[Pipe, ...]:
        """Return the upright pieces."""
        return tuple(p for p in self.pipes if p.vertical and p.length_mm > 1.0)

    @property
    def size_in(self) -> float:
        """Return the smallest size on the way [nominal in]."""
        return min(p.size_in for p in self.pipes)

    @property
    def turn_deg(self) -> float:
        """Return the sum of all changes of direction between weir and vent fitting [deg]."""
        lying = [p.b.minus(p.a) for p in self.pipes if p.length_mm > 1.0]
        return sum(angle_deg(u, v) for u, v in itertools.pairwise(lying))

    @property
    def start(self) -> Vec:
        """Return the centre line at the weir."""
        return self.pipes[0].a

    @property
    def end(self) -> Vec:
        """Return the centre line at the vent fitting."""
        return self.pipes[-1].b


def arms(on: Review) -> Iterator[Arm]:
    """Yield every trap arm that has pipes, in the order of the traps."""
    known = {p.id: p for p in on.net.pipes} if on.net.traps else {}
    for trap in on.net.traps:
        body = fixture(on, trap.tag)
        if body is None:
            continue  # a trap of no fixture: DRN013 says so
        pipes = tuple(known[i] for i in trap.arm_runs if i in known)
        if not pipes:
            pipes = chain(on, [p for p in on.net.drains() if p.role == Role.TRAP_ARM and p.tag == trap.tag], trap.weir)
        if not pipes:
            continue  # DRN013 says so
        yield Arm(trap, body, pipes if trap.takeoff else until_joined(on.net, pipes))


def until_joined(net: Network, pipes: tuple[Pipe, ...]) -> tuple[Pipe, ...]:
    """Return the pipes up to the first place where another drain joins: all an unvented trap has of its own."""
    for i, pipe in enumerate(pipes):
        if len(incoming(net, net.node(pipe.end), "drain")) > 1:
            return pipes[: i + 1]
    return pipes


def chain(on: Review, pipes: list[Pipe], start: str) -> tuple[Pipe, ...]:
    """Return the pipes that follow each other from a node on."""
    out: list[Pipe] = []
    at = start
    while True:
        nxt = next((p for p in pipes if p.start == at and p not in out), None)
        if nxt is None:
            return tuple(out)
        out.append(nxt)
        at = nxt.end


def node_of(net: Network, node_id: str) -> Node | None:
    """Return a node, None if there is none."""
    try:
        return net.node(node_id)
    except KeyError:
        return None


def pipe_of(net: Network, pipe_id: str) -> Pipe | None:
    """Return a pipe, None if there is none."""
    try:
        return net.pipe(pipe_id)
    except KeyError:
        return None


def incoming(net: Network, node: Node, system: str) -> tuple[Pipe, ...]:
    """Return the pipes of a system that end at a node."""
    return tuple(p for p in (net.pipe(i) for i in node.inflow) if p.system == system)


def outgoing(net: Network, node: Node, system: str) -> tuple[Pipe, ...]:
    """Return the pipes of a system that start at a node."""
    return tuple(p for p in (net.pipe(i) for i in node.outflow) if p.system == system)


def vents_at(net: Network, node: Node) -> tuple[Pipe, ...]:
    """Return all vents that meet at a node."""
    return outgoing(net, node, "vent") + incoming(net, node, "vent")


def drains_at(net: Network, node: Node) -> tuple[Pipe, ...]:
    """Return all drains that meet at a node."""
    return incoming(net, node, "drain") + outgoing(net, node, "drain")


def air_path(net: Network, arm: Arm) -> tuple[Pipe, ...] | None:
    """Return the drains through which air comes to the end of an arm: none if a vent opens there, None if no air comes.

    Looked for first through what the design calls a wet vent, then also up stacks and upright drains, and, where the
    design says that the trap is vented through others (wet, stack), through any drain of theirs. Where the job says by
    which method (circuit, combination, single or waste stack), along the drains of that method only, up or down them.
    """
    if arm.trap.method in SAID_METHODS:
        return _air_along(net, arm)
    named = {p.id for p in net.drains() if p.wet} | set(arm.trap.wet_through)
    path = _air_through(net, arm, named, named)
    if path is None:
        upright = named | {p.id for p in net.drains() if p.vertical or p.role == Role.STACK}
        path = _air_through(net, arm, upright, named)
    if path is None and arm.trap.method in (VentMethod.WET, VentMethod.STACK):
        path = _air_through(net, arm, {p.id for p in net.drains()}, named)
    return path


def _air_along(net: Network, arm: Arm) -> tuple[Pipe, ...] | None:
    """Return the drains of the method the job says between the end of an arm and a vent on them."""
    front: list[tuple[Node, tuple[Pipe, ...]]] = [(net.node(arm.pipes[-1].end), ())]
    seen = {front[0][0].id}
    while front:
        nxt: list[tuple[Node, tuple[Pipe, ...]]] = []
        for here, path in front:
            if outgoing(net, here, "vent"):
                return path
            for p in drains_at(net, here):
                far = p.start if p.end == here.id else p.end
                if p.vents_by is arm.trap.method and far not in seen:
                    seen.add(far)
                    nxt.append((net.node(far), (*path, p)))
        front = nxt
    return None


def _air_through(net: Network, arm: Arm, through: set[str], arms_too: set[str]) -> tuple[Pipe, ...] | None:
    """Return the fewest of some drains that lead from the end of an arm up to a vent; arms of others only if named."""
    node = node_of(net, arm.pipes[-1].end)
    if node is None:
        return None
    own = {p.id for p in arm.pipes}
    front: list[tuple[Node, tuple[Pipe, ...]]] = [(node, ())]
    seen = {node.id}
    while front:
        nxt: list[tuple[Node, tuple[Pipe, ...]]] = []
        for here, path in front:
            if outgoing(net, here, "vent"):
                return path
            for p in incoming(net, here, "drain"):
                if p.id in own or p.start in seen or p.id not in through:
                    continue
                if p.role in FIXTURE_PIPES and p.id not in arms_too:
                    continue
                seen.add(p.start)
                nxt.append((net.node(p.start), (*path, p)))
        front = nxt
    return None


def air_reaches(net: Network, arm: Arm) -> bool:
    """Return whether a vent opens at the end of an arm, or in the wet vent or stack just above it."""
    return air_path(net, arm) is not None


def ends_of(net: Network, vent: Pipe) -> Node:
    """Return the node a vent leads to in the end."""
    way = net.downstream(vent)
    return net.node((way[-1] if way else vent).end)


# Upper bounds of rims no sheet gives, above the finished floor [mm]: common practice, no source; named in the basis.
USUAL_RIM_MM = {FixtureKind.WATER_CLOSET: 450.0, FixtureKind.BIDET: 450.0, FixtureKind.SHOWER: 150.0}


def highest_rim(on: Review, tags: Iterable[str]) -> tuple[float, str, Basis | None] | None:
    """Return the highest flood rim among fixtures, with its tag, and a basis where it is a usual height and not said.

    Fixtures whose rim is neither said nor usual are noted as not checked. A floor drain has its rim in the floor, below
    everything a vent could do wrong.
    """
    best: tuple[float, str, Basis | None] | None = None
    for tag in sorted(set(tags)):
        body = fixture(on, tag)
        if body is None or body.kind == FixtureKind.FLOOR_DRAIN:
            continue
        rim, basis = body.flood_rim_z_mm, None
        if rim is None and body.standpipe_top_z_mm is not None:
            rim = body.standpipe_top_z_mm
        if rim is None and body.kind in USUAL_RIM_MM:
            usual = USUAL_RIM_MM[body.kind]
            rim = body.finished_z_mm + usual
            basis = trade(f"flood rim of {tag}, not said", f"at most {on.mm(usual)} above finished floor")
        if rim is None:
            on.skip("the flood rim is not known", tag)
        elif best is None or rim > best[0]:
            best = (rim, tag, basis)
    return best


def loop_tags(on: Review) -> set[str]:
    """Return the fixtures that are vented by an island loop."""
    return {t.tag for t in on.net.traps if t.method == VentMethod.LOOP}


def closets(on: Review, tags: Iterable[str]) -> tuple[str, ...]:
    """Return the closets among some fixtures."""
    wanted = set(tags)
    return tuple(f.tag for f in on.house.fixtures if f.kind == FixtureKind.WATER_CLOSET and f.tag in wanted)


def openings_for(on: Review, size_in: float) -> tuple[Node, ...]:
    """Return the nodes of the cleanouts that are large enough for a drain of a size; all, where the book names none."""
    plans = [(c.size_in, on.net.node(c.point)) for c in on.design.cleanouts]
    kinds = dict.fromkeys((own_in, node.kind is PointKind.TRAP) for own_in, node in plans)
    large = {k for k in kinds if on.maybe(queries.cleanout_opens, on.book, k[0], size_in, trap=k[1]) is not False}
    return tuple(node for own_in, node in plans if (own_in, node.kind is PointKind.TRAP) in large)


def stub_of(on: Review, tag: str) -> StubMark | None:
    """Return the stub-out mark of a fixture."""
    return next((s for s in on.design.stubs if s.tag == tag), None)


def stub_words(mark: StubMark | None, tag: str) -> tuple[str, str]:
    """Return what is told to move up or down, and which: a stub-out, or an arm whose riser is clear of the wall."""
    if mark is None or not mark.place.clear:
        return "stub-out", f"stub-out of {tag}"
    return "arm", f"arm of {tag}, {mark.place.words},"


def terminals(on: Review) -> tuple[Node, ...]:
    """Return the places where vents meet outdoor air, in a fixed order."""
    return tuple(sorted((n for n in on.net.nodes if n.kind == PointKind.TERMINAL), key=lambda n: n.id))


@dataclass(frozen=True, slots=True)
class Turn:
    """One change of direction of the water at a node, and the fitting that makes it."""

    use: FittingUse
    into: Pipe
    out: Pipe
    kind: str  # "h-v", "v-h", "h-h", "v-v"
    angle_deg: float


def turns(on: Review) -> Iterator[Turn]:
    """Yield every change of direction in the drains together with each fitting that stands there."""
    for use in on.design.fabrication.fittings:
        node = node_of(on.net, use.node)
        if node is None:
            continue
        outs = outgoing(on.net, node, "drain")
        for out in outs[:1]:
            for into in incoming(on.net, node, "drain"):
                if into.id not in use.pipes or out.id not in use.pipes:
                    continue
                if into.length_mm <= 1.0 or out.length_mm <= 1.0:
                    continue
                deg = angle_deg(into.b.minus(into.a), out.b.minus(out.a))
                if deg > 10.0:
                    kind = f"{'v' if into.vertical else 'h'}-{'v' if out.vertical else 'h'}"
                    yield Turn(use, into, out, kind, deg)


def misused(on: Review, wanted: Callable[[Turn], bool]) -> Iterator[tuple[Turn, Cell]]:
    """Yield the turns whose fitting the book does not allow for that way of turning, with the row that says so.

    Only the turns that the asking check is about are put to the book, so that its silence is reported once.
    """
    ways: dict[str, Literal["h-v", "v-h", "h-h"]] = {"h-v": "h-v", "v-h": "v-h", "h-h": "h-h"}
    for turn in turns(on):
        way = ways.get(turn.kind)
        if way is None or not wanted(turn):
            continue
        cell = on.ask(
            queries.fitting_allowed,
            on.book,
            turn.use.pattern,
            way,
            size_in=turn.into.size_in,
            fixture_drain=turn.into.role in FIXTURE_PIPES,
        )
        if cell is not None and cell.value is False:
            yield turn, cell


@dataclass(frozen=True, slots=True)
class WetVent:
    """Wet pipes that hang together, with the fixtures that use them."""

    pipes: tuple[Pipe, ...]
    through: dict[str, frozenset[str]]  # tag of a trap vented through it -> the pipes its air comes through
    tags: tuple[str, ...]  # everyone on it, draining or vented


def hanging_together(pipes: Sequence[Pipe]) -> Iterator[list[Pipe]]:
    """Yield pipes in groups that share points, each group from its first pipe on."""
    left = list(pipes)
    while left:
        group = [left.pop(0)]
        grown = True
        while grown:
            nodes = {n for p in group for n in (p.start, p.end)}
            more = [p for p in left if p.start in nodes or p.end in nodes]
            left = [p for p in left if p not in more]
            group += more
            grown = bool(more)
        yield group


def wet_vents(on: Review) -> tuple[WetVent, ...]:
    """Return the wet vents of the design, each as a whole: drains of others through which a trap gets its air."""
    paths = {a.trap.tag: air_path(on.net, a) or () for a in arms(on) if a.trap.method not in SAID_METHODS}
    wet = {p.id for path in paths.values() for p in path if p.load > 0.0}
    out: list[WetVent] = []
    for group in hanging_together([p for p in on.net.drains() if p.id in wet]):
        ids = {p.id for p in group}
        through = {t: frozenset(p.id for p in path) & ids for t, path in paths.items()}
        through = {t: hit for t, hit in through.items() if hit}
        tags = {tag for p in group for tag in p.tags} | set(through)
        out.append(WetVent(tuple(group), through, tuple(sorted(tags))))
    return tuple(out)


def common_at_two_levels(on: Review, vent: WetVent) -> bool:
    """Return whether a wet vent is a common vent by the book: one fixture joins an upright drain below one other."""
    bodies = [b for b in (fixture(on, t) for t in vent.tags) if b is not None]
    one_group = len({b.group for b in bodies}) == 1 and bool(bodies[0].group)
    pair = len(vent.tags) == 2 and len(vent.through) == 1 and all(p.vertical for p in vent.pipes)
    return pair and not one_group and len({b.level_id for b in bodies}) == 1 and "common_vent" in on.book.tables


def fixture_load(on: Review, tag: str) -> float | None:
    """Return the load of one fixture, read off its own pipes; None if it is not known."""
    own = [p.load for p in on.net.drains() if p.tags == (tag,) and p.load > 0.0]
    return max(own) if own else None


def installed(on: Review, pipe_id: str) -> bool:
    """Return whether the job says that a pipe is in place: nothing a check says moves it."""
    pipe = pipe_of(on.net, pipe_id)
    return pipe is not None and pipe.said == "installed"


def hole_to_do(on: Review, pipe_id: str, do: str) -> str:
    """Return what to do about a hole; that of an installed pipe is there, whatever would be better.

    Args:
        on: The review.
        pipe_id: The pipe in the hole.
        do: What to do where the hole is still to be made.
    """
    if not installed(on, pipe_id):
        return do
    return (
        f"{pipe_id} is installed and its hole is there: have the builder look at the member and reinforce it, or let "
        "the authority having jurisdiction say that it may stay"
    )


def holes_apart_to_do(on: Review, one: str, other: str, far: str) -> str:
    """Return what to do about two holes too near each other: the one that is there already stays.

    Args:
        on: The review.
        one: The pipe in one hole.
        other: The pipe in the other.
        far: By how much, in words.
    """
    there = [i for i in (one, other) if installed(on, i)]
    if len(there) == 2:
        return hole_to_do(on, one, "")
    if there:
        new = other if there == [one] else one
        return f"move the hole of {new} {far} away from that of {there[0]}, which is installed"
    return f"move one of the holes {far} away from the other"
