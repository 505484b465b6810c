"""Fixes tried on a copy of a design: the first in order of cost that clears the finding and raises no other.

Each candidate is first judged by the check that spoke; the least length is found by doubling and halving. Those that
clear it are put before every check. Where others then speak of a length, a greater one is looked for that they let pass
too. Nothing is offered that every check was not asked about.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from stubout import units
from stubout.checks.base import Check
from stubout.checks.registry import by_id, run_all
from stubout.design import Design
from stubout.fixes import edits
from stubout.fixes.candidates import Candidate, candidates
from stubout.fixes.edits import made_anew, relisted
from stubout.problems import Finding, Level

STEPS_MM = {"mm": 1.0, "inch": units.MM_PER_INCH / 16}
MOST_STEPS = 512  # about 0.5 m, 32 in: farther is another layout
CONFIRMED = 12  # candidates put before every check, cheapest first
SHOWN = 2  # those told of when none helps
GROWN = (1, 2, 4, 8, 16, 32)  # how many steps a length is let grow where other checks speak at the least one

# They read what is cut, bored and fixed: the lists are made anew before they are asked.
OF_LISTS = ("CLA005", "CLA006", "CLA009", "FIT", "FLG001", "FRM", "SUP", "TST002")

Key = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Tried:
    """What was tried for one finding: a change that was checked, or what the nearest ones ran into."""

    finding: Finding
    sentence: str
    cleared: bool  # True: the finding is gone and no new STOP or FIX is there
    raised: tuple[str, ...] = ()  # ids of the checks that spoke up instead


@dataclass(frozen=True, slots=True)
class _Found:
    """A candidate with the least amount at which the finding is gone."""

    one: Candidate
    steps: int
    cost: float
    sentence: str


@dataclass(slots=True)
class _Trial:
    """One finding of one design, and what the checks said before anything was changed."""

    design: Design
    finding: Finding
    check: Check
    known: Counter[Key]
    own: int = field(init=False)

    def __post_init__(self) -> None:
        self.own = self.count_own(self.design)

    @property
    def step_mm(self) -> float:
        return STEPS_MM[self.design.house.job.units]

    def count_own(self, design: Design) -> int:
        """Return how often the check says of a design what it says here."""
        return sum(_key(f) == _key(self.finding) for f in self.check.run(design)[0])

    def clear(self, one: Candidate, steps: int) -> bool:
        """Return whether the check that spoke is silent about the place after a change."""
        try:
            new = one.make(steps * self.step_mm)
            if self.check.id.startswith(OF_LISTS) and not one.lists_only:
                new = relisted(new)
        except (LookupError, ValueError):  # no such fitting or size in the catalogue: nothing that can be bought
            return False
        return self.count_own(new) < self.own

    def raised(self, one: Candidate, steps: int) -> tuple[str, ...] | None:
        """Return the checks that speak up after a change, of all checks; None if the finding is still there."""
        try:
            new = one.make(steps * self.step_mm)
            new = new if one.lists_only else relisted(new)
        except (LookupError, ValueError):
            return None
        after = run_all(new)[0]
        if sum(_key(f) == _key(self.finding) for f in after) >= self.own:
            return None
        return tuple(sorted({check for check, _ in _count(after) - self.known}))

    def found(self, some: Iterable[Candidate]) -> list[_Found]:
        """Return the candidates that clear the finding, cheapest first."""
        out = []
        for one in some:
            steps = self._least(one) if one.by_length else 0
            if steps is None or not (one.by_length or self.clear(one, 0)):
                continue
            mm = steps * self.step_mm
            out.append(_Found(one, steps, one.cost + mm, one.say(mm)))
        return sorted(out, key=lambda f: f.cost)

    def _least(self, one: Candidate) -> int | None:
        hi = 1
        while not self.clear(one, hi):
            hi *= 2
            if hi > MOST_STEPS:
                return None
        lo = hi // 2
        while hi - lo > 1:
            mid = (lo + hi) // 2
            lo, hi = (lo, mid) if self.clear(one, mid) else (mid, hi)
        return hi

    def grown(self, one: _Found) -> Tried | None:
        """Return the fix of a greater length that all checks let pass; None if there is none near."""
        for more in GROWN if one.one.by_length else ():
            if self.raised(one.one, one.steps + more) == ():
                return Tried(self.finding, one.one.say((one.steps + more) * self.step_mm), True)
        return None


def fix_for(design: Design, finding: Finding, before: tuple[Finding, ...] | None = None) -> Tried:
    """Return the least change that clears a finding without raising another, or what speaks against the nearest.

    Args:
        design: The design as it stands.
        finding: One of its findings.
        before: All findings of the design; made here if not given.
    """
    check = by_id(finding.check)
    if check is None:
        return Tried(finding, "No change was tried.", False)
    trial = _Trial(design, finding, check, _count(run_all(design)[0] if before is None else before))
    anew = made_anew(design)
    some = tuple(candidates(design, finding, anew))
    found = trial.found(c for c in some if c.lists_only)
    # A move is not to be praised for what the lists made and the vents measured anew after it have done.
    if not found and trial.count_own(edits.counted_anew(design)) >= trial.own:
        found = trial.found(c for c in some if not c.lists_only)
    return _best(trial, found[:CONFIRMED])


def _best(trial: _Trial, found: list[_Found]) -> Tried:
    against: list[tuple[_Found, tuple[str, ...]]] = []
    for one in found:
        raised = trial.raised(one.one, one.steps)
        if raised == ():
            return Tried(trial.finding, one.sentence, True)
        if raised:
            against.append((one, raised))
    for one, _ in against:
        longer = trial.grown(one)
        if longer is not None:
            return longer
    if not against:
        return Tried(trial.finding, "No single change that was tried clears it.", False)
    against.sort(key=lambda a: (len(a[1]), a[0].cost))
    told = [f"{one.sentence[:-1]}: clears it, but then {' and '.join(raised)}" for one, raised in against[:SHOWN]]
    spoke = tuple(sorted({i for _, raised in against[:SHOWN] for i in raised}))
    return Tried(trial.finding, f"No single change that was tried helps. {'; '.join(told)}.", False, spoke)


def fixes(design: Design, findings: tuple[Finding, ...]) -> tuple[Tried, ...]:
    """Return what was tried for each finding of level STOP or FIX, in their order."""
    return tuple(fix_for(design, f, findings) for f in findings if f.level in (Level.STOP, Level.FIX))


def _key(f: Finding) -> Key:
    return f.check, f.about


def _count(findings: tuple[Finding, ...]) -> Counter[Key]:
    return Counter(_key(f) for f in findings if f.level in (Level.STOP, Level.FIX))
