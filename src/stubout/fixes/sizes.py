"""Pipes, traps and cleanouts in another size, with what has to follow. Sizes nominal [in]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout import units
from stubout.design import Change, Design
from stubout.fixes.graph import leg_of
from stubout.fixes.model import SIZE, Candidate, Case, listed, once
from stubout.house.facts import RouteLeg
from stubout.layout.model import CleanoutPlan, PointKind, Role
from stubout.network.model import Network, Pipe
from stubout.rulebooks import queries
from stubout.sizing.cleanouts import sized_cleanouts

SMALLER = 3.0  # to lay a pipe smaller is the last thing one thinks of
SIZES_IN = (1.25, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0)  # as pipe is sold for houses


@dataclass(frozen=True, slots=True)
class Resize:
    """Some pipes laid in another size; drawn sizes and the cleanouts that open on them follow."""

    pipes: tuple[str, ...]
    size_in: float

    def on(self, design: Design) -> Design:
        """Return the design with the pipes in that size."""
        net, ids = design.network, frozenset(self.pipes)
        pipes = tuple(replace(p, size_in=self.size_in) if p.id in ids else p for p in net.pipes)
        network = Network(net.nodes, pipes, net.traps)
        was = sized_cleanouts(design.cleanouts, net, design.book)
        now = sized_cleanouts(design.cleanouts, network, design.book)
        openings = tuple(c if a == b else b for c, a, b in zip(design.cleanouts, was, now, strict=True))
        openings, network = _plugs(design, openings, network, ids)
        routes = _as_laid(design, network)
        return replace(design, network=network, cleanouts=openings, house=replace(design.house, routes=routes))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        had = listed(f"{units.size(design.network.pipe(i).size_in)} in" for i in self.pipes)
        size = f"{units.size(self.size_in)} in"
        return Change("resize", self.pipes, had, size, f"Lay {listed(self.pipes)} in {size} instead of {had}")


def _as_laid(design: Design, network: Network) -> tuple[RouteLeg, ...]:
    """Return the drawn routes; one laid in another size now names that, or none where it is laid in parts."""
    had = {p.id: p.size_in for p in design.network.pipes}
    changed = {i for p in network.pipes if p.size_in != had[p.id] for i in (p.id, leg_of(p.id))}
    laid: dict[str, set[float]] = {}
    for p in network.pipes:
        for leg in {p.id, leg_of(p.id)} & changed:
            laid.setdefault(leg, set()).add(p.size_in)
    return tuple(
        replace(g, size_in=min(laid[g.id]) if len(laid[g.id]) == 1 else None)
        if g.id in laid and g.size_in is not None
        else g
        for g in design.house.routes
    )


def _pipe_for(plug_in: float) -> float:
    """Return the smallest pipe that a plug goes on."""
    return next((s for s in SIZES_IN if s >= plug_in - 1e-9), plug_in)


def _plugs(
    design: Design, openings: tuple[CleanoutPlan, ...], network: Network, resized: frozenset[str]
) -> tuple[tuple[CleanoutPlan, ...], Network]:
    """Return the cleanouts on resized drains, and the pipes that lead to them, as large as the book asks."""
    ends = {n for i in resized for n in (network.pipe(i).start, network.pipe(i).end)}
    leads = {p.start: p for p in network.pipes if p.role is Role.CLEANOUT_EXT and p.end in ends}
    least: dict[str, float] = {}
    for c in openings:
        lead = leads.get(c.point)
        foot = lead.end if lead is not None else c.point
        served = [
            network.pipe(i).size_in for i in (*network.node(foot).inflow, *network.node(foot).outflow) if i in resized
        ]
        if served and foot in ends:
            try:
                least[c.point] = queries.cleanout_size(design.book, max(served)).number
            except LookupError:
                continue
    plans = tuple(replace(c, size_in=max(c.size_in, least.get(c.point, 0.0))) for c in openings)
    pipes = tuple(
        replace(p, size_in=max(p.size_in, _pipe_for(least[p.start])))
        if leads.get(p.start) is p and p.start in least
        else p
        for p in network.pipes
    )
    return plans, Network(network.nodes, pipes, network.traps)


@dataclass(frozen=True, slots=True)
class TrapSize:
    """A trap in another size."""

    tag: str
    size_in: float

    def on(self, design: Design) -> Design:
        """Return the design with that trap."""
        net = design.network
        traps = tuple(replace(t, trap_in=self.size_in) if t.tag == self.tag else t for t in net.traps)
        return replace(design, network=Network(net.nodes, net.pipes, traps))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        had = next(f"{units.size(t.trap_in)} in" for t in design.network.traps if t.tag == self.tag)
        size = f"{units.size(self.size_in)} in"
        return Change("trap size", (self.tag,), had, size, f"Set a {size} trap under {self.tag} instead of {had}")


@dataclass(frozen=True, slots=True)
class RouteSize:
    """The size written in a drawn route set to what the design lays."""

    leg: str
    size_in: float

    def on(self, design: Design) -> Design:
        """Return the design with that size in the drawn route."""
        routes = tuple(replace(g, size_in=self.size_in) if g.id == self.leg else g for g in design.house.routes)
        return replace(design, house=replace(design.house, routes=routes))

    def told(self, design: Design) -> Change:
        """Return the change in words."""
        leg = next(g for g in design.house.routes if g.id == self.leg)
        had = f"{units.size(leg.size_in)} in" if leg.size_in is not None else "no size"
        size = f"{units.size(self.size_in)} in"
        return Change("drawn size", (self.leg,), had, size, f"Write {size} in the route {self.leg} instead of {had}")


def sizes(case: Case) -> Iterator[Candidate]:
    """Yield the pipes of a finding in other sizes: one, all, with what follows, the whole route or vent."""
    net = case.net
    seen: set[tuple[tuple[str, ...], float]] = set()
    pipes = case.pipes[:8]
    for size in SIZES_IN:
        for ids in _sets(case, pipes, size):
            key = (tuple(sorted(set(ids))), size)
            changed = tuple(i for i in dict.fromkeys(ids) if net.pipe(i).size_in != size)
            if key in seen or not changed:
                continue
            seen.add(key)
            steps = [_step(size) - _step(net.pipe(i).size_in) for i in changed]
            if min(steps) < -1 or max(steps) > 6 or _narrows(net, changed, size):
                continue
            yield once(Resize(changed, size), cost=SIZE * sum(s if s > 0 else SMALLER * -s for s in steps))
    for trap in case.traps:
        for size in SIZES_IN:
            if size != trap.trap_in:
                up = _step(size) - _step(trap.trap_in)
                yield once(TrapSize(trap.tag, size), cost=SIZE * (up if up > 0 else SMALLER * -up))


def _sets(case: Case, pipes: tuple[Pipe, ...], size: float) -> Iterator[tuple[str, ...]]:
    net = case.net
    if len(pipes) > 1:
        yield tuple(p.id for p in pipes)
    for p in pipes:
        after = tuple(d.id for d in net.downstream(p) if d.size_in < size)
        yield (p.id,)
        yield (p.id, *after)
        yield _whole(net, p)
        yield (*_whole(net, p), *after)
        yield (p.id, *(d.id for d in net.downstream(p)))
    arms = tuple(i for t in case.traps for i in t.arm_runs)
    known = {p.id for p in net.pipes}
    arms = tuple(i for i in arms if i in known)
    if arms:
        last = net.pipe(arms[-1])
        yield arms
        yield (*arms, *(d.id for d in net.downstream(last) if d.size_in < size))


def _narrows(net: Network, pipes: tuple[str, ...], size_in: float) -> bool:
    """Return whether a drain laid larger would flow on into a smaller one."""
    larger = [p for p in map(net.pipe, pipes) if p.system == "drain" and p.size_in < size_in]
    return any(d.size_in < size_in and d.id not in pipes for p in larger for d in net.downstream(p))


def _whole(net: Network, pipe: Pipe) -> tuple[str, ...]:
    """Return all pipes of the route a pipe is part of: "S1.3" is one of those of "S1"."""
    leg = leg_of(pipe.id)
    return tuple(p.id for p in net.pipes if leg_of(p.id) == leg and p.system == pipe.system)


def _step(size_in: float) -> int:
    return min(range(len(SIZES_IN)), key=lambda i: abs(SIZES_IN[i] - size_in))


def largest_vents(case: Case) -> Iterator[Candidate]:
    """Yield each way from a drain to the open air in a larger size: for rules about the vents of the whole house."""
    net = case.net
    starts = [
        p
        for p in net.vents()
        if any(net.pipe(i).system == "drain" for i in (*net.node(p.start).inflow, *net.node(p.start).outflow))
    ]
    for p in starts:
        way = (p, *net.downstream(p))
        if net.node(way[-1].end).kind is not PointKind.TERMINAL:
            continue
        for size in SIZES_IN:
            small = tuple(q.id for q in way if q.size_in < size)
            if small:
                yield once(Resize(small, size), cost=SIZE * len(small) * (1 + _step(size)))


def drawn_sizes(case: Case) -> Iterator[Candidate]:
    """Yield the drawn routes of a finding with the size the design lays them in."""
    for leg in case.design.house.routes:
        if leg.id in case.about:
            sizes_now = {p.size_in for p in case.net.pipes if leg_of(p.id) == leg.id or p.id == leg.id}
            for size in sorted(sizes_now):
                if size != leg.size_in:
                    yield once(RouteSize(leg.id, size), cost=SIZE / 2)
