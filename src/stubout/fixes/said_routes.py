"""Pipes changed by a fix, as drawn routes of the job file: those that differ, or the whole layout as it is. [mm].

A drawn route whose points or size changed is written so. Where a pipe was laid out by the program, one pipe alone
cannot be held: all that is not drawn yet is drawn as it lies, with the change in it, and not laid out anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from stubout import units
from stubout.design import Design
from stubout.fixes.graph import leg_of
from stubout.fixes.said import MORE, NotSaid, Statement, Value, nominal
from stubout.geometry.vec import Vec
from stubout.house.facts import RouteLeg
from stubout.kinds import FixtureKind
from stubout.layout.model import PointKind
from stubout.network.model import Network, Node, Pipe

SAME_MM = 0.02
STRAIGHT_MM = 0.3  # a point so near the line of its neighbours is no turn
FITTINGS: Final = {
    PointKind.CLEANOUT: "cleanout",
    PointKind.CAP: "cap",
    PointKind.AAV: "aav",
}


@dataclass(slots=True)
class Drawn:
    """One route in work: its pipes in order."""

    id: str
    pipes: list[Pipe]
    old: RouteLeg | None = None
    nodes: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.nodes = [self.pipes[0].start, *(p.end for p in self.pipes)]


def routes(before: Design, after: Design) -> tuple[Statement, ...]:
    """Return the drawn routes that make the network of a design that of another; raises NotSaid."""
    drawn = {g.id: g for g in before.house.routes}
    had, now = before.network, after.network
    if all(p.drawn for p in had.pipes) and drawn:
        return tuple(_all(before, after, _legs(now, drawn)))
    kept = {p.id for p in had.pipes if p.drawn}
    made = _chains(
        tuple(p for p in now.pipes if p.id not in kept and leg_of(p.id) not in drawn), now, after, set(drawn)
    )
    return tuple(_all(before, after, [*_legs(now, drawn, only=True), *made]))


def freezes(before: Design) -> bool:
    """Return whether a pipe of this design can be held only by drawing what the program laid out."""
    return not all(p.drawn for p in before.network.pipes)


def _legs(net: Network, drawn: Mapping[str, RouteLeg], *, only: bool = False) -> list[Drawn]:
    """Return the routes of a network whose pipes are called by their routes."""
    found: dict[str, list[Pipe]] = {}
    for p in net.pipes:
        leg = p.id if p.id in drawn else leg_of(p.id)
        if not only or leg in drawn:
            found.setdefault(leg, []).append(p)
    return [Drawn(leg, _in_order(leg, pipes), drawn.get(leg)) for leg, pipes in found.items()]


def _in_order(leg: str, pipes: list[Pipe]) -> list[Pipe]:
    starts = {p.start: p for p in pipes}
    ends = {p.end for p in pipes}
    first = [p for p in pipes if p.start not in ends]
    if len(first) != 1 or len(starts) != len(pipes):
        raise NotSaid(f"{leg} would be no single line any more: draw it as text")
    out = [first[0]]
    while out[-1].end in starts:
        out.append(starts[out[-1].end])
    if len(out) != len(pipes):
        raise NotSaid(f"{leg} would be no single line any more: draw it as text")
    return out


def _chains(pipes: tuple[Pipe, ...], net: Network, design: Design, taken: set[str]) -> list[Drawn]:
    """Return pipes as lines from fitting to fitting, each of one size and system, called by its first pipe."""
    weirs = {t.weir for t in design.network.traps}
    nodes = {n.id: n for n in net.nodes}
    ours = {p.start: p for p in pipes if _lone(nodes[p.start])}

    def goes_on(p: Pipe) -> Pipe | None:
        q = ours.get(p.end)
        fits = q is not None and q.system == p.system and q.size_in == p.size_in and q.vents_by == p.vents_by
        return q if fits and p.end not in weirs and nodes[p.end].kind not in FITTINGS else None

    follows = {q.id for p in pipes if (q := goes_on(p)) is not None}
    out = []
    for p in pipes:
        if p.id in follows:
            continue
        line = [p]
        while (nxt := goes_on(line[-1])) is not None:
            line.append(nxt)
        name = p.id if p.id not in taken else f"{p.id}-laid"
        out.append(Drawn(name, line))
    return out


def _lone(node: Node) -> bool:
    return len(node.inflow) == 1 and len(node.outflow) == 1


def _all(before: Design, after: Design, legs: list[Drawn]) -> Iterator[Statement]:
    """Yield what has to be said for a list of routes to be what is drawn."""
    by_pipe = {p.id: leg.id for leg in legs for p in leg.pipes}
    now = {leg.id for leg in legs}
    for gone in before.house.routes:
        if gone.id not in now:
            yield Statement(("routes", gone.id), None)
    for leg in legs:
        if leg.old is None:
            said = entry(leg, after, by_pipe)
            yield Statement(("routes", MORE), said)
            yield from _trap(str(said.get("fixture", "")), leg, after)
        else:
            yield from _changed(leg, leg.old, before, after, by_pipe)


def entry(leg: Drawn, design: Design, by_pipe: Mapping[str, str]) -> dict[str, Value]:
    """Return a new route as it is written."""
    net, u = design.network, design.house.job.units
    sizes = {p.size_in for p in leg.pipes}
    if len(sizes) > 1:
        raise NotSaid(f"{leg.id} would be of more than one size: draw it as text")
    weirs = {t.weir: t.tag for t in net.traps}
    vents = {t.vent_runs[0]: t.tag for t in net.traps if t.vent_runs}
    entry: dict[str, Value] = {"id": leg.id, "system": _system(leg, net)}
    trap = next((n for n in leg.nodes if n in weirs), "")
    if trap:
        entry["fixture"] = weirs[trap]
    elif leg.pipes[0].id in vents:
        entry["vent of"] = vents[leg.pipes[0].id]
    entry["size"] = nominal(sizes.pop())
    entry["through"] = [
        units.all_typed(net.node(n).at, u) for n in leg.nodes
    ]  # those on the way too: where a pipe lies is told
    words = {str(i): w for i, n in enumerate(leg.nodes, 1) if (w := _word(net.node(n), leg, trap))}
    if words:
        entry["fittings"] = words
    into = _into(leg, net, by_pipe)
    if into:
        entry["into"] = into
    if leg.pipes[0].vents_by is not None:
        entry["vents by"] = leg.pipes[0].vents_by.value
    return entry


def _trap(tag: str, leg: Drawn, design: Design) -> Iterator[Statement]:
    """Yield the size of a trap that nobody has said: a drawing shows its arm, and is read as if it were as large."""
    trap = next((t for t in design.network.traps if t.tag == tag and leg.pipes[0].id in t.arm_runs), None)
    fixture = next((f for f in design.house.fixtures if f.tag == tag), None)
    if trap is None or fixture is None or fixture.trap_in is not None or fixture.kind is FixtureKind.WATER_CLOSET:
        return
    if trap.trap_in != leg.pipes[0].size_in:
        yield Statement(("fixtures", tag, "trap"), nominal(trap.trap_in))


def _system(leg: Drawn, net: Network) -> str:
    """Return what a route is drawn as: the return of a loop, which carries no water of its own, as a vent."""
    first = leg.pipes[0]
    above = [net.pipe(i).system for i in net.node(first.start).inflow]
    returns = first.system == "drain" and not first.tags and bool(above) and "drain" not in above
    return "vent" if returns else first.system


def _word(node: Node, leg: Drawn, trap: str) -> str:
    if node.id == trap and node.id != leg.nodes[0]:
        return "trap"
    return FITTINGS.get(node.kind, "")


def _off_line(a: Vec, b: Vec, c: Vec) -> float:
    """Return how far a point lies off the line of two others [mm]."""
    along = c.minus(a)
    if along.length < SAME_MM:
        return a.to(b)
    foot = a.plus(along.times(b.minus(a).dot(along) / along.dot(along)))
    return foot.to(b)


def _into(leg: Drawn, net: Network, by_pipe: Mapping[str, str]) -> str:
    last = leg.pipes[-1]
    node = net.node(last.end)
    if node.kind is PointKind.SEWER:
        return "sewer"
    beyond = [net.pipe(i) for i in node.outflow if net.pipe(i).system == last.system]
    beside = [net.pipe(i) for i in node.inflow if net.pipe(i).system == last.system and i != last.id]
    return next((by_pipe[p.id] for p in (*beyond, *beside) if by_pipe.get(p.id, leg.id) != leg.id), "")


def _changed(
    leg: Drawn, old: RouteLeg, before: Design, after: Design, by_pipe: Mapping[str, str]
) -> Iterator[Statement]:
    """Yield what changed in a drawn route."""
    net, u, at = after.network, after.house.job.units, ("routes", old.id)
    spots, points = _kept_spots(leg, old, before, after)
    if len(points) == len(old.points):
        for n, (was, now) in enumerate(zip(old.points, points, strict=True), 1):
            if was.to(now) > SAME_MM:
                yield Statement((*at, "through", n), units.all_typed(now, u))
    else:
        yield Statement((*at, "through"), [units.all_typed(p, u) for p in points])
    words = {str(i): w for i, n in enumerate(spots, 1) if (w := _fitting(n, old, before, net))}
    if words != {str(i + 1): w for i, w in old.fittings}:
        yield Statement((*at, "fittings"), words or None)
    yield from _sized(leg, old, before, after)
    said = next((g for g in after.house.routes if g.id == old.id), None)
    if old.vents_by and said is not None and said.vents_by != old.vents_by:
        yield Statement((*at, "vents by"), said.vents_by or None)
    into = _into(leg, net, by_pipe)
    if old.joins and into and into != old.joins and leg.nodes[-1] != _end_of(old, before):
        yield Statement((*at, "into"), into)


def _end_of(old: RouteLeg, design: Design) -> str:
    return _node_at(design.network, old.points[-1])


def _node_at(net: Network, at: Vec) -> str:
    return min(net.nodes, key=lambda n: (n.at.to(at), n.id)).id


def _kept_spots(leg: Drawn, old: RouteLeg, before: Design, after: Design) -> tuple[list[str], list[Vec]]:
    """Return the points of a drawn route as it is now: those it was drawn by, and new turns."""
    net = after.network
    said = {_node_at(before.network, p) for p in old.points}
    out = [n for n in leg.nodes if n in said]
    added = [n for n in leg.nodes if n not in said and (net.node(n).kind in FITTINGS or _turns(n, leg, net))]
    spots = [n for n in leg.nodes if n in {*out, *added, leg.nodes[0], leg.nodes[-1]}]
    return spots, [net.node(n).at for n in spots]


def _turns(node: str, leg: Drawn, net: Network) -> bool:
    i = leg.nodes.index(node)
    if i in (0, len(leg.nodes) - 1):
        return True
    a, b, c = (net.node(n).at for n in leg.nodes[i - 1 : i + 2])
    return _off_line(a, b, c) > STRAIGHT_MM


def _fitting(node: str, old: RouteLeg, before: Design, net: Network) -> str:
    """Return what stands at a point by the drawing: as it was said, or as it is new."""
    for i, word in old.fittings:
        if _node_at(before.network, old.points[i]) == node:
            return word
    kind = net.node(node).kind
    was = {n.id: n.kind for n in before.network.nodes}.get(node)
    return FITTINGS.get(kind, "") if kind != was else ""


def _sized(leg: Drawn, old: RouteLeg, before: Design, after: Design) -> Iterator[Statement]:
    had = {p.id: p.size_in for p in before.network.pipes}
    said = next((g for g in after.house.routes if g.id == old.id), old)
    sizes = {p.size_in for p in leg.pipes}
    resized = any(p.size_in != had.get(p.id, p.size_in) for p in leg.pipes)
    if resized and len(sizes) > 1:
        whole = " and ".join(f"{a.id}" for a, b in pairwise([*leg.pipes, leg.pipes[-1]]) if a.size_in != b.size_in)
        raise NotSaid(f"only a part of {old.id} changes its size{f' (at {whole})' if whole else ''}: draw two routes")
    new = sizes.pop() if resized else said.size_in
    if new is not None and new != old.size_in:
        yield Statement(("routes", old.id, "size"), nominal(new))
