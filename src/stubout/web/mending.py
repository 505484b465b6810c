"""A fix of a finding as a changed job file: what it says there, and what a whole plan made with it says of it.

A fix was tried on a copy of the design. It can be applied where the job file has words for it, and once the house
planned anew with those words has been seen to be rid of the finding, without another.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from stubout.run_field import fixing
from stubout.run_field.fixing import Offer, Say
from stubout.run_field.model import Field, Said
from stubout.store.model import Revision
from stubout.web import yaml_paths
from stubout.web.plans import Plan, Plans
from stubout.web.yaml_edit import EditError

GRAVE: Final = ("STOP", "FIX")
_SLOTS: Final = 1_000  # of the work beside the plans of one job
_BASE: Final = 4 * 10**12  # slots that nothing else uses
_MOST_TOLD: Final = 6  # entries told one by one
_ONE: Final = {
    "fixtures": "fixture", "cabinets": "cabinet", "walls": "wall", "rooms": "room", "obstacles": "obstacle",
    "routes": "route", "boxes": "box", "drawers": "drawer", "through": "point", "frames": "frame",
    "questions": "question",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mend:
    """What was tried for one finding, and the job file with it."""

    offer: Offer
    text: str  # "" where the file cannot say it
    changes: tuple[str, ...]  # what it changes in the file, in words
    unsaid: str  # why it cannot be applied here


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a whole plan of the changed file says."""

    state: Literal["waiting", "gone", "stays", "failed"]
    plan: Plan
    gone: tuple[str, ...] = ()  # other findings that go as well
    new: tuple[str, ...] = ()  # what speaks instead


def slot(job: int, number: int = 0) -> int:
    """Return the slot of work beside the plan of a job."""
    return _BASE + job * _SLOTS + number % _SLOTS


def slot_of(key: str) -> int:
    """Return a slot of its own for work that others of the same job do not make worthless."""
    return -(10**15) - int(key[:12], 16)


def beside(plans: Plans, revision: Revision, kind: str, before: str = "") -> Plan:
    """Return how far some work beside the plan of a revision is, and have it done.

    Args:
        plans: The plans.
        revision: What it is about.
        kind: What is worked out.
        before: Another text that it is worked out from.
    """
    key = plans.key(revision.text, kind=kind, before=before)
    return plans.ask(revision.text, slot_of(key), kind=kind, beside=revision.job, before=before)


def asked(plans: Plans, revision: Revision) -> Plan:
    """Return how far the fixes of a revision are, and have them tried."""
    return plans.ask(revision.text, slot(revision.job), kind=fixing.KIND, beside=revision.job)


def mends(plans: Plans, revision: Revision) -> tuple[Mend, ...]:
    """Return what was tried for the findings of a revision; KeyError if that is not known yet."""
    data = plans.file(plans.key(revision.text, kind=fixing.KIND), fixing.FIXES)
    return _prepared(data, revision.text)


def mend_of(found: Iterable[Mend], finding: int) -> Mend | None:
    """Return what was tried for one finding, by its number."""
    return next((m for m in found if m.offer.finding == finding), None)


@lru_cache(maxsize=16)
def _prepared(data: bytes, text: str) -> tuple[Mend, ...]:
    return tuple(_mend(offer, text) for offer in fixing.read(data))


def _mend(offer: Offer, text: str) -> Mend:
    if not offer.says:
        return Mend(offer, "", (), offer.unsaid)
    try:
        new = yaml_paths.said(text, ((s.path, s.value) for s in offer.says))
    except EditError as error:
        return Mend(offer, "", tuple(told(text, offer.says)), str(error))
    if new == text:
        return Mend(offer, "", (), "the job file says so already")
    return Mend(offer, new, tuple(told(text, offer.says)), "")


