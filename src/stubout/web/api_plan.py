"""A planned job over HTTP: plan with its options, check, why, every file, cards, the file that is taken along."""

from __future__ import annotations

import json
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel

from stubout.export.json_ import SCHEMA, error_data, plain
from stubout.run_field import beyond, kept
from stubout.store.model import NoSuch
from stubout.web import api, mending, pages_cards, pages_jobs, pricing
from stubout.web.along import pages as pages_along
from stubout.web.api import WAITS, Acting, JobId, made, not_yet
from stubout.web.office import Office, Opened, Who, office_of
from stubout.web.plans import Plan

router = APIRouter(prefix="/api", responses=api.router.responses)


class Tries(BaseModel):
    """What is tried besides, on copies of the design or of the job."""

    fixes: bool = False
    why_blocked: bool = False


class Asked(Tries):
    """The options of `plan`; `prices` lays in the list that holds for the job."""

    alternatives: bool = False
    prices: bool = False


def _with(office: Office, at: Opened, said: Tries) -> Plan:
    """Return how far the last revision is, planned with options, and have it done; NoSuch where prices are missing."""
    options = beyond.Options(**said.model_dump())
    if not options.kind:
        return at.plan
    record = pricing.held(office, at) if options.prices else None
    if options.prices and record is None:
        raise NoSuch("the job has no prices")
    return mending.beside(office.plans, at.revision, options.kind, pricing.text_of(office, record))


@router.post("/jobs/{job_id}/plan", status_code=202)
def plan(request: Request, job_id: JobId, who: Acting, said: Asked | None = None) -> dict[str, Any]:
    """Have the last revision planned; returns at once with how far it is, and the files when it is done."""
    office = office_of(request)
    at, waiting = made(request, job_id)
    found = at.plan if waiting is not None or said is None else _with(office, at, said)
    return {"schema": SCHEMA, "plan": plain(found), "files": list(office.plans.names(found.key))}


@router.get("/jobs/{job_id}/files/{name:path}", responses=WAITS)
def file(request: Request, job_id: JobId, name: str, who: Who, said: Annotated[Asked, Query()]) -> Response:
    """Return one file of the plan of the last revision, as `stubout plan` writes it with these options."""
    return _file(request, job_id, name, said)


def _file(request: Request, job_id: int, name: str, said: Tries) -> Response:
    at, waiting = made(request, job_id)
    if waiting is not None:
        return waiting
    found = _with(office_of(request), at, said)
    return pages_jobs.given(office_of(request), found.key, name) if found.state == "done" else not_yet(found)


@router.get("/jobs/{job_id}/check", responses=WAITS)
def check(request: Request, job_id: JobId, who: Who, said: Annotated[Tries, Query()]) -> Response:
    """Return `findings.json` of the last revision; 202 with how far it is while it is worked out."""
    return _file(request, job_id, "findings.json", said)


@router.get("/jobs/{job_id}/design", responses=WAITS)
def design(request: Request, job_id: JobId, who: Who) -> Response:
    """Return `design.json` of the last revision; 202 with how far it is while it is planned."""
    return _file(request, job_id, "design.json", Tries())


@router.get("/jobs/{job_id}/alternatives", responses=WAITS)
def alternatives(request: Request, job_id: JobId, who: Who) -> Response:
    """Return two or three whole layouts that differ in kind from that of the last revision, which is the first."""
    return _file(request, job_id, beyond.OTHERS, Asked(alternatives=True))


@router.get("/jobs/{job_id}/why", responses=WAITS)
def why(request: Request, job_id: JobId, who: Who, about: Annotated[str, Query(max_length=80)] = "") -> Response:
    """Say how a size, height or load came about; without `about` what can be asked about."""
    at, waiting = made(request, job_id)
    if waiting is not None:
        return waiting
    said = json.loads(office_of(request).plans.file(at.key, kept.WHY))
    if not about:
        return JSONResponse({"schema": SCHEMA, "ids": list(said["answers"])})
    wanted = about.casefold()
    found = [
        said["derivations"][i] for n, numbers in said["answers"].items() if n.casefold() == wanted for i in numbers
    ]
    off = [w for w in said["windows"] if w["about"].casefold() == wanted]
    if not found and not off:
        return JSONResponse(error_data(f"nothing in this job is called {about!r}", []), 404)
    return JSONResponse({"schema": SCHEMA, "about": about, "derivations": found, "windows": off})


@router.get("/jobs/{job_id}/cards", responses=WAITS)
def cards(
    request: Request,
    job_id: JobId,
    who: Who,
    of: Literal["both", "cover", "nail"] = "both",
    language: Literal["all", "en", "es", "fr"] = "all",
) -> Response:
    """Return the do-not-cover and do-not-nail cards of the last revision as PDF."""
    at, waiting = made(request, job_id)
    return waiting or pages_cards.given(office_of(request), at, of, language)


@router.get("/jobs/{job_id}/along", responses=WAITS)
def along(request: Request, job_id: JobId, who: Who, language: Literal["en", "es", "fr"] = "en") -> Response:
    """Return the last revision as one HTML file with its record forms, for a phone without a network."""
    at, waiting = made(request, job_id)
    return waiting or pages_along.given(office_of(request), at, language)
