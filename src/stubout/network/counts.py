"""Counting on a network: closets, arms, what lies upstream."""

from __future__ import annotations

from collections.abc import Iterable

from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.model import Role
from stubout.network.model import Network, Pipe


def closets_in(house: House, tags: Iterable[str]) -> int:
    """Return how many of some fixtures are water closets [1]."""
    wanted = set(tags)
    return sum(1 for f in house.fixtures if f.tag in wanted and f.kind is FixtureKind.WATER_CLOSET)


def closets_on(house: House, pipe: Pipe) -> int:
    """Return how many water closets drain through a pipe [1]."""
    return closets_in(house, pipe.tags)


def feeders(network: Network, pipe: Pipe) -> tuple[Pipe, ...]:
    """Return the pipes of the same system that flow into the start of a pipe."""
    node = network.node(pipe.start)
    return tuple(network.pipe(i) for i in node.inflow if network.pipe(i).system == pipe.system)


def upstream(network: Network, pipe: Pipe) -> tuple[Pipe, ...]:
    """Return every pipe of the same system upstream of a pipe, itself left out, nearest first."""
    out: list[Pipe] = []
    seen = {pipe.id}
    front = list(feeders(network, pipe))
    while front:
        p = front.pop(0)
        if p.id in seen:
            continue
        seen.add(p.id)
        out.append(p)
        front += feeders(network, p)
    return tuple(out)


def stack_line(network: Network, pipe: Pipe) -> tuple[Pipe, ...]:
    """Return the pieces of the stack a piece belongs to, top first: the connected pieces with the role of a stack."""
    top = pipe
    while True:
        above = [p for p in feeders(network, top) if p.role is Role.STACK]
        if not above:
            break
        top = above[0]
    line = [top]
    for p in network.downstream(top):
        if p.role is not Role.STACK:
            break
        line.append(p)
    return tuple(line)


def stack_foot(network: Network, pipe: Pipe) -> Pipe:
    """Return the lowest piece of the stack a piece belongs to."""
    return stack_line(network, pipe)[-1]
