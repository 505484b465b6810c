"""Take a job along as one file, and bring back what was entered in it."""

from __future__ import annotations

from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from stubout.export.json_ import error_data
from stubout.store import records
from stubout.store.model import StoreError
from stubout.web import gates, pricing
from stubout.web.along.data import Taken
from stubout.web.along.file import along
from stubout.web.along.merge import Outcome, merge
from stubout.web.along.sheaf import read
from stubout.web.office import Form, Office, Opened, Who, office_of, page, standing
from stubout.web.pages_jobs import decoded
from stubout.web.pages_see import planned
from stubout.web.solids import MODEL

router = APIRouter()
ORDER: Final = "lists/order.csv"
PREFIX: Final = "along-"  # of the tokens that a file gives its entries


def taken(office: Office, at: Opened) -> Taken:
    """Return a planned job with what a file of it needs."""
    assert at.field is not None
    wanted = {d.file for d in at.field.drawings} | {s.picture for s in at.field.walls} | {MODEL}
    names = [n for n in office.plans.names(at.key) if n in wanted or n.startswith("lists/")]
    files = {n: office.plans.file(at.key, n) for n in names}
    cost = pricing.priced(office, at)
    if cost is not None and cost.order is not None:
        files[ORDER] = office.plans.file(cost.plan.key, ORDER)
    found = standing(office, at)
    back = {t: n for t, n in records.tokens(office.store, at.job.id).items() if t.startswith(PREFIX)}
    return Taken(at.shown.text, at.field, files, at.job.id, at.job.name, at.shown.number, found, back)


@router.get("/jobs/{job_id}/along")
def along_page(request: Request, job_id: int, who: Who) -> Response:
    """Offer the file, and the form that brings entries back."""
    at = planned(request, job_id)
    found = pricing.priced(office_of(request), at)
    return page("along.html", who, at=at, priced=found, outcomes=None, gone=(), here="site")


@router.get("/jobs/{job_id}/along.html")
def along_file(request: Request, job_id: int, who: Who) -> Response:
    """Give out the job as one file."""
    return given(office_of(request), planned(request, job_id), who.language)


def given(office: Office, at: Opened, language: str) -> Response:
    """Give out a planned job as one file."""
    data = along(taken(office, at), language)
    name = f"job-{at.job.id}-revision-{at.shown.number}.html"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type="text/html; charset=utf-8", headers=headers)


@router.post("/jobs/{job_id}/along/entries")
def bring(request: Request, job_id: int, form: Form) -> Response:
    """Merge a file of entries; say of each what became of it."""
    office = office_of(request)
    text = decoded(form.files["file"]) if form.files.get("file") else form.get("text")
    if not text.strip():
        raise StoreError("choose a file of entries first")
    own, as_json = form.get("own") == "yes", form.get("as") == "json"
    try:
        outcomes = merge(office.store, job_id, read(text), form.who.name, own=own, limits=office.settings.limits)
    except StoreError as error:
        if not as_json:
            raise
        return JSONResponse(error_data(str(error), []), 400)
    if as_json:
        return JSONResponse({"schema": 1, "outcomes": [_plain(o) for o in outcomes]})
    at = planned(request, job_id)
    assert at.field is not None
    gone = gates.moved(at.field, [o.record for o in outcomes if o.record is not None])
    found = pricing.priced(office, at)
    return page("along.html", form.who, at=at, priced=found, outcomes=outcomes, gone={r.id for r in gone}, here="site")


def _plain(one: Outcome) -> dict[str, Any]:
    return {"token": one.said.token, "state": one.state, "words": one.words}
