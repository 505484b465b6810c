"""Change a job: its file as text, its fixtures by forms; nothing is ever written over."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.problems import Fault
from stubout.run_field import texts
from stubout.store import jobs
from stubout.store.model import Job, Revision, Stale, StoreError
from stubout.web import diff
from stubout.web.office import Form, Who, office_of, opened, page, remembered

router = APIRouter()


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
