"""What one pipe needs: every reason with the size it asks for, and how the final size follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stubout import units
from stubout.house.model import House, HouseFixture
from stubout.network.model import Network, Pipe
from stubout.problems import Basis, Derivation
from stubout.rulebooks.model import RuleBook


@dataclass(frozen=True, slots=True)
class Need:
    """One reason for a size [in]; 0 for a remark that asks for none."""

    size_in: float
    words: str
    bases: tuple[Basis, ...] = ()


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

    def fixtures(self, tags: tuple[str, ...]) -> list[HouseFixture]:
        """Return the fixtures behind some tags, in the order of the job."""
        wanted = set(tags)
        return [f for f in self.house.fixtures if f.tag in wanted]

    def settle(self, pipe: Pipe, needs: list[Need]) -> None:
        """Record the needs of a pipe and its size: the largest need, or what was reckoned or drawn if larger."""
        self.needs[pipe.id] = needs
        self.needed[pipe.id] = max((n.size_in for n in needs), default=0.0)
        self.final[pipe.id] = max(self.needed[pipe.id], pipe.size_in)

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
    if final > needed + 1e-9:
        how = "drawn" if pipe.drawn else "reckoned by the layout"
        least = f"; {units.size(needed)} would do" if needed > 0 else ""
        steps.append(f"size {units.size(final)} in as {how}{least}")
    elif deciding:
        steps.append(f"size {units.size(final)} in: decided by {deciding[0].words.split(':')[0]}")
    bases = tuple(dict.fromkeys(b for n in (*deciding, *(n for n in needs if n not in deciding)) for b in n.bases))
    return Derivation(pipe.id, "size", f"{units.size(final)} in", tuple(steps), bases)
