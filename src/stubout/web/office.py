"""What every page needs: store, plans, settings, who is at work, the form that came in, the templates."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from hashlib import sha256
from importlib.resources import files
from typing import Annotated, Any, Final

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from python_multipart.exceptions import FormParserError
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from stubout.problems import several
from stubout.run_field import texts
from stubout.run_field.model import Field
from stubout.run_field.phrases import told
from stubout.run_field.words import ENGLISH, LANGUAGES, speaker
from stubout.store import jobs
from stubout.store.engine import Store
from stubout.store.model import Job, Revision
from stubout.web.people import FIELD, HEADER, Pairing, Person, person, prove
from stubout.web.plans import Plan, Plans
from stubout.web.settings import Settings

SESSION: Final = "X-Stubout-Session"  # on each page, for the worker in the browser: whose it is
_BACK: Final = 5  # revisions looked at for one that is planned already
_FIELDS: Final = 120  # of one form


class NotPlanned(Exception):  # noqa: N818 - reads as a sentence where it is caught
    """A page wants to show a plan, and there is none yet: the page of the job says how far it is."""

    def __init__(self, job: int) -> None:
        self.job = job
        super().__init__(f"job {job} is not planned yet")


@dataclass(frozen=True, slots=True)
class Office:
    """One running server."""

    settings: Settings
    store: Store
    plans: Plans
    pairing: Pairing


@dataclass(frozen=True, slots=True)
class Sent:
    """A form that came in and was proved to be ours."""

    who: Person
    fields: Mapping[str, str]
    files: Mapping[str, bytes]

    def get(self, name: str) -> str:
        """Return a field, "" if it did not come."""
        return self.fields.get(name, "")


@dataclass(frozen=True, slots=True)
class Opened:
    """A job as a page shows it."""

    job: Job
    revision: Revision  # the last
    plan: Plan  # of that
    shown: Revision  # which is on the screen: the last, or an earlier one while the last is planned
    key: str  # of its plan
    field: Field | None


def office_of(request: Request) -> Office:
    """Return the office of a request."""
    found = request.app.state.office
    assert isinstance(found, Office)
    return found


def who_of(request: Request) -> Person:
    """Return who sends a request; a changing one proves itself by its header, or by its form in `form_of`."""
    return person(request, office_of(request).store)


Who = Annotated[Person, Depends(who_of)]


async def form_of(request: Request, who: Who) -> Sent:
    """Return the form of a request, proved."""
    limits = office_of(request).settings.limits
    try:
        async with request.form(max_files=4, max_fields=_FIELDS, max_part_size=limits.job_bytes) as form:
            fields = {k: v for k, v in form.items() if isinstance(v, str)}
            sent = {k: await v.read() for k, v in form.items() if isinstance(v, UploadFile)}
    except FormParserError as error:
        raise HTTPException(400, "the form cannot be read") from error
    prove(request, who, request.headers.get(HEADER) or fields.get(FIELD, ""))
    return Sent(who, fields, sent)


Form = Annotated[Sent, Depends(form_of)]


def opened(office: Office, job_id: int) -> Opened:
    """Return a job with the plan that can be shown now; the last revision is asked for if it is not planned."""
    job = jobs.job(office.store, job_id)
    last = jobs.revision(office.store, job_id, job.head)
    plan = _plan(office, last)
    if plan.state == "done":
        return Opened(job, last, plan, last, plan.key, office.plans.field(plan.key))
    for number in range(job.head - 1, max(0, job.head - 1 - _BACK), -1):
        earlier = jobs.revision(office.store, job_id, number)
        known = office.plans.state(office.plans.key(earlier.text))
        if known is not None and known.state == "done":
            return Opened(job, last, plan, earlier, known.key, office.plans.field(known.key))
    return Opened(job, last, plan, last, plan.key, None)


def _plan(office: Office, last: Revision) -> Plan:
    """Return how far the plan of a revision is; a text with faults is not sent to be planned."""
    key = office.plans.key(last.text)
    known = office.plans.state(key)
    if known is not None:
        return known
    faults = texts.faults_of(last.text)
    if faults:
        return Plan(key, "failed", error=f"{several(len(faults), 'fault')} in the job file")
    return office.plans.ask(last.text, last.job)


@lru_cache(maxsize=len(LANGUAGES))
def templates(language: str = ENGLISH) -> Environment:
    """Return the templates in a language: what stands in `_("...")` is looked up."""
    made = Environment(
        loader=PackageLoader("stubout.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    say = speaker(language)
    made.globals["_"] = say
    made.globals["told"] = lambda text: told(text, say)
    made.globals["language"] = language
    made.globals["languages"] = LANGUAGES
    made.globals["asset"] = asset
    made.globals["several"] = several
    made.globals["now"] = lambda: datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC")
    made.globals["once"] = lambda: secrets.token_hex(8)
    return made


@lru_cache(maxsize=32)
def asset(name: str) -> str:
    """Return the address of a static file, with what is in it: a changed one is fetched anew."""
    data = files("stubout.web").joinpath("static").joinpath(name).read_bytes()
    return f"/static/{name}?{sha256(data).hexdigest()[:12]}"


def page(name: str, who: Person | None, status: int = 200, /, **words: Any) -> HTMLResponse:
    """Return a page, or a part of one, made from a template."""
    made = templates(who.language if who else words.get("language", ENGLISH))
    text = made.get_template(name).render(who=who, csrf=who.csrf if who else "", **words)
    return HTMLResponse(text, status, {SESSION: who.mark} if who else None)
