"""What is tried for the findings of a job, with what the job file would have to say for it; the engine at work."""

from __future__ import annotations

from collections.abc import Callable

from stubout.design import Design
from stubout.fixes import said_routes
from stubout.fixes.bench import Bench
from stubout.fixes.said import NotSaid
from stubout.fixes.stated import OF_PIPES, stated
from stubout.fixes.tried import tried
from stubout.job.model import Job
from stubout.run import Verdict
from stubout.run_field.fixing import Offer, Say


def offers(job: Job, design: Design, verdict: Verdict, progress: Callable[[str], None]) -> tuple[Offer, ...]:
    """Return what was tried for each open finding of level STOP or FIX, in the order of the findings.

    Args:
        job: The job as it is said.
        design: Its design.
        verdict: What the checks say of it.
        progress: Called with words before each finding.
    """
    bench = Bench(design, verdict.findings, verdict.not_checked)
    still = verdict.open
    found: list[Offer] = []
    for number, finding in enumerate(verdict.findings, 1):
        if finding in still:
            progress(f"fix {len(found) + 1} of {len(still)}, {finding.check}")
            found.append(_offer(job, bench, number))
    return tuple(found)


def _offer(job: Job, bench: Bench, number: int) -> Offer:
    told, edits = tried(bench, bench.findings[number - 1])
    if not told.cleared:
        return Offer(number, False, told.words, "", (), "", False)
    draws = any(isinstance(e, OF_PIPES) for e in edits) and said_routes.freezes(bench.design)
    try:
        says = tuple(Say(s.path, s.value) for s in stated(job, bench.design, edits))
    except NotSaid as told_why:
        return Offer(number, True, told.words, told.asks, (), str(told_why), draws)
    return Offer(number, True, told.words, told.asks, says, "", draws)
