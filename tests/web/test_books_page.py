"""A job by two rule books: the page says what `stubout books diff` says, and the job is not touched."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest
from web_client import Browser

from stubout import run_books
from stubout.export.books_json import job_compared_data
from stubout.run_field import texts, two_books
from stubout.store import jobs
from stubout.web import pages_books
from stubout.web.office import Office

DRAWN = (Path(__file__).parents[2] / "examples" / "drawn-bath.yaml").read_text(encoding="utf-8")
MOST_S = 90.0


@pytest.fixture(scope="module")
def drawn(office: Office, served: object, starter: int) -> int:
    made = jobs.create(office.store, "Drawn bath", DRAWN, "Plumber P", "")
    assert office.plans.wait(DRAWN, made.id, MOST_S).state == "done"
    return made.id


def compared(office: Office, job: int, a: str, b: str) -> two_books.Two:
    """Return a job by two books when it is worked out."""
    revision = jobs.revision(office.store, job)
    end = time.monotonic() + MOST_S
    while pages_books.asked(office, revision, a, b).state != "done" and time.monotonic() < end:
        time.sleep(0.1)
    return two_books.read(pages_books.file_of(office, revision, a, b, two_books.BOOKS))


def test_row_by_row_as_the_command_line_has_it(plumber: Browser, office: Office, drawn: int) -> None:
    first = plumber.get(f"/jobs/{drawn}/books?other=npc-2020")  # asks, and does not wait
    assert first.status_code == 200
    two = compared(office, drawn, "upc-2021", "npc-2020")
    done = run_books.compare_job(texts.read_text(DRAWN), "upc-2021", "npc-2020")
    data = pages_books.file_of(office, jobs.revision(office.store, drawn), "upc-2021", "npc-2020", two_books.DATA)
    told = json.loads(data)
    wanted = json.loads(json.dumps(job_compared_data(done, "Cottage bath, drawn by hand")))
    assert told == {"schema": 1, **wanted}
    page = plumber.get(f"/jobs/{drawn}/books?other=npc-2020").text
    assert [r.check for r in two.kept_rows] == [r.check for r in done.kept_rows]
    for row in done.kept_rows:
        assert row.differs == "only b"
        for found in row.b:
            assert found.found.replace("'", "&#39;").replace('"', "&#34;") in page
    assert "npc-2020 2.4.9.4 (secondary)" in page  # clause and how sure it is
    assert "upc-2021: ✓ passes" in page
    assert "upc-2021: ? does not judge it, or not all of it" in page
    assert "Fails by npc-2020, not by upc-2021: 5" in page
    assert "cleanout of ," not in page
    assert jobs.job(office.store, drawn).head == 1


def test_a_framing_book_is_put_beside_the_framing_book(plumber: Browser, office: Office, drawn: int) -> None:
    own = texts.read_text(DRAWN).job.framing
    other = next(i for i, _ in dict(pages_books.shelf())["framing"] if i != own)
    two = compared(office, drawn, own, other)
    assert (two.a.book, two.b.book) == (own, other)
    page = plumber.get(f"/jobs/{drawn}/books?other={other}").text
    assert f"<h2>{own} and {other}</h2>" in page


@pytest.mark.parametrize("other", ["upc-2021", "no-such-book", "../x", "<b>"])
def test_no_other_book(plumber: Browser, drawn: int, other: str) -> None:
    answer = plumber.get(f"/jobs/{drawn}/books", params={"other": other})
    assert answer.status_code == 400
    assert "<b>'" not in answer.text


def test_a_job_with_faults_says_so(plumber: Browser, office: Office) -> None:
    made = jobs.create(office.store, "Faulty", DRAWN.replace("kind: lavatory", "kind: lavatry"), "Plumber P", "")
    assert plumber.get(f"/jobs/{made.id}/books").status_code == 200
    answer = plumber.get(f"/jobs/{made.id}/books?other=npc-2020")
    assert (answer.status_code, "has faults" in answer.text) == (400, True)


def test_the_page_offers_every_book(plumber: Browser, drawn: int) -> None:
    page = plumber.get(f"/jobs/{drawn}/books").text
    for _, books in pages_books.shelf():
        for book_id, title in books:
            assert f"{title} ({book_id})" in page
