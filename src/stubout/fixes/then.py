"""Two changes together, for a finding that no single one clears.

The nearest single changes are made, and what then speaks up is put right like any other finding. Only pairs are offered
after which all checks let the design pass that let it pass before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from stubout.checks.registry import by_id, run_all
from stubout.design import Change, Design
from stubout.fixes.bench import GRAVE, Bench, applied, key
from stubout.fixes.model import Candidate, Case, Edit
from stubout.fixes.table import proposals
from stubout.fixes.trial import Found, Trial
from stubout.problems import Finding

FIRST = 8  # single changes carried on
ALIKE = 2  # of them that come from one kind of proposal and run into one check
SECOND = 6  # second changes of one kind put before every check


@dataclass(frozen=True, slots=True)
class Pair:
    """Two changes, the second of the design as the first leaves it."""

    first: Found
    then: Found
    between: Design

    @property
    def edits(self) -> tuple[Edit, ...]:
        """Return all edits in their order."""
        return (*self.first.edits, *self.then.edits)

    @property
    def cost(self) -> float:
        """Return what both cost together."""
        return self.first.cost + self.then.cost

    @property
    def asks(self) -> str:
        """Return who has to agree to one of them."""
        return " with the ".join(dict.fromkeys(a for a in (self.first.one.asks, self.then.one.asks) if a))

    def told(self, design: Design) -> tuple[Change, ...]:
        """Return the changes in words."""
        return (*(e.told(design) for e in self.first.edits), *(e.told(self.between) for e in self.then.edits))


def anything(_change: Candidate) -> bool:
    """Return that any change may be made."""
    return True


def pair(
    bench: Bench,
    finding: Finding,
    near: Iterable[tuple[Found, str]],
    most: int = FIRST,
    may: Callable[[Candidate], bool] = anything,
) -> Pair | None:
    """Return the cheapest two changes that clear a finding together and raise no other; None if there are none.

    Args:
        bench: The design as it stands.
        finding: The finding.
        near: The single changes that clear it, each with the check that then speaks up.
        most: How many of them are carried on.
        may: Whether a change may be made at all.
    """
    best: Pair | None = None
    for first in _nearest(near)[:most]:
        if best is not None and first.cost >= best.cost:
            break
        made = _carried_on(bench, finding, first, may)
        if made is not None and (best is None or made.cost < best.cost):
            best = made
    return best


def _nearest(near: Iterable[tuple[Found, str]]) -> list[Found]:
    seen: Counter[tuple[str, str]] = Counter()
    out = []
    for found, said in sorted(near, key=lambda n: n[0].cost):
        seen[found.one.family, said] += 1
        if seen[found.one.family, said] <= ALIKE:
            out.append(found)
    return out[:FIRST]


def _carried_on(bench: Bench, finding: Finding, first: Found, may: Callable[[Candidate], bool]) -> Pair | None:
    """Return the first change with one that puts right what speaks up after it."""
    between = applied(bench.design, first.edits)
    known = bench.known - Counter([key(finding)])
    new = [f for f in run_all(between)[0] if f.level in GRAVE and key(f) not in known]
    if not new or key(finding) in {key(f) for f in new} or len({f.check for f in new}) > 1:
        return None
    check = by_id(new[0].check)
    if check is None:
        return None
    others = tuple(f for f in bench.findings if f is not finding)
    on = Bench(between, (*others, new[0]), bench.not_checked)
    case = Case(between, new[0], on.anew)
    trial = Trial(on, case, check)
    asked: Counter[str] = Counter()
    for found in trial.cheapest_first(filter(may, proposals(case))):
        if asked[found.one.family] >= SECOND:
            continue
        asked[found.one.family] += 1
        good, _ = trial.confirmed(found)
        if good is not None:
            return Pair(first, good, between)
    return None
