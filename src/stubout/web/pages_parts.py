"""Fixtures, cabinets, walls and what else the job lists, by forms that change the lines they are about and no other."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from stubout.run_field import texts
from stubout.store import jobs
from stubout.store.model import Revision, Stale
from stubout.web import forms, yaml_edit
from stubout.web.entries import HEADS, address
from stubout.web.forms import Part
from stubout.web.office import Form, Sent, Who, office_of, opened, page, remembered
from stubout.web.pages_edit import whole
from stubout.web.people import Person

router = APIRouter()
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
    return _Filled(part, base, item, item.values).page(request, who)


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
        lists = {"room": "rooms", "wall": "walls", "level": "levels"}
        choices = {key: ids(self.base.text, listed) for key, listed in lists.items()}
        return forms.fields(self.part, choices, self.item.nested)

    def page(self, request: Request, who: Person, status: int = 200) -> Response:
        """Return it as a page."""
        words = {
            "job": jobs.job(office_of(request).store, self.base.job), "base": self.base, "item": self.item,
            "values": self.values, "groups": self.groups, "units": texts.units_of(self.base.text), "part": self.part,
            "wrong": self.wrong, "faults": self.faults, "stale": self.stale, "address": address,
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
    asked = [f for _, group in forms.fields(part, nested=item.nested) for f in group]
    values = {f.key: form.get(f.key).strip() for f in asked if f.key in form.fields}
    wrong = forms.unread(asked, values, item.values, texts.units_of(base.text))
    if not tag and not new:
        wrong[part.name] = f"a {part.name} is missing"
    filled = _Filled(part, base, item, values, wrong)
    if wrong:
        return filled.page(request, form.who, 422)
    added = {part.name: new, **values}
    text = (
        yaml_edit.change(base.text, tag, values, part.listed) if tag else yaml_edit.add(base.text, added, part.listed)
    )
    known = {str(f) for f in texts.faults_of(base.text)}
    faults = tuple(f for f in texts.faults_of(text) if str(f) not in known)
    if faults and not form.get("anyway"):
        return _Filled(part, base, item, values, faults=faults).page(request, form.who, 422)
    return _saved(request, filled, text, form, tag or new)


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
    text = yaml_edit.remove(base.text, tag, part.listed)
    jobs.save(store, job_id, base.number, text, form.who.name, f"{part.one} {tag} taken out")
    return RedirectResponse(f"/jobs/{job_id}/parts?of={part.listed}", 303)
