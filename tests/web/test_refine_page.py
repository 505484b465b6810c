"""Look for a better layout from a page: tried in the other process, looked at, saved, undone.

Expected: what `stubout refine` finds in the same text (`tests/cli/test_refine.py`).
"""

from __future__ import annotations

import json
import re

import pytest
from web_client import Browser, waited

from stubout import run_refine
from stubout.files.demo import demo_text
from stubout.run_field import beyond, texts
from stubout.store import jobs
from stubout.web.office import Office

LAYOUTS = 4


@pytest.fixture
def demo(fresh: int, office: Office) -> int:
    """Give a job whose second revision is the demonstration house: some order draws it cheaper than the usual one."""
    jobs.save(office.store, fresh, 1, demo_text(), "P")
    return fresh


def worked_out(who: Browser, job: int) -> str:
    query = f"base=2&layouts={LAYOUTS}"
    waited(who, f"/jobs/{job}/refine/progress?{query}")
    return who.get(f"/jobs/{job}/refine/found?{query}").text


def sent_back(page: str) -> dict[str, str]:
    form = re.search(r'<form method="post" action="/jobs/\d+/refine">(.*?)</form>', page, re.DOTALL)
    assert form, page
    return dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form[1]))


def test_the_page_shows_and_saves_what_the_command_line_finds(plumber: Browser, demo: int, office: Office) -> None:
    assert "How many layouts to try" in plumber.get(f"/jobs/{demo}/refine").text
    assert "/refine" in plumber.get(f"/jobs/{demo}/findings").text
    page = worked_out(plumber, demo)
    text = jobs.revision(office.store, demo).text
    made = run_refine.refined_in(texts.read_text(text), text, texts.NAME, LAYOUTS)
    assert made.refined.better, "the starter can be bettered; else this test needs another house"
    for entry in made.refined.entries:
        assert all(k in page for k in entry)
    assert f"the best of {LAYOUTS}" in page
    answer = plumber.post(f"/jobs/{demo}/refine", sent_back(page))
    assert answer.url.path == f"/jobs/{demo}/revisions/3"
    saved = jobs.revision(office.store, demo)
    assert (saved.number, saved.note, saved.text) == (3, f"the best of {LAYOUTS} layouts", made.text)
    again = plumber.post(f"/jobs/{demo}/refine", sent_back(page))
    assert again.url.path == f"/jobs/{demo}/revisions/3", "a second tap changes nothing"


def test_nothing_is_saved_over_somebody_else(plumber: Browser, demo: int, office: Office) -> None:
    page = worked_out(plumber, demo)
    jobs.save(office.store, demo, 2, jobs.revision(office.store, demo).text + "# theirs\n", "H")
    answer = plumber.post(f"/jobs/{demo}/refine", sent_back(page))
    assert answer.status_code == 409
    assert "nothing was saved here" in answer.text
    assert jobs.job(office.store, demo).head == 3


def test_where_nothing_is_better_there_is_nothing_to_keep(
    plumber: Browser, demo: int, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked_out(plumber, demo)
    side = {"blocked": 0, "findings": ["FIT006", "FIT006"], "cost_min": 847.4}
    same = {"tried": LAYOUTS, "was": side, "best": side, "choices": [], "text": jobs.revision(office.store, demo).text}
    real = office.plans.file
    monkeypatch.setattr(
        type(office.plans),
        "file",
        lambda _self, key, name: json.dumps(same).encode() if name == beyond.REFINED else real(key, name),
    )
    page = plumber.get(f"/jobs/{demo}/refine/found?base=2&layouts={LAYOUTS}").text
    assert f"None of {LAYOUTS} layouts was better." in page
    assert "FIT006" in page
    assert "14 h 07 min" in page
    assert "Keep as a new revision" not in page
    answer = plumber.post(f"/jobs/{demo}/refine", {"base": "2", "layouts": str(LAYOUTS)})
    assert answer.url.path == f"/jobs/{demo}"
    assert jobs.job(office.store, demo).head == 2


@pytest.mark.parametrize(
    ("query", "status", "words"),
    [
        ("base=1&layouts=0", 400, "between 1 and 200"),
        ("base=1&layouts=201", 400, "between 1 and 200"),
        ("base=9", 404, "no revision 9"),
        ("base=x", 422, ""),
    ],
)
def test_what_cannot_be_tried_is_told(plumber: Browser, fresh: int, query: str, status: int, words: str) -> None:
    answer = plumber.get(f"/jobs/{fresh}/refine/found?{query}")
    assert answer.status_code == status
    assert words in answer.text


def test_what_is_not_worked_out_is_not_saved(plumber: Browser, fresh: int, office: Office) -> None:
    answer = plumber.post(f"/jobs/{fresh}/refine", {"base": "1", "layouts": "17"})
    assert answer.status_code == 400
    assert "not worked out" in answer.text
    assert jobs.job(office.store, fresh).head == 1
