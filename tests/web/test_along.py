"""A job taken along: one file without a server, judged as the server judges, its entries brought back once each."""

from __future__ import annotations

import base64
import html
import json
import re
import zlib
from hashlib import sha256
from importlib.resources import files
from typing import Any

import pytest
from web_client import Browser

from stubout.run_field.model import Field
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind, StoreError
from stubout.web.along.data import Taken, as_script
from stubout.web.along.file import along
from stubout.web.along.merge import merge
from stubout.web.along.sheaf import read
from stubout.web.office import Office
from stubout.web.solids import MODEL, solids_of

SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


@pytest.fixture
def field(starter: int, office: Office) -> Field:
    return office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))


def file_of(plumber: Browser, job: int) -> str:
    answer = plumber.get(f"/jobs/{job}/along.html")
    assert answer.headers["content-disposition"].startswith("attachment")
    return answer.text


def entry(token: str, kind: str, **more: Any) -> dict[str, Any]:
    at = {"author": "Helper H", "at": "2030-01-01T08:00:00Z"}
    return {"token": f"along-{token}", "kind": kind, "about": "B1", "place": "x", "wall": "", **at, **more}


def unpacked(text: str, name: str) -> bytes:
    """Return what lies packed in a file, by the standard library."""
    found = re.search(rf'<script type="text/plain" id="{name}">([A-Za-z0-9+/=]+)</script>', text)
    assert found
    return zlib.decompress(base64.b64decode(found[1]))


def sheaf(office: Office, job: int, *entries: dict[str, Any], **more: Any) -> str:
    last = jobs.revision(office.store, job)
    said = {"id": job, "name": "Starter", "revision": last.number, "sha256": last.sha256, **more}
    return json.dumps({"stubout": "entries", "schema": 2, "job": said, "entries": entries})


# The file.


def test_the_file_lets_in_its_scripts_and_style_and_nothing_else(plumber: Browser, starter: int) -> None:
    text = file_of(plumber, starter)
    (code,), (look,) = SCRIPT.findall(text), STYLE.findall(text)
    found = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)
    assert found
    policy = found[1].replace("&#39;", "'")
    second = unpacked(text, "packed-viewer").decode()
    for words, all_of in (("script-src", (code, second)), ("style-src", (look,))):
        digests = " ".join(f"'sha256-{base64.b64encode(sha256(of.encode()).digest()).decode()}'" for of in all_of)
        assert f"{words} {digests};" in policy
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    bare = STYLE.sub("", SCRIPT.sub("", text))
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", bare)
    assert not re.search(r'(?:src|href|action)="(?!#)', bare), "everything is inside"
    assert not re.search(r"(https?:)?//[a-z0-9.-]+\.[a-z]", re.sub(r'xmlns="[^"]*"', "", text))
    print(f"{len(text.encode()) / 1000:.0f} kB")
    assert len(text.encode()) < 700_000


def test_the_file_holds_the_model_and_what_draws_it_as_the_app_has_them(
    plumber: Browser, starter: int, office: Office
) -> None:
    text = file_of(plumber, starter)
    static = files("stubout.web").joinpath("static")
    parts = (static.joinpath(n).read_text(encoding="utf-8") for n in ("three.min.js", "model.js"))
    assert unpacked(text, "packed-viewer").decode() == "\n".join(parts)
    key = office.plans.key(jobs.revision(office.store, starter).text)
    model = office.plans.file(key, MODEL)
    assert unpacked(text, "packed-model") == model
    assert "THREE" not in SCRIPT.findall(text)[0], "a phone reads it only when its part is opened"
    for p in solids_of(model).pipes:
        assert f'data-pipe="{p["about"]}"' in text


