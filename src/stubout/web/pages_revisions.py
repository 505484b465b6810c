"""The revisions of a job: which lines each changed, what that moved in the plan, and the way back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.change.told import Part
from stubout.run_field import moves
from stubout.store import jobs
from stubout.store.model import Revision, StoreError
from stubout.web import diff, mending
from stubout.web.office import Form, Office, Who, office_of, page, waits
from stubout.web.pages_edit import whole
from stubout.web.plans import Plan

router = APIRouter()
_BESIDE: Final = 10**9  # slots of plans that are only compared: they push out no other plan of a job


@dataclass(frozen=True, slots=True)
class Pair:
    """Two revisions of a job to be compared."""

    office: Office
    before: Revision
    after: Revision

    @property
    def key(self) -> str:
        """Return the key of what moved between them."""
        return self.office.plans.key(self.after.text, kind=moves.KIND, before=self.before.text)

    def planned(self) -> bool:
        """Return whether both are planned."""
        states = (self.office.plans.state(self.office.plans.key(r.text)) for r in (self.before, self.after))
        return all(s is not None and s.state == "done" for s in states)

    def asked(self) -> Plan:
        """Return how far what moved between them is, and have both planned and compared.

        A revision that cannot be planned is told at once, and not waited for.
        """
        plans = self.office.plans
        for n, r in enumerate((self.before, self.after)):
            plan = plans.ask(r.text, -_BESIDE - r.job * 2 - n)
            if plan.state != "done":
                return plan
        return plans.ask(
            self.after.text, mending.slot_of(self.key), kind=moves.KIND, beside=self.after.job, before=self.before.text
        )

    def moved(self) -> tuple[Part, ...]:
        """Return what moved between them; KeyError if that is not known yet."""
        return moves.read(self.office.plans.file(self.key, moves.MOVED))


@router.get("/jobs/{job_id}/revisions")
def revisions(request: Request, job_id: int, who: Who) -> Response:
    """List the revisions."""
    store = office_of(request).store
    return page("revisions.html", who, job=jobs.job(store, job_id), history=jobs.history(store, job_id), here="edit")


@router.get("/jobs/{job_id}/revisions/{number}")
def revision(
    request: Request, job_id: int, number: int, who: Who, plans: bool = False, fixed: int = 0, since: int = 0
) -> Response:
    """Show what a revision changed: the lines, and what moved in the plan; `plans` has both planned for it.

    `fixed` is the number of the finding that it was made for, `since` an earlier revision to compare it with.
    """
    office = office_of(request)
    job, after = jobs.job(office.store, job_id), jobs.revision(office.store, job_id, number)
    before = _before(office, after, since)
    words: dict[str, Any] = {"before": before, "rows": (), "moved": None, "waits": None, "fixed": None, "failed": ""}
    words |= {"since": since, "earlier": [r for r in jobs.history(office.store, job_id) if r.number < number]}
    if before is not None:
        words["rows"] = diff.rows(before.text, after.text)
        words |= _told(Pair(office, before, after), plans, fixed)
    path = f"/jobs/{job_id}/revisions/{number}"
    words["poll"] = f"{path}/progress?{urlencode({'since': since})}"
    words["goes_on"] = f"{path}?{urlencode({'plans': 'true', 'fixed': fixed, 'since': since})}"
    return page("revision.html", who, job=job, after=after, here="edit", **words)


def _before(office: Office, after: Revision, since: int) -> Revision | None:
    """Return the revision to compare one with: the one before it, if no other is named; None for the first."""
    if since >= after.number:
        raise StoreError("an earlier revision is wanted to compare with")
    number = since or after.number - 1
    return jobs.revision(office.store, after.job, number) if number >= 1 else None


def _told(pair: Pair, plans: bool, fixed: int) -> dict[str, Any]:
    """Return what is said of what moved; a comparison is asked for where both are planned, else only when wanted."""
    there = pair.planned()
    if not plans and not there:
        return {}
    words = {"fixed": _fixed(pair, fixed) if fixed and there else None}
    plan = pair.asked()
    if plan.state == "failed":
        return {**words, "failed": plan.error}
    if plan.state != "done":
        return {**words, "waits": plan}
    return {**words, "moved": pair.moved()}


def _fixed(pair: Pair, number: int) -> tuple[str, mending.Outcome] | None:
    """Return the finding that a revision was made for, and whether it is gone."""
    plans = pair.office.plans
    was, key = plans.field(plans.key(pair.before.text)), plans.key(pair.after.text)
    if number > len(was.findings):
        return None
    result = mending.judged(was, plans.field(key), number, Plan(key, "done"))
    return mending.shown(was.findings[number - 1]), result


@router.get("/jobs/{job_id}/revisions/{number}/progress")
def compared(request: Request, job_id: int, number: int, who: Who, since: int = 0) -> Response:
    """Say how far a comparison is; the page is loaded anew when it is there."""
    office = office_of(request)
    after = jobs.revision(office.store, job_id, number)
    before = _before(office, after, since)
    plan = Pair(office, before, after).asked() if before else Plan("", "done")
    path, query = f"/jobs/{job_id}/revisions/{number}", urlencode({"plans": "true", "since": since})
    words = {"plan": plan, "poll": f"{path}/progress?{urlencode({'since': since})}", "goes_on": f"{path}?{query}"}
    return waits(page("_wait.html", who, words="Comparing both revisions", **words), plan.state)


@router.post("/jobs/{job_id}/revisions/{number}/back")
def back(request: Request, job_id: int, number: int, form: Form) -> Response:
    """Make an earlier revision the last one again, as a new revision: this can be undone in the same way."""
    store = office_of(request).store
    earlier = jobs.revision(store, job_id, number)
    base = whole(form.get("base"))
    if earlier.text != jobs.revision(store, job_id, base).text:
        jobs.save(store, job_id, base, earlier.text, form.who.name, f"back to revision {number}")
    return RedirectResponse(f"/jobs/{job_id}", 303)
