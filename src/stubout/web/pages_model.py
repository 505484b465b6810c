"""The plan from all sides: frame, pipes, cabinets in 3D, and the same pipes as a list."""

from __future__ import annotations

import json
import struct
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stubout.web.office import Who, office_of, page
from stubout.web.pages_see import planned

router = APIRouter()
MODEL: Final = "model.glb"
KINDS: Final = (
    ("drain", "drains"), ("vent", "vents"), ("fitting", "fittings"), ("wood", "walls and frames"),
    ("cabinet", "cabinets"), ("fixture", "fixtures"),
)  # fmt: skip


def document_of(data: bytes) -> dict[str, Any]:
    """Return the description of a GLB file of ours."""
    size = int(struct.unpack_from("<I", data, 12)[0])
    found: dict[str, Any] = json.loads(data[20 : 20 + size])
    return found


def nodes_of(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Return what stands beside every body."""
    return [n["extras"] for n in document.get("nodes", [])]


@router.get("/jobs/{job_id}/model")
def model(request: Request, job_id: int, who: Who, about: str = "") -> Response:
    """Show the model; `about` is a pipe to be picked out at once."""
    at = planned(request, job_id)
    try:
        data = office_of(request).plans.file(at.key, MODEL)
    except KeyError:
        raise HTTPException(404, "this plan has no model") from None
    document = document_of(data)
    told = nodes_of(document)
    pipes = [n for n in told if n["kind"] == "pipe"]
    named = {n["level"] for n in told}
    levels = [v for v in document["scenes"][0]["extras"]["levels"] if v in named]
    assert at.field is not None
    reasons = {name.casefold() for name in at.field.answers}
    words = {"pipes": pipes, "levels": levels, "kinds": KINDS, "url": f"/jobs/{job_id}/files/{at.key}/{MODEL}"}
    return page("model.html", who, at=at, about=about, reasons=reasons, here="sheets", **words)
