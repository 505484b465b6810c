"""The job's head, wishes, amendments, boxes and drawers by forms that change the lines they are about and no other."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from stubout import units
from stubout.job.model import AmendSaid, JobSaid
from stubout.problems import RuleBookError
from stubout.run_field import amending, texts
from stubout.store import jobs
from stubout.store.model import Revision, Stale
from stubout.web import entries, forms, yaml_paths
from stubout.web.entries import METHODS, Kind, Steps
from stubout.web.office import Form, Office, Sent, Who, office_of, opened, page
from stubout.web.pages_books import shelf
from stubout.web.pages_edit import whole
from stubout.web.pages_parts import ids
from stubout.web.people import Person
from stubout.web.yaml_edit import EditError
from stubout.web.yaml_paths import MORE

router = APIRouter()


@dataclass(frozen=True, slots=True)
class _Filled:
    """A form with what stands in it."""

    kind: Kind
    path: Steps
    base: Revision
    values: dict[str, str]
    wrong: dict[str, str] = field(default_factory=dict)
    faults: tuple[Any, ...] = ()
    stale: int = 0  # the revision it was begun from, where somebody has saved since
    said: str = ""  # why it cannot be written

    def page(self, request: Request, who: Person, status: int = 200) -> Response:
        """Return it as a page."""
        text = self.base.text
        words = {
            "job": jobs.job(office_of(request).store, self.base.job), "base": self.base, "kind": self.kind,
            "address": entries.address, "path": self.path, "values": self.values, "units": texts.units_of(text),
            "groups": entries.groups(self.kind, text, self.path, _choices(text, self.kind)), "wrong": self.wrong,
            "faults": self.faults, "stale": self.stale, "said": self.said,
            "called": entries.called(self.kind, self.path),
            "nested": entries.nested(self.kind, text, self.path), "back": _back(self.base.job, self.kind, self.path),
            "offers": _offers(text) if self.kind.kind in entries.NAMING else (), "inner": _inner(text, self.path),
        }  # fmt: skip
        return page("entry.html", who, status, here="edit", **words)


def _choices(text: str, kind: Kind) -> dict[str, tuple[str, ...]]:
    """Return what is offered for the keys that name something."""
    books = {what: tuple(i for i, _ in found) for what, found in shelf()}
    own = books["plumbing"] if kind.kind is JobSaid else (*books["plumbing"], *books["framing"])
    walls = ids(text, "walls")
    spaces = (*ids(text, "levels"), *ids(text, "rooms"), "attic")
    return {
        "book": own, "framing": books["framing"], "no vents in walls": walls,
        "no drains in walls": walls, "cold spaces": spaces, "methods not wanted": METHODS,
    }  # fmt: skip


def _offers(text: str) -> tuple[amending.Value, ...]:
    """Return the values that an amendment may name, none where the books of the job are not to be read."""
    book, framing = (yaml_paths.written(text, ("job", k)) for k in ("book", "framing"))
    try:
        return amending.values(book, framing)
    except RuleBookError:
        return ()


def _inner(text: str, path: Steps) -> tuple[tuple[str, Steps, int], ...]:
    """Return the lists inside an entry that have forms of their own: what they are called, where, how many."""
    if len(path) == 4 and path[0] == "cabinets" and path[-1] != MORE:
        inner = (*path, "drawers")
        return (("Drawers", inner, yaml_paths.count(text, inner)),)
    return (("Test of the rough-in", ("job", "test"), 0),) if path == ("job",) else ()


def _back(job: int, kind: Kind, path: Steps) -> str:
    """Return where one goes on after an entry."""
    if kind.listed:
        return f"/jobs/{job}/entries?at={entries.address(path[:-1])}"
    return f"/jobs/{job}/part?{urlencode({'of': path[0], 'tag': path[1]})}" if len(path) > 2 else f"/jobs/{job}/parts"


@router.get("/jobs/{job_id}/entries")
def listed(request: Request, job_id: int, who: Who, at: str) -> Response:
    """List the entries of one list that has no ids: amendments, boxes, drawers."""
    kind, path = entries.read(f"{at}/+")
    opened_job = opened(office_of(request), job_id)
    text = opened_job.revision.text
    where = path[:-1]
    rows, wrong, alone = [], "", ""
    try:
        alone = yaml_paths.written(text, where) if not yaml_paths.count(text, where) else ""
        for n in range(1, yaml_paths.count(text, where) + 1):
            shown = [yaml_paths.written(text, (*where, n, k)) for k in kind.shown]
            rows.append((n, " ".join(s for s in shown if s)))
        seams = _seams(text, where)
    except EditError as error:
        wrong, seams = str(error), None
    words = {
        "kind": kind,
        "where": where,
        "rows": rows,
        "wrong": wrong,
        "address": entries.address,
        "seams": seams,
        "alone": alone,
    }
    return page("entries.html", who, job=opened_job.job, at=opened_job, here="edit", **words)


@dataclass(frozen=True, slots=True)
class Seams:
    """Where the boxes of a run meet, and whether they add up to it."""

    stations: tuple[str, ...]  # of each seam, from the start of the run
    total: str
    run: str  # "" where the cabinet does not say it
    fits: bool


def _seams(text: str, where: Steps) -> Seams | None:
    """Return the seams of a cabinet; None for another list, or where a width cannot be read."""
    if len(where) != 3 or where[0] != "cabinets":
        return None
    u = texts.units_of(text)
    ends = [yaml_paths.written(text, (*where[:2], k)) for k in ("from", "to")]
    try:
        at = start = units.parse_length_mm(ends[0], u) if ends[0] else 0.0
        stations = [at]
        for n in range(1, yaml_paths.count(text, where) + 1):
            at += units.parse_length_mm(yaml_paths.written(text, (*where, n, "width")), u)
            stations.append(at)
        run = units.parse_length_mm(ends[1], u) - start if ends[1] else None
    except units.UnitError:
        return None
    told = tuple(units.named(s, u) for s in stations)
    total = at - start
    same = run is None or abs(run - total) < 0.5
    return Seams(told, units.named(total, u), "" if run is None else units.named(run, u), same)


@router.get("/jobs/{job_id}/entry")
def one(request: Request, job_id: int, who: Who, at: str, value: str = "") -> Response:
    """Show the form of one entry, or of a new one; `value` of a book for a new amendment."""
    kind, path = entries.read(at)
    base = jobs.revision(office_of(request).store, job_id)
    _there(base.text, kind, path)
    values = _values(kind, base.text, path)
    if kind.kind in entries.NAMING and path[-1] == MORE:
        values |= {"author" if kind.kind is AmendSaid else "by": who.name, "value": value}
    return _Filled(kind, path, base, values).page(request, who)


def _there(text: str, kind: Kind, path: Steps) -> None:
    """Raise HTTPException if a path leads nowhere in a file."""
    whole_path = path[:-2] if path[-1] == MORE else path
    if kind.listed and whole_path and not yaml_paths.written(text, whole_path):
        raise HTTPException(404, "the job file has no such entry")


def _values(kind: Kind, text: str, path: Steps) -> dict[str, str]:
    if path[-1] == MORE:
        return {}
    fields = (f for _, group in entries.groups(kind, text, path, {}) for f in group)
    return {f.key: entries.shown(text, path, f) for f in fields}


@router.get("/jobs/{job_id}/values")
def named(request: Request, job_id: int, who: Who, words: str = "") -> Response:
    """List what an amendment may name, with what the job's books say of it."""
    at = opened(office_of(request), job_id)
    wanted = words.casefold().split()
    found = [v for v in _offers(at.revision.text) if all(w in f"{v.id} {v.what}".casefold() for w in wanted)]
    return page("values.html", who, job=at.job, at=at, here="edit", found=found, words=words.strip())


