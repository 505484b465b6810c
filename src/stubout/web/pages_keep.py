"""Keep what is installed in a changed job: what is in place is chosen, worked out, looked at, and then saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.run_field import moves, texts
from stubout.store import jobs, records
from stubout.store.model import Job, Revision, Stale, StoreError
from stubout.web import keeping, mending
from stubout.web.keeping import Chosen
from stubout.web.office import Form, Office, Who, office_of, page, waits
from stubout.web.pages_edit import like, whole
from stubout.web.pages_parts import ids
from stubout.web.plans import Plan
from stubout.web.site import ticks

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Wanted:
    """One accepted layout to be kept in one revision."""

    office: Office
    accepted: Revision
    base: Revision
    chosen: Chosen

    @property
    def text(self) -> str:
        """Return the job file as it is now, with what is said to be in place; raises EditError."""
        return keeping.said(self.base.text, self.chosen)

    @property
    def fields(self) -> dict[str, str]:
        """Return it as the fields of a form."""
        return {"accepted": str(self.accepted.number), "base": str(self.base.number), **self.chosen.fields}

    @property
    def query(self) -> str:
        """Return it as the end of an address."""
        return urlencode(self.fields)

    @property
    def key(self) -> str:
        """Return the key under which it is remembered."""
        return self.office.plans.key(self.text, kind=moves.KEEP, before=self.accepted.text)

    def asked(self) -> Plan:
        """Return how far it is, and have it worked out."""
        slot, job = mending.slot_of(self.key), self.base.job
        return self.office.plans.ask(self.text, slot, kind=moves.KEEP, beside=job, before=self.accepted.text)

    def file(self, name: str) -> bytes:
        """Return what came of it; StoreError where it is not worked out."""
        try:
            return self.office.plans.file(self.key, name)
        except KeyError:
            raise StoreError("that is not worked out: choose again what is in place") from None

    def done(self) -> moves.Kept:
        """Return what is kept; StoreError where it is not worked out."""
        return moves.read_kept(self.file(moves.KEPT))

    def saved(self, author: str) -> Revision:
        """Save the job with what is kept in it as the next revision; raises Stale and StoreError.

        The revision that it changes is returned where it says so already, and the one saved where it comes twice.
        """
        text, store = like(self.done().text, self.base.text), self.office.store
        if text == self.base.text:
            return self.base
        note = f"keeps what is installed, as laid out in revision {self.accepted.number}"
        try:
            return jobs.save(store, self.base.job, self.base.number, text, author, note)
        except Stale as stale:
            head = jobs.revision(store, self.base.job, stale.head)
            if head.text != text:
                raise
            return head


def wanted(office: Office, job_id: int, accepted: int, base: int, chosen: Chosen) -> Wanted:
    """Return what is asked for; raises NoSuch and StoreError."""
    old, new = (jobs.revision(office.store, job_id, n) for n in (accepted, base))
    if accepted > base:
        raise StoreError("the accepted revision is younger than the changed one")
    return Wanted(office, old, new, chosen)


def _said(office: Office, job_id: int, fields: Mapping[str, str]) -> Wanted:
    """Return what a form asks for; raises NoSuch and StoreError."""
    accepted, base = (whole(fields.get(k, "")) for k in ("accepted", "base"))
    return wanted(office, job_id, accepted, base, keeping.chosen(fields))


@dataclass(frozen=True, slots=True)
class Proposed:
    """What the ticks say is in place of the layout that is on site."""

    accepted: Revision
    plan: Plan  # of that
    chosen: Chosen | None  # None while that is not planned


def proposed(office: Office, job: Job, accepted: int) -> Proposed:
    """Return what the ticks propose to keep of an accepted revision; 0: of the one that was ticked last."""
    ticked = ticks(records.standing(records.listed(office.store, job.id)))
    old = jobs.revision(office.store, job.id, accepted or keeping.accepted_by(ticked, job.head))
    plan = office.plans.ask(old.text, mending.slot_of(office.plans.key(old.text)))
    found = keeping.proposed(office.plans.field(plan.key), ticked) if plan.state == "done" else None
    return Proposed(old, plan, found)


@router.get("/jobs/{job_id}/keep")
def choose(request: Request, job_id: int, who: Who, accepted: int = 0) -> Response:
    """Show the walls and floors of the accepted layout, those that the ticks say are in place already chosen."""
    office = office_of(request)
    job, base = jobs.job(office.store, job_id), jobs.revision(office.store, job_id)
    found = proposed(office, job, accepted)
    old, plan = found.accepted, found.plan
    words: dict[str, Any] = {
        "job": job, "base": base, "accepted": old, "plan": plan, "history": jobs.history(office.store, job_id),
        "known": keeping.known(base.text), "faults": office.faults_of(base.text), "here": "edit",
        **_plan_address(job_id, old.number),
    }  # fmt: skip
    if plan.state == "done":
        field = office.plans.field(plan.key)
        walls = tuple(dict.fromkeys((s.wall, s.level) for s in field.walls))
        words |= {"proposed": found.chosen, "walls": walls, "levels": ids(base.text, "levels")}
        words |= {"pipes": sorted({p for t in field.tasks for p in t.pipes})}
    return page("keep.html", who, **words)


@router.get("/jobs/{job_id}/keep/plan")
def accepted_plan(request: Request, job_id: int, who: Who, accepted: int) -> Response:
    """Say how far the plan of the accepted revision is; the page is loaded anew when it is there."""
    office = office_of(request)
    old = jobs.revision(office.store, job_id, accepted)
    plan = office.plans.ask(old.text, mending.slot_of(office.plans.key(old.text)))
    words = {"plan": plan, **_plan_address(job_id, accepted)}
    return waits(page("_wait.html", who, words="Planning the accepted revision", **words), plan.state)


def _plan_address(job_id: int, accepted: int) -> dict[str, str]:
    path = f"/jobs/{job_id}/keep"
    return {"poll": f"{path}/plan?accepted={accepted}", "goes_on": f"{path}?accepted={accepted}"}


@router.get("/jobs/{job_id}/keep/done")
def done(request: Request, job_id: int, who: Who) -> Response:
    """Show what is kept and what moves all the same; it is worked out first."""
    office = office_of(request)
    asked = _said(office, job_id, dict(request.query_params))
    job = jobs.job(office.store, job_id)
    faults = texts.faults_of(asked.text)
    plan = Plan("", "failed") if faults else asked.asked()
    words: dict[str, Any] = {"plan": plan, "kept": None, "same": False, **_address(asked)}
    if plan.state == "done":
        kept = asked.done()
        words |= {"kept": kept, "same": like(kept.text, asked.base.text) == asked.base.text}
    words["fields"] = asked.fields
    return page("kept.html", who, job=job, asked=asked, faults=faults, here="edit", **words)


def _address(asked: Wanted) -> dict[str, str]:
    path = f"/jobs/{asked.base.job}/keep"
    return {"poll": f"{path}/progress?{asked.query}", "goes_on": f"{path}/done?{asked.query}"}


@router.get("/jobs/{job_id}/keep/progress")
def progress(request: Request, job_id: int, who: Who) -> Response:
    """Say how far it is; the page is loaded anew when it is done."""
    asked = _said(office_of(request), job_id, dict(request.query_params))
    plan = asked.asked()
    return waits(page("_wait.html", who, plan=plan, words="Keeping what is installed", **_address(asked)), plan.state)


@router.post("/jobs/{job_id}/keep")
def keep(request: Request, job_id: int, form: Form) -> Response:
    """Save the job with what is kept in it as a new revision; refused where somebody has saved meanwhile."""
    office = office_of(request)
    asked = _said(office, job_id, form.fields)
    try:
        made = asked.saved(form.who.name)
    except Stale:
        return _stale(form.who, jobs.job(office.store, job_id), asked)
    if made.number == asked.base.number:
        return RedirectResponse(f"/jobs/{job_id}", 303)
    return RedirectResponse(f"/jobs/{job_id}/revisions/{made.number}?since={asked.accepted.number}", 303)


def _stale(who: Who, job: Job, asked: Wanted) -> Response:
    words: dict[str, Any] = {"plan": Plan("", "failed"), "kept": None, "same": False, "fields": {}}
    words |= _address(asked)
    return page("kept.html", who, 409, job=job, asked=asked, faults=(), here="edit", **words)
