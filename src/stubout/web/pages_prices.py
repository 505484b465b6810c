"""The user's prices: kept with the job, laid into its material list, on a page of their own and in the packet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.problems import Fault, JobFileError
from stubout.run_field import texts
from stubout.store import records
from stubout.store.model import NoSuch, StoreError
from stubout.web import price_lines, pricing
from stubout.web.office import Form, Sent, Who, office_of, page, waits
from stubout.web.pages_edit import whole
from stubout.web.pages_jobs import decoded
from stubout.web.pages_see import planned
from stubout.web.people import Person
from stubout.web.plans import Plan
from stubout.web.pricing import Said

router = APIRouter()


@router.get("/jobs/{job_id}/prices")
def prices(request: Request, job_id: int, who: Who) -> Response:
    """Show the material list with the prices of the job, and the form that changes them."""
    return _page(request, job_id, who)


@dataclass(frozen=True, slots=True)
class _Typed:
    """What was typed and is not kept: it comes back with what is wrong."""

    text: str = ""
    faults: tuple[Fault, ...] = ()
    given: Mapping[str, str] = field(default_factory=dict)  # prices by line, and the currency
    wrong: Mapping[str, str] = field(default_factory=dict)
    stale: bool = False

    @property
    def status(self) -> int:
        """Return the status of the page."""
        return 409 if self.stale else 422 if self.faults or self.wrong else 200


def _page(request: Request, job_id: int, who: Person, typed: _Typed | None = None) -> Response:
    office, at, came = office_of(request), planned(request, job_id), typed or _Typed()
    found = pricing.priced(office, at)
    kept = pricing.text_of(office, found.record if found else None)
    order = found.order if found else None
    words: dict[str, Any] = {
        "priced": found, "text": came.text or kept or pricing.skeleton(office, at), "typed": came,
        "lines": price_lines.lines(office, at, kept, order), "currency": texts.prices_of(kept).currency if kept else "",
        **_address(job_id),
    }  # fmt: skip
    return page("prices.html", who, came.status, at=at, here="sheets", **words)


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
    text, revision = _sent(form), whole(form.get("revision"))
    try:
        pricing.keep(office_of(request).store, Said(job_id, revision, form.who.name, text, form.get("token")))
    except JobFileError as wrong:
        return _page(request, job_id, form.who, _Typed(text, tuple(wrong.faults)))
    return RedirectResponse(f"/jobs/{job_id}/prices", 303)


@router.post("/jobs/{job_id}/prices/lines")
def keep_lines(request: Request, job_id: int, form: Form) -> Response:
    """Keep the prices that were typed line by line: the list that holds, with them in it, is the one from now on."""
    office, at = office_of(request), planned(request, job_id)
    held = pricing.held(office, at)
    text = pricing.text_of(office, held)
    found = price_lines.lines(office, at, text)
    given = {n.name: " ".join(form.get(n.name).split()) for n in found if n.name in form.fields}
    currency = " ".join(form.get(price_lines.CURRENCY).split())
    typed = {**given, price_lines.CURRENCY: currency}
    if form.get("record") != (str(held.id) if held else ""):
        return _page(request, job_id, form.who, _Typed(given=typed, stale=True))
    wrong = price_lines.wrong(given)
    if wrong:
        return _page(request, job_id, form.who, _Typed(given=typed, wrong=wrong))
    new = price_lines.changed(text, currency, found, given)
    if new != text:
        pricing.keep(office.store, Said(job_id, at.shown.number, form.who.name, new, form.get("token")))
    return RedirectResponse(f"/jobs/{job_id}/prices", 303)


def _sent(form: Sent) -> str:
    """Return the text of a file that was chosen, else that of the field."""
    text = decoded(form.files["file"]) if form.files.get("file") else form.get("text")
    if not text.strip():
        raise StoreError("choose a list of prices first, or paste one")
    return text


@router.post("/jobs/{job_id}/prices/out")
def take_back(request: Request, job_id: int, form: Form) -> Response:
    """Take the prices that hold back: those before them hold again, or none."""
    pricing.take_back(office_of(request), planned(request, job_id), whole(form.get("record")), form.who.name)
    return RedirectResponse(f"/jobs/{job_id}/prices", 303)
