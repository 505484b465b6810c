"""Forms of what used to be changed as text: drawn routes, listed studs, finishes by parts, roof, confirmations.

Expected: what the reader of job files makes of the file, and which lines differ.
"""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from test_entries import BUNGALOW, change, form_of, lines, text_of
from web_client import Browser

from stubout.run_field import texts
from stubout.store import jobs
from stubout.web.office import Office

DRAWN = (Path(__file__).parents[2] / "examples" / "drawn-bath.yaml").read_text(encoding="utf-8")
INCH = 25.4

pytestmark = pytest.mark.usefixtures("unplanned")


@pytest.fixture
def bungalow(office: Office, served: object) -> int:
    return jobs.create(office.store, "Bungalow", BUNGALOW, "Plumber P", "").id


@pytest.fixture
def drawn(office: Office, served: object) -> int:
    return jobs.create(office.store, "Drawn bath", DRAWN, "Plumber P", "").id


def fields(who: Browser, job: int, of: str, tag: str) -> dict[str, str]:
    """Return what a browser would send of the form of a part, if nothing was touched."""
    page = who.get(f"/jobs/{job}/part", params={"of": of, "tag": tag})
    assert page.status_code == 200
    return form_of(page.text.replace('/part"', '/entry"')) | areas(page.text)


def areas(page: str) -> dict[str, str]:
    """Return what stands in the text areas of a form."""
    found = re.findall(r'<textarea id="[^"]*" name="([^"]*)"[^>]*>\n(.*?)</textarea>', page, re.DOTALL)
    return {name: unescape(text) for name, text in found}


@pytest.mark.parametrize("tag", ["A-WC1", "S1"])
def test_a_route_that_is_not_touched_is_no_revision(plumber: Browser, drawn: int, office: Office, tag: str) -> None:
    sent = fields(plumber, drawn, "routes", tag)
    assert len(sent["through"].splitlines()) >= 2
    assert plumber.post(f"/jobs/{drawn}/part", sent, follow_redirects=False).status_code == 303
    assert jobs.job(office.store, drawn).head == 1


