"""The JSON door: the verbs of the command line, the same data; and the records of the site."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Path, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, ConfigDict
from pydantic import Field as Limited

from stubout import units
from stubout.export.json_ import SCHEMA, error_data, plain
from stubout.run_field import texts
from stubout.store import jobs, records, sessions
from stubout.store.model import LONGEST_NAME, LONGEST_TEXT, LONGEST_WORDS, Entry, Kind, Record, Stale, StoreError
from stubout.web import gates, verdicts
from stubout.web.office import Opened, Who, office_of, opened
from stubout.web.pages_people import refused
from stubout.web.people import HEADER, Person, csrf_of, give, prove
from stubout.web.plans import Plan

MOST_ID = 2_147_483_647
JobId = Annotated[int, Path(ge=1, le=MOST_ID)]
Number = Annotated[int, Limited(ge=1, le=MOST_ID)]
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
WAITS: dict[int | str, dict[str, Any]] = {202: {"description": "not worked out yet: how far it is"}}


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
    takes_back: Annotated[int, Limited(ge=0, le=MOST_ID)] = 0
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
    response = JSONResponse({"schema": SCHEMA, "name": said.name, "csrf": csrf_of(token)})
    give(response, token)
    return response


@router.get("/session")
def me(who: Who) -> dict[str, Any]:
    """Return who is at work and the token for what changes something."""
    return {"schema": SCHEMA, "name": who.name, "csrf": who.csrf}


@router.get("/jobs")
def listed(request: Request, who: Who) -> dict[str, Any]:
    """List the jobs."""
    return {"schema": SCHEMA, "jobs": [plain(j) for j in jobs.listed(office_of(request).store)]}


@router.post("/jobs", status_code=201)
def new(request: Request, who: Acting, said: NewJob) -> dict[str, Any]:
    """Begin a job, as `stubout new` does, or take one in."""
    if bool(said.text) == bool(said.starter):
        raise StoreError("give a text or a starter, one of them")
    starters = {"inch": lambda: texts.starter("inch"), "mm": lambda: texts.starter("mm"), "demo": texts.demo}
    text = said.text or starters[said.starter]()
    begun = jobs.create(office_of(request).store, said.name, text, who.name, said.note)
    return {"schema": SCHEMA, "job": plain(begun)}


@router.get("/jobs/{job_id}")
def one(request: Request, job_id: JobId, who: Who) -> dict[str, Any]:
    """Return a job with its last revision and how far its plan is."""
    at = opened(office_of(request), job_id)
    return {"schema": SCHEMA, "job": plain(at.job), "revision": plain(at.revision), "plan": plain(at.plan)}


@router.put("/jobs/{job_id}/text")
def save(request: Request, job_id: JobId, who: Acting, said: NewText) -> Response:
    """Save the next revision; 409 with the last one if `base` is not that any more."""
    store = office_of(request).store
    try:
        saved = jobs.save(store, job_id, said.base, said.text, who.name, said.note)
    except Stale as error:
        return stale(request, job_id, error)
    return JSONResponse({"schema": SCHEMA, "revision": plain(saved)})


@router.get("/jobs/{job_id}/revisions")
def history(request: Request, job_id: JobId, who: Who) -> dict[str, Any]:
    """List the revisions without their texts, the last first."""
    store = office_of(request).store
    jobs.job(store, job_id)
    return {"schema": SCHEMA, "revisions": [plain(r) for r in jobs.history(store, job_id)]}


@router.get("/jobs/{job_id}/revisions/{number}")
def revision(
    request: Request, job_id: JobId, number: Annotated[int, Path(ge=1, le=MOST_ID)], who: Who
) -> dict[str, Any]:
    """Return one revision."""
    return {"schema": SCHEMA, "revision": plain(jobs.revision(office_of(request).store, job_id, number))}


def made(request: Request, job_id: int) -> tuple[Opened, Response | None]:
    """Return a job, and what to answer where its last revision is not planned: how far it is, or the faults."""
    at = opened(office_of(request), job_id)
    if at.plan.state == "failed":
        return at, JSONResponse(error_data(at.plan.error, list(texts.faults_of(at.revision.text))), 422)
    return at, None if at.plan.state == "done" else not_yet(at.plan)


def not_yet(plan: Plan) -> Response:
    """Answer with how far some work is, or with what went wrong."""
    if plan.state == "failed":
        return JSONResponse(error_data(plan.error, []), 422)
    return JSONResponse({"schema": SCHEMA, "plan": plain(plan)}, 202)


def stale(request: Request, job_id: int, error: Stale) -> Response:
    """Answer who saved second: what is wrong, and the last revision."""
    last = jobs.revision(office_of(request).store, job_id, error.head)
    return JSONResponse({**error_data(str(error), []), "revision": plain(last)}, 409)


@router.post("/check")
def check_text(who: Acting, said: Loose) -> dict[str, Any]:
    """Say what is wrong with a text as a job file; nothing is kept or laid out."""
    return {"schema": SCHEMA, "faults": [plain(f) for f in texts.faults_of(said.text)]}


@router.get("/jobs/{job_id}/records")
def recorded(request: Request, job_id: JobId, who: Who) -> dict[str, Any]:
    """List every record of the site, those taken back among them."""
    store = office_of(request).store
    jobs.job(store, job_id)
    return {"schema": SCHEMA, "records": [plain(r) for r in records.listed(store, job_id)]}


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
    added = records.add(office_of(request).store, job_id, said.revision, who.name, entry)
    return {"schema": SCHEMA, "record": plain(added)}


def _standing(request: Request, job_id: int) -> tuple[Record, ...]:
    return records.standing(records.listed(office_of(request).store, job_id))


@router.get("/jobs/{job_id}/gates", responses=WAITS)
def gate_list(request: Request, job_id: JobId, who: Who) -> Response:
    """Return the four gates as they are by plan and records."""
    at, waiting = made(request, job_id)
    if waiting is not None:
        return waiting
    found = gates.gates(office_of(request).plans.field(at.key), _standing(request, job_id))
    return JSONResponse({"schema": SCHEMA, "gates": [{**plain(g), "open": g.open} for g in found]})