def test_a_plan_without_a_model_makes_a_file_without_that_part(starter: int, office: Office, field: Field) -> None:
    text = jobs.revision(office.store, starter).text
    key = office.plans.key(text)
    have = {n: office.plans.file(key, n) for n in office.plans.names(key) if n != MODEL}
    made = along(Taken(text, field, have)).decode()
    assert "packed-viewer" not in made.replace('unpacked("packed-viewer")', "")
    assert 'href="#sides"' not in made
    policy = re.search(r"script-src ([^;]+);", html.unescape(made))
    assert policy
    assert policy[1].count("sha256-") == 1


def test_the_file_shows_every_mark_list_and_drawing(plumber: Browser, starter: int, field: Field) -> None:
    text = file_of(plumber, starter)
    for side in field.walls:
        for m in side.marks:
            assert m.station.replace("'", "&#39;").replace('"', "&#34;") in text
    assert text.count("<svg") == len(field.walls) + len(field.drawings)
    for t in field.tasks:
        assert f">{t.about}</b>" in text or t.kind in ("bore", "stub")
    assert file_of(plumber, starter) == text, "the same job gives the same bytes"


def test_words_of_a_job_are_no_markup(plumber: Browser, fresh: int, office: Office, field: Field) -> None:
    bad = "</script><script>alert(1)</script><!--"
    records.add(office.store, fresh, 1, bad[:80], Entry(Kind.NOTE, "w", bad, field.walls[0].id))
    text = file_of(plumber, fresh)
    assert "alert(1)</" not in text
    assert "\\u003c/script\\u003e" in text
    assert json.loads(as_script({"a": bad + "&<>"})) == {"a": bad + "&<>"}


# Bringing entries back.


def test_entries_come_back_with_author_and_time_and_once(plumber: Browser, fresh: int, office: Office) -> None:
    at = jobs.revision(office.store, fresh).at
    text = sheaf(
        office, fresh, entry("00000001", "tick", at=at), entry("00000002", "slope", value="2 %", at=at),
        entry("00000003", "taken back", takes_back={"token": "along-00000001"}, at=at),
    )  # fmt: skip
    for n, words in enumerate(("3 added, 0 there already, 0 refused", "0 added, 3 there already, 0 refused")):
        if n:
            page = plumber.post(f"/jobs/{fresh}/along/entries", {"text": text})
        else:
            page = plumber.post(f"/jobs/{fresh}/along/entries", files={"file": ("../e.json", text.encode())})
        assert words in page.text
    kept = records.listed(office.store, fresh)
    assert [(r.kind, r.author, r.at, r.brought_by) for r in kept] == [
        (kind, "Helper H", at, "Plumber P") for kind in (Kind.TICK, Kind.SLOPE, Kind.BACK)
    ]
    assert [r.kind for r in records.standing(kept)] == [Kind.SLOPE]
    assert "brought by Plumber P" in plumber.get(f"/jobs/{fresh}/records").text
    assert "Recorded, but not there in this revision" in page.text  # places that no plan of this job has


def test_an_older_reading_brought_later_does_not_stand_over_a_newer_one(fresh: int, office: Office) -> None:
    at = jobs.revision(office.store, fresh).at
    newer = records.add(office.store, fresh, 1, "P", Entry(Kind.SLOPE, "D1", "2 %", place="x"))
    merge(office.store, fresh, read(sheaf(office, fresh, entry("00000004", "slope", value="3 %", at=at))), "Q")
    found = records.listed(office.store, fresh)
    assert len(found) == 2
    assert newer.at >= at
    if newer.at > at:
        assert found[-1] == newer


