"""Open questions by who owes the answer, and the answers: kept in the job file with author and date."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.run_field.model import Said
from stubout.store import jobs
from stubout.store.model import Stale, StoreError
from stubout.web import forms, yaml_edit, yaml_paths
from stubout.web.office import Form, Opened, Who, office_of, page, remembered
from stubout.web.pages_edit import whole
from stubout.web.pages_parts import ids
from stubout.web.pages_see import planned
from stubout.web.yaml_edit import EditError, Item

router = APIRouter()
LISTED: Final = "questions"
_FIELDS: Final = {"answer": "answer", "answered by": "by", "date": "date"}  # key of the file -> field of the form

Places = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """One open question as a page shows it."""

    said: Said
    of_file: bool  # the job file asks it; else it is asked because the file leaves something open
    places: Places  # forms in which the answer may belong: words and address


@dataclass(frozen=True, slots=True)
class Kept:
    """A question whose answer has just been kept."""

    tag: str
    places: Places


def _words(at: Opened, kept: str = "", sent: Mapping[str, str] | None = None, stale: int = 0) -> dict[str, Any]:
    assert at.field is not None
    text = at.revision.text
    in_file = {i.tag: i for i in _items(text)}
    answered = tuple(i for i in in_file.values() if i.values.get("answer"))
    known = _known(text)
    asked = tuple(
        Asked(q, q.check in in_file, _places(known, q.about))
        for q in at.field.questions
        if not in_file.get(q.check, Item("", {})).values.get("answer")  # the plan of the answer is still to come
    )
    owners = sorted({q.said.owner or "nobody named" for q in asked})
    by_owner = [(o, [q for q in asked if (q.said.owner or "nobody named") == o]) for o in owners]
    just = in_file.get(kept)
    about = tuple(w.strip() for w in just.values.get("about", "").strip("[] ").split(",")) if just else ()
    return {
        "by_owner": by_owner, "answered": answered, "kept": Kept(kept, _places(known, about)) if just else None,
        "sent": sent, "stale": stale, "here": "findings",
    }  # fmt: skip


def _items(text: str) -> tuple[Item, ...]:
    try:
        return yaml_edit.items(text, LISTED) if yaml_paths.count(text, (LISTED,)) else ()
    except EditError:
        return ()


def _known(text: str) -> dict[str, tuple[str, str]]:
    """Return what has a form and a name of its own: the name, with words and address of the form."""
    found: dict[str, tuple[str, str]] = {}
    for part in forms.PARTS.values():
        if part.listed != LISTED:
            for tag in ids(text, part.listed):
                query = urlencode({"of": part.listed, "tag": tag})
                found.setdefault(tag, (f"{part.one.capitalize()} {tag}", f"part?{query}"))
    return found


def _places(known: Mapping[str, tuple[str, str]], about: tuple[str, ...]) -> Places:
    return tuple(known[a] for a in about if a in known)


@router.get("/jobs/{job_id}/questions")
def questions(request: Request, job_id: int, who: Who, answered: str = "") -> Response:
    """Show what is open, by who owes the answer, and what was answered."""
    at = planned(request, job_id)
    return remembered(request, who, "questions.html", at, lambda: _words(at, answered), at.revision.number)


@router.post("/jobs/{job_id}/answer")
def answer(request: Request, job_id: int, form: Form) -> Response:
    """Write an answer beside its question, as a new revision; the question is not open any more."""
    office = office_of(request)
    base = office.revision(job_id, whole(form.get("base")))
    tag = form.get("question")
    said = {key: " ".join(form.get(name).split()) for key, name in _FIELDS.items()}
    if not all(said.values()):
        raise StoreError("an answer needs words, who gave it, and a date")
    if tag not in {i.tag for i in _items(base.text)}:
        raise StoreError("the job file asks no such question")
    text = yaml_paths.said(base.text, (((LISTED, tag, key), value) for key, value in said.items()))
    try:
        jobs.save(office.store, job_id, base.number, text, form.who.name, f"{tag} answered by {said['answered by']}")
    except Stale:
        at = planned(request, job_id)
        words = _words(at, sent=form.fields, stale=base.number)
        return page("questions.html", form.who, 409, at=at, **words)
    return RedirectResponse(f"/jobs/{job_id}/questions?{urlencode({'answered': tag})}", 303)
