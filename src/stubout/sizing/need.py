"""What one pipe needs: every reason with the size it asks for, and how the final size follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from stubout import units
from stubout.catalog import queries as catalog
from stubout.house.model import House, HouseFixture
from stubout.layout.flowgraph import Flow, flow_of
from stubout.layout.model import Role
from stubout.network.model import Network, Pipe, Run
from stubout.problems import Basis, CatalogError, Derivation
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.tables import SIZES_IN

_SYSTEM: Mapping[str, Literal["drain", "vent"]] = {"drain": "drain", "vent": "vent"}


@dataclass(frozen=True, slots=True)
class Need:
    """One reason for a size [in]; 0 for a remark that asks for none."""

    size_in: float
    words: str
    bases: tuple[Basis, ...] = ()


STACK_VENT_IN = 1.5  # the least that the vent of a stack goes out in: common practice, no source
LARGE_STACK_IN, LARGE_STACK_VENT_IN = 3.0, 2.0  # that of a stack for closets: common practice, no source
JOINING = ("no reduction downstream", "not smaller than what joins")


def stocked(material: str, at_least_in: float) -> float:
    """Return the least size made as plastic DWV pipe, not below a size [in].

    Sizes the catalogue knows only as hardly stocked (2-1/2, 5) are passed over; without any other, the size asked for.
    """
    for size in SIZES_IN:
        if size < at_least_in - 1e-9:
            continue
        try:
            pipe = catalog.pipe(material, size)
        except CatalogError:
            continue
        if pipe.basis.status.verified:
            return size
    return at_least_in


@dataclass(slots=True)
class Sizes:
    """Sizes while they are being settled. `needed` is what the book asks for, `final` what is installed."""

    network: Network
    house: House
    book: RuleBook
    needs: dict[str, list[Need]] = field(default_factory=dict)
    needed: dict[str, float] = field(default_factory=dict)
    final: dict[str, float] = field(default_factory=dict)
    traps_in: Mapping[str, float] = field(default_factory=dict)
    _flow: Flow | None = field(default=None, init=False, repr=False, compare=False)
    slim: Mapping[str, float] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Find the vents whose size was reckoned as the room they have, and how small common practice lets them be."""
        net, slim = self.network, dict[str, float]()
        for first in (p for p in net.pipes if p.role is Role.STACK_VENT):
            least = LARGE_STACK_VENT_IN if first.size_in >= LARGE_STACK_IN else STACK_VENT_IN
            for p in (first, *net.downstream(first)):
                slim[p.id] = max(slim.get(p.id, 0.0), least)
        self.slim = {p.id: slim[p.id] for p in net.pipes if p.id in slim and not p.drawn}

    @property
    def flow(self) -> Flow:
        """Return the pipes as a graph of runs."""
        if self._flow is None:
            net = self.network
            runs = [Run(p.id, _SYSTEM[p.system], p.role, p.start, p.end, p.place, p.size_in) for p in net.pipes]
            self._flow = flow_of(runs, {n.id: n.at for n in net.nodes})
        return self._flow

    def fixtures(self, tags: tuple[str, ...]) -> list[HouseFixture]:
        """Return the fixtures behind some tags, in the order of the job."""
        wanted = set(tags)
        return [f for f in self.house.fixtures if f.tag in wanted]

    def settle(self, pipe: Pipe, needs: list[Need]) -> None:
        """Record the needs of a pipe and its size: the largest need, or what was reckoned or drawn if larger.

        The layout stands stack vents where they have room for the size of their stack; they and what goes on from them
        are no larger than the book and common practice ask.
        """
        self.needs[pipe.id] = needs
        needed = self.needed[pipe.id] = max((n.size_in for n in needs), default=0.0)
        if pipe.size_in >= needed - 1e-9:
            least = self.slim.get(pipe.id, pipe.size_in)
            self.final[pipe.id] = min(pipe.size_in, max(least, stocked(self.house.job.material, needed)))
        else:
            self.final[pipe.id] = stocked(self.house.job.material, needed)

    def raise_to(self, pipe: Pipe, need: Need) -> bool:
        """Add one more need afterwards; return whether the pipe grew."""
        if any(n.words == need.words for n in self.needs[pipe.id]):
            return False
        before = self.final[pipe.id]
        self.settle(pipe, [*self.needs[pipe.id], need])
        return self.final[pipe.id] > before + 1e-9


def size_derivation(sizes: Sizes, pipe: Pipe) -> Derivation:
    """Return how the size of a pipe came about: each reason, then which one decides."""
    final, needed = sizes.final[pipe.id], sizes.needed[pipe.id]
    needs = sizes.needs[pipe.id]
    steps = [n.words for n in needs]
    deciding = [n for n in needs if n.size_in > 0 and abs(n.size_in - needed) < 1e-9]
    deciding.sort(key=lambda n: n.words.startswith(JOINING))  # a reason of its own goes before what joins
    if final > needed + 1e-9 and final > pipe.size_in + 1e-9:
        by = deciding[0].words.split(":")[0]
        steps.append(f"{units.size(needed)} in decided by {by}; hardly made in plastic, so {units.size(final)} in")
    elif final > needed + 1e-9:
        how = "as drawn" if pipe.drawn else "as reckoned by the layout"
        if final == sizes.slim.get(pipe.id) != pipe.size_in:
            how = f"for the vent of a {units.size(pipe.size_in)} in stack: common practice, no source"
        least = f"; {units.size(needed)} would do" if needed > 0 else ""
        steps.append(f"size {units.size(final)} in {how}{least}")
    elif deciding:
        steps.append(f"size {units.size(final)} in: decided by {deciding[0].words.split(':')[0]}")
    bases = tuple(dict.fromkeys(b for n in (*deciding, *(n for n in needs if n not in deciding)) for b in n.bases))
    return Derivation(pipe.id, "size", f"{units.size(final)} in", tuple(steps), bases)