@pytest.mark.parametrize("at", ["2001-01-01T00:00:00Z", "2999-01-01T00:00:00Z", "2030-13-41T99:00:00Z"])
def test_a_clock_that_cannot_be_right_is_not_believed(fresh: int, office: Office, at: str) -> None:
    (one,) = merge(office.store, fresh, read(sheaf(office, fresh, entry("00000005", "tick", at=at))), "Q")
    assert one.state == "added"
    assert at in one.words
    assert one.record
    assert one.record.at == one.record.brought_at


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        ({"kind": "height", "value": "5-11 3/8"}, "two readings"),
        ({"kind": "slope", "value": "2"}, "say in which unit"),
        ({"kind": "test"}, "without its readings"),
        ({"kind": "note", "value": " "}, "nothing written"),
        ({"kind": "taken back"}, "names it"),
        ({"kind": "taken back", "takes_back": {"token": "along-unknown"}}, "not there"),
        ({"kind": "taken back", "takes_back": {"record": 2147483647}}, "not there"),
        ({"kind": "tick", "author": " "}, "author"),
    ],
)
def test_what_cannot_be_kept_is_told_and_the_rest_is_kept(
    fresh: int, office: Office, bad: dict[str, Any], words: str
) -> None:
    good = entry("00000006", "tick")
    found = merge(office.store, fresh, read(sheaf(office, fresh, entry("00000007", **bad), good)), "Q")
    assert [o.state for o in found] == ["refused", "added"]
    assert words in found[0].words
    assert len(records.listed(office.store, fresh)) == 1


def test_a_record_of_another_place_is_not_taken_back_by_its_number(fresh: int, office: Office) -> None:
    made = records.add(office.store, fresh, 1, "P", Entry(Kind.TICK, "B1", place="here"))
    back = entry("00000008", "taken back", takes_back={"record": made.id})
    (one,) = merge(office.store, fresh, read(sheaf(office, fresh, back)), "Q")
    assert one.state == "refused"
    (one,) = merge(office.store, fresh, read(sheaf(office, fresh, {**back, "place": "here"})), "Q")
    assert one.state == "added"
    again = {**back, "place": "here", "token": "along-00000009"}
    (one,) = merge(office.store, fresh, read(sheaf(office, fresh, again)), "Q")
    assert (one.state, "already" in one.words) == ("refused", True)


def test_an_entry_that_was_changed_after_it_came_stays_as_it_came(fresh: int, office: Office) -> None:
    for value in ("2 %", "3 %"):
        said = sheaf(office, fresh, entry("00000010", "slope", value=value))
        (one,) = merge(office.store, fresh, read(said), "Q")
    assert one.state == "there"
    assert "something else" in one.words
    assert [r.value for r in records.listed(office.store, fresh)] == ["2 %"]


def test_entries_of_another_job_or_text_are_refused(fresh: int, starter: int, office: Office) -> None:
    with pytest.raises(StoreError, match=f"made for job {fresh}"):
        merge(office.store, starter, read(sheaf(office, fresh)), "Q")
    with pytest.raises(StoreError, match="no revision of this job"):
        merge(office.store, fresh, read(sheaf(office, fresh, sha256="0" * 64)), "Q")
    by_text = read(sheaf(office, fresh, entry("00000011", "tick"), id=0, revision=0))  # a file of the command line
    assert merge(office.store, fresh, by_text, "Q")[0].state == "added"


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", "x", '{"stubout": "entries", "schema": 3, "job": {}, "entries": []}', "[" * 100_000,
     '{"stubout": "entries", "schema": 1, "job": {}, "entries": [{"kind": "sign-off"}]}', "\x00", '{"a": 1e999}'],
)  # fmt: skip
def test_what_is_no_file_of_entries_is_refused(plumber: Browser, fresh: int, office: Office, text: str) -> None:
    assert plumber.post(f"/jobs/{fresh}/along/entries", {"text": text}).status_code == 400
    assert records.listed(office.store, fresh) == ()


def test_without_the_token_of_the_form_nothing_is_merged(plumber: Browser, fresh: int, office: Office) -> None:
    said = {"text": sheaf(office, fresh, entry("00000012", "tick")), "csrf": "0" * 64}
    assert plumber.post(f"/jobs/{fresh}/along/entries", said).status_code == 403
    assert records.listed(office.store, fresh) == ()
