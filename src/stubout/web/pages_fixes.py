"""Findings with the fix that was tried, applied with one tap once a whole plan has shown that it clears them."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from stubout.run_field.model import Said
from stubout.store import jobs
from stubout.store.model import LONGEST_WORDS, Revision, Stale, StoreError
from stubout.web import diff, mending
from stubout.web.mending import Mend, Outcome
from stubout.web.office import Form, Office, Opened, Who, office_of, page, remembered
from stubout.web.pages_edit import whole
from stubout.web.pages_see import LEVELS, planned
from stubout.web.people import Person
from stubout.web.plans import Plan

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Fix:
    """What a page shows of the fix of one finding."""

    number: int  # of the finding, from 1
    looked: Plan  # how far the search for fixes is
    mend: Mend | None = None
    outcome: Outcome | None = None

    @property
    def waits(self) -> bool:
        """Return whether there is more to come."""
        if self.looked.state in ("waiting", "running"):
            return True
        return self.outcome is not None and self.outcome.state == "waiting"

    @property
    def seen(self) -> Hashable:
        """Return what tells how far it is: what is offered follows from the text shown."""
        return (self.looked, self.outcome)


def fix_of(office: Office, at: Opened, number: int) -> Fix | None:
    """Return the fix of one finding as far as it is known, and have the rest worked out.

    None where none is looked for: for what is no fault or is accepted, and while an earlier revision is on the screen.
    """
    said = _finding(at, number)
    if at.shown.number != at.revision.number or said.level not in mending.GRAVE or said.accepted:
        return None
    looked = mending.asked(office.plans, at.shown)
    if looked.state != "done":
        return Fix(number, looked)
    found = mending.mend_of(mending.mends(office.plans, at.shown), number)
    if found is None or not found.text:
        return Fix(number, looked, found)
    assert at.field is not None
    return Fix(number, looked, found, mending.outcome(office.plans, at.job.id, at.field, found))


def _finding(at: Opened, number: int) -> Said:
    assert at.field is not None
    if not 1 <= number <= len(at.field.findings):
        raise HTTPException(404, "there is no such finding")
    return at.field.findings[number - 1]


@router.get("/jobs/{job_id}/findings")
def findings(request: Request, job_id: int, who: Who) -> Response:
    """Show the findings, gravest first, each with its place and the fix that was tried."""
    at = planned(request, job_id)
    assert at.field is not None
    numbered = list(enumerate(at.field.findings, 1))
    by_level = [(level, [(n, f) for n, f in numbered if f.level == level]) for level in LEVELS]
    fixes = {n: fix_of(office_of(request), at, n) for n, _ in numbered}
    words = {"by_level": by_level, "reasons": set(at.field.answers), "fixes": fixes, "alone": False, "here": "findings"}
    if any(f is not None and f.waits for f in fixes.values()):
        return page("findings.html", who, at=at, **words)
    standing = tuple((n, f and f.seen) for n, f in fixes.items())
    return remembered(request, who, "findings.html", at, lambda: words, standing)


@router.get("/jobs/{job_id}/findings/{number}")
def finding(request: Request, job_id: int, number: int, who: Who) -> Response:
    """Show one finding: its place, the fix, the lines of the file it changes."""
    return _page(request, planned(request, job_id), number, who)


def _page(request: Request, at: Opened, number: int, who: Person, status: int = 200, stale: int = 0) -> Response:
    said = _finding(at, number)
    fix = fix_of(office_of(request), at, number)
    rows = diff.rows(at.shown.text, fix.mend.text) if fix and fix.mend and fix.mend.text else ()
    assert at.field is not None
    words = {"f": said, "fix": fix, "rows": rows, "reasons": set(at.field.answers), "stale": stale, "alone": True}
    return page("finding.html", who, status, at=at, here="findings", **words)


@router.get("/jobs/{job_id}/findings/{number}/fix")
def part(request: Request, job_id: int, number: int, who: Who) -> Response:
    """Say how far the fix of one finding is."""
    at = planned(request, job_id)
    return page("_fix.html", who, at=at, fix=fix_of(office_of(request), at, number), alone=False)


@router.post("/jobs/{job_id}/findings/{number}/fix")
def apply(request: Request, job_id: int, number: int, form: Form) -> Response:
    """Write the fix of a finding into the file as a new revision; refused where somebody has saved meanwhile."""
    office, base = office_of(request), whole(form.get("base"))
    mend = ready(office, jobs.revision(office.store, job_id, base), number)
    try:
        made = applied(office, job_id, base, number, form.who.name)
    except Stale as stale:
        head = jobs.revision(office.store, job_id, stale.head)
        if head.number == base + 1 and head.text == mend.text:  # tapped twice
            made = head
        else:
            return _page(request, planned(request, job_id), number, form.who, 409, stale=base)
    return RedirectResponse(f"/jobs/{job_id}/revisions/{made.number}?plans=true&fixed={number}", 303)


def applied(office: Office, job_id: int, base: int, number: int, author: str) -> Revision:
    """Save the fix of a finding of a revision as the next one; raises Stale, and StoreError where it may not be."""
    revision = jobs.revision(office.store, job_id, base)
    mend = ready(office, revision, number)
    said = office.plans.field(office.plans.key(revision.text)).findings[number - 1]
    agreed = f" (the {mend.offer.asks} agrees)" if mend.offer.asks else ""
    note = f"fix for {said.check} {', '.join(said.about[:4])}: {mend.offer.words}{agreed}"[:LONGEST_WORDS]
    return jobs.save(office.store, job_id, base, mend.text, author, note)


def ready(office: Office, revision: Revision, number: int) -> Mend:
    """Return the fix of a finding of a revision that may be applied; StoreError where it may not, with the reason."""
    try:
        before = office.plans.field(office.plans.key(revision.text))
        found = mending.mends(office.plans, revision)
    except KeyError:
        raise StoreError("the fixes of that revision are not worked out") from None
    mend = mending.mend_of(found, number)
    if mend is None or not mend.text:
        raise StoreError(f"that fix cannot be applied here: {mend.unsaid if mend else 'there is none'}")
    result = mending.outcome(office.plans, revision.job, before, mend, ask=False)
    if result is None or result.state != "gone":
        raise StoreError("no whole plan with that fix has shown that the finding is gone")
    return mend
