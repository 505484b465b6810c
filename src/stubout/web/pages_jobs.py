"""The list of jobs and what is done with a job as a whole."""

from __future__ import annotations

import re
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from stubout.run_field import texts
from stubout.store import jobs
from stubout.store.model import LONGEST_NAME, StoreError
from stubout.web import gates, pricing
from stubout.web.office import Form, Office, Opened, Who, office_of, opened, page, remembered, standing, waits

router = APIRouter()
_TITLE: Final = re.compile(r"^\s+title:\s*(.+?)\s*(?:#.*)?$", re.MULTILINE)
STARTERS: Final = {
    "inch": "Small house, feet and inches",
    "mm": "Small house, millimetres",
    "demo": "Two storeys over a crawl space, feet and inches",
}


def title_of(text: str, otherwise: str) -> str:
    """Return the first title a job file gives, as a name for the list."""
    found = _TITLE.search(text[:20_000])
    return (found[1].strip("'\" ") if found else otherwise)[:LONGEST_NAME] or otherwise


@router.get("/")
def index(request: Request, who: Who) -> Response:
    """List the jobs."""
    office = office_of(request)
    rows = []
    for job in jobs.listed(office.store):
        last = office.revision(job.id, job.head)
        known = office.plans.state(office.plans.key(last.text))
        rows.append((job, last, known))
    return page("jobs.html", who, rows=rows, starters=STARTERS, network=office.settings.network)


@router.post("/jobs/new")
def new(request: Request, form: Form) -> Response:
    """Begin a job from a starter."""
    kind = form.get("starter")
    if kind not in STARTERS:
        raise StoreError("there is no such starter")
    text = texts.demo() if kind == "demo" else texts.starter("mm" if kind == "mm" else "inch")
    name = form.get("name") or title_of(text, "New job")
    made = jobs.create(office_of(request).store, name, text, form.who.name, f"begun from: {STARTERS[kind]}")
    return RedirectResponse(f"/jobs/{made.id}", 303)


@router.post("/jobs/import")
def bring(request: Request, form: Form) -> Response:
    """Take in a job file as it is, with its faults if it has some."""
    data = form.files.get("file", b"")
    text = decoded(data)
    name = form.get("name") or title_of(text, "Imported job")
    made = jobs.create(office_of(request).store, name, text, form.who.name, "imported")
    return RedirectResponse(f"/jobs/{made.id}", 303)


def decoded(data: bytes) -> str:
    """Return an uploaded file as text."""
    if not data:
        raise StoreError("choose a job file first")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise StoreError("the file is no text in UTF-8") from None


@router.get("/jobs/{job_id}")
def home(request: Request, job_id: int, who: Who) -> Response:
    """Show where a job stands."""
    office = office_of(request)
    at = opened(office, job_id)

    def words() -> dict[str, Any]:
        faults = office.faults_of(at.revision.text) if at.plan.state == "failed" else ()
        lines = gates.gates(at.field, standing(office, at)) if at.field else ()
        prices = pricing.held(office, at)
        return {"faults": faults, "gates": lines, "counts": _counts(at), "prices": prices, "here": "job"}

    return remembered(request, who, "job.html", at, words)


def _counts(at: Opened) -> tuple[tuple[str, int], ...]:
    if at.field is None:
        return ()
    levels = [f.level for f in at.field.findings if not f.accepted]
    return tuple((level, levels.count(level)) for level in ("STOP", "FIX", "ASK", "NOTE"))


@router.get("/jobs/{job_id}/progress")
def progress(request: Request, job_id: int, who: Who) -> Response:
    """Say how far the plan is; the page is loaded anew when it is done."""
    at = opened(office_of(request), job_id)
    return waits(page("_progress.html", who, at=at), at.plan.state)


@router.post("/jobs/{job_id}/again")
def again(request: Request, job_id: int, form: Form) -> Response:
    """Plan once more what could not be planned."""
    office = office_of(request)
    office.plans.again(office.plans.key(jobs.revision(office.store, job_id).text))
    return RedirectResponse(f"/jobs/{job_id}", 303)


@router.post("/jobs/{job_id}/duplicate")
def duplicate(request: Request, job_id: int, form: Form) -> Response:
    """Begin a new job from the last revision of this one; records stay with the house, prices go along if wanted."""
    office = office_of(request)
    store, at = office.store, opened(office, job_id)
    job, last, prices = at.job, at.revision, pricing.held(office, at)
    name = f"{job.name[: LONGEST_NAME - 7]} (copy)"
    made = jobs.create(store, name, last.text, form.who.name, f"copied from {job.name}, revision {last.number}")
    if prices is not None and form.get("prices"):
        pricing.copy(store, prices, made.id, form.who.name)
    return RedirectResponse(f"/jobs/{made.id}", 303)


@router.post("/jobs/{job_id}/rename")
def rename(request: Request, job_id: int, form: Form) -> Response:
    """Give a job another name in the list."""
    jobs.rename(office_of(request).store, job_id, form.get("name"))
    return RedirectResponse(f"/jobs/{job_id}", 303)


@router.get("/jobs/{job_id}/job.yaml")
def export(request: Request, job_id: int, who: Who, revision: int = 0) -> Response:
    """Give out the job file, letter for letter."""
    found = jobs.revision(office_of(request).store, job_id, revision)
    name = f"job-{job_id}-revision-{found.number}.yaml"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(found.text.encode(), media_type="application/yaml", headers=headers)


KINDS: Final = {
    ".svg": "image/svg+xml", ".pdf": "application/pdf", ".csv": "text/csv; charset=utf-8", ".json": "application/json",
    ".glb": "model/gltf-binary",
}  # fmt: skip


@router.get("/jobs/{job_id}/files/{key}/{name:path}")
def file(request: Request, job_id: int, key: str, name: str, who: Who) -> Response:
    """Give out one file of a plan."""
    office = office_of(request)
    jobs.job(office.store, job_id)
    return given(office, key, name)


def given(office: Office, key: str, name: str) -> Response:
    """Give out one file of a plan by its key; HTTPException if it has none of that name."""
    kind = KINDS.get(f".{name.rpartition('.')[2]}", "application/octet-stream")
    try:
        data = office.plans.file(key, name)
    except KeyError:
        raise HTTPException(404, "there is no such file") from None
    headers = {"Cache-Control": "private, max-age=86400"}
    if kind != "image/svg+xml":
        headers["Content-Disposition"] = f'inline; filename="{name.rpartition("/")[2]}"'
    return Response(data, media_type=kind, headers=headers)
