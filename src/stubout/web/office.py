"""What every page needs: store, plans, settings, who is at work, the form that came in, the templates."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import sha256
from importlib.resources import files
from typing import Annotated, Any, Final

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, Response
from jinja2 import Environment, PackageLoader, StrictUndefined
from python_multipart.exceptions import FormParserError
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from stubout.problems import Fault, several
from stubout.run_field import texts
from stubout.run_field.model import Field
from stubout.run_field.phrases import told
from stubout.run_field.words import ENGLISH, LANGUAGES, speaker
from stubout.store import jobs, records
from stubout.store.engine import Store
from stubout.store.model import Job, Record, Revision
from stubout.web.blanks import NOW, ONCE, READER, Blank, blank
from stubout.web.memory import Memory
from stubout.web.people import FIELD, HEADER, Known, NotPaired, Pairing, Person, person, prove
from stubout.web.plans import Plan, Plans
from stubout.web.settings import Settings

SESSION: Final = "X-Stubout-Session"  # on each page, for the worker in the browser: whose it is
_BACK: Final = 5  # revisions looked at for one that is planned already
_FIELDS: Final = 120  # of one form
_MB: Final = 1024 * 1024
_TEXT_BYTES: Final = 32 * _MB  # of revisions held
_PAGE_BYTES: Final = 32 * _MB  # of pages held
_RECORDS: Final = 50_000  # held, of all jobs together
_FAULTS: Final = 200  # texts whose faults are held


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
    known: Known
    # What is made once and given out often; each key says all that its value was made from.
    texts: Memory[Revision] = field(default_factory=lambda: Memory(_TEXT_BYTES, lambda r: len(r.text)))
    standing: Memory[tuple[Record, ...]] = field(default_factory=lambda: Memory(_RECORDS, len))
    faults: Memory[tuple[Fault, ...]] = field(default_factory=lambda: Memory(_FAULTS))
    pages: Memory[Blank] = field(default_factory=lambda: Memory(_PAGE_BYTES, lambda b: b.weight))

    def revision(self, job_id: int, number: int) -> Revision:
        """Return one revision of a job, which never changes; raises NoSuch."""
        return self.texts.made((job_id, number), lambda: jobs.revision(self.store, job_id, number))

    def faults_of(self, text: str) -> tuple[Fault, ...]:
        """Return what is wrong with a job file."""
        return self.faults.made(sha256(text.encode()).digest(), lambda: texts.faults_of(text))


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
    records: int  # how many the job has, those taken back among them

    @property
    def seen(self) -> Hashable | None:
        """Return what tells that nothing a page of this job shows has changed; None while a plan goes on."""
        still = self.plan.state in ("done", "failed")
        return (self.job, self.plan, self.shown.number, self.key, self.records) if still else None


def office_of(request: Request) -> Office:
    """Return the office of a request."""
    found = request.app.state.office
    assert isinstance(found, Office)
    return found


def who_of(request: Request) -> Person:
    """Return who sends a request; a changing one proves itself by its header, or by its form in `form_of`."""
    return person(request, office_of(request).known)


async def _who(request: Request) -> Person:
    """Return who sends a request: at once where that is held, else by asking the database beside the loop."""
    try:
        return person(request, office_of(request).known, held=True)
    except NotPaired:
        return await run_in_threadpool(who_of, request)


Who = Annotated[Person, Depends(_who)]


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
    job, count = jobs.at(office.store, job_id)
    last = office.revision(job_id, job.head)
    plan = _plan(office, last)
    if plan.state == "done":
        return Opened(job, last, plan, last, plan.key, office.plans.field(plan.key), count)
    for number in range(job.head - 1, max(0, job.head - 1 - _BACK), -1):
        earlier = office.revision(job_id, number)
        known = office.plans.state(office.plans.key(earlier.text))
        if known is not None and known.state == "done":
            return Opened(job, last, plan, earlier, known.key, office.plans.field(known.key), count)
    return Opened(job, last, plan, last, plan.key, None, count)


def _plan(office: Office, last: Revision) -> Plan:
    """Return how far the plan of a revision is; a text with faults is not sent to be planned."""
    key = office.plans.key(last.text)
    known = office.plans.state(key)
    if known is not None:
        return known
    faults = office.faults_of(last.text)
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
        auto_reload=False,  # they are part of the program: nobody looks at the disk for each page
    )
    say = speaker(language)
    made.globals["_"] = say
    made.globals["told"] = lambda text: told(text, say)
    made.globals["language"] = language
    made.globals["languages"] = LANGUAGES
    made.globals["asset"] = asset
    made.globals["several"] = several
    made.globals["now"] = lambda: NOW
    made.globals["once"] = lambda: ONCE
    return made


@lru_cache(maxsize=32)
def asset(name: str) -> str:
    """Return the address of a static file, with what is in it: a changed one is fetched anew."""
    data = files("stubout.web").joinpath("static").joinpath(name).read_bytes()
    return f"/static/{name}?{sha256(data).hexdigest()[:12]}"


def waits(answer: Response, state: str) -> Response:
    """Let a page that shows how far work is be loaded anew as soon as it is done or has failed."""
    if state in ("done", "failed"):
        answer.headers["HX-Refresh"] = "true"
    return answer


def page(name: str, who: Person | None, status: int = 200, /, **words: Any) -> HTMLResponse:
    """Return a page, or a part of one, made from a template."""
    language = who.language if who else words.get("language", ENGLISH)
    return _given(_blank(name, language, words, known=who is not None), who, status)


def remembered(
    request: Request, who: Person, name: str, at: Opened, words: Callable[[], Mapping[str, Any]], *more: Hashable
) -> HTMLResponse:
    """Return a page of a job that is made once for all who look at the same state of it.

    Args:
        request: Its address is part of what the page was made from.
        who: The reader.
        name: Of the template.
        at: The job.
        words: Gives what the template is told besides; it has to come from the job, its plan and its records alone.
        more: What else the page was made from.
    """

    def make() -> Blank:
        return _blank(name, who.language, {"at": at, **words()}, known=True)

    if at.seen is None:
        return _given(make(), who)
    key = (name, request.url.path, request.url.query, who.language, at.seen, more)
    return _given(office_of(request).pages.made(key, make), who)


def _blank(name: str, language: str, words: Mapping[str, Any], *, known: bool) -> Blank:
    reader = READER if known else None
    csrf = READER.csrf if known else ""
    return blank(templates(language).get_template(name).render(who=reader, csrf=csrf, **words))


def _given(made: Blank, who: Person | None, status: int = 200) -> HTMLResponse:
    return HTMLResponse(made.filled(who), status, {SESSION: who.mark} if who else None)


def standing(office: Office, at: Opened) -> tuple[Record, ...]:
    """Return the records of a job that stand."""
    key = (at.job.id, at.records)
    return office.standing.made(key, lambda: records.standing(records.listed(office.store, at.job.id)))
