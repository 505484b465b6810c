"""Fixtures moved by little: their own pipes go along, and one that lies in the direction of the move takes it up. [mm].

A trap, an arm, a riser is set over, and the rest stays where it is: no new way is searched where an old one reaches.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from stubout.design import Design
from stubout.fixes.moves import sliding
from stubout.geometry.vec import Vec
from stubout.house.model import House, HouseFixture
from stubout.layout.model import PointKind
from stubout.layout.places import place_of
from stubout.network.model import Network, Pipe

FAR_MM = 300.0  # moved farther, a fixture is laid out anew: another way may be the better one
LEAST_MM = 0.05
STRAIGHT = 0.9999  # cosine from which a pipe takes a move up: cut longer or shorter, it points where it did
FIXED = frozenset({PointKind.SEWER, PointKind.TERMINAL})


@dataclass(frozen=True, slots=True)
class Shifted:
    """A design with the pipes of moved fixtures set over, and which fixtures those are."""

    design: Design
    tags: frozenset[str]


def shifted(old: Design, new: House, changed: Collection[str], fixed: Collection[str]) -> Shifted:
    """Return an accepted design with the pipes of moved fixtures set over as far as the fixtures were moved.

    Args:
        old: The design as accepted.
        new: The house as the job says it now.
        changed: Fixtures said otherwise than in the accepted job.
        fixed: Ids of pipes that must stay as they are: installed, or drawn by hand.
    """
    net, at, tags = old.network, dict[str, Vec](), set[str]()
    for tag, by in _moves(old.house, new, changed):
        group = _group(net, tag, by.unit(), fixed)
        if group and not at.keys() & group and not _turned(net, group, by):
            at |= {i: net.node(i).at.plus(sliding(net, i, group, by.unit()).times(by.length)) for i in group}
            tags.add(tag)
    return Shifted(replace(old, network=_at(new, net, at)), frozenset(tags)) if tags else Shifted(old, frozenset())


def _moves(old: House, new: House, changed: Collection[str]) -> Iterator[tuple[str, Vec]]:
    """Yield the fixtures that are said as they were but for their place, and how far they were moved in plan."""
    was = {f.tag: f for f in old.fixtures}
    for f in new.fixtures:
        before = was.get(f.tag)
        if f.tag not in changed or before is None or _elsewhere(before, f) != f:
            continue
        by = _by(old, new, before, f)
        if by is not None and abs(by.z) < LEAST_MM < by.plan_length <= FAR_MM:
            yield f.tag, by.at_z(0.0)


def _elsewhere(f: HouseFixture, to: HouseFixture) -> HouseFixture:
    return replace(f, title=to.title, line=to.line, station_mm=to.station_mm, outlet=to.outlet, extent=to.extent)


def _by(old: House, new: House, before: HouseFixture, now: HouseFixture) -> Vec | None:
    """Return how far a fixture was moved: its outlet where the job says it, else its place along its wall."""
    if before.outlet is not None and now.outlet is not None:
        return now.outlet.minus(before.outlet)
    if not now.wall_id or before.station_mm is None or now.station_mm is None:
        return None
    a, b = old.wall(before.wall_id), new.wall(now.wall_id)
    return b.point(now.station_mm, 0.0).minus(a.point(before.station_mm, 0.0))


def _group(net: Network, tag: str, way: Vec, fixed: Collection[str]) -> frozenset[str]:
    """Return the nodes that go along with a trap; none where a pipe of others, or one that must stay, would have to."""
    trap = next((t for t in net.traps if t.tag == tag), None)
    group = {trap.weir} if trap is not None else set[str]()
    front = list(group)
    while front:
        node = net.node(front.pop())
        if node.kind in FIXED:
            return frozenset()
        for p in (net.pipe(i) for i in (*node.inflow, *node.outflow)):
            far = p.end if p.start == node.id else p.start
            if far in group:
                continue
            if p.id in fixed or set(p.tags) - {tag}:
                return frozenset()
            if not _takes_up(p, way):
                group.add(far)
                front.append(far)
    return frozenset(group)


def _takes_up(p: Pipe, way: Vec) -> bool:
    """Return whether a pipe lies in the direction of a move, so that it need only be cut longer or shorter."""
    lies = p.b.minus(p.a).at_z(0.0)
    return not p.vertical and lies.plan_length > LEAST_MM and abs(lies.unit().dot(way)) > STRAIGHT


def _turned(net: Network, group: Collection[str], by: Vec) -> bool:
    """Return whether a pipe would have to be cut shorter than nothing."""
    cut = [p for p in net.pipes if (p.start in group) != (p.end in group)]
    return any(p.b.minus(p.a).plus(by.times(1.0 if p.end in group else -1.0)).dot(p.b.minus(p.a)) <= 0.0 for p in cut)


def _at(house: House, net: Network, at: Mapping[str, Vec]) -> Network:
    """Return a network with some of its nodes elsewhere; a pipe in a wall may come into another bay."""
    nodes = tuple(replace(n, at=at[n.id]) if n.id in at else n for n in net.nodes)
    where = {n.id: n.at for n in nodes}

    def over(p: Pipe) -> Pipe:
        if p.start not in at and p.end not in at:
            return p
        a, b = where[p.start], where[p.end]
        return replace(p, a=a, b=b, place=place_of(house, a, b) if p.place.kind == "wall" else p.place)

    return Network(nodes, tuple(map(over, net.pipes)), net.traps)
