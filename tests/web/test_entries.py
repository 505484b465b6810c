"""Rule book, amendments, wishes, boxes and drawers by form: one entry changes, and nothing else of the file."""

from __future__ import annotations

import difflib
import html
import re
from pathlib import Path
from urllib.parse import quote

import httpx2 as httpx
import pytest
from web_client import Browser

from stubout import run
from stubout.run_field import amending, texts
from stubout.store import jobs
from stubout.web import entries
from stubout.web.office import Office

EXAMPLES = Path(__file__).parents[2] / "examples"
BUNGALOW = (EXAMPLES / "02-slab-bungalow.yaml").read_text(encoding="utf-8")
AMENDMENT = {
    "value": "terminal.above_roof", "is": "450 mm", "citation": "town rule 7", "author": "Inspector I",
    "date": "2030-01-02", "reason": "snow",
}  # fmt: skip
ENTRIES = (
    "job", "job/test", "wishes", "site", "sewer", "amendments/+", "cabinets/V2/boxes/1", "cabinets/V2/boxes/2",
    "cabinets/V2/boxes/1/drawers/1", "cabinets/V2/boxes/+", "cabinets/V2/boxes/1/drawers/+",
)  # fmt: skip

pytestmark = pytest.mark.usefixtures("unplanned")


@pytest.fixture
def bungalow(office: Office, served: object, plumber: Browser) -> int:
    return jobs.create(office.store, "Bungalow", BUNGALOW, "Plumber P", "").id


def text_of(office: Office, job: int) -> str:
    return jobs.revision(office.store, job).text


def lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Return lines taken out and lines put in."""
    found = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    return [x[2:] for x in found if x.startswith("- ")], [x[2:] for x in found if x.startswith("+ ")]


def form_of(page: str) -> dict[str, str]:
    """Return what a browser would send of the form of an entry, if nothing was touched."""
    form = re.search(r'<form method="post" action="[^"]*/entry".*?</form>', page, re.DOTALL)
    assert form
    sent = {}
    for tag in re.findall(r"<input[^>]*>", form[0]):
        said = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if said.get("type") != "checkbox" or " checked" in tag:
            sent[html.unescape(said["name"])] = html.unescape(said.get("value", ""))
    for name, body in re.findall(r'<select id="[^"]*" name="([^"]*)".*?>(.*?)</select>', form[0], re.DOTALL):
        chosen = re.search(r"<option selected>([^<]*)<", body)
        sent[name] = html.unescape(chosen[1]) if chosen else ""
    del sent["csrf"]
    return sent


def change(who: Browser, job: int, at: str, **values: str) -> httpx.Response:
    page = who.get(f"/jobs/{job}/entry?at={quote(at, safe='/')}")
    assert page.status_code == 200
    keys = {k.replace("_", " "): v for k, v in values.items()}
    return who.post(f"/jobs/{job}/entry", {**form_of(page.text), **keys}, follow_redirects=False)


@pytest.mark.parametrize("at", [e for e in ENTRIES if not e.endswith("+")])
def test_what_is_not_touched_is_no_revision(plumber: Browser, bungalow: int, office: Office, at: str) -> None:
    answer = change(plumber, bungalow, at)
    assert answer.status_code == 303
    assert jobs.job(office.store, bungalow).head == 1


def test_another_rule_book(plumber: Browser, bungalow: int, office: Office) -> None:
    page = plumber.get(f"/jobs/{bungalow}/entry?at=job").text
    for book in run.books():
        assert f">{book}</option>" in page
    change(plumber, bungalow, "job", book="ipc-2021")
    out, into = lines(BUNGALOW, text_of(office, bungalow))
    assert [x.split("#")[0].split() for x in out] == [["book:", "upc-2021"]]
    assert [x.split("#")[0].split() for x in into] == [["book:", "ipc-2021"]]
    made = jobs.revision(office.store, bungalow)
    assert (made.author, made.note) == ("Plumber P", "job and rule books")


def test_an_amendment_is_written_changed_and_taken_out(plumber: Browser, bungalow: int, office: Office) -> None:
    answer = change(plumber, bungalow, "amendments/+", **AMENDMENT)
    assert answer.headers["location"] == f"/jobs/{bungalow}/entries?at=amendments"
    said = texts.read_text(text_of(office, bungalow)).amendments
    assert [(a.value, a.is_, a.author, a.reason) for a in said] == [
        ("terminal.above_roof", "450 mm", "Inspector I", "snow")
    ]
    assert lines(BUNGALOW, text_of(office, bungalow))[0] == []
    shown = plumber.get(f"/jobs/{bungalow}/entries?at=amendments").text
    assert "terminal.above_roof 450 mm" in shown
    change(plumber, bungalow, "amendments/1", **{"is": "", "ask": "How high?", "reason": ""})
    said = texts.read_text(text_of(office, bungalow)).amendments
    assert [(a.is_, a.ask, a.reason) for a in said] == [("", "How high?", "")]
    change(plumber, bungalow, "amendments/+", **{**AMENDMENT, "value": "trap_arm[1.5]", "is": "5 ft"})
    assert len(texts.read_text(text_of(office, bungalow)).amendments) == 2
    plumber.post(f"/jobs/{bungalow}/entry/out", {"base": "4", "entry-path": "amendments/1"})
    assert [a.value for a in texts.read_text(text_of(office, bungalow)).amendments] == ["trap_arm[1.5]"]
    plumber.post(f"/jobs/{bungalow}/entry/out", {"base": "5", "entry-path": "amendments/1"})
    assert text_of(office, bungalow).rstrip() == BUNGALOW.rstrip()


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"is": "450 mm", "ask": "How high?"}, "one of them"),
        ({"is": ""}, "one of them"),
        ({"is": "450"}, "wanted a length"),
        ({"value": "terminal.above_rof"}, "wanted a value that books know"),
        ({"citation": ""}, "this is needed"),
    ],
)
def test_an_amendment_that_does_not_fit_is_not_saved(
    plumber: Browser, bungalow: int, office: Office, values: dict[str, str], words: str
) -> None:
    answer = change(plumber, bungalow, "amendments/+", **{**AMENDMENT, **values})
    assert answer.status_code == 422
    assert words in answer.text
    assert "town rule 7" in answer.text or "citation" in values
    assert jobs.job(office.store, bungalow).head == 1


def test_the_values_of_the_books_are_offered(plumber: Browser, bungalow: int) -> None:
    offered = amending.values("upc-2021", "irc-framing-2021")
    book = run.book("upc-2021")
    assert set(book.values) <= {v.id for v in offered}
    assert "trap_arm[1.5]" in {v.id for v in offered}
    page = plumber.get(f"/jobs/{bungalow}/entry?at=amendments/%2B").text
    assert all(f'<option value="{html.escape(v.id)}">' in page for v in offered)
    found = plumber.get(f"/jobs/{bungalow}/values?words=vent+above+roof").text
    assert "terminal.above_roof" in found
    assert "at=amendments/%2B&amp;value=terminal.above_roof" in found
    filled = plumber.get(f"/jobs/{bungalow}/entry?at=amendments/%2B&value=terminal.above_roof").text
    assert form_of(filled)["value"] == "terminal.above_roof"
    assert form_of(filled)["author"] == "Plumber P"


def test_wishes_are_ticked(plumber: Browser, bungalow: int, office: Office) -> None:
    was = texts.read_text(BUNGALOW).wishes
    change(plumber, bungalow, "wishes", **{"no drains in walls=A": "yes", "methods not wanted=wet": "yes"})
    now = texts.read_text(text_of(office, bungalow)).wishes
    assert (now.no_drains_in_walls, now.methods_not_wanted) == (("A",), ("wet",))
    assert now.no_vents_in_walls == was.no_vents_in_walls
    page = plumber.get(f"/jobs/{bungalow}/entry?at=wishes").text
    sent = {k: v for k, v in form_of(page).items() if k != f"no vents in walls={was.no_vents_in_walls[1]}"}
    plumber.post(f"/jobs/{bungalow}/entry", sent)
    left = texts.read_text(text_of(office, bungalow)).wishes.no_vents_in_walls
    assert left == (was.no_vents_in_walls[0], *was.no_vents_in_walls[2:])  # in the order of the file
    assert text_of(office, bungalow).count("#") == BUNGALOW.count("#")


def test_a_drawer_is_added_changed_and_taken_out(plumber: Browser, bungalow: int, office: Office) -> None:
    drawers = "cabinets/V2/boxes/1/drawers"
    change(plumber, bungalow, f"{drawers}/1", cut_out_width="9")
    out, into = lines(BUNGALOW, text_of(office, bungalow))
    assert len(out) == len(into) == 1
    assert into[0] == out[0].replace('cut out width: 8"', "cut out width: 9")
    change(plumber, bungalow, f"{drawers}/+", **{"from": '6"', "to": '12"'})
    now = next(c for c in texts.read_text(text_of(office, bungalow)).cabinets if c.id == "V2").boxes[0]
    assert [round(d.from_ / 25.4) for d in now.drawers] == [20, 6]
    for base in ("3", "4"):
        plumber.post(f"/jobs/{bungalow}/entry/out", {"base": base, "entry-path": f"{drawers}/1"})
    now = next(c for c in texts.read_text(text_of(office, bungalow)).cabinets if c.id == "V2").boxes[0]
    assert now.drawers == ()
    assert text_of(office, bungalow).count("#") == BUNGALOW.count("#")


def test_boxes_and_their_seams(plumber: Browser, bungalow: int, office: Office) -> None:
    boxes = "cabinets/V2/boxes"
    assert "The boxes add up to the run" in plumber.get(f"/jobs/{bungalow}/entries?at={boxes}").text
    answer = change(plumber, bungalow, f"{boxes}/2", width='3 1/2"')
    assert answer.status_code == 422
    assert "This would put faults into the job file" in answer.text
    anyway = form_of(answer.text) | {"anyway": "yes"}
    plumber.post(f"/jobs/{bungalow}/entry", anyway)
    shown = plumber.get(f"/jobs/{bungalow}/entries?at={boxes}").text
    assert "<b>The boxes add up to 2&#39;-3 1/2&#34;, the run is 2&#39;-1 1/2&#34;.</b>" in shown
    change(plumber, bungalow, f"{boxes}/2", width='1 1/2"', anyway="yes")
    assert text_of(office, bungalow) == BUNGALOW
    change(plumber, bungalow, f"{boxes}/1", shelves='10", 16"')
    now = next(c for c in texts.read_text(text_of(office, bungalow)).cabinets if c.id == "V2").boxes[0]
    assert [round(s / 25.4) for s in now.shelves] == [10, 16]


def test_who_saves_second_is_told_and_keeps_his_entries(plumber: Browser, bungalow: int, office: Office) -> None:
    sent = form_of(plumber.get(f"/jobs/{bungalow}/entry?at=job").text)
    jobs.save(office.store, bungalow, 1, BUNGALOW + "# theirs\n", "Helper H")
    answer = plumber.post(f"/jobs/{bungalow}/entry", {**sent, "title": "Mine"})
    assert answer.status_code == 409
    assert 'value="Mine"' in answer.text
    assert "Helper H" not in text_of(office, bungalow)
    assert jobs.job(office.store, bungalow).head == 2


@pytest.mark.parametrize("at", ENTRIES)
def test_a_post_needs_the_token(plumber: Browser, bungalow: int, office: Office, at: str) -> None:
    for path in ("entry", "entry/out"):
        assert plumber.post(f"/jobs/{bungalow}/{path}", {"csrf": "", "base": "1", "entry-path": at}).status_code == 403
    assert jobs.job(office.store, bungalow).head == 1


@pytest.mark.parametrize(
    "at", ["", "x", "job/title", "amendments/0", "amendments/-1", "amendments/²", "amendments/1/x", "cabinets//boxes/1",
           "cabinets/no/boxes/1", "cabinets/V2/boxes/99", "cabinets/V2/boxes/99/drawers/+", "levels/1", "../../x",
           "amendments/" + "9" * 30]
)  # fmt: skip
def test_what_has_no_form_is_not_here(plumber: Browser, bungalow: int, at: str) -> None:
    assert plumber.get(f"/jobs/{bungalow}/entry", params={"at": at}).status_code == 404
    assert plumber.post(f"/jobs/{bungalow}/entry", {"base": "1", "entry-path": at}).status_code == 404
    assert plumber.post(f"/jobs/{bungalow}/entry/out", {"base": "1", "entry-path": at}).status_code == 404


def test_an_id_with_marks_of_an_address_in_it(plumber: Browser, office: Office) -> None:
    text = texts.starter("inch").replace("- id: V1", '- id: "V/1 + <b>"')
    job = jobs.create(office.store, "Odd", text, "Plumber P", "").id
    at = entries.address(("cabinets", "V/1 + <b>", "boxes"))
    part = plumber.get(f"/jobs/{job}/part", params={"of": "cabinets", "tag": "V/1 + <b>"}).text
    link = re.search(r'href="(/jobs/\d+/entries\?at=[^"]*)"', part)
    assert link
    page = plumber.get(html.unescape(link[1])).text
    assert "Boxes of V/1 + &lt;b&gt;" in page
    assert "<b>V/1" not in page
    assert "+ <b>" not in page
    assert plumber.get(f"/jobs/{job}/entry", params={"at": f"{at}/1"}).status_code == 200
