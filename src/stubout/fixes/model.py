"""What a change of a design is, and what is worth trying for a finding."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

from stubout import units
from stubout.design import Change, Design
from stubout.fabrication.model import Fabrication
from stubout.fixes.follow import made_anew
from stubout.layout.model import TrapPlan
from stubout.network.model import Network, Node, Pipe
from stubout.problems import Finding

# What a change costs, as the length of pipe [mm] a plumber would as soon move by; common practice, no source.
LIST, MARK, FITTING, TURN, SIZE, POINT = 1.0, 2.0, 4.0, 30.0, 40.0, 5.0
OPENING, VENT, FACT, OTHERS = 150.0, 400.0, 300.0, 2000.0  # OTHERS: someone else must agree: builder, cabinet maker


class Edit(Protocol):
    """One small named change, kept as data."""

    def on(self, design: Design) -> Design:
        """Return the design with the change made; lists of pipes that follow are made anew by `follow.followed`."""

    def told(self, design: Design) -> Change:
        """Return the change in words, in the units of the job."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A change worth trying: one edit, or a length for which the least is looked for."""

    edits: Callable[[float], tuple[Edit, ...]]  # of an amount [mm]; of 0 where there is none
    cost: float  # without the amount
    most_mm: float = 0.0  # 0: done or not, no amount
    asks: str = ""  # who has to agree, because it is not the plumber's to change
    family: str = ""  # the proposal it comes from


def once(*edits: Edit, cost: float, asks: str = "") -> Candidate:
    """Return a candidate without an amount."""
    return Candidate(lambda _mm: edits, cost, asks=asks)


@dataclass
class Case:
    """One finding of a design, with what the proposals ask about it."""

    design: Design
    finding: Finding
    shared: list[Fabrication] = field(default_factory=list)  # made by the first finding of a design that asks

    @property
    def net(self) -> Network:
        """Return the network."""
        return self.design.network

    @property
    def anew(self) -> Fabrication:
        """Return what is cut, bored and fixed as the pipes ask for it; made once a design."""
        if not self.shared:
            self.shared.append(made_anew(self.design))
        return self.shared[0]

    @cached_property
    def about(self) -> frozenset[str]:
        """Return the ids the finding names."""
        return frozenset(self.finding.about)

    @cached_property
    def pipes(self) -> tuple[Pipe, ...]:
        """Return the pipes it speaks of: named, bored through a named hole, or the arm and vent of a named fixture."""
        named = set(self.about)
        fab = self.design.fabrication
        named |= {b.pipe for b in fab.bores if b.id in named}
        named |= {i for f in fab.fittings if f.id in named for i in f.pipes}
        named |= {i for t in self.traps for i in (*t.arm_runs, *t.vent_runs[:1])}
        return tuple(p for p in self.net.pipes if p.id in named)

    @cached_property
    def traps(self) -> tuple[TrapPlan, ...]:
        """Return the traps of the fixtures it names, and those whose arm or weir it names."""
        return tuple(
            t for t in self.net.traps if t.tag in self.about or t.weir in self.about or self.about & set(t.arm_runs)
        )

    @cached_property
    def nodes(self) -> tuple[Node, ...]:
        """Return the points it names, and the ends of the pipes it speaks of."""
        named = set(self.about) | {n for p in self.pipes for n in (p.start, p.end)}
        named |= {c.point for c in self.design.cleanouts if c.id in self.about}
        named |= {f.node for f in self.design.fabrication.fittings if f.id in self.about}
        return tuple(n for n in self.net.nodes if n.id in named)

    @property
    def step_mm(self) -> float:
        """Return the least length that is told [mm]."""
        return STEPS_MM[self.design.house.job.units]


STEPS_MM = {"mm": 1.0, "inch": units.MM_PER_INCH / 16}


def listed(ids: Iterable[str]) -> str:
    """Return ids as a list in words, in the order given, each once."""
    return ", ".join(dict.fromkeys(ids))
