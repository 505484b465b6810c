"""Drains that vent what joins them by a method the job says: circuit, combination, single stack, waste stack.

Read off the pipes; judged here is only what two of the methods have in common.
"""

from __future__ import annotations

from dataclasses import dataclass

from stubout.checks.base import Findings, Review
from stubout.checks.facts import Arm, arms, hanging_together, incoming, outgoing
from stubout.layout.model import Role
from stubout.network.model import Node, Pipe, VentMethod
from stubout.rulebooks.model import Cell


@dataclass(frozen=True, slots=True)
class SaidDrain:
    """Drains of one method that hang together, with the arms that end on them and the dry vents that leave them."""

    way: VentMethod
    pipes: tuple[Pipe, ...]  # in flow order
    arms: tuple[Arm, ...]
    vents: tuple[Pipe, ...]

    @property
    def trunk(self) -> tuple[Pipe, ...]:
        """Return the longest line through the drains, up stream first."""
        best: tuple[Pipe, ...] = ()
        for head in self.pipes:
            line = [head]
            while nxt := next((p for p in self.pipes if p.start == line[-1].end and p not in line), None):
                line.append(nxt)
            if sum(p.length_mm for p in line) > sum(p.length_mm for p in best):
                best = tuple(line)
        return best

    @property
    def foot(self) -> Pipe:
        """Return the pipe that carries most."""
        return max(self.pipes, key=lambda p: p.load)

    @property
    def tags(self) -> tuple[str, ...]:
        """Return the fixtures vented through the drains."""
        return tuple(a.trap.tag for a in self.arms)


def overloaded(on: Review, stack: SaidDrain, word: str, limit: Cell | None) -> Findings:
    """Yield that the foot of a stack which must also give air carries more than the book lets it."""
    foot = stack.foot
    if limit is not None and foot.load - limit.number > 1e-6:
        yield on.finding(
            about=(foot.id, *stack.tags),
            found=f"{on.size(foot.size_in)} {word} {foot.id} carries {foot.load:g} {on.book.load_unit}",
            wanted=f"at most {limit.number:g} {on.book.load_unit}",
            do="lay the stack one size larger, or vent some of its fixtures by themselves",
            why="All its traps breathe through the water that falls in it.",
            bases=(limit,),
            at=foot.a,
        )


def said_drains(on: Review, way: VentMethod) -> tuple[SaidDrain, ...]:
    """Return the drains of a method, each as a whole."""
    served = [a for a in arms(on) if a.trap.method is way]
    out: list[SaidDrain] = []
    for group in hanging_together([p for p in on.net.drains() if p.vents_by is way]):
        nodes = {n for p in group for n in (p.start, p.end)}
        ids = {p.id for p in group}
        ordered = tuple(p for p in on.net.drains() if p.id in ids)
        mine = tuple(a for a in served if a.pipes[-1].end in nodes)
        vents = tuple(v for v in on.net.vents() if v.start in nodes)
        out.append(SaidDrain(way, ordered, mine, vents))
    return tuple(out)


def nodes_along(on: Review, line: tuple[Pipe, ...]) -> tuple[Node, ...]:
    """Return the nodes of a line of pipes, up stream first."""
    return tuple(on.net.node(i) for i in (*(p.start for p in line[:1]), *(p.end for p in line)))


def place_of(on: Review, drain: SaidDrain, node_id: str) -> int | None:
    """Return at which node of the trunk something comes in: there, or by a side drain; None if at none."""
    order = {n.id: i for i, n in enumerate(nodes_along(on, drain.trunk))}
    here: str | None = node_id
    seen: set[str] = set()
    while here is not None and here not in seen:
        if here in order:
            return order[here]
        seen.add(here)
        onward = [p for p in drain.pipes if p.start == here]
        here = onward[0].end if onward else None
    return None


def load_from_above(on: Review, drain: SaidDrain) -> bool:
    """Return whether the pipe the trunk joins already carries load from higher up at that place."""
    last = drain.trunk[-1]
    mine = {p.id for p in drain.pipes}
    beside = [p for p in incoming(on.net, on.net.node(last.end), "drain") if p.id not in mine]
    onward = outgoing(on.net, on.net.node(last.end), "drain")
    return bool(onward) and any(p.vertical and p.load > 0.0 and p.role is Role.STACK for p in beside)
