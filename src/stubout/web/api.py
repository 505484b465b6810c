"""The JSON door: the verbs of the command line, the same data; and the records of the site."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Path, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, ConfigDict
from pydantic import Field as Limited

from stubout import run, units
from stubout.export.json_ import cell_data, error_data, plain
from stubout.run_field import texts
from stubout.store import jobs, records, sessions
from stubout.store.model import LONGEST_NAME, LONGEST_TEXT, LONGEST_WORDS, Entry, Kind, Record, Stale, StoreError
from stubout.web import gates, verdicts
from stubout.web.office import Who, office_of, opened
from stubout.web.pages_people import refused
from stubout.web.people import HEADER, Person, csrf_of, give, prove
from stubout.web.plans import Plan

_MOST_ID = 2_147_483_647
JobId = Annotated[int, Path(ge=1, le=_MOST_ID)]
Number = Annotated[int, Limited(ge=1, le=_MOST_ID)]
Name = Annotated[str, Limited(max_length=LONGEST_NAME)]
Long = Annotated[str, Limited(max_length=LONGEST_WORDS)]
Text = Annotated[str, Limited(max_length=LONGEST_TEXT)]


class _Error(BaseModel):
    """The one error object."""

    model_config = ConfigDict(json_schema_extra={"additionalProperties": True})

    schema_: int = Limited(alias="schema")
    error: str
    faults: list[dict[str, Any]]


_ERRORS: dict[int | str, dict[str, Any]] = {
    n: {"model": _Error} for n in (400, 401, 403, 404, 409, 413, 421, 422, 429)
}  # fmt: skip
router = APIRouter(prefix="/api", responses=_ERRORS)


class Greeting(BaseModel):
    """Who is at work; on a network with the code that the server shows."""

    name: Name
    code: Name = ""


class NewJob(BaseModel):
    """A new job: a text of its own, or a starter."""

    name: Name
    text: Text = ""
    starter: Literal["", "inch", "mm", "demo"] = ""
    note: Long = ""


class NewText(BaseModel):
    """A changed job file, and the revision it was made from."""

    base: Number
    text: Text
    note: Long = ""


class Loose(BaseModel):
    """A job file that is not kept."""

    text: Text


class NewRecord(BaseModel):
    """One record of the site."""

    kind: Literal["tick", "height", "slope", "note", "test", "sign-off", "taken back"]
    revision: Number
    about: Name
    value: Long = ""
    datum: Literal["subfloor", "finished"] = "subfloor"
    wall: Name = ""
    place: Long = ""
    takes_back: Annotated[int, Limited(ge=0, le=_MOST_ID)] = 0
    token: Name = ""


def acting(request: Request, who: Who) -> Person:
    """Return who changes something, proved by the token in the header."""
    prove(request, who, request.headers.get(HEADER, ""))
    return who


Acting = Annotated[Person, Depends(acting)]


@router.post("/session")
def greet(request: Request, said: Greeting) -> Response:
    """Begin a session: the cookie holds it, `csrf` goes into the header `X-CSRF-Token` of what changes something."""
    office = office_of(request)
    wrong = refused(office, request.client.host if request.client else "", said.code)
    if wrong:
        return JSONResponse(error_data(wrong, []), 403)
    token = sessions.begin(office.store, said.name)
    response = JSONResponse({"schema": 1, "name": said.name, "csrf": csrf_of(token)})
    give(response, token)
    return response


@router.get("/session")
def me(who: Who) -> dict[str, Any]:
    """Return who is at work and the token for what changes something."""
    return {"schema": 1, "name": who.name, "csrf": who.csrf}


@router.get("/jobs")
def listed(request: Request, who: Who) -> dict[str, Any]:
    """List the jobs."""
    return {"schema": 1, "jobs": [plain(j) for j in jobs.listed(office_of(request).store)]}


@router.post("/jobs", status_code=201)
def new(request: Request, who: Acting, said: NewJob) -> dict[str, Any]:
    """Begin a job, as `stubout new` does, or take one in."""
    if bool(said.text) == bool(said.starter):
        raise StoreError("give a text or a starter, one of them")
    starters = {"inch": lambda: texts.starter("inch"), "mm": lambda: texts.starter("mm"), "demo": texts.demo}
    text = said.text or starters[said.starter]()
    made = jobs.create(office_of(request).store, said.name, text, who.name, said.note)
    return {"schema": 1, "job": plain(made)}


@router.get("/jobs/{job_id}")
def one(request: Request, job_id: JobId, who: Who) -> dict[str, Any]:
    """Return a job with its last revision and how far its plan is."""
    at = opened(office_of(request), job_id)
    return {"schema": 1, "job": plain(at.job), "revision": plain(at.revision), "plan": _plan(at.plan)}


def _plan(plan: Plan) -> dict[str, Any]:
    data: dict[str, Any] = plain(plan)
    return data


@router.put("/jobs/{job_id}/text")
def save(request: Request, job_id: JobId, who: Acting, said: NewText) -> Response:
    """Save the next revision; 409 with the last one if `base` is not that any more."""
    store = office_of(request).store
    try:
        made = jobs.save(store, job_id, said.base, said.text, who.name, said.note)
    except Stale as stale:
        head = jobs.revision(store, job_id, stale.head)
        return JSONResponse({**error_data(str(stale), []), "revision": plain(head)}, 409)
    return JSONResponse({"schema": 1, "revision": plain(made)})


@router.get("/jobs/{job_id}/revisions")
def history(request: Request, job_id: JobId, who: Who) -> dict[str, Any]:
    """List the revisions without their texts, the last first."""
    store = office_of(request).store
    jobs.job(store, job_id)
    return {"schema": 1, "revisions": [plain(r) for r in jobs.history(store, job_id)]}


@router.get("/jobs/{job_id}/revisions/{number}")
def revision(
    request: Request, job_id: JobId, number: Annotated[int, Path(ge=1, le=_MOST_ID)], who: Who
) -> dict[str, Any]:
    """Return one revision."""
    return {"schema": 1, "revision": plain(jobs.revision(office_of(request).store, job_id, number))}


def _made(request: Request, job_id: int) -> tuple[Plan, Response | None]:
    """Return the plan of the last revision, and what to answer where there is none: how far it is, or the faults."""
    at = opened(office_of(request), job_id)
    if at.plan.state == "done":
        return at.plan, None
    if at.plan.state == "failed":
        return at.plan, JSONResponse(error_data(at.plan.error, list(texts.faults_of(at.revision.text))), 422)
    return at.plan, JSONResponse({"schema": 1, "plan": _plan(at.plan)}, 202)


@router.post("/jobs/{job_id}/plan", status_code=202)
def plan(request: Request, job_id: JobId, who: Acting) -> dict[str, Any]:
    """Have the last revision planned; returns at once with how far it is, and the files when it is done."""
    at = opened(office_of(request), job_id)
    return {"schema": 1, "plan": _plan(at.plan), "files": list(office_of(request).plans.names(at.plan.key))}


@router.get("/jobs/{job_id}/check", responses={202: {"description": "not planned yet"}})
def check(request: Request, job_id: JobId, who: Who) -> Response:
    """Return `findings.json` of the last revision; 202 with how far it is while it is planned."""
    return _file(request, job_id, "findings.json")


@router.get("/jobs/{job_id}/design", responses={202: {"description": "not planned yet"}})
def design(request: Request, job_id: JobId, who: Who) -> Response:
    """Return `design.json` of the last revision; 202 with how far it is while it is planned."""
    return _file(request, job_id, "design.json")


def _file(request: Request, job_id: int, name: str) -> Response:
    done, waiting = _made(request, job_id)
    if waiting is not None:
        return waiting
    return Response(office_of(request).plans.file(done.key, name), media_type="application/json")


@router.get("/jobs/{job_id}/why", responses={202: {"description": "not planned yet"}})
def why(request: Request, job_id: JobId, who: Who, about: Annotated[str, Query(max_length=80)] = "") -> Response:
    """Say how a size, height or load came about; without `about` what can be asked about."""
    done, waiting = _made(request, job_id)
    if waiting is not None:
        return waiting
    field = office_of(request).plans.field(done.key)
    if not about:
        return JSONResponse({"schema": 1, "ids": list(field.answers)})
    name = next((n for n in field.answers if n.casefold() == about.casefold()), None)
    if name is None:
        return JSONResponse(error_data(f"nothing in this job is called {about!r}", []), 404)
    found = [plain(field.reasons[i]) for i in field.answers[name]]
    return JSONResponse({"schema": 1, "about": name, "derivations": found})


@router.post("/check")
def check_text(who: Acting, said: Loose) -> dict[str, Any]:
    """Say what is wrong with a text as a job file; nothing is kept or laid out."""
    return {"schema": 1, "faults": [plain(f) for f in texts.faults_of(said.text)]}


@router.get("/jobs/{job_id}/records")
def recorded(request: Request, job_id: JobId, who: Who) -> dict[str, Any]:
    """List every record of the site, those taken back among them."""
    store = office_of(request).store
    jobs.job(store, job_id)
    return {"schema": 1, "records": [plain(r) for r in records.listed(store, job_id)]}


@router.post("/jobs/{job_id}/records", status_code=201)
def record(request: Request, job_id: JobId, who: Acting, said: NewRecord) -> dict[str, Any]:
    """Keep one record; a height or slope that cannot be read is refused. The same token is kept once."""
    value = said.value
    try:
        if said.kind == "height":
            text = jobs.revision(office_of(request).store, job_id, said.revision).text
            value = verdicts.height_value(value, said.datum, texts.units_of(text))
        elif said.kind == "slope":
            units.parse_slope(value)
    except units.UnitError as error:
        raise StoreError(str(error)) from None
    if said.kind == Kind.SIGN.value:
        wrong = gates.refusal(opened(office_of(request), job_id).field, _standing(request, job_id), said.about)
        if wrong:
            raise StoreError(wrong)
    entry = Entry(
        Kind(said.kind), said.about, value, said.wall, said.place, takes_back=said.takes_back, token=said.token
    )
    made = records.add(office_of(request).store, job_id, said.revision, who.name, entry)
    return {"schema": 1, "record": plain(made)}


def _standing(request: Request, job_id: int) -> tuple[Record, ...]:
    return records.standing(records.listed(office_of(request).store, job_id))


@router.get("/jobs/{job_id}/gates", responses={202: {"description": "not planned yet"}})
def gate_list(request: Request, job_id: JobId, who: Who) -> Response:
    """Return the four gates as they are by plan and records."""
    done, waiting = _made(request, job_id)
    if waiting is not None:
        return waiting
    found = gates.gates(office_of(request).plans.field(done.key), _standing(request, job_id))
    return JSONResponse({"schema": 1, "gates": [{**plain(g), "open": g.open} for g in found]})


@router.get("/books")
def books(who: Who) -> dict[str, Any]:
    """List the rule books."""
    return {"schema": 1, "books": list(run.books())}


@router.get("/lookup/{book}")
def lookup(book: str, who: Who, words: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Return the values of a rule book whose id, title or section holds all the words."""
    if book not in run.books():
        return JSONResponse(error_data(f"there is no rule book {book!r}", []), 404)
    return JSONResponse({"schema": 1, "cells": [cell_data(c) for c in run.lookup(run.book(book), words)]})


@router.get("/schema/{of}")
def schema(of: Literal["job", "amendments", "confirmations"], who: Who) -> Response:
    """Return the JSON Schema of a job file, or of a file beside it."""
    return Response(run.schema(of), media_type="application/json")
