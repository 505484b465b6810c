"""Points moved: what hangs on them goes along, falls are kept where a joint slides along a falling drain. [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from stubout import units
from stubout.design import Change, Design
from stubout.fixes.graph import marks_follow
from stubout.fixes.model import OTHERS, POINT, Candidate, Case
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.network.model import Network, Pipe
from stubout.windows.moves import ALONG, carried

UP, DOWN = Vec(0.0, 0.0, 1.0), Vec(0.0, 0.0, -1.0)
PLAN = (Vec(1.0, 0.0), Vec(-1.0, 0.0), Vec(0.0, 1.0), Vec(0.0, -1.0))
COMPASS = {UP: "up", DOWN: "down", PLAN[0]: "east", PLAN[1]: "west", PLAN[2]: "north", PLAN[3]: "south"}
RING_MM = 40.0  # a flange is set higher or lower by a ring or a cut of its drop, no farther
TALL_MM = 2000.0  # of a terminal, stayed
FAR_MM = 1024.0  # farther is another layout
PLUMB_MM = 1.0  # a pipe whose ends stand this near above each other is plumb
Bodies = Literal["none", "closets", "all"]  # which fixtures go along with their traps


@dataclass(frozen=True, slots=True)
class Shift:
    """Some points moved, each by its own displacement; `fixtures` go along with their traps."""

    by: tuple[tuple[str, Vec], ...]
    lead: str  # the point the words speak of
    words: str = ""  # which way, where no compass says it
    fixtures: tuple[str, ...] = ()

    def on(self, design: Design) -> Design:
        """Return the design with the points moved."""
        net, by = design.network, dict(self.by)
        at = {n.id: n.at.plus(by[n.id]) if n.id in by else n.at for n in net.nodes}
        traps = tuple(replace(t, weir_z_mm=t.weir_z_mm + by[t.weir].z) if t.weir in by else t for t in net.traps)
        pipes = tuple(replace(p, a=at[p.start], b=at[p.end]) if p.start in by or p.end in by else p for p in net.pipes)
        nodes = tuple(replace(n, at=at[n.id]) if n.id in by else n for n in net.nodes)
        new = replace(design, network=Network(nodes, pipes, traps))
        if self.fixtures:
            new = _with_fixtures(new, self.fixtures, by)
        arms = {i for t in net.traps for i in t.arm_runs}
        if any(p.id in arms and (p.start in by or p.end in by) for p in pipes):
            new = replace(new, stubs=marks_follow(design, new))
        return new

    def told(self, design: Design) -> Change:
        """Return the move in words."""
        node = design.network.node(self.lead)
        by = dict(self.by)[self.lead]
        amount = units.both(max(by.plan_length, abs(by.z)), design.house.job.units)
        way = next((w for d, w in COMPASS.items() if by.length and by.unit().dot(d) > ALONG), "")
        verb = {"up": "Raise", "down": "Lower"}.get(way, "Move")
        whither = self.words or ("" if verb != "Move" else f" {way}")
        beside = "/".join((*node.inflow, *node.outflow))
        what = f"the {node.kind.value} at {beside}"
        whose = f" of {node.tag}" if node.tag else ""
        more = len(self.by) - 1
        along = f" with {more} point{'s' if more > 1 else ''} that hang{'s' if more == 1 else ''} on it" if more else ""
        body = f" and {', '.join(self.fixtures)} with it" if self.fixtures else ""
        where = node.at.plus(by)
        return Change(
            "move",
            tuple(i for i, _ in self.by),
            _place(design, node.at),
            _place(design, where),
            f"{verb} {what}{whose}{along}{body}{whither} by {amount}",
        )


def _place(design: Design, p: Vec) -> str:
    return ", ".join(f"{axis} {units.length(c, design.house.job.units)}" for axis, c in zip("xyz", p, strict=True))


def _with_fixtures(design: Design, tags: tuple[str, ...], by: dict[str, Vec]) -> Design:
    weirs = {t.tag: t.weir for t in design.network.traps}
    house = design.house
    walls = {w.id: w for w in house.walls}

    def moved(tag: str) -> Vec:
        return by[weirs[tag]].at_z(0.0)

    def station(wall_id: str, value: float | None, tag: str) -> float | None:
        wall = walls.get(wall_id)
        return value if wall is None or value is None else value + moved(tag).dot(wall.along)

    fixtures = tuple(
        replace(
            f,
            outlet=f.outlet.plus(moved(f.tag)) if f.outlet is not None else None,
            station_mm=station(f.wall_id, f.station_mm, f.tag),
            extent=f.extent._replace(lo=f.extent.lo.plus(moved(f.tag)), hi=f.extent.hi.plus(moved(f.tag)))
            if f.extent
            else None,
        )
        if f.tag in tags
        else f
        for f in house.fixtures
    )
    return replace(design, house=replace(house, fixtures=fixtures))


def upright(case: Case) -> Iterator[Candidate]:
    """Yield the points of a finding raised and lowered: alone, with their arm, with all that lies flat beside them."""
    yield from _groups(case, (UP, DOWN))


def flanges(case: Case) -> Iterator[Candidate]:
    """Yield closet flanges raised and lowered on their drop, no farther than a ring or a cut of the drop gives."""
    for node in case.nodes:
        if node.kind is PointKind.FLANGE:
            for way in (UP, DOWN):
                yield replace(moved(case, frozenset({node.id}), way, node.id), most_mm=RING_MM)


def terminals(case: Case) -> Iterator[Candidate]:
    """Yield terminals made longer."""
    for node in case.nodes:
        if node.kind is PointKind.TERMINAL:
            yield replace(moved(case, frozenset({node.id}), UP, node.id), most_mm=TALL_MM)


def sideways(case: Case) -> Iterator[Candidate]:
    """Yield the points of a finding moved in plan with all that hangs on them."""
    yield from _groups(case, PLAN)


def _groups(case: Case, ways: tuple[Vec, ...]) -> Iterator[Candidate]:
    seen: set[tuple[frozenset[str], Vec]] = set()
    for node in sorted(case.nodes, key=lambda n: n.id not in case.about)[:12]:
        for way in ways:
            for group, cost in _of(case, node.id, way):
                if (group, way) in seen or not group or _tilts(case.net, group, way):
                    continue
                seen.add((group, way))
                one = moved(case, group, way, node.id, cost)
                yield one
                if one.asks:  # the flange alone: the closet stands where it should; or every fixture on the way
                    yield moved(case, group, way, node.id, cost, bodies="none")
                    yield moved(case, group, way, node.id, cost + OTHERS, bodies="all")


def _tilts(net: Network, group: frozenset[str], way: Vec) -> bool:
    """Return whether a plumb pipe would no longer stand plumb, one end of it moved aside."""
    if not way.plan_length:
        return False
    return any((p.start in group) != (p.end in group) and p.vertical and p.plan_mm < PLUMB_MM for p in net.pipes)


def _of(case: Case, node: str, way: Vec) -> Iterator[tuple[frozenset[str], float]]:
    net = case.net
    yield frozenset({node}), 0.0
    yield carried(net, (node,), way), 0.0
    if way.z:
        lying = _spread(net, node, lambda p: not p.vertical)
        yield lying, 0.0
        yield frozenset({node, *_onward(net, node)}), 0.0
        yield frozenset(lying - set(_onward(net, node))), 0.0
    else:
        pipes = [p for p in case.pipes if node in (p.start, p.end)]
        for p in pipes:
            yield carried(net, (p.start, p.end), way), 0.0
        yield _plumb(net, node), 0.0
        yield _spread(net, node, lambda p: abs(_unit(p).dot(way)) < ALONG), 4 * POINT


def _unit(p: Pipe) -> Vec:
    return p.b.minus(p.a).unit() if p.length_mm > 1.0 else Vec(0.0, 0.0, 0.0)


def _spread(net: Network, node: str, goes: object) -> frozenset[str]:
    found, front = {node}, [node]
    while front:
        here = net.node(front.pop())
        for pipe in (net.pipe(i) for i in (*here.inflow, *here.outflow)):
            far = pipe.end if pipe.start == here.id else pipe.start
            if far not in found and goes(pipe):  # type: ignore[operator]
                found.add(far)
                front.append(far)
    return frozenset(found)


def _onward(net: Network, node: str) -> tuple[str, ...]:
    """Return the points after a point in flow direction, as long as the pipes lie, with what opens on them."""
    out: list[str] = []
    here = node
    while True:
        ways = [p for p in (net.pipe(i) for i in net.node(here).outflow) if not p.vertical and p.end not in out]
        if not ways:
            return tuple(out)
        here = ways[0].end
        out.append(here)


def moved(
    case: Case,
    group: frozenset[str],
    way: Vec,
    lead: str,
    cost: float = 0.0,
    words: str = "",
    *,
    bodies: Bodies = "closets",
) -> Candidate:
    """Return the candidate of a group moved in a direction; fixtures whose trap goes sideways go along."""
    net = case.net
    floor = {f.tag for f in case.design.house.fixtures if f.floor_outlet}
    steps = {i: sliding(net, i, group, way) for i in sorted(group)}
    tags = tuple(
        t.tag
        for t in net.traps
        if t.weir in group and way.plan_length > 0.0 and (bodies == "all" or (bodies == "closets" and t.tag in floor))
    )
    first = lead if lead in group else min(group)

    def made(mm: float) -> tuple[Shift, ...]:
        return (Shift(tuple((i, u.times(mm)) for i, u in steps.items()), first, words, tags),)

    return Candidate(made, cost + POINT * len(group) + (OTHERS if tags else 0.0), FAR_MM, "owner" if tags else "")


def sliding(net: Network, node_id: str, group: frozenset[str], way: Vec) -> Vec:
    """Return the displacement of a point for a step of 1 mm: along a falling pipe it falls with the pipe."""
    if way.z or not way.plan_length:
        return way
    node = net.node(node_id)
    for pipe in (net.pipe(i) for i in (*node.outflow, *node.inflow)):
        if pipe.vertical or {pipe.start, pipe.end} <= group or pipe.plan_mm < 1.0:
            continue
        u = pipe.b.minus(pipe.a).at_z(0.0).unit()
        if abs(u.dot(way)) > ALONG:
            return way.plus(Vec(0.0, 0.0, -pipe.slope * u.dot(way)))
    return way


def along(case: Case) -> Iterator[Candidate]:
    """Yield arms lengthened and shortened: trap or vent fitting moved along the arm, at its fall."""
    net = case.net
    for trap in case.traps:
        pipes = [net.pipe(i) for i in trap.arm_runs if i in {p.id for p in net.pipes}]
        flat = [p for p in pipes if not p.vertical and p.length_mm > 1.0]
        if not flat:
            continue
        for node, others, pipe in ((trap.weir, pipes[0].id, flat[0]), (flat[-1].end, flat[-1].id, flat[-1])):
            if not node or not others:
                continue
            u = _unit(pipe)
            for sign in (1.0, -1.0):
                group = _arm_end(net, node, pipe.id)
                nearer = (sign > 0) == (node != pipe.end)
                text = " along the arm, " + ("nearer" if nearer else "farther away")
                closet = net.node(trap.weir).kind is PointKind.FLANGE
                bodies: Bodies = "closets" if closet else "none"
                yield moved(case, group, u.times(sign), node, 0.0, text, bodies=bodies)
                if not closet and node == trap.weir:
                    yield _with_body(case, trap.tag, group, u.times(sign), node, text)


def _with_body(case: Case, tag: str, group: frozenset[str], way: Vec, lead: str, text: str) -> Candidate:
    def made(mm: float) -> tuple[Shift, ...]:
        return (Shift(tuple((i, way.times(mm)) for i in sorted(group)), lead, text, (tag,)),)

    return Candidate(made, POINT + OTHERS, FAR_MM, "owner")


def _plumb(net: Network, node: str) -> frozenset[str]:
    """Return a point with all that stands above and below it."""
    return _arm_end(net, node, "")


def _arm_end(net: Network, node: str, own: str) -> frozenset[str]:
    """Return the end of an arm with the upright pipes on it."""
    found, front = {node}, [node]
    while front:
        here = net.node(front.pop())
        for p in (net.pipe(i) for i in (*here.inflow, *here.outflow)):
            far = p.end if p.start == here.id else p.start
            if p.id == own or far in found or not p.vertical or net.node(far).kind is PointKind.SEWER:
                continue
            found.add(far)
            front.append(far)
    return frozenset(found)
