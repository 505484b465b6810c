"""Site mode: one wall a screen, ticks, as-built heights and slopes with an instant verdict, notes, photos, gates."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from stubout import units
from stubout.run_field import texts
from stubout.run_field.built import Reading
from stubout.run_field.model import Field, Said, WallSide
from stubout.run_field.words import noted
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind, StoreError
from stubout.web import as_built, gates, verdicts
from stubout.web.office import Form, Opened, Sent, Who, office_of, opened, page, remembered, standing, waits
from stubout.web.pages_edit import whole
from stubout.web.pages_people import own_path
from stubout.web.pages_see import inline, planned
from stubout.web.pages_shell import keeps
from stubout.web.people import language_of
from stubout.web.photos import remade
from stubout.web.plans import Plan
from stubout.web.site import Site

router = APIRouter()
ELSEWHERE: Final = "elsewhere"
TITLES: Final = {
    "bore": noted("Holes"), "stub": noted("Stub-outs"), "glue": noted("Glue"), "hanger": noted("Hangers and straps"),
    "plate": noted("Plates"), "cap": noted("Caps and plugs for the test"),
}  # fmt: skip

# What the list of records calls each kind.
KIND_WORDS: Final = (
    noted("tick"), noted("height"), noted("slope"), noted("note"), noted("test"), noted("sign-off"), noted("photo"),
    noted("prices"), noted("taken back"),
)  # fmt: skip


def slug(side: WallSide) -> str:
    """Return the name of a wall side in an address: that of its picture, which every system takes."""
    return side.picture.removeprefix("screens/screen-").removesuffix(".svg")


def _site(request: Request, job_id: int) -> Site:
    return _site_at(request, planned(request, job_id))


def _site_at(request: Request, at: Opened) -> Site:
    return Site(at, standing(office_of(request), at), language_of(request))


def _side(field: Field, name: str) -> WallSide:
    found = next((s for s in field.walls if slug(s) == name), None)
    if found is None:
        raise HTTPException(404, "there is no such wall in this revision")
    return found


@router.get("/jobs/{job_id}/site")
def walls(request: Request, job_id: int, who: Who) -> Response:
    """List the walls with what is done on each."""
    at = planned(request, job_id)

    def words() -> dict[str, Any]:
        site = _site_at(request, at)
        return {"site": site, "slug": slug, "moved": gates.moved(site.field, site.records), "here": "site"}

    return keeps(remembered(request, who, "site.html", at, words))


@router.get("/jobs/{job_id}/site/{name}")
def wall(request: Request, job_id: int, name: str, who: Who) -> Response:
    """Show one wall, or what is done elsewhere."""
    at = planned(request, job_id)
    assert at.field is not None
    words: dict[str, Any] = {"titles": TITLES, "here": "site"}
    if name == ELSEWHERE:
        return keeps(remembered(request, who, "elsewhere.html", at, lambda: {"site": _site_at(request, at), **words}))
    side = _side(at.field, name)

    def wall_words() -> dict[str, Any]:
        site = _site_at(request, at)
        picture = inline(office_of(request).plans.file(at.key, side.picture))
        nth = site.field.walls.index(side)
        beside = ["", *(slug(s) for s in site.field.walls), ""]
        around = {"before": beside[nth], "after": beside[nth + 2], "number": nth + 1, "slug": name}
        return {"site": site, "side": side, "picture": picture, **around, **words}

    return keeps(remembered(request, who, "wall.html", at, wall_words))


@router.get("/jobs/{job_id}/records")
def history(request: Request, job_id: int, who: Who) -> Response:
    """Show every record, those taken back among them."""
    at = opened(office_of(request), job_id)

    def words() -> dict[str, Any]:
        every = records.listed(office_of(request).store, job_id)
        gone = {r.takes_back for r in every if r.takes_back}
        return {"job": at.job, "records": every[::-1], "gone": gone, "here": "site"}

    return remembered(request, who, "records.html", at, words)


@router.post("/jobs/{job_id}/records")
def record(request: Request, job_id: int, form: Form) -> Response:
    """Keep one record; the answer is the part of the page it changes, or the page again."""
    office = office_of(request)
    wrong = ""
    try:
        entry = _entry(form, request, job_id)
        records.add(office.store, job_id, whole(form.get("revision")), form.who.name, entry)
    except (units.UnitError, KeyError) as error:
        wrong = str(error) if isinstance(error, units.UnitError) else "say above which floor"
    if "hx-request" in request.headers and form.get("part"):
        return _part(request, job_id, form, wrong)
    if wrong:
        raise StoreError(wrong)
    return RedirectResponse(own_path(form.get("next")), 303)


def _entry(form: Sent, request: Request, job_id: int) -> Entry:
    """Return a record as it came in a form; what is measured must be readable, or it is not kept."""
    try:
        kind = Kind(form.get("kind"))
    except ValueError:
        raise StoreError("there is no such kind of record") from None
    value = form.get("value")
    if kind is Kind.HEIGHT:
        text = jobs.revision(office_of(request).store, job_id, whole(form.get("revision"))).text
        value = verdicts.height_value(value, form.get("datum"), texts.units_of(text))
    elif kind is Kind.SLOPE:
        units.parse_slope(value)
    elif kind is Kind.TEST:
        fields = (" ".join(form.get(k).split()) for k in ("start", "end", "minutes", "leaks", "witness"))
        value = verdicts.Tested(*fields).value
    elif kind in (Kind.NOTE, Kind.SIGN) and not value.strip():
        raise StoreError("there is nothing written in it")
    elif kind is Kind.PHOTO:
        raise StoreError("a photo is sent as a file")
    if kind is Kind.SIGN:
        at = planned(request, job_id)
        wrong = gates.refusal(at.field, standing(office_of(request), at), form.get("about"))
        if wrong:
            raise StoreError(wrong)
    back = whole(form.get("takes_back")) if kind is Kind.BACK else 0
    return Entry(kind, form.get("about"), value, form.get("wall"), form.get("place"), "", back, form.get("token"))


def _part(request: Request, job_id: int, form: Sent, wrong: str) -> Response:
    """Return the row of a mark, a task or a drain as it is now."""
    site = _site(request, job_id)
    part, place = form.get("part"), form.get("place")
    words: dict[str, Any] = {"at": site.at, "site": site, "wrong": wrong, "said": form.get("value") if wrong else ""}
    if part == "mark":
        for side in site.field.walls:
            for m in side.marks:
                if side.id == form.get("wall") and place in (m.place, getattr(site.task(m), "place", None)):
                    return page("_mark.html", form.who, side=side, mark=m, **words)
    if part == "task":
        for t in site.field.tasks:
            if place in (t.place, gates.OUT + t.place):
                return page("_task.html", form.who, task=t, **words)
    if part == "drain":
        for d in site.field.drains:
            if d.place == place:
                return page("_drain.html", form.who, drain=d, **words)
    raise HTTPException(404, "that is not in this revision any more: load the page again")


@router.post("/jobs/{job_id}/photos")
def photo(request: Request, job_id: int, form: Form) -> Response:
    """Keep a photo of a wall or a mark: its pixels and nothing else of the file."""
    office = office_of(request)
    data, width, height = remade(form.files.get("photo", b""), office.settings.limits)
    about = form.get("about") or form.get("wall")
    revision = whole(form.get("revision"))
    jobs.revision(office.store, job_id, revision)
    digest = records.keep_photo(office.store, data, width, height)
    entry = Entry(
        Kind.PHOTO, about, form.get("value"), form.get("wall"), form.get("place"), digest, token=form.get("token")
    )
    records.add(office.store, job_id, revision, form.who.name, entry)
    return RedirectResponse(own_path(form.get("next")), 303)


@router.get("/photos/{digest}.jpg")
def picture(request: Request, digest: str, who: Who) -> Response:
    """Give out a photo."""
    found = records.photo(office_of(request).store, digest)
    headers = {"Cache-Control": "private, max-age=31536000, immutable"}
    return Response(found.data, media_type="image/jpeg", headers=headers)


@router.get("/jobs/{job_id}/as-built")
def as_built_page(request: Request, job_id: int, who: Who) -> Response:
    """Show the packet with the readings of the site laid into it, or how far it is."""
    at, found, plan = _as_built(request, job_id)
    told: list[Said] = []
    if plan.state == "done":
        assert at.field is not None
        planned_ = {(f.check, f.about, f.found) for f in at.field.findings}
        built = office_of(request).plans.field(plan.key).findings
        told = [f for f in built if (f.check, f.about, f.found) not in planned_]
    return page("asbuilt.html", who, at=at, readings=found, plan=plan, found=told, here="gates")


@router.get("/jobs/{job_id}/as-built/progress")
def as_built_progress(request: Request, job_id: int, who: Who) -> Response:
    """Say how far the as-built packet is; the page is loaded anew when it is done."""
    _, _, plan = _as_built(request, job_id)
    path = f"/jobs/{job_id}/as-built"
    words = {"plan": plan, "poll": f"{path}/progress", "goes_on": path, "words": "Making the as-built packet"}
    return waits(page("_wait.html", who, **words), plan.state)


def _as_built(request: Request, job_id: int) -> tuple[Opened, tuple[Reading, ...], Plan]:
    at = planned(request, job_id)
    assert at.field is not None
    found = as_built.readings(at.field, standing(office_of(request), at))
    said = json.dumps([asdict(r) for r in found])
    # Its own slot, so that it does not push out the plan of a newer text of the same job.
    return at, found, office_of(request).plans.ask(at.shown.text, -job_id, said)


@router.get("/jobs/{job_id}/gates")
def gate_list(request: Request, job_id: int, who: Who) -> Response:
    """Show the four gates, the test record and who signed."""
    at = planned(request, job_id)

    def words() -> dict[str, Any]:
        site = _site_at(request, at)
        lines = gates.gates(site.field, site.records, site.say)
        return {"site": site, "gates": lines, "moved": gates.moved(site.field, site.records), "here": "gates"}

    return keeps(remembered(request, who, "gates.html", at, words))
