"""Keep what is installed from a page: proposed by ticks, worked out in the other process, looked at, saved, undone.

Expected: what `stubout keep` writes from the same two texts, and that nothing installed moves (`tests/change`).
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode

import pytest
from web_client import Browser, waited

from stubout import run_change
from stubout.files.single import write_new
from stubout.run_field import texts
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind, Record
from stubout.web import keeping, yaml_edit
from stubout.web.office import Office
from stubout.web.site import ticks

SAID = {"date": "2030-03-01", "by": "Plumber P"}
MOVED = "1'-6\""  # of LV1, 6 in from where the starter has it


@pytest.fixture
def edited(plumber: Browser, fresh: int, office: Office) -> int:
    """Give a copy of the starter with a lavatory moved in its second revision."""
    text = jobs.revision(office.store, fresh).text
    jobs.save(office.store, fresh, 1, yaml_edit.change(text, "LV1", {"at": MOVED}), "P")
    return fresh


def worked_out(who: Browser, job: int, **fields: str) -> str:
    """Return the page of what is kept, when it is there."""
    query = urlencode({"accepted": "1", "base": "2", **SAID, **fields})
    waited(who, f"/jobs/{job}/keep/progress?{query}")
    return who.get(f"/jobs/{job}/keep/done?{query}").text


def sent_back(page: str) -> dict[str, str]:
    """Return the fields of the form that keeps."""
    form = re.search(r'<form method="post" action="/jobs/\d+/keep">(.*?)</form>', page, re.DOTALL)
    assert form, page
    return dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form[1]))


def test_the_page_says_and_saves_what_the_command_line_does(
    plumber: Browser, edited: int, office: Office, tmp_path: Path
) -> None:
    page = worked_out(plumber, edited, **{"wall:P": "yes"})
    for words in ("What is kept", "pipes written as routes", "What moves all the same", "Keep as a new revision"):
        assert words in page
    answer = plumber.post(f"/jobs/{edited}/keep", sent_back(page))
    assert answer.url.path == f"/jobs/{edited}/revisions/3"
    assert "Undo: back to revision 2" in answer.text
    saved = jobs.revision(office.store, edited)
    assert (saved.number, saved.note) == (3, "keeps what is installed, as laid out in revision 1")
    # The same by the command line's own use case, from files.
    old, new = (jobs.revision(office.store, edited, n).text for n in (1, 2))
    for name, text in (("a", old), ("b", keeping.said(new, keeping.Chosen(("P",), **SAID)))):
        write_new(str(tmp_path / f"{name}.yaml"), text.encode())
    assert saved.text == run_change.kept(str(tmp_path / "a.yaml"), str(tmp_path / "b.yaml")).text
    assert "installed: 2030-03-01, Plumber P" in saved.text.replace('"', "")
    # A second tap changes nothing, and the way back is a revision.
    assert plumber.post(f"/jobs/{edited}/keep", sent_back(page)).url.path == f"/jobs/{edited}/revisions/3"
    plumber.post(f"/jobs/{edited}/revisions/2/back", {"base": "3"})
    assert jobs.revision(office.store, edited).text == new


def test_nothing_is_saved_over_somebody_else(plumber: Browser, edited: int, office: Office) -> None:
    page = worked_out(plumber, edited, **{"wall:P": "yes"})
    jobs.save(office.store, edited, 2, jobs.revision(office.store, edited).text + "# theirs\n", "H")
    answer = plumber.post(f"/jobs/{edited}/keep", sent_back(page))
    assert answer.status_code == 409
    assert "nothing was saved here" in answer.text
    assert jobs.job(office.store, edited).head == 3


def test_what_is_not_worked_out_is_not_saved(plumber: Browser, edited: int, office: Office) -> None:
    fields = {"accepted": "1", "base": "2", "wall:P": "yes", **SAID, "by": "Nobody yet"}
    answer = plumber.post(f"/jobs/{edited}/keep", fields)
    assert answer.status_code == 400
    assert "not worked out" in answer.text
    assert jobs.job(office.store, edited).head == 2


@pytest.mark.parametrize(
    ("fields", "status", "words"),
    [
        ({"wall:P": "yes", "by": ""}, 400, "needs a date, and who"),
        ({"accepted": "2", "base": "1"}, 400, "younger"),
        ({"accepted": "9"}, 404, "no revision 9"),
        ({"accepted": "x"}, 400, "a number is missing"),
        ({"runs": "D" * 2001}, 400, "too many runs"),
        ({"wall:P": "yes", "by": "P" * 81}, 400, "at most 80"),
        ({"wall:<b>": "yes"}, 200, "a wall of this job"),
    ],
)
def test_what_cannot_be_kept_is_told(
    plumber: Browser, edited: int, fields: dict[str, str], status: int, words: str
) -> None:
    query = urlencode({"accepted": "1", "base": "2", **SAID, **fields})
    answer = plumber.get(f"/jobs/{edited}/keep/done?{query}")
    assert answer.status_code == status
    assert words in answer.text
    assert "<b>:" not in answer.text
    assert "Keep as a new revision" not in answer.text


def test_a_run_that_is_not_laid_out_is_told(plumber: Browser, edited: int) -> None:
    page = worked_out(plumber, edited, runs="D99")
    assert "could not be worked out" in page
    assert "1 faults in the job file" in page or "D99" in page


def test_ticks_propose_what_is_installed(plumber: Browser, edited: int, office: Office) -> None:
    field = office.plans.field(office.plans.key(jobs.revision(office.store, edited, 1).text))
    glue = [t for t in field.tasks if t.kind == "glue"]
    sides = {s.id for s in field.walls if s.wall == "P"}
    in_p = [t for t in glue if t.wall in sides]
    assert len(in_p) >= 2
    assert any(t.pipes for t in glue)
    for t in in_p[:-1]:
        records.add(office.store, edited, 1, "Plumber P", Entry(Kind.TICK, t.about, wall=t.wall, place=t.place))
    page = plumber.get(f"/jobs/{edited}/keep").text
    box = re.search(r'<input type="checkbox" name="wall:P"[^>]*>', page)
    assert box
    assert "checked" not in box[0], "a fitting is not glued yet"
    last = in_p[-1]
    records.add(office.store, edited, 1, "Plumber P", Entry(Kind.TICK, last.about, wall=last.wall, place=last.place))
    page = plumber.get(f"/jobs/{edited}/keep").text
    box = re.search(r'<input type="checkbox" name="wall:P"[^>]*>', page)
    assert box
    assert "checked" in box[0]
    assert re.search(r'<option value="1" selected>', page), "the layout that the ticks were made on"


def test_a_pipe_is_proposed_when_all_its_fittings_are_glued(edited: int, office: Office) -> None:
    field = office.plans.field(office.plans.key(jobs.revision(office.store, edited, 1).text))
    loose = [t for t in field.tasks if t.kind == "glue" and not t.wall]
    assert loose
    done = {t.place: Record(1, edited, Kind.TICK, t.about, "", "", t.place, "", 0, "P", "2030-01-02", 1) for t in loose}
    found = keeping.proposed(field, done)
    joined: dict[str, set[str]] = {}  # by hand: pipe -> places of its fittings
    for t in field.tasks:
        if t.kind == "glue":
            for p in t.pipes:
                joined.setdefault(p, set()).add(t.place)
    assert found.runs == tuple(sorted(p for p, places in joined.items() if places <= set(done)))
    assert (found.walls, found.date, found.by) == ((), "2030-01-02", "P")
    assert keeping.proposed(field, {}) == keeping.Chosen()
    later = {k: replace(r, revision=7) for k, r in done.items()}
    assert keeping.accepted_by(ticks(later.values()), 9) == 7
    assert keeping.accepted_by({}, 9) == 8
    assert keeping.accepted_by({}, 1) == 1


def test_the_job_says_what_is_in_place_already(office: Office) -> None:
    text = keeping.said(texts.starter("inch"), keeping.Chosen(("P",), ("main",), (), **SAID))
    assert keeping.known(text) == ("P, under main: 2030-03-01, Plumber P",)
    assert keeping.known("a: [") == ()
    assert keeping.said(text, keeping.Chosen(**SAID)) == text
