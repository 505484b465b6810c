"""The plan from all sides: frame, pipes, cabinets in 3D, and the same pipes as a list."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stubout.run_field.words import speaker
from stubout.web.office import Who, office_of, page
from stubout.web.pages_see import planned
from stubout.web.solids import MODEL, solids_of, spoken

router = APIRouter()


@router.get("/jobs/{job_id}/model")
def model(request: Request, job_id: int, who: Who, about: str = "") -> Response:
    """Show the model; `about` is a pipe to be picked out at once."""
    at = planned(request, job_id)
    try:
        data = office_of(request).plans.file(at.key, MODEL)
    except KeyError:
        raise HTTPException(404, "this plan has no model") from None
    assert at.field is not None
    reasons = {name.casefold() for name in at.field.answers}
    words = {"solids": solids_of(data), "spoken": spoken(speaker(who.language)), "reasons": reasons}
    url = f"/jobs/{job_id}/files/{at.key}/{MODEL}"
    return page("model.html", who, at=at, about=about, url=url, here="sheets", **words)
