"""The rule books over HTTP: how sure they are, one whole, two side by side, words looked up; schemas and version."""

from __future__ import annotations

from importlib.metadata import version as version_of
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, Response

from stubout import run, run_books
from stubout.export.books_json import compared_data, contents_data, found_data, ids_data, shelf_data, titles_data
from stubout.export.json_ import SCHEMA, error_data
from stubout.run_field import beyond, two_books
from stubout.store import jobs
from stubout.web import api, mending, pages_books
from stubout.web.api import WAITS, JobId, made, not_yet
from stubout.web.office import Who, office_of

router = APIRouter(prefix="/api", responses=api.router.responses)
Book = Annotated[str, Query(min_length=1, max_length=80)]


def _no_book(book: str) -> Response:
    return JSONResponse(error_data(f"there is no rule book {book!r}", []), 404)


@router.get("/books")
def books(who: Who) -> dict[str, Any]:
    """Count the books by how sure their values are, as `stubout books` does."""
    return {"schema": SCHEMA, **shelf_data(run_books.shelf())}


@router.get("/books/diff")
def books_diff(who: Who, a: Book, b: Book) -> dict[str, Any]:
    """Put two rule books side by side: every figure in which they differ."""
    return {"schema": SCHEMA, **compared_data(run_books.compare(a, b))}


@router.get("/books/{book}")
def one_book(book: str, who: Who) -> Response:
    """Return one book whole: its tables with every row, its values, its clauses, each with section and status."""
    if book not in run.books():
        return _no_book(book)
    rules = run.book(book)
    return JSONResponse({"schema": SCHEMA, **contents_data(rules, run_books.count(rules))})


@router.get("/jobs/{job_id}/books/diff", responses=WAITS)
def job_books_diff(request: Request, job_id: JobId, who: Who, a: Book, b: Book) -> Response:
    """Judge the last revision under two books; 202 with how far it is while it is worked out."""
    pages_books.refuse(a, b)
    office = office_of(request)
    revision = jobs.revision(office.store, job_id)
    pages_books.own_book(revision, b)
    plan = pages_books.asked(office, revision, a, b)
    if plan.state != "done":
        return not_yet(plan)
    data = pages_books.file_of(office, revision, a, b, two_books.DATA)
    return Response(data, media_type="application/json")


@router.get("/jobs/{job_id}/books/verify", responses=WAITS)
def verify(request: Request, job_id: JobId, who: Who) -> Response:
    """Return the verification sheet: book values nobody has read that decide something in the last revision."""
    at, waiting = made(request, job_id)
    if waiting is not None:
        return waiting
    plan = mending.beside(office_of(request).plans, at.revision, beyond.VERIFY)
    if plan.state != "done":
        return not_yet(plan)
    return Response(office_of(request).plans.file(plan.key, beyond.SHEET), media_type="application/json")


@router.get("/lookup")
def lookup_books(who: Who) -> dict[str, Any]:
    """List the rule books: id, title, edition."""
    return {"schema": SCHEMA, **titles_data(run.book(i) for i in run.books())}


@router.get("/lookup/{book}")
def lookup(book: str, who: Who, words: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Return the values whose id, title or section holds all the words; without words what the book has, by id."""
    if book not in run.books():
        return _no_book(book)
    rules = run.book(book)
    found = found_data(book, run.lookup(rules, words)) if words.strip() else ids_data(rules)
    return JSONResponse({"schema": SCHEMA, **found})


@router.get("/schema/{of}")
def schema(of: Literal["job", "amendments", "confirmations"], who: Who) -> Response:
    """Return the JSON Schema of a job file, or of a file beside it."""
    return Response(run.schema(of), media_type="application/json")


@router.get("/version")
def version(who: Who) -> dict[str, Any]:
    """Return the version of the program."""
    return {"schema": SCHEMA, "version": version_of("stubout")}
