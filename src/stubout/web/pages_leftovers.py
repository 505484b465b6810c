"""What the other jobs leave over, carried into this one with a tap."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.problems import JobFileError
from stubout.store import jobs
from stubout.store.model import Stale
from stubout.web import leftovers
from stubout.web.office import Form, Who, office_of, page
from stubout.web.pages_edit import whole
from stubout.web.people import Person

router = APIRouter()


@router.get("/jobs/{job_id}/leftovers")
def show(request: Request, job_id: int, who: Who) -> Response:
    """List what each planned job of the same material leaves over."""
    return _page(request, job_id, who)


def _page(request: Request, job_id: int, who: Person, status: int = 200) -> Response:
    office = office_of(request)
    job, base = jobs.job(office.store, job_id), jobs.revision(office.store, job_id)
    try:
        found = leftovers.offers(office, base)
    except JobFileError:
        found = None
    return page("leftovers.html", who, status, job=job, base=base, offers=found, stale=status == 409, here="edit")


@router.post("/jobs/{job_id}/leftovers")
def carry(request: Request, job_id: int, form: Form) -> Response:
    """Write what another job leaves over into this one; refused where somebody has saved meanwhile."""
    office = office_of(request)
    base = jobs.revision(office.store, job_id, whole(form.get("base")))
    try:
        leftovers.carry(office, base, whole(form.get("of")), whole(form.get("revision")), form.who.name)
    except Stale:
        return _page(request, job_id, form.who, 409)
    return RedirectResponse(f"/jobs/{job_id}/entries?at={leftovers.LISTED}", 303)
