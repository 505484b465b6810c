"""The field app put together: guard, doors, faults turned into sentences."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from importlib.resources import files
from typing import Any, Final
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse, Response
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles

from stubout.export.json_ import error_data
from stubout.problems import Fault, JobFileError, StuboutError
from stubout.store.engine import Store, open_store
from stubout.store.model import NoSuch, Stale
from stubout.web import (
    api,
    api_books,
    api_change,
    api_more,
    api_plan,
    pages_books,
    pages_cards,
    pages_edit,
    pages_entries,
    pages_fixes,
    pages_jobs,
    pages_keep,
    pages_leftovers,
    pages_model,
    pages_parts,
    pages_people,
    pages_prices,
    pages_questions,
    pages_refine,
    pages_revisions,
    pages_see,
    pages_shell,
    pages_site,
)
from stubout.web.along import pages as pages_along
from stubout.web.guard import Guard
from stubout.web.live import pages as pages_live
from stubout.web.live.desk import Desk
from stubout.web.office import NotPlanned, Office, page
from stubout.web.people import Forged, Known, NotPaired, Pairing
from stubout.web.plans import Plans
from stubout.web.settings import Settings

# Those asked for oftenest first: addresses are compared one after the other.
_PAGES: Final = (
    pages_site, pages_jobs, pages_see, pages_fixes, pages_parts, pages_people, pages_books, pages_edit, pages_revisions,
    pages_keep, pages_prices, pages_entries, pages_leftovers, pages_refine, pages_questions, pages_cards, pages_shell,
    pages_along, pages_live, pages_model,
)  # fmt: skip


def create(settings: Settings, store: Store | None = None) -> FastAPI:
    """Return the app of a data folder; raises StoreError if that cannot be opened."""
    kept = store or open_store(settings.data, settings.database)
    plans = Plans(settings.data / "plans", settings.limits)
    office = Office(settings, kept, plans, Pairing(settings.limits), Known(kept))

    @asynccontextmanager
    async def life(_app: FastAPI) -> AsyncIterator[None]:
        yield
        app.state.live.close()
        office.plans.close()
        kept.close()

    app = FastAPI(
        title="Stubout field app",
        description="The verbs of the command line over HTTP. An aid, not an approval.",
        version="1",
        openapi_url="/api/openapi.json",
        docs_url=None,  # its pages would fetch from outside
        redoc_url=None,
        lifespan=life,
    )
    app.state.office = office
    app.state.live = Desk(settings.limits)
    for pages in _PAGES:
        for route in pages.router.routes:
            assert isinstance(route, APIRoute)
            route.include_in_schema = False
            app.router.routes.append(route)  # asked for oftener than the doors below, and without a router between
    for door in (api, api_plan, api_books, api_change, api_more):
        app.include_router(door.router)
    app.mount("/fonts", _Kept(directory=str(files("stubout").joinpath("fonts"))), name="fonts")
    app.mount("/static", _Kept(directory=str(files("stubout.web").joinpath("static"))), name="static")
    _faults(app)
    app.add_middleware(Guard, settings=settings)
    return app


class _Kept(StaticFiles):
    """Static files: addressed by what is in them, so a browser may keep them."""

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        response = super().file_response(*args, **kwargs)
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable"
        return response


def _faults(app: FastAPI) -> None:
    """Turn every exception into a status and a sentence, for people a page, for programs the one error object."""

    def said(status: int, title: str) -> Callable[[Request, Exception], Response]:
        def answer(request: Request, error: Exception) -> Response:
            text = str(error) if isinstance(error, StuboutError) else title
            if isinstance(error, HTTPException):
                status_ = error.status_code
                text = str(error.detail)
            else:
                status_ = status
            return told(request, status_, title if not isinstance(error, HTTPException) else "Not here", text, error)

        return answer

    app.add_exception_handler(NoSuch, said(404, "Not here"))
    app.add_exception_handler(Stale, said(409, "Saved meanwhile by somebody else"))
    app.add_exception_handler(JobFileError, said(422, "The job file has faults"))
    app.add_exception_handler(StuboutError, said(400, "That cannot be done"))
    app.add_exception_handler(HTTPException, said(400, "That cannot be done"))
    app.add_exception_handler(RequestValidationError, said(422, "The request is not as it should be"))
    app.add_exception_handler(Forged, said(403, "This form is too old: go back, load the page again and send it again"))
    app.add_exception_handler(NotPaired, _unknown)
    app.add_exception_handler(NotPlanned, _not_planned)
    app.add_exception_handler(Exception, said(500, "A fault of the program, not of your job"))


def _is_api(request: Request) -> bool:
    return request.url.path.startswith("/api/")


def told(request: Request, status: int, title: str, text: str, error: Exception | None = None) -> Response:
    """Return a fault as a page, or as the one error object of the API."""
    faults: list[Fault] = error.faults if isinstance(error, JobFileError) else []
    if _is_api(request):
        return JSONResponse(error_data(text, faults), status)
    return page("fault.html", None, status, title=title, text=text)


def _not_planned(request: Request, error: Exception) -> Response:
    """Lead to the page of the job, which says how far it is, or what is wrong with its file."""
    assert isinstance(error, NotPlanned)
    return _led(request, f"/jobs/{error.job}")


def _led(request: Request, target: str) -> Response:
    if "hx-request" in request.headers:
        return Response(status_code=204, headers={"HX-Redirect": target})
    return RedirectResponse(target, 303)


def _unknown(request: Request, _error: Exception) -> Response:
    if _is_api(request):
        return JSONResponse(error_data("say who you are first: POST /api/session", []), 401)
    target = f"/hello?next={quote(request.url.path)}" if request.method == "GET" else "/hello"
    return _led(request, target)
