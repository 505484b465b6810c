"""Lists and pairs over several lines by forms: what stays keeps its line and its comment."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import quote

import pytest
from web_client import Browser

from stubout.store import jobs
from stubout.web import lists, yaml_paths
from stubout.web.office import Office
from stubout.web.yaml_edit import EditError

TEXT = """\
job:
  people:            # who answers
    B: builder       # mornings only
    O: owner
wishes:
  said:
    # of the owner
    - one roof pipe, two at most   # asked twice
    - no pipe seen in the kitchen
    - closets may move
rooms: []
"""
SAID = ("wishes", "said")


def changed(new: list[str]) -> str:
    old = lists.listed(TEXT, SAID)
    assert old is not None
    return yaml_paths.said(TEXT, lists.list_changes(SAID, old, new))


@pytest.mark.parametrize(
    "new",
    [
        ["one roof pipe, two at most", "closets may move"],
        ["first", "one roof pipe, two at most", "no pipe seen in the kitchen", "closets may move"],
        ["one roof pipe, two at most", "a", "b", "no pipe seen in the kitchen", "closets may move", "c", "d"],
        ["closets may move", "one roof pipe, two at most"],
        ["one roof pipe, two at most", "x: y", "- z", "'quoted' \"twice\""],
        ["quite other"],
        ["p", "p", "p", "p", "p"],
    ],
)
def test_any_list_becomes_any_other(new: list[str]) -> None:
    text = changed(new)
    assert lists.listed(text, SAID) == new
    if "one roof pipe, two at most" in new[:2]:
        assert "- one roof pipe, two at most   # asked twice" in text
    assert text.startswith(TEXT[: TEXT.index("wishes")])
    assert text.endswith("rooms: []\n")


def test_no_entry_takes_the_key_out_and_the_first_makes_it() -> None:
    text = yaml_paths.said(TEXT, [(("wishes", "aav"), "yes")])
    gone = yaml_paths.said(text, lists.list_changes(SAID, lists.listed(text, SAID) or [], []))
    assert "said" not in gone
    again = yaml_paths.said(gone, lists.list_changes(SAID, [], ["flat, as drawn", "b"]))
    assert lists.listed(again, SAID) == ["flat, as drawn", "b"]


def test_pairs_keep_their_lines() -> None:
    path = ("job", "people")
    old = lists.paired(TEXT, path)
    assert old == {"B": "builder", "O": "owner"}
    text = yaml_paths.said(TEXT, lists.pair_changes(path, old, lists.pairs("B: builder\nI: inspector\n")))
    assert "    B: builder       # mornings only\n" in text
    assert lists.paired(text, path) == {"B": "builder", "I": "inspector"}
    with pytest.raises(EditError, match="no pair"):
        lists.pairs("builder")
    with pytest.raises(EditError, match="twice"):
        lists.pairs("B: a\nB: b")


def kept(office: Office, job: int) -> str:
    return jobs.revision(office.store, job).text


def sent(plumber: Browser, path: str, **words: str) -> int:
    """Send the form of a page as a browser does, with some words changed, and return the status of the answer."""
    page = plumber.get(path).text
    form = re.findall(r'<form method="post" action="([^"]*)" class="fixture">(.*?)</form>', page, re.DOTALL)[0]
    fields = {}
    for tag in re.findall(r"<input[^>]*>", form[1]):
        said = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if said.get("type") != "checkbox" or "checked" in tag:
            fields[unescape(said["name"])] = unescape(said.get("value", ""))
    for name, body in re.findall(r'<select[^>]* name="([^"]*)".*?>(.*?)</select>', form[1], re.DOTALL):
        picked = re.search(r"<option selected>([^<]*)", body)
        fields[name] = unescape(picked[1]) if picked else ""
    for name, body in re.findall(r'<textarea[^>]* name="([^"]*)"[^>]*>\n(.*?)</textarea>', form[1], re.DOTALL):
        fields[name] = unescape(body)
    return plumber.post(form[0], {**fields, **words}).status_code


def comments(text: str) -> list[str]:
    return sorted(line[line.index("#") :] for line in text.splitlines() if "#" in line)


def test_a_form_sent_as_it_came_changes_nothing(plumber: Browser, fresh: int, office: Office) -> None:
    was = kept(office, fresh)
    for at in ("job", "wishes", "frames/main%20floor/members"):
        assert sent(plumber, f"/jobs/{fresh}/entry?at={quote(at)}") == 200
    for of, tag in (("levels", "main"), ("frames", "main floor")):
        assert sent(plumber, f"/jobs/{fresh}/part?of={of}&tag={tag}") == 200
    assert kept(office, fresh) == was
    assert jobs.job(office.store, fresh).head == 1


def test_people_said_records_and_members_by_form(plumber: Browser, fresh: int, office: Office) -> None:
    was = kept(office, fresh)
    entry = f"/jobs/{fresh}/entry?at="
    said = "no pipe in an exterior wall\r\none roof pipe, or two"
    assert sent(plumber, f"{entry}wishes", said=said) == 200
    assert sent(plumber, f"{entry}wishes", said=f"{said}\r\nthe window stays") == 200
    people = "B: builder\r\nO: owner\r\nI: inspector\r\nE: engineer"
    assert sent(plumber, f"{entry}job", people=people) == 200
    words = {"about": "WC1", "what": "height", "value": '1"', "by": "Plumber P", "date": "2030-01-02"}
    assert sent(plumber, f"{entry}{quote('records/+', safe='')}", **words) == 200
    assert sent(plumber, f"{entry}{quote('frames/main%20floor/members', safe='')}", count="13") == 200
    now = kept(office, fresh)
    assert lists.listed(now, SAID) == [*said.split("\r\n"), "the window stays"]
    assert lists.paired(now, ("job", "people")) == lists.pairs(people)
    assert yaml_paths.written(now, ("records", 1, "about")) == "WC1"
    assert yaml_paths.written(now, ("frames", "main floor", "members", "count")) == "13"
    assert comments(now) == comments(was)
    assert sent(plumber, f"{entry}job", people="builder") == 422
    assert kept(office, fresh) == now


@pytest.mark.parametrize(
    ("of", "tag", "key", "value"),
    [("levels", "main", "title", "Ground floor"), ("frames", "main floor", "maker chart", "no")],
)
def test_levels_and_frames_have_forms(
    plumber: Browser, fresh: int, office: Office, of: str, tag: str, key: str, value: str
) -> None:
    before = kept(office, fresh)
    assert sent(plumber, f"/jobs/{fresh}/part?of={of}&tag={quote(tag)}", **{key: value}) == 200
    new = [line for line in kept(office, fresh).splitlines() if line not in before.splitlines()]
    assert [line.strip() for line in new] == [f"{key}: {value}"]


def test_the_first_question_of_a_job_and_its_answer(
    plumber: Browser, helper: Browser, fresh: int, office: Office
) -> None:
    words = {"new": "Q1", "ask": "B", "text": "May the joist be bored?", "about": "LV1, joist"}
    assert sent(plumber, f"/jobs/{fresh}/part?of=questions", **words) == 200
    assert office.plans.wait(kept(office, fresh), fresh, 120).state == "done"
    page = plumber.get(f"/jobs/{fresh}/questions").text
    assert "May the joist be bored?" in page
    assert "part?of=fixtures&amp;tag=LV1" in page
    said = {"base": "2", "question": "Q1", "answer": "Yes: 1 in, at mid-depth", "by": "builder", "date": "2030-01-02"}
    assert plumber.post(f"/jobs/{fresh}/answer", {**said, "by": ""}).status_code == 400
    assert plumber.post(f"/jobs/{fresh}/answer", {**said, "question": "Q9"}).status_code == 400
    answer = plumber.post(f"/jobs/{fresh}/answer", said)
    assert answer.status_code == 200
    assert "The answer to Q1 is kept" in answer.text
    assert "Yes: 1 in, at mid-depth" in answer.text
    again = helper.post(f"/jobs/{fresh}/answer", {**said, "answer": "No, never"})
    assert again.status_code == 409
    assert "Nothing was saved" in again.text
    plan = office.plans.wait(kept(office, fresh), fresh, 120)
    assert plan.state == "done"
    assert "Q1" not in [q.check for q in office.plans.field(plan.key).questions]
    assert jobs.revision(office.store, fresh).note == "Q1 answered by builder"
    out = plumber.post(f"/jobs/{fresh}/part/out", {"base": "3", "of": "questions", "tag": "Q1"})
    assert out.status_code == 200
    assert "questions:" not in kept(office, fresh)
