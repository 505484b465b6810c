"""Changes tried on a copy of a design: the first in order of cost that clears a finding and raises no other.

Each candidate is first put before the check that spoke; where it has a length, the least that makes that check silent
is looked for. Those that clear it are put before the other checks, cheapest first, and dropped at the first that
speaks; where one speaks of a length, a greater one is tried. Where none helps alone, the nearest are made and what then
speaks up is put right by a second change (`then.py`). Nothing is offered that all checks were not asked about.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from stubout.checks.registry import by_id
from stubout.design import Change, Design, Tried
from stubout.fixes.bench import GRAVE, Bench
from stubout.fixes.model import Candidate, Case, Edit, listed
from stubout.fixes.table import KINDS, proposals
from stubout.fixes.then import FIRST, anything, pair
from stubout.fixes.trial import Found, Trial
from stubout.problems import Finding, NotChecked

CONFIRMED = 24  # candidates of one kind put before every check
SHOWN = 2  # those told of when none helps


def tried(
    bench: Bench,
    finding: Finding,
    carried_on: int = FIRST,
    may: Callable[[Candidate], bool] = anything,
    most: int = CONFIRMED,
) -> tuple[Tried, tuple[Edit, ...]]:
    """Return the least change that clears a finding without raising another, or what speaks against the nearest.

    Args:
        bench: The design as it stands.
        finding: One of its findings.
        carried_on: How many single changes are carried on by a second one, where none helps alone.
        may: Whether a change may be made at all.
        most: How many candidates of one kind are put before every check.
    """
    check = by_id(finding.check)
    if check is None:
        return Tried(finding, cleared=False, words="No change was tried."), ()
    case = Case(bench.design, finding, bench.anew)
    trial = Trial(bench, case, check)
    against: list[tuple[Found, str]] = []
    families: Counter[str] = Counter()
    for found in trial.cheapest_first(filter(may, proposals(case))):
        if families[found.one.family] >= most:
            continue
        good, said = trial.confirmed(found)
        families[found.one.family] += 1
        if good is not None:
            changes = tuple(e.told(bench.design) for e in good.edits)
            return _offer(finding, changes, good.one.asks), good.edits
        if said:
            against.append((found, said))
    both = pair(bench, finding, against, carried_on, may)
    if both is not None:
        return _offer(finding, both.told(bench.design), both.asks), both.edits
    return _fight(bench, trial, against), ()


def _offer(finding: Finding, changes: tuple[Change, ...], asks: str) -> Tried:
    words = "; ".join(c.words for c in changes) + "."
    return Tried(finding, cleared=True, words=words, changes=changes, asks=asks)


def _fight(bench: Bench, trial: Trial, against: list[tuple[Found, str]]) -> Tried:
    """Return which rules stand against each other: those that speak up after the nearest changes, or the rule alone."""
    finding = trial.finding
    if not against:
        return _unmoved(trial)
    told: list[str] = []
    seen: dict[str, None] = {}
    for one, said in against:
        if said in seen:
            continue
        seen[said] = None
        if len(told) < SHOWN:
            what = "; ".join(e.told(bench.design).words for e in one.edits)
            told.append(f"{what}: clears it, but then {_named(said)}")
    words = (
        f"No single change clears it: {finding.check} against {' and '.join(list(seen)[:SHOWN])}. {'. '.join(told)}."
    )
    return Tried(finding, cleared=False, words=words, against=tuple(seen))


def _named(said: str) -> str:
    check = by_id(said)
    return f"{said} {check.name}" if check else said


def _unmoved(trial: Trial) -> Tried:
    """Return that the finding stays whatever is changed, with what it asks for, or what was found where nothing is."""
    finding = trial.finding
    kinds = listed(KINDS.get(k, k.replace("_", " ")) for k in trial.stays)
    times = trial.stays.total()
    stays = f"{finding.check} asks for {finding.wanted}, and it stays after {times} changes tried ({kinds})"
    reason = stays if kinds else f"{finding.check}: {finding.found}, and no change of pipes reaches that"
    words = f"No single change clears it. {reason}. {finding.do[:1].upper()}{finding.do[1:]}."
    return Tried(finding, cleared=False, words=words, against=(finding.check,))


def fixes(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...] = (),
    waived: tuple[Finding, ...] = (),
) -> tuple[Tried, ...]:
    """Return what was tried for each finding of level STOP or FIX that nobody has accepted, in their order."""
    bench = Bench(design, findings, not_checked)
    return tuple(tried(bench, f)[0] for f in findings if f.level in GRAVE and f not in waived)
