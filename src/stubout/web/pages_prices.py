"""The user's prices: kept with the job, laid into its material list, on a page of their own and in the packet."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.problems import Fault, several
from stubout.run_field import texts
from stubout.run_field.words import noted
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind, NoSuch, StoreError
from stubout.web import pricing
from stubout.web.office import Form, Sent, Who, office_of, page, waits
from stubout.web.pages_edit import whole
from stubout.web.pages_jobs import decoded
from stubout.web.pages_see import planned
from stubout.web.people import Person
from stubout.web.plans import Plan

router = APIRouter()
ABOUT = noted("prices")


@router.get("/jobs/{job_id}/prices")
def prices(request: Request, job_id: int, who: Who) -> Response:
    """Show the material list with the prices of the job, and the form that changes them."""
    return _page(request, job_id, who)


def _page(
    request: Request, job_id: int, who: Person, said: str | None = None, faults: tuple[Fault, ...] = ()
) -> Response:
    office, at = office_of(request), planned(request, job_id)
    found = pricing.priced(office, at)
    if said is None:
        kept = records.paper(office.store, found.record.paper) if found else ""
        said = kept or pricing.skeleton(office, at)
    words: dict[str, Any] = {"priced": found, "text": said, "faults": faults, **_address(job_id)}
    return page("prices.html", who, 422 if faults else 200, at=at, here="sheets", **words)


def _address(job_id: int) -> dict[str, str]:
    return {"poll": f"/jobs/{job_id}/prices/progress", "goes_on": f"/jobs/{job_id}/prices"}


@router.get("/jobs/{job_id}/prices/progress")
def progress(request: Request, job_id: int, who: Who) -> Response:
    """Say how far the order is; the page is loaded anew when it is there."""
    found = pricing.priced(office_of(request), planned(request, job_id))
    plan = found.plan if found else Plan("", "done")
    return waits(
        page("_wait.html", who, plan=plan, words="Laying the prices into the lists", **_address(job_id)), plan.state
    )


@router.get("/jobs/{job_id}/prices/{digest}.yaml")
def paper(request: Request, job_id: int, digest: str, who: Who) -> Response:
    """Give out a list of prices of this job, letter for letter."""
    store = office_of(request).store
    if not any(r.paper == digest for r in records.listed(store, job_id)):
        raise NoSuch("the job has no such list")
    headers = {"Content-Disposition": f'attachment; filename="prices-{job_id}.yaml"'}
    return Response(records.paper(store, digest).encode(), media_type="application/yaml", headers=headers)


@router.post("/jobs/{job_id}/prices")
def keep(request: Request, job_id: int, form: Form) -> Response:
    """Keep a list of prices that was chosen or pasted; one with faults is not kept, and comes back with them."""
    store = office_of(request).store
    text = _sent(form)
    faults = texts.price_faults(text)
    if faults:
        return _page(request, job_id, form.who, text, faults)
    said = texts.prices_of(text)
    value = f"{said.currency}, {several(len(said.prices), 'price')}"
    entry = Entry(Kind.PRICES, ABOUT, value, token=form.get("token"), paper=records.keep_paper(store, text))
    revision = jobs.revision(store, job_id, whole(form.get("revision"))).number
    records.add(store, job_id, revision, form.who.name, entry)
    return RedirectResponse(f"/jobs/{job_id}/prices", 303)


def _sent(form: Sent) -> str:
    """Return the text of a file that was chosen, else that of the field."""
    text = decoded(form.files["file"]) if form.files.get("file") else form.get("text")
    if not text.strip():
        raise StoreError("choose a list of prices first, or paste one")
    return text.replace("\r\n", "\n").replace("\r", "\n")


@router.post("/jobs/{job_id}/prices/out")
def take_back(request: Request, job_id: int, form: Form) -> Response:
    """Take the prices that hold back: those before them hold again, or none."""
    store, number = office_of(request).store, whole(form.get("record"))
    at = planned(request, job_id)
    held = pricing.held(office_of(request), at)
    if held is not None and held.id == number:
        records.add(store, job_id, at.shown.number, form.who.name, Entry(Kind.BACK, ABOUT, takes_back=number))
    return RedirectResponse(f"/jobs/{job_id}/prices", 303)
