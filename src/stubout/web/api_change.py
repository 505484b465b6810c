"""A changed job over HTTP: what moved, what is kept of an accepted layout; the user's prices and the order by them."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field

from stubout.export.json_ import SCHEMA, error_data, plain
from stubout.run_field import beyond, moves, texts
from stubout.store import jobs
from stubout.store.model import LONGEST_PAPER, NoSuch, Stale
from stubout.web import api, keeping, mending, pages_keep, pricing
from stubout.web.api import WAITS, Acting, JobId, Name, Number, made, not_yet, stale
from stubout.web.office import Who, office_of, opened
from stubout.web.pages_keep import Wanted
from stubout.web.pages_revisions import Pair

router = APIRouter(prefix="/api", responses=api.router.responses)
Names = Annotated[list[Name], Field(max_length=200)]


class Kept(BaseModel):
    """The accepted revision, the one it is kept in, and what is in place: walls, levels from below, single runs."""

    accepted: Number
    base: Number
    walls: Names = Field(default_factory=list)
    under: Names = Field(default_factory=list)
    runs: Names = Field(default_factory=list)
    date: Name = ""
    by: Name = ""


class Prices(BaseModel):
    """A list of prices as a text, and the revision it was made for."""

    revision: Number
    text: Annotated[str, Field(max_length=LONGEST_PAPER)]
    token: Name = ""


@router.get("/jobs/{job_id}/changed", responses=WAITS)
def changed(request: Request, job_id: JobId, who: Who, accepted: Number, now: Number) -> Response:
    """Say what moved between two revisions, and which sheets are stale; 202 with how far it is."""
    office = office_of(request)
    pair = Pair(office, *(jobs.revision(office.store, job_id, n) for n in (accepted, now)))
    plan = pair.asked()
    if plan.state != "done":
        return not_yet(plan)
    return Response(office.plans.file(pair.key, moves.DATA), media_type="application/json")


@router.get("/jobs/{job_id}/keep/proposed", responses=WAITS)
def proposed(request: Request, job_id: JobId, who: Who, accepted: Number | None = None) -> Response:
    """Say which layout is on site by the ticks, and what of it they say is in place."""
    office = office_of(request)
    found = pages_keep.proposed(office, jobs.job(office.store, job_id), accepted or 0)
    if found.chosen is None:
        return not_yet(found.plan)
    return JSONResponse({"schema": SCHEMA, "accepted": found.accepted.number, **plain(found.chosen)})


def _wanted(request: Request, job_id: int, said: Kept) -> Wanted:
    chosen = keeping.checked(said.walls, said.under, said.runs, said.date, said.by)
    return pages_keep.wanted(office_of(request), job_id, said.accepted, said.base, chosen)


@router.get("/jobs/{job_id}/keep", responses=WAITS)
def kept(request: Request, job_id: JobId, who: Who, said: Annotated[Kept, Query()]) -> Response:
    """Work out what a revision keeps of an accepted layout; 202 with how far it is, then the text and what it keeps."""
    asked = _wanted(request, job_id, said)
    faults = texts.faults_of(asked.text)
    if faults:
        return JSONResponse(error_data("the job file has faults", list(faults)), 422)
    plan = asked.asked()
    if plan.state != "done":
        return not_yet(plan)
    return JSONResponse({**json.loads(asked.file(moves.DATA)), "text": asked.done().text})


@router.post("/jobs/{job_id}/keep", status_code=201)
def keep(request: Request, job_id: JobId, who: Acting, said: Kept) -> Response:
    """Save what was worked out as the next revision; 409 with the last one if `base` is not that any more."""
    try:
        saved = _wanted(request, job_id, said).saved(who.name)
    except Stale as error:
        return stale(request, job_id, error)
    return JSONResponse({"schema": SCHEMA, "revision": plain(saved)}, 201)


@router.get("/jobs/{job_id}/refine", responses=WAITS)
def refine(
    request: Request,
    job_id: JobId,
    who: Who,
    layouts: Annotated[int, Query(ge=1, le=beyond.MOST_LAYOUTS)] = beyond.USUAL_LAYOUTS,
) -> Response:
    """Look for a better layout of the last revision: 202 with how far it is, then the text with what was chosen.

    Nothing is saved: the text is put like any other.
    """
    at, waiting = made(request, job_id)
    if waiting is not None:
        return waiting
    plans = office_of(request).plans
    plan = mending.beside(plans, at.revision, beyond.refine_kind(layouts))
    if plan.state != "done":
        return not_yet(plan)
    return Response(plans.file(plan.key, beyond.REFINED), media_type="application/json")


@router.get("/jobs/{job_id}/prices")
def prices(request: Request, job_id: JobId, who: Who) -> dict[str, Any]:
    """Return the list of prices that holds, as text, with its record."""
    office = office_of(request)
    record = pricing.held(office, opened(office, job_id))
    if record is None:
        raise NoSuch("the job has no prices")
    return {"schema": SCHEMA, "record": plain(record), "text": pricing.text_of(office, record)}


@router.put("/jobs/{job_id}/prices", status_code=201)
def put_prices(request: Request, job_id: JobId, who: Acting, said: Prices) -> dict[str, Any]:
    """Keep a list of prices that holds from now on; 422 with each fault of a list that has some."""
    handed = pricing.Said(job_id, said.revision, who.name, said.text, said.token)
    return {"schema": SCHEMA, "record": plain(pricing.keep(office_of(request).store, handed))}


@router.delete("/jobs/{job_id}/prices/{record}")
def drop_prices(
    request: Request, job_id: JobId, record: Annotated[int, Path(ge=1, le=api.MOST_ID)], who: Acting
) -> dict[str, Any]:
    """Take the list that holds back, by the number of its record: the one before it holds again, or none."""
    office = office_of(request)
    taken = pricing.take_back(office, opened(office, job_id), record, who.name)
    if taken is None:
        raise NoSuch("no prices of that record hold")
    return {"schema": SCHEMA, "record": plain(taken)}


@router.get("/jobs/{job_id}/order", responses=WAITS)
def order(request: Request, job_id: JobId, who: Who) -> Response:
    """Return the material list of the last revision with the prices that hold: each line, the sum, what has none."""
    at, waiting = made(request, job_id)
    if waiting is not None:
        return waiting
    found = pricing.priced(office_of(request), at)
    if found is None:
        raise NoSuch("the job has no prices")
    if found.order is None:
        return not_yet(found.plan)
    return JSONResponse({"schema": SCHEMA, **plain(found.order), "unknown": found.order.unknown})
