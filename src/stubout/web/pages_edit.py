"""Change a job: its file as text, its fixtures by forms, back to an earlier revision; nothing is ever written over."""

from __future__ import annotations

from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.problems import Fault
from stubout.run_field import texts
from stubout.store import jobs
from stubout.store.model import Job, Revision, Stale, StoreError
from stubout.web import diff, mending
from stubout.web.office import Form, Office, Who, office_of, opened, page, remembered
from stubout.web.plans import Plan

router = APIRouter()
_BESIDE: Final = 10**9  # slots of plans that are only compared: they push out no other plan of a job


def like(text: str, before: str) -> str:
    """Return a text of a form with the line ends of the file it was made from: a browser sends its own."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return plain.replace("\n", "\r\n") if "\r\n" in before else plain


@router.get("/jobs/{job_id}/edit")
def edit(request: Request, job_id: int, who: Who) -> Response:
    """Show the job file to be changed, with its faults."""
    at = opened(office_of(request), job_id)

    def words() -> dict[str, Any]:
        faults = office_of(request).faults_of(at.revision.text)
        return _edit_words(at.job, at.revision, at.revision.text, faults)

    return remembered(request, who, "edit.html", at, words)


def _edit_words(job: Job, base: Revision, text: str, faults: tuple[Fault, ...]) -> dict[str, Any]:
    shown: dict[str, Any] = {"note": "", "other": None, "theirs": (), "here": "edit"}
    return {"job": job, "base": base, "text": text, "faults": faults, **shown}


@router.post("/jobs/{job_id}/faults")
def faults(request: Request, job_id: int, form: Form) -> Response:
    """Say what is wrong with a text that is not saved."""
    return page("_faults.html", form.who, faults=texts.faults_of(form.get("text")))


@router.post("/jobs/{job_id}/edit")
def save(request: Request, job_id: int, form: Form) -> Response:
    """Save a text as the next revision; one that was begun from an older revision comes back with both."""
    store = office_of(request).store
    base = jobs.revision(store, job_id, whole(form.get("base")))
    text = like(form.get("text"), base.text)
    if text == base.text:
        return RedirectResponse(f"/jobs/{job_id}", 303)
    try:
        jobs.save(store, job_id, base.number, text, form.who.name, form.get("note"))
    except Stale as stale:
        head = jobs.revision(store, job_id, stale.head)
        words = _edit_words(jobs.job(store, job_id), head, text, texts.faults_of(text))
        words |= {"note": form.get("note"), "other": head, "theirs": diff.rows(base.text, head.text)}
        return page("edit.html", form.who, 409, **words)
    return RedirectResponse(f"/jobs/{job_id}" if not texts.faults_of(text) else f"/jobs/{job_id}/edit", 303)


def whole(said: str) -> int:
    """Return a number that came in a form; StoreError if it is none."""
    if not said.isascii() or not said.isdigit() or len(said) > 9:
        raise StoreError("a number is missing in the form")
    return int(said)


@router.get("/jobs/{job_id}/revisions")
def revisions(request: Request, job_id: int, who: Who) -> Response:
    """List the revisions."""
    store = office_of(request).store
    return page("revisions.html", who, job=jobs.job(store, job_id), history=jobs.history(store, job_id), here="edit")


@router.get("/jobs/{job_id}/revisions/{number}")
def revision(request: Request, job_id: int, number: int, who: Who, plans: bool = False, fixed: int = 0) -> Response:
    """Show what a revision changed: the lines, and what moved in the plan; `plans` has both planned for it.

    `fixed` is the number of the finding that it was made for.
    """
    office = office_of(request)
    job, after = jobs.job(office.store, job_id), jobs.revision(office.store, job_id, number)
    before = jobs.revision(office.store, job_id, number - 1) if number > 1 else None
    words: dict[str, Any] = {"before": before, "rows": (), "moved": None, "stale": (), "waits": None, "fixed": None}
    if before is not None:
        words["rows"] = diff.rows(before.text, after.text)
        words |= _plans(office, before, after)
        if plans and words["moved"] is None:
            words["waits"] = _waited_for(office, before, after)
        if fixed and words["moved"] is not None:
            words["fixed"] = _fixed(office, before, after, fixed)
    return page("revision.html", who, job=job, after=after, here="edit", **words)


def _fixed(office: Office, before: Revision, after: Revision, number: int) -> tuple[str, mending.Outcome] | None:
    """Return the finding that a revision was made for, and whether it is gone."""
    was, key = office.plans.field(office.plans.key(before.text)), office.plans.key(after.text)
    if number > len(was.findings):
        return None
    result = mending.judged(was, office.plans.field(key), number, Plan(key, "done"))
    return mending.shown(was.findings[number - 1]), result


def _waited_for(office: Office, before: Revision, after: Revision) -> Plan | None:
    """Have two revisions planned, and return the one to wait for; one that cannot be planned is not waited for."""
    made = [office.plans.ask(r.text, -_BESIDE - r.job * 2 - n) for n, r in enumerate((before, after))]
    return next((p for p in made if p.state in ("waiting", "running")), None)


@router.get("/jobs/{job_id}/revisions/{number}/progress")
def compared(request: Request, job_id: int, number: int, who: Who) -> Response:
    """Say how far the plans of a comparison are; the page is loaded anew when both are there."""
    office = office_of(request)
    before, after = (jobs.revision(office.store, job_id, max(1, number - n)) for n in (1, 0))
    waits = _waited_for(office, before, after)
    path = f"/jobs/{job_id}/revisions/{number}"
    words = {"plan": waits or Plan("", "done"), "poll": f"{path}/progress", "goes_on": f"{path}?plans=true"}
    answer = page("_wait.html", who, words="Planning both revisions", **words)
    if waits is None:
        answer.headers["HX-Refresh"] = "true"
    return answer


def _plans(office: Office, before: Revision, after: Revision) -> dict[str, Any]:
    keys = [office.plans.key(r.text) for r in (before, after)]
    states = [office.plans.state(k) for k in keys]
    if not all(s is not None and s.state == "done" for s in states):
        return {}
    was, now = (office.plans.field(k) for k in keys)
    read = lambda which, name: office.plans.file(keys[which], name)  # noqa: E731 - a name for two words
    return {"moved": diff.moved(was, now), "stale": diff.stale(was, now, read)}


@router.post("/jobs/{job_id}/revisions/{number}/back")
def back(request: Request, job_id: int, number: int, form: Form) -> Response:
    """Make an earlier revision the last one again, as a new revision: this can be undone in the same way."""
    store = office_of(request).store
    earlier = jobs.revision(store, job_id, number)
    base = whole(form.get("base"))
    if earlier.text != jobs.revision(store, job_id, base).text:
        jobs.save(store, job_id, base, earlier.text, form.who.name, f"back to revision {number}")
    return RedirectResponse(f"/jobs/{job_id}", 303)