def told(text: str, says: Iterable[Say]) -> Iterator[str]:
    """Yield in words what statements change in a job file."""
    more: dict[str, list[str]] = {}
    for say in says:
        if say.path[-1] == yaml_paths.MORE:
            more.setdefault(str(say.path[0]), []).append(str(say.value.get("id", "")))
            continue
        place = _place(say.path)
        was = yaml_paths.written(text, say.path)
        if say.value is None:
            yield f"{place}: goes" + (f" (it said {was})" if was and len(was) < 40 else "")
        else:
            yield f"{place}: {was or 'not said'} → {_shown(say.value)}"
    for listed, names in more.items():
        if len(names) > _MOST_TOLD:
            yield f"{listed}: {len(names)} are written, from {names[0]} to {names[-1]}"
        else:
            yield from (f"{_ONE.get(listed, listed)} {name}: is written" for name in names)


def _place(path: tuple[str | int, ...]) -> str:
    words: list[str] = []
    for step, nxt in zip(path, (*path[1:], None), strict=True):
        if words and words[-1].endswith("\0"):
            words[-1] = f"{words[-1][:-1]} {step}"
        else:
            inside = str(step) in _ONE and nxt is not None
            words.append(f"{_ONE[str(step)]}\0" if inside else str(step))
    return ", ".join(w.rstrip("\0") for w in words)


def _shown(value: object) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, dict):
        return "; ".join(f"{k} {_shown(v)}" for k, v in value.items())
    return "; ".join(_shown(v) for v in value) if isinstance(value, (list, tuple)) and value else "nothing"


def outcome(plans: Plans, job: int, before: Field, mend: Mend, *, ask: bool = True) -> Outcome | None:
    """Return what a plan of the changed file says, and have it planned; None where nobody has asked for that plan."""
    key = plans.key(mend.text)
    known = plans.state(key)
    if known is None and not ask:
        return None
    if known is None and plans.busy_beside(job):
        known = Plan(key, "waiting", ahead=1)  # the queue is left to others: one of a job at a time
    plan = known or plans.ask(mend.text, slot(job, mend.offer.finding), beside=job)
    if plan.state == "failed":
        return Outcome("failed", plan)
    if plan.state != "done":
        return Outcome("waiting", plan)
    return judged(before, plans.field(plan.key), mend.offer.finding, plan)


def judged(before: Field, after: Field, finding: int, plan: Plan) -> Outcome:
    """Return whether a finding of one plan is gone in another, and no check speaks that was silent.

    Numbers of pipes change when a house is planned anew: each check is counted, and has to speak no oftener than
    before; the one of the finding less often. What could be laid out and checked has to be so still.
    """
    wanted = before.findings[finding - 1]
    was, now = _counts(before), _counts(after)
    new = tuple(
        shown(f) for f in after.findings if _counted(f) and now[f.check] > was[f.check] and _key(f) not in _keys(before)
    )
    new += tuple(f"not laid out: {', '.join(b.about)}: {b.found}" for b in after.blocked[len(before.blocked) :])
    silent = {n.check for n in before.not_checked}
    new += tuple(f"not checked any more: {n.check}" for n in after.not_checked if n.check not in silent)
    worse = bool(new) or any(now[c] > was[c] for c in now)
    gone = tuple(
        shown(f) for f in before.findings
        if _counted(f) and f is not wanted and now[f.check] < was[f.check] and _key(f) not in _keys(after)
    )  # fmt: skip
    cleared = now[wanted.check] < was[wanted.check] and _key(wanted) not in _keys(after)
    return Outcome("gone" if cleared and not worse else "stays", plan, gone, new)


def _counted(f: Said) -> bool:
    return f.level in GRAVE and not f.accepted


def _counts(field: Field) -> Counter[str]:
    return Counter(f.check for f in field.findings if _counted(f))


def _key(f: Said) -> tuple[str, tuple[str, ...]]:
    return f.check, f.about


def _keys(field: Field) -> set[tuple[str, tuple[str, ...]]]:
    return {_key(f) for f in field.findings if _counted(f)}


def shown(f: Said) -> str:
    """Return a finding in one line."""
    return f"{f.level} {f.check} {', '.join(f.about[:4])}: {f.found}"
