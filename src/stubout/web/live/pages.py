"""Drag on a wall or a plan: the picture, the quick answer to every move, and what is kept of it in the job file."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from stubout import units
from stubout.problems import StuboutError
from stubout.run_field import texts
from stubout.store import jobs
from stubout.store.model import Revision, Stale
from stubout.web import yaml_edit, yaml_paths
from stubout.web.live.compare import compared, expected
from stubout.web.live.desk import Design, Desk
from stubout.web.office import Form, NotPlanned, Office, Opened, Sent, Who, office_of, opened, page, waits
from stubout.web.pages_edit import whole
from stubout.web.pages_see import inline
from stubout.web.people import Person
from stubout.web.yaml_edit import Nth

router = APIRouter()
AXES = (("right", "left"), ("up", "down"))


def desk_of(request: Request) -> Desk:
    """Return the desk of a request."""
    found = request.app.state.live
    assert isinstance(found, Desk)
    return found


DeskOf = Annotated[Desk, Depends(desk_of)]


class NotRead(StuboutError):  # noqa: N818 - reads as a sentence where it is caught
    """A length of the form that is none."""


def _planned(office: Office, job_id: int) -> Opened:
    at = opened(office, job_id)
    if at.field is None:
        raise NotPlanned(job_id)
    return at


def _design(office: Office, revision: Revision) -> Design:
    key = office.plans.key(revision.text)
    return Design(key, revision.text, office.plans.design(key))


async def _at_base(request: Request, job_id: int, form: Sent) -> tuple[Revision, Design]:
    """Return the revision a drag was begun from, with its design; NotPlanned if its plan is not there."""
    office = office_of(request)
    base = await run_in_threadpool(jobs.revision, office.store, job_id, whole(form.get("base")))
    design = _design(office, base)
    if not design.path.is_file():
        raise NotPlanned(job_id)
    return base, design


@router.get("/jobs/{job_id}/drag")
async def listed(request: Request, job_id: int, who: Who, desk: DeskOf) -> Response:
    """List the walls and plans with something to drag."""
    office = office_of(request)
    at = await run_in_threadpool(_planned, office, job_id)
    said = await desk.ask(_design(office, at.shown), {"op": "listed"})
    return page("drags.html", who, at=at, views=said["listed"], here="edit", urlencode=urlencode)


@router.get("/jobs/{job_id}/drag/on")
async def on(request: Request, job_id: int, who: Who, desk: DeskOf, view: str, kept: int = 0) -> Response:
    """Show one picture to drag on; `kept` is the revision a drag was just saved as."""
    office = office_of(request)
    at = await run_in_threadpool(_planned, office, job_id)
    return await _drag_page(_Shown(request, who, desk, at, view, kept=kept))


@dataclass(frozen=True, slots=True)
class _Shown:
    """The page of one picture."""

    request: Request
    who: Person
    desk: Desk
    at: Opened
    view: str
    kept: int = 0
    form: Sent | None = None  # a move that was tried or refused
    answer: dict[str, Any] | None = None
    wrong: str = ""
    faults: tuple[Any, ...] = ()
    status: int = 200


async def _drag_page(s: _Shown) -> Response:
    at = s.at
    said = await s.desk.ask(_design(office_of(s.request), at.shown), {"op": "picture", "view": s.view})
    picture = said["picture"]
    quick = s.desk.expected.get((at.job.id, s.kept))
    done = s.kept and at.shown.number == s.kept and at.field is not None
    words = {
        "picture": picture, "drawing": inline(picture["svg"].encode()), "axes": _axes(picture), "answer": s.answer,
        "form": s.form.fields if s.form else {}, "wrong": s.wrong, "faults": s.faults, "kept": s.kept,
        "quick": quick, "compared": compared(quick, quick["of"], at.field) if quick and done and at.field else None,
        "waits": bool(s.kept) and not done and at.plan.state in ("waiting", "running"), "urlencode": urlencode,
        "token": s.who.csrf,
    }  # fmt: skip
    return page("drag.html", s.who, s.status, at=at, here="edit", **words)


def _axes(picture: dict[str, Any]) -> dict[str, list[tuple[str, str]]]:
    """Return the directions each thing can be moved in on a picture, as pairs of words."""
    plan = picture["id"].startswith("plan-")
    names = (("east", "west"), ("north", "south")) if plan else AXES
    return {h["id"]: [names[i] for i in (0, 1) if any(abs(w[i]) > 0.5 for w in h["ways"])] for h in picture["handles"]}


def _said_mm(form: Sent, name: str) -> float:
    """Return a distance of a form that a script filled in [mm]."""
    try:
        mm = float(form.get(name) or 0.0)
    except ValueError as error:
        raise NotRead(f"{name} is no number") from error
    if not math.isfinite(mm):
        raise NotRead(f"{name} is no number")
    return mm


def _by_hand(form: Sent, system: units.Units) -> tuple[float, float]:
    """Return how far right and up a form without scripts says [mm]: lengths as a plumber writes them."""
    out = []
    for name, back in (("across", ("left", "west")), ("upright", ("down", "south"))):
        said = form.get(name).strip()
        try:
            mm = units.parse_length_mm(said, system) if said else 0.0
        except units.UnitError as error:
            raise NotRead(str(error)) from error
        out.append(-mm if form.get(f"{name} way") in back else mm)
    return out[0], out[1]


def _question(op: str, form: Sent, right: float, up: float) -> dict[str, Any]:
    return {"op": op, "view": form.get("view"), "handle": form.get("handle"), "right": right, "up": up}


@router.post("/jobs/{job_id}/drag/move")
async def move(request: Request, job_id: int, form: Form, desk: DeskOf) -> Response:
    """Say at once what a move does: words for the page, and lines for the picture."""
    _, design = await _at_base(request, job_id, form)
    asked = _question("moved", form, _said_mm(form, "right"), _said_mm(form, "up"))
    answer = await desk.ask(design, {**asked, "rest": form.get("rest") == "yes"}, form.who.token)
    panel = page("_dragged.html", form.who, answer=answer, job_id=job_id)
    shown = {k: answer[k] for k in ("by", "right", "up", "band", "holes", "lines", "outlines", "grip")}
    headers = {"Server-Timing": f"answer;dur={answer['ms']}"}
    return JSONResponse({**shown, "panel": bytes(panel.body).decode()}, headers=headers)


@router.post("/jobs/{job_id}/drag/try")
async def attempt(request: Request, job_id: int, form: Form, desk: DeskOf) -> Response:
    """Show what a move does that was written into the form."""
    at = await run_in_threadpool(_planned, office_of(request), job_id)
    try:
        right, up = _by_hand(form, texts.units_of(at.shown.text))
    except NotRead as error:
        shown = _Shown(request, form.who, desk, at, form.get("view"), form=form, wrong=str(error), status=422)
        return await _drag_page(shown)
    _, design = await _at_base(request, job_id, form)
    answer = await desk.ask(design, {**_question("moved", form, right, up), "rest": True})
    return await _drag_page(_Shown(request, form.who, desk, at, form.get("view"), form=form, answer=answer))


@router.post("/jobs/{job_id}/drag/keep")
async def keep(request: Request, job_id: int, form: Form, desk: DeskOf) -> Response:
    """Write a move into the job file and save it as the next revision; the whole plan is made of that."""
    office = office_of(request)
    base, design = await _at_base(request, job_id, form)
    said = await desk.ask(design, _question("kept", form, _said_mm(form, "right"), _said_mm(form, "up")))
    text = await run_in_threadpool(_changed, base.text, said["values"])
    known = {str(f) for f in texts.faults_of(base.text)}
    faults = tuple(f for f in await run_in_threadpool(texts.faults_of, text) if str(f) not in known)
    at = await run_in_threadpool(_planned, office, job_id)
    again = _Shown(request, form.who, desk, at, form.get("view"), form=form, answer=said["answer"])
    if faults:
        return await _drag_page(_with(again, faults=faults, status=422))
    if text == base.text:  # back where it was, or a wall that cannot go there
        return await _drag_page(_with(again, status=422 if said["answer"]["faults"] else 200))
    note = ": ".join(n for n in (said["note"], " ".join(form.get("note").split())) if n)
    try:
        saved = await run_in_threadpool(jobs.save, office.store, job_id, base.number, text, form.who.name, note)
    except Stale as stale:
        wrong = (
            f"Somebody saved revision {stale.head} while you were at revision {base.number}. Nothing was saved: "
            "load the page again and drag once more."
        )
        return await _drag_page(_with(again, wrong=wrong, status=409))
    number = saved.number
    if at.field is not None:
        desk.expect(job_id, number, {**expected(at.field, said["answer"]), "of": _of(form.get("handle"))})
    return RedirectResponse(f"/jobs/{job_id}/drag/on?{urlencode({'view': form.get('view'), 'kept': number})}", 303)


def _with(shown: _Shown, **new: Any) -> _Shown:
    return _Shown(**{**{n: getattr(shown, n) for n in _Shown.__dataclass_fields__}, **new})


def _of(handle: str) -> str:
    return handle.partition(":")[2].partition("@")[0]


def _changed(text: str, values: list[dict[str, Any]]) -> str:
    """Return the job file with the values of a drag: comments and all else stay letter for letter."""
    for v in values:
        if v["inner"]:
            text = yaml_paths.put(text, (v["listed"], v["of"], v["key"], v["point"], v["inner"]), v["value"])
        elif not v["point"]:
            text = yaml_edit.change(text, v["of"], {v["key"]: v["value"]}, v["listed"])
    points = [v for v in values if v["point"] and not v["inner"]]
    for listed in dict.fromkeys(v["listed"] for v in points):
        some = (v for v in points if v["listed"] == listed)
        text = yaml_edit.change_nth(text, (Nth(v["of"], v["key"], v["point"], v["value"]) for v in some), listed)
    return text


@router.get("/jobs/{job_id}/drag/progress")
async def progress(request: Request, job_id: int, who: Who, view: str, kept: int) -> Response:
    """Say how far the plan of a drag is; the page is loaded anew when it is there."""
    at = await run_in_threadpool(opened, office_of(request), job_id)
    query = urlencode({"view": view, "kept": kept})
    words = {"poll": f"/jobs/{job_id}/drag/progress?{query}", "goes_on": f"/jobs/{job_id}/drag/on?{query}"}
    return waits(
        page("_wait.html", who, words=f"The whole plan of revision {kept}", plan=at.plan, **words), at.plan.state
    )
