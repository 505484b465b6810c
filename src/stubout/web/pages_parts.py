"""Fixtures, cabinets, walls and what else the job lists, by forms that change the lines they are about and no other."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from stubout.run_field import texts
from stubout.store import jobs
from stubout.store.model import Revision, Stale
from stubout.web import forms, lists, yaml_edit, yaml_paths
from stubout.web.entries import HEADS, KINDS, inner, several, shown, statements
from stubout.web.forms import Part
from stubout.web.office import Form, Sent, Who, office_of, opened, page, remembered
from stubout.web.pages_edit import whole
from stubout.web.people import Person

router = APIRouter()
QUESTIONS: Final = "questions"
ROUTES: Final = "routes"
MAY_GO: Final = (QUESTIONS, ROUTES, "roof openings", "roof zones")  # the last entry takes the list with it
NEW = yaml_edit.Item("", {})


def _part(listed: str) -> Part:
    found = forms.PARTS.get(listed)
    if found is None:
        raise HTTPException(404, "there is no form for that")
    return found


@router.get("/jobs/{job_id}/parts")
def parts(request: Request, job_id: int, who: Who, of: str = "fixtures") -> Response:
    """List the entries of one list as the job file has them."""
    part = _part(of)
    at = opened(office_of(request), job_id)

    def words() -> dict[str, Any]:
        found: tuple[yaml_edit.Item, ...] = ()
        wrong = ""
        try:
            if yaml_paths.found(at.revision.text, (part.listed,)) is not None:
                found = yaml_edit.items(at.revision.text, part.listed)
        except yaml_edit.EditError as error:
            wrong = str(error)
        shown = {"part": part, "parts": forms.PARTS.values(), "items": found, "wrong": wrong, "heads": HEADS}
        return {"job": at.job, "here": "edit", **shown}

    return remembered(request, who, "parts.html", at, words)


@router.get("/jobs/{job_id}/part")
def one(request: Request, job_id: int, who: Who, of: str = "fixtures", tag: str = "") -> Response:
    """Show the form of one entry, or of a new one."""
    part = _part(of)
    base = jobs.revision(office_of(request).store, job_id)
    item = _item(base.text, part, tag) if tag else NEW
    return _Filled(part, base, item, _shown(base.text, part, item)).page(request, who)


def _item(text: str, part: Part, tag: str) -> yaml_edit.Item:
    found = next((i for i in yaml_edit.items(text, part.listed) if i.tag == tag), None)
    if found is None:
        raise yaml_edit.EditError(f"the job has no {part.one} {tag}")
    return found


@dataclass(frozen=True, slots=True)
class _Filled:
    """A form with what stands in it."""

    part: Part
    base: Revision
    item: yaml_edit.Item
    values: dict[str, str]
    wrong: dict[str, str] = field(default_factory=dict)
    faults: tuple[Any, ...] = ()
    stale: int = 0  # the revision it was begun from, where somebody has saved since

    @property
    def groups(self) -> forms.Groups:
        """Return what it offers."""
        named = {"room": "rooms", "wall": "walls", "level": "levels", "carries": "levels"}
        choices = {key: ids(self.base.text, listed) for key, listed in named.items()}
        if self.part.listed == ROUTES:
            tags = ids(self.base.text, "fixtures")
            choices |= {"fixture": tags, "vent of": tags, "into": (*ids(self.base.text, ROUTES), "sewer")}
        if self.part.listed == QUESTIONS:
            choices["ask"] = tuple(lists.paired(self.base.text, ("job", "people")) or ())
        return _groups(self.part, self.base.text, self.item, choices)

    def page(self, request: Request, who: Person, status: int = 200) -> Response:
        """Return it as a page."""
        words = {
            "job": jobs.job(office_of(request).store, self.base.job), "base": self.base, "item": self.item,
            "values": self.values, "groups": self.groups, "units": texts.units_of(self.base.text), "part": self.part,
            "wrong": self.wrong, "faults": self.faults, "stale": self.stale,
            "nested": _as_text(self.part, self.base.text, self.item),
            "inner": tuple(inner(self.part.listed, self.item.tag)) if self.item.tag else (),
        }  # fmt: skip
        return page("part.html", who, status, here="edit", **words)


def ids(text: str, listed: str) -> tuple[str, ...]:
    """Return the ids of a list of the job file, none if it cannot be read."""
    try:
        return tuple(i.tag for i in yaml_edit.items(text, listed))
    except yaml_edit.EditError:
        return ()


@router.post("/jobs/{job_id}/part")
def change(request: Request, job_id: int, form: Form) -> Response:
    """Write the fields of one entry into the file: what was not changed stays letter for letter."""
    part = _part(form.get("of"))
    base = jobs.revision(office_of(request).store, job_id, whole(form.get("base")))
    tag, new = form.get("tag"), form.get("new").strip()
    item = _item(base.text, part, tag) if tag else NEW
    asked = [f for _, group in _groups(part, base.text, item) for f in group]
    values = {f.key: form.get(f.key).strip() for f in asked if f.key in form.fields}
    wrong = forms.unread(asked, values, _shown(base.text, part, item), texts.units_of(base.text))
    if not tag and not new:
        wrong[part.name] = f"a {part.name} is missing"
    filled = _Filled(part, base, item, values, wrong)
    if wrong:
        return filled.page(request, form.who, 422)
    text = _written(filled, asked, new)
    known = {str(f) for f in texts.faults_of(base.text)}
    faults = tuple(f for f in texts.faults_of(text) if str(f) not in known)
    if faults and not form.get("anyway"):
        return _Filled(part, base, item, values, faults=faults).page(request, form.who, 422)
    return _saved(request, filled, text, form, tag or new)


Choices = dict[str, tuple[str, ...]]


def _groups(part: Part, text: str, item: yaml_edit.Item, choices: Choices | None = None) -> forms.Groups:
    """Return what the form of an entry offers, lists over several lines among it."""
    written = several(part.kind, text, (part.listed, item.tag))
    return forms.fields(part, choices, [k for k in item.nested if k not in written], written)


def _as_text(part: Part, text: str, item: yaml_edit.Item) -> tuple[str, ...]:
    """Return the keys of an entry that are changed as text: written over several lines, and without a form."""
    own = {k.path[2] for k in KINDS if len(k.path) > 2 and k.path[0] == part.listed}
    own |= set(several(part.kind, text, (part.listed, item.tag))) if item.tag else set()
    return tuple(k for k in item.nested if k not in own)


def _shown(text: str, part: Part, item: yaml_edit.Item) -> dict[str, str]:
    """Return what stands in the fields of an entry."""
    if not item.tag:
        return item.values
    fields = (f for _, group in _groups(part, text, item) for f in group if f.widget in ("lines", "pairs"))
    return {**item.values, **{f.key: shown(text, (part.listed, item.tag), f) for f in fields}}


def _written(filled: _Filled, asked: list[forms.Field], new: str) -> str:
    """Return the file with a form written into it."""
    text, part, tag, values = filled.base.text, filled.part, filled.item.tag, filled.values
    over = [f for f in asked if f.widget in ("lines", "pairs") and f.key in values]
    if not tag:
        shapes = {"lines": lists.lines, "pairs": lists.pairs}
        shaped = {f.key: shapes[f.widget](values[f.key]) for f in over}
        added = {part.name: new, **{k: v for k, v in {**values, **shaped}.items() if v}}
        if shaped or yaml_paths.found(text, (part.listed,)) is None:  # the first one
            return yaml_paths.said(text, [((part.listed, yaml_paths.MORE), added)])
        return yaml_edit.add(text, {k: str(v) for k, v in added.items()}, part.listed)
    path, old = (part.listed, tag), _shown(text, part, filled.item)
    text = yaml_paths.said(text, (s for f in over for s in statements(path, f, old[f.key], values[f.key])))
    keys = {f.key for f in over}
    return yaml_edit.change(text, tag, {k: v for k, v in values.items() if k not in keys}, part.listed)


def _saved(request: Request, filled: _Filled, text: str, form: Sent, called: str) -> Response:
    base, part, store = filled.base, filled.part, office_of(request).store
    try:
        if text != base.text:
            jobs.save(store, base.job, base.number, text, form.who.name, f"{part.one} {called}")
    except Stale as stale:
        head = jobs.revision(store, base.job, stale.head)
        return _Filled(part, head, filled.item, filled.values, stale=base.number).page(request, form.who, 409)
    return RedirectResponse(f"/jobs/{base.job}/parts?of={part.listed}", 303)


@router.post("/jobs/{job_id}/part/out")
def take_out(request: Request, job_id: int, form: Form) -> Response:
    """Take an entry out of the file."""
    part, tag = _part(form.get("of")), form.get("tag")
    store = office_of(request).store
    base = jobs.revision(store, job_id, whole(form.get("base")))
    if part.listed in MAY_GO and yaml_paths.count(base.text, (part.listed,)) == 1:
        text = yaml_paths.said(base.text, [((part.listed,), None)])
    else:
        text = yaml_edit.remove(base.text, tag, part.listed)
    jobs.save(store, job_id, base.number, text, form.who.name, f"{part.one} {tag} taken out")
    return RedirectResponse(f"/jobs/{job_id}/parts?of={part.listed}", 303)
