"""What the plan says: drawings, findings with their place, questions, reasons, lists."""

from __future__ import annotations

import re
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup
from starlette.exceptions import HTTPException

from stubout.web import pricing
from stubout.web.office import NotPlanned, Opened, Who, office_of, opened, remembered

router = APIRouter()
_PROLOG: Final = re.compile(r"^<\?xml[^>]*>\s*")
_SIZE: Final = re.compile(r'(<svg [^>]*?)width="[^"]*" height="[^"]*"')
LEVELS: Final = ("STOP", "FIX", "ASK", "NOTE")


def inline(data: bytes) -> Markup:
    """Return a drawing of ours to stand inside a page: its texts were escaped where it was written."""
    return Markup(_SIZE.sub(r"\1", _PROLOG.sub("", data.decode()), count=1))


def planned(request: Request, job_id: int) -> Opened:
    """Return a job that has something to show; raises NotPlanned."""
    at = opened(office_of(request), job_id)
    if at.field is None:
        raise NotPlanned(job_id)
    return at


@router.get("/jobs/{job_id}/sheets")
def sheets(request: Request, job_id: int, who: Who) -> Response:
    """List the drawings, lists and files."""
    at = planned(request, job_id)
    found = pricing.priced(office_of(request), at)

    def words() -> dict[str, Any]:
        names = [n for n in office_of(request).plans.names(at.key) if n.startswith("lists/")]
        return {"lists": names, "priced": found, "here": "sheets"}

    return remembered(request, who, "sheets.html", at, words, found and found.plan)


@router.get("/jobs/{job_id}/sheets/{number}")
def sheet(request: Request, job_id: int, number: int, who: Who) -> Response:
    """Show one drawing."""
    at = planned(request, job_id)
    assert at.field is not None
    if not 1 <= number <= len(at.field.drawings):
        raise HTTPException(404, "there is no such sheet")
    drawing = at.field.drawings[number - 1]

    def words() -> dict[str, Any]:
        picture = inline(office_of(request).plans.file(at.key, drawing.file))
        return {"drawing": drawing, "picture": picture, "number": number, "here": "sheets"}

    return remembered(request, who, "sheet.html", at, words)


@router.get("/jobs/{job_id}/why")
def why(request: Request, job_id: int, who: Who, about: str = "") -> Response:
    """Say how a size, height or load came about."""
    at = planned(request, job_id)
    assert at.field is not None
    wanted = about.strip().casefold()
    name = next((n for n in at.field.answers if n.casefold() == wanted), "")
    found = [at.field.reasons[i] for i in at.field.answers.get(name, ())]
    known = list(at.field.answers)
    marks = [(s, m) for s in at.field.walls for m in s.marks if wanted and m.about.casefold() == wanted]
    words = {"about": about.strip(), "found": found, "known": known, "marks": marks, "here": "findings"}
    return remembered(request, who, "why.html", at, lambda: words)