@router.post("/jobs/{job_id}/entry")
def change(request: Request, job_id: int, form: Form) -> Response:
    """Write the fields of one entry into the file: what was not changed stays letter for letter."""
    kind, path = entries.read(form.get("entry-path"))
    office = office_of(request)
    base = jobs.revision(office.store, job_id, whole(form.get("base")))
    _there(base.text, kind, path)
    asked = [f for _, group in entries.groups(kind, base.text, path, _choices(base.text, kind)) for f in group]
    old = _values(kind, base.text, path)
    values = {f.key: _sent(f, form, old.get(f.key, "")) for f in asked if _came(f, form)}
    wrong = forms.unread(asked, values, old, texts.units_of(base.text))
    if kind.kind is AmendSaid and bool(values.get("is")) == bool(values.get("ask")):
        wrong["is"] = "give a value here or a question below, one of them"
    if wrong:
        return _Filled(kind, path, base, values, wrong).page(request, form.who, 422)
    try:
        text = _written(base.text, path, asked, values, old)
    except EditError as error:
        return _Filled(kind, path, base, values, said=str(error)).page(request, form.who, 422)
    known = {str(f) for f in texts.faults_of(base.text)}
    faults = tuple(f for f in texts.faults_of(text) if str(f) not in known)
    if faults and not form.get("anyway"):
        return _Filled(kind, path, base, values, faults=faults).page(request, form.who, 422)
    return _saved(request, office, _Filled(kind, path, base, values), text, form)