def test_a_point_of_a_route_is_moved_and_a_route_drawn(plumber: Browser, drawn: int, office: Office) -> None:
    sent = fields(plumber, drawn, "routes", "A-WC1")
    was = sent["through"].splitlines()
    assert was[1] == '6\'-8 3/4", 15\'-8 1/2", -7 1/4"'
    sent["through"] = "\n".join([was[0], '6\'-8 3/4", 15\'-8 1/2", -7"', *was[2:]])
    plumber.post(f"/jobs/{drawn}/part", {**sent, "anyway": "yes"})
    out, into = lines(DRAWN, text_of(office, drawn))
    assert [x.strip() for x in out] == [f"- {was[1]}"]
    assert [x.strip() for x in into] == ['- 6\'-8 3/4", 15\'-8 1/2", -7"']
    # A new one, with its points and a fitting.
    new = fields(plumber, drawn, "routes", "") | {
        "new": "X1", "base": "2", "system": "vent", "size": "2", "through": "1', 2', 3'\n1', 2', 4'\n\n1', 3', 4'",
        "fittings": "3: cleanout", "anyway": "yes",
    }  # fmt: skip
    answer = plumber.post(f"/jobs/{drawn}/part", new, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    made = texts.read_text(text_of(office, drawn)).routes[-1]
    assert (made.id, made.system, made.size, made.fittings) == ("X1", "vent", 2.0, {"3": "cleanout"})
    assert [tuple(round(c / INCH / 12, 6) for c in p) for p in made.through] == [(1, 2, 3), (1, 2, 4), (1, 3, 4)]
    page = plumber.get(f"/jobs/{drawn}/part?of=routes&tag=X1").text
    assert "<option>sewer</option>" in page
    assert "<option>WC1</option>" in page
    plumber.post(f"/jobs/{drawn}/part/out", {"base": "3", "of": "routes", "tag": "X1"})
    assert lines(DRAWN, text_of(office, drawn)) == (out, into)


def test_openings_and_zones_of_the_roof(plumber: Browser, bungalow: int, office: Office) -> None:
    sent = fields(plumber, bungalow, "roof openings", "SK") | {"opens": "no"}
    plumber.post(f"/jobs/{bungalow}/part", sent)
    assert not texts.read_text(text_of(office, bungalow)).roof_openings[0].opens
    assert len(lines(BUNGALOW, text_of(office, bungalow))[1]) == 1
    new = {"base": "2", "of": "roof zones", "tag": "", "new": "Z", "x": "0, 2'", "y": "0, 52'", "why": "gutter"}
    plumber.post(f"/jobs/{bungalow}/part", new)
    zones = texts.read_text(text_of(office, bungalow)).roof_zones
    assert [(z.id, z.why) for z in zones][-1] == ("Z", "gutter")
    bad = plumber.post(f"/jobs/{bungalow}/part", {**new, "base": "3", "new": "Y", "x": "0, far"})
    assert bad.status_code == 422
    plumber.post(f"/jobs/{bungalow}/part/out", {"base": "3", "of": "roof openings", "tag": "SK"})
    said = text_of(office, bungalow)
    assert texts.read_text(said).roof_openings == ()
    assert "roof openings" not in said
    shown = plumber.get(f"/jobs/{bungalow}/parts?of=roof%20zones").text
    assert "solar array" in shown
    assert "Add: roof zone" in shown


def test_studs_that_are_listed(plumber: Browser, starter: int, office: Office) -> None:
    text = texts.starter("inch")
    job = jobs.create(office.store, "Studs", text, "Plumber P", "").id
    sent = fields(plumber, job, "walls", "P") | {"added studs": '20", 2\'-6"', "anyway": "yes"}
    assert 'data-many="yes"' in plumber.get(f"/jobs/{job}/part?of=walls&tag=P").text
    plumber.post(f"/jobs/{job}/part", sent)
    wall = next(w for w in texts.read_text(text_of(office, job)).walls if w.id == "P")
    assert [round(s / INCH) for s in wall.added_studs] == [20, 30]
    assert plumber.post(f"/jobs/{job}/part", {**sent, "base": "2", "added studs": "x"}).status_code == 422


def test_finishes_by_parts(plumber: Browser, starter: int, office: Office) -> None:
    text = texts.starter("inch")
    job = jobs.create(office.store, "Finishes", text, "Plumber P", "").id

    def said() -> list[tuple[float, float | None, str]]:
        wall = next(w for w in texts.read_text(text_of(office, job)).walls if w.id == "P")
        return [(round(f.thick / INCH, 3), f.above and round(f.above / INCH, 3), f.what) for f in wall.left]

    (first,) = said()
    page = plumber.get(f"/jobs/{job}/part?of=walls&tag=P").text
    assert "Left finish by parts" in page
    assert "Everywhere: " in plumber.get(f"/jobs/{job}/entries?at=walls/P/left").text
    change(plumber, job, "walls/P/left/+", thick='1"', above='36"', what="tile")
    assert said() == [first, (1.0, 36.0, "tile")]
    change(plumber, job, "walls/P/left/2", thick='1-1/8"')
    assert said() == [first, (1.125, 36.0, "tile")]
    assert "1-1/8&#34; tile" in plumber.get(f"/jobs/{job}/entries?at=walls/P/left").text
    change(plumber, job, "walls/P/left/+", thick='3/4"')
    assert said()[2] == (0.75, None, "")
    for base in ("4", "5"):
        plumber.post(f"/jobs/{job}/entry/out", {"base": base, "entry-path": "walls/P/left/2"})
    assert said() == [first]
    assert text_of(office, job).count("#") == text.count("#")
    assert plumber.get(f"/jobs/{job}/entry?at=walls/none/left/%2B").status_code == 404


def test_a_value_is_confirmed(plumber: Browser, bungalow: int, office: Office) -> None:
    page = plumber.get(f"/jobs/{bungalow}/entry?at=confirmations/%2B").text
    assert form_of(page)["by"] == "Plumber P"
    assert "source" not in form_of(page)
    assert '<option value="terminal.above_roof">' in page
    assert "<option>irc-framing-2021</option>" in page
    sent = {"value": "terminal.above_roof", "printed": "6 in", "date": "2030-01-02", "copy": "second print"}
    change(plumber, bungalow, "confirmations/+", **sent)
    (made,) = texts.read_text(text_of(office, bungalow)).confirmations
    assert (made.value, made.printed, made.by, made.copy_) == (
        "terminal.above_roof",
        "6 in",
        "Plumber P",
        "second print",
    )
    assert lines(BUNGALOW, text_of(office, bungalow))[0] == []
    assert "terminal.above_roof 6 in Plumber P" in plumber.get(f"/jobs/{bungalow}/entries?at=confirmations").text
    unknown = change(plumber, bungalow, "confirmations/+", **{**sent, "value": "terminal.above_rof"})
    assert unknown.status_code == 422
    plumber.post(f"/jobs/{bungalow}/entry/out", {"base": "2", "entry-path": "confirmations/1"})
    assert text_of(office, bungalow).rstrip() == BUNGALOW.rstrip()
