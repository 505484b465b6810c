"""The fixes of a planned job as a page needs them: what was tried, who has to agree, what the job file would say.

Plain frozen records, written as `fixes.json` and read back without the engine.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pydantic import TypeAdapter

from stubout.design import Design
from stubout.job.model import Job
from stubout.run import Verdict

FIXES: Final = "fixes.json"


@dataclass(frozen=True, slots=True)
class Say:
    """One value of the job file set, added (last step `+`) or taken out (None); numbers in the path count from 1."""

    path: tuple[str | int, ...]
    value: Any


@dataclass(frozen=True, slots=True)
class Offer:
    """What was tried for one finding."""

    finding: int  # its place in the findings of the plan, from 1
    cleared: bool  # on the copy of the design: the finding is gone and no new STOP or FIX is there
    words: str  # what is changed, or what stands against it
    asks: str  # who has to agree, "" where the plumber alone can do it
    says: tuple[Say, ...]  # what the job file has to say for it
    unsaid: str  # why the job file cannot say it, "" where it can
    draws: bool  # the whole layout is drawn into the file, because the program laid these pipes out


_ADAPTER: Final = TypeAdapter(tuple[Offer, ...])


def write(offers: Sequence[Offer]) -> bytes:
    """Return the bytes of `fixes.json`."""
    return _ADAPTER.dump_json(tuple(offers))


def read(data: bytes) -> tuple[Offer, ...]:
    """Return what `fixes.json` says."""
    return _ADAPTER.validate_json(data)


def offers(job: Job, design: Design, verdict: Verdict, progress: Callable[[str], None]) -> tuple[Offer, ...]:
    """Return what was tried for each open finding of level STOP or FIX, in the order of the findings.

    Args:
        job: The job as it is said.
        design: Its design.
        verdict: What the checks say of it.
        progress: Called with words before each finding.
    """
    from stubout.fixes.bench import Bench

    bench = Bench(design, verdict.findings, verdict.not_checked)
    still = verdict.open
    found: list[Offer] = []
    for number, finding in enumerate(verdict.findings, 1):
        if finding in still:
            progress(f"fix {len(found) + 1} of {len(still)}, {finding.check}")
            found.append(_offer(job, bench, number))
    return tuple(found)


def _offer(job: Job, bench: Any, number: int) -> Offer:
    from stubout.fixes import said_routes
    from stubout.fixes.said import NotSaid
    from stubout.fixes.stated import OF_PIPES, stated
    from stubout.fixes.tried import tried

    told, edits = tried(bench, bench.findings[number - 1])
    if not told.cleared:
        return Offer(number, False, told.words, "", (), "", False)
    draws = any(isinstance(e, OF_PIPES) for e in edits) and said_routes.freezes(bench.design)
    try:
        says = tuple(Say(s.path, s.value) for s in stated(job, bench.design, edits))
    except NotSaid as told_why:
        return Offer(number, True, told.words, told.asks, (), str(told_why), draws)
    return Offer(number, True, told.words, told.asks, says, "", draws)
