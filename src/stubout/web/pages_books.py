"""The same job by another rule book: what passes in one and fails in the other, row by row."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stubout import run
from stubout.problems import JobFileError
from stubout.run_field import texts, two_books
from stubout.run_field.two_books import Row, Two
from stubout.store.model import Revision, StoreError
from stubout.web.mending import slot
from stubout.web.office import Office, Who, office_of, opened, page, waits
from stubout.web.plans import Plan

router = APIRouter()
GRAVE: Final = ("STOP", "FIX")
_SLOT: Final = 999  # of the work beside the plan of a job: no finding has that number


@lru_cache(maxsize=1)
def shelf() -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """Return the shipped books by what they speak of: id and title of each."""
    found = [run.book(i) for i in run.books()]
    return tuple(
        (what, tuple((b.id, b.title) for b in found if (b.family == "framing") == framing))
        for what, framing in (("plumbing", False), ("framing", True))
    )


def own_book(revision: Revision, other: str) -> str:
    """Return the book of a job that speaks of the same as another one; raises StoreError."""
    try:
        said = texts.read_text(revision.text).job
    except JobFileError:
        raise StoreError("the job file has faults: put them right first") from None
    books = dict(shelf())
    framing = other in dict(books["framing"])
    if not framing and other not in dict(books["plumbing"]):
        raise StoreError(f"there is no rule book {other!r}")
    return said.framing if framing else said.book


def refuse(a: str, b: str) -> None:
    """Raise StoreError unless two books are there and speak of the same."""
    for book in (a, b):
        if not any(book in dict(found) for _, found in shelf()):
            raise StoreError(f"there is no rule book {book!r}")
    if a == b or not any({a, b} <= dict(found).keys() for _, found in shelf()):
        raise StoreError("give two books of plumbing, or two of framing cuts")


def asked(office: Office, revision: Revision, a: str, b: str) -> Plan:
    """Return how far a job under two books is, and have it worked out."""
    return office.plans.ask(revision.text, slot(revision.job, _SLOT), kind=two_books.kind(a, b), beside=revision.job)


def file_of(office: Office, revision: Revision, a: str, b: str, name: str) -> bytes:
    """Return what was worked out; KeyError if it is not there."""
    return office.plans.file(office.plans.key(revision.text, kind=two_books.kind(a, b)), name)


@router.get("/jobs/{job_id}/books")
def side_by_side(request: Request, job_id: int, who: Who, other: str = "") -> Response:
    """Show the job by its own book and by another."""
    office = office_of(request)
    at = opened(office, job_id)
    words: dict[str, Any] = {"other": other, "own": "", "two": None, "plan": None, "shelf": shelf(), "groups": ()}
    words["poll"] = words["goes_on"] = ""
    if other:
        own = words["own"] = own_book(at.revision, other)
        if own == other:
            raise StoreError("that is the job's own book: choose another")
        plan = words["plan"] = asked(office, at.revision, own, other)
        words["poll"] = f"/jobs/{job_id}/books/progress?other={other}"
        words["goes_on"] = f"/jobs/{job_id}/books?other={other}"
        if plan.state == "done":
            two = words["two"] = two_books.read(file_of(office, at.revision, own, other, two_books.BOOKS))
            words["groups"] = _views(two)
    return page("books.html", who, at=at, here="findings", **words)


@router.get("/jobs/{job_id}/books/progress")
def progress(request: Request, job_id: int, who: Who, other: str) -> Response:
    """Say how far it is; the page is loaded anew when it is done."""
    office = office_of(request)
    at = opened(office, job_id)
    plan = asked(office, at.revision, own_book(at.revision, other), other)
    path = f"/jobs/{job_id}/books"
    words = {"plan": plan, "poll": f"{path}/progress?other={other}", "goes_on": f"{path}?other={other}"}
    return waits(page("_wait.html", who, words="The job by both books", **words), plan.state)


def _views(two: Two) -> tuple[tuple[str, str, tuple[tuple[str, tuple[Row, ...]], ...], int, int], ...]:
    """Return both comparisons: title, what it is, rows by who speaks, how many alike, how many questions differ."""
    a, b = two.a.book, two.b.book
    views = []
    if two.kept and not two.kept_silent:
        other = b if two.kept == a else a
        what = f"The layout by {two.kept} as it stands, with its sizes, judged by both books."
        views.append((f"As it stands, judged by {other}", what, *_groups(two.kept_rows, a, b)))
    if not two.a.silent and not two.b.silent:
        what = "Laid out and sized by each book for itself: pipes are known by the fixtures behind them."
        views.append(("Laid out by each book", what, *_groups(two.rows, a, b)))
    return tuple(views)


def _groups(rows: tuple[Row, ...], a: str, b: str) -> tuple[tuple[tuple[str, tuple[Row, ...]], ...], int, int]:
    grave = [r for r in rows if r.level in GRAVE]
    titles = {
        "only a": f"Fails by {a}, not by {b}",
        "only b": f"Fails by {b}, not by {a}",
        "other wanted": "Fails by both, each wants something else",
    }
    told = tuple((title, tuple(r for r in grave if r.differs == differs)) for differs, title in titles.items())
    same = sum(1 for r in grave if r.differs == "same")
    return told, same, sum(1 for r in rows if r.level not in GRAVE and r.differs != "same")
