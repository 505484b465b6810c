"""The app on a phone's home screen: manifest, worker, and what a page says of itself to be kept for reading."""

from __future__ import annotations

import json
from functools import lru_cache
from hashlib import sha256
from importlib.resources import files
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from stubout.web.office import asset, page
from stubout.web.people import Person, language_of

router = APIRouter()
ASSETS: Final = (
    "field.css", "field.js", "htmx.min.js", "photos.js", "offline.js", "mark.svg", "icon-192.png", "icon-512.png",
)  # fmt: skip
FONTS: Final = ("/fonts/DejaVuSans.ttf", "/fonts/DejaVuSans-Bold.ttf")
KEEPS: Final = "X-Stubout-Keeps"


def keeps(response: Response) -> Response:
    """Mark a page as one that the browser of its reader may keep to be read without a signal."""
    response.headers[KEEPS] = "yes"
    return response


@router.get("/app.webmanifest")
def manifest() -> Response:
    """Describe the app to a browser that puts it on a home screen."""
    icons = [
        {"src": asset(f"icon-{n}.png"), "sizes": f"{n}x{n}", "type": "image/png", "purpose": "any maskable"}
        for n in (192, 512)
    ]
    data: dict[str, Any] = {
        "id": "/", "name": "Stubout", "short_name": "Stubout", "start_url": "/", "scope": "/",
        "display": "standalone", "background_color": "#ffffff", "theme_color": "#000000", "icons": icons,
        "description": "Walls, marks and records of the rough-in, on site.",
    }  # fmt: skip
    return JSONResponse(data, media_type="application/manifest+json")


@lru_cache(maxsize=1)
def _worker() -> str:
    shell = [*(asset(name) for name in ASSETS), *FONTS]
    code = files("stubout.web").joinpath("static", "worker.js").read_text(encoding="utf-8")
    version = sha256(json.dumps([shell, code]).encode()).hexdigest()[:12]
    return f"const SHELL = {json.dumps(shell)};\nconst VERSION = {json.dumps(version)};\n{code}"


@router.get("/worker.js")
def worker() -> Response:
    """Give out the worker, with the names of what it keeps: a changed file is another name, so a new worker."""
    return Response(_worker(), media_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"})


@router.get("/offline")
def offline(request: Request) -> Response:
    """Say that there is no signal, and that this page was not seen before; it knows nobody."""
    nobody: Person | None = None
    return page("offline.html", nobody, language=language_of(request))