def _came(f: forms.Field, form: Sent) -> bool:
    return f.key in form.fields or f"{f.key}=" in form.fields


def _sent(f: forms.Field, form: Sent, old: str) -> str:
    """Return what was sent for a field: of one with boxes to tick, those that are, in the order of the file."""
    if f.widget != "many":
        return form.get(f.key).strip()
    had = [w.strip() for w in old.strip("[] ").split(",") if w.strip()]
    ticked = [c for c in f.choices if form.get(f"{f.key}={c}")]
    kept = [w for w in had if w in ticked or w not in f.choices]
    return ", ".join((*kept, *(c for c in ticked if c not in kept)))


def _written(text: str, path: Steps, asked: list[forms.Field], values: dict[str, str], old: dict[str, str]) -> str:
    if path[-1] == MORE:
        return yaml_paths.said(text, entries.added(text, path, values))
    came = (f for f in asked if f.key in values)
    return yaml_paths.said(text, (s for f in came for s in entries.statements(path, f, old[f.key], values[f.key])))


def _saved(request: Request, office: Office, filled: _Filled, text: str, form: Sent) -> Response:
    base, store = filled.base, office.store
    called = entries.called(filled.kind, filled.path)
    try:
        if text != base.text:
            jobs.save(store, base.job, base.number, text, form.who.name, called)
    except Stale as stale:
        head = jobs.revision(store, base.job, stale.head)
        again = _Filled(filled.kind, filled.path, head, filled.values, stale=base.number)
        return again.page(request, form.who, 409)
    return RedirectResponse(_back(base.job, filled.kind, filled.path), 303)


@router.post("/jobs/{job_id}/entry/out")
def take_out(request: Request, job_id: int, form: Form) -> Response:
    """Take an entry out of its list; the last one takes the list with it."""
    kind, path = entries.read(form.get("entry-path"))
    if not kind.listed or path[-1] == MORE:
        raise HTTPException(404, "there is nothing to take out")
    store = office_of(request).store
    base = jobs.revision(store, job_id, whole(form.get("base")))
    _there(base.text, kind, path)
    text = yaml_paths.said(base.text, entries.gone(base.text, path))
    jobs.save(store, job_id, base.number, text, form.who.name, f"{entries.called(kind, path)} taken out")
    return RedirectResponse(_back(job_id, kind, path), 303)
