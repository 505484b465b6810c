"""Look for a better layout: many are tried beside the plans, the best is looked at, and saved as a new revision."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.reports.costs import hours
from stubout.run_field import beyond
from stubout.store import jobs
from stubout.store.model import Revision, Stale, StoreError
from stubout.web import mending
from stubout.web.office import Form, Office, Who, office_of, page, waits
from stubout.web.pages_edit import like, whole
from stubout.web.people import Person
from stubout.web.plans import Plan

router = APIRouter()
OFFERED: Final = (16, beyond.USUAL_LAYOUTS, 100, beyond.MOST_LAYOUTS)  # how many layouts a picker offers to try


@dataclass(frozen=True, slots=True)
class Side:
    """One layout in words."""

    blocked: int
    findings: tuple[str, ...]
    cost: str


@dataclass(frozen=True, slots=True)
class Found:
    """What came of it."""

    tried: int
    was: Side
    best: Side
    choices: tuple[str, ...]  # none where nothing was better
    text: str


@dataclass(frozen=True, slots=True)
class Wanted:
    """One revision, and how many layouts of it are to be tried."""

    office: Office
    base: Revision
    layouts: int

    def asked(self) -> Plan:
        """Return how far it is, and have it worked out."""
        return mending.beside(self.office.plans, self.base, beyond.refine_kind(self.layouts))

    def found(self) -> Found:
        """Return what came of it; StoreError where it is not worked out."""
        plans = self.office.plans
        key = plans.key(self.base.text, kind=beyond.refine_kind(self.layouts))
        try:
            said = json.loads(plans.file(key, beyond.REFINED))
        except KeyError:
            raise StoreError("that is not worked out: begin again") from None
        choices = tuple(", ".join(f"{k}: {v}" for k, v in c.items()) for c in said["choices"])
        return Found(
            said["tried"], _side(said["was"]), _side(said["best"]), choices, like(said["text"], self.base.text)
        )

    @property
    def address(self) -> str:
        """Return where it is shown."""
        return f"/jobs/{self.base.job}/refine/found?base={self.base.number}&layouts={self.layouts}"


def _side(said: dict[str, Any]) -> Side:
    return Side(said["blocked"], tuple(said["findings"]), hours(said["cost_min"]))


def _wanted(office: Office, job_id: int, base: int, layouts: int) -> Wanted:
    if not 1 <= layouts <= beyond.MOST_LAYOUTS:
        raise StoreError(f"between 1 and {beyond.MOST_LAYOUTS} layouts can be tried")
    return Wanted(office, jobs.revision(office.store, job_id, base), layouts)


@router.get("/jobs/{job_id}/refine")
def choose(request: Request, job_id: int, who: Who) -> Response:
    """Ask how many layouts are to be tried."""
    office = office_of(request)
    job, base = jobs.job(office.store, job_id), jobs.revision(office.store, job_id)
    faults = office.faults_of(base.text)
    words: dict[str, Any] = {"offered": OFFERED, "usual": beyond.USUAL_LAYOUTS, "here": "findings"}
    return page("refine.html", who, job=job, base=base, faults=faults, **words)


@router.get("/jobs/{job_id}/refine/found")
def found(request: Request, job_id: int, who: Who, base: int, layouts: int = beyond.USUAL_LAYOUTS) -> Response:
    """Show what is better; it is worked out first."""
    return _shown(_wanted(office_of(request), job_id, base, layouts), who)


def _shown(asked: Wanted, who: Person, status: int = 200) -> Response:
    office = asked.office
    faults = office.faults_of(asked.base.text)
    plan = Plan("", "failed") if faults or status != 200 else asked.asked()
    words: dict[str, Any] = {"plan": plan, "faults": faults, "found": None, **_address(asked)}
    if plan.state == "done":
        words["found"] = asked.found()
    job = jobs.job(office.store, asked.base.job)
    return page("refined.html", who, status, job=job, asked=asked, here="findings", **words)


def _address(asked: Wanted) -> dict[str, str]:
    return {"poll": asked.address.replace("/found?", "/progress?"), "goes_on": asked.address}


@router.get("/jobs/{job_id}/refine/progress")
def progress(request: Request, job_id: int, who: Who, base: int, layouts: int = beyond.USUAL_LAYOUTS) -> Response:
    """Say how far it is; the page is loaded anew when it is done."""
    asked = _wanted(office_of(request), job_id, base, layouts)
    plan = asked.asked()
    return waits(page("_wait.html", who, plan=plan, words="Trying layouts", **_address(asked)), plan.state)


@router.post("/jobs/{job_id}/refine")
def keep(request: Request, job_id: int, form: Form) -> Response:
    """Save the job with what was chosen as a new revision; refused where somebody has saved meanwhile."""
    office = office_of(request)
    asked = _wanted(office, job_id, *(whole(form.get(k)) for k in ("base", "layouts")))
    text = asked.found().text
    if text == asked.base.text:
        return RedirectResponse(f"/jobs/{job_id}", 303)
    note = f"the best of {asked.found().tried} layouts"
    try:
        made = jobs.save(office.store, job_id, asked.base.number, text, form.who.name, note)
    except Stale as stale:
        made = jobs.revision(office.store, job_id, stale.head)
        if made.text != text:
            return _shown(asked, form.who, 409)
    return RedirectResponse(f"/jobs/{job_id}/revisions/{made.number}?since={asked.base.number}", 303)
