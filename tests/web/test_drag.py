"""Dragging over HTTP: what is said, what is written into the job file, who is refused, what stands in the bytes."""

from __future__ import annotations

import html
import json
import os
import pickle
import re
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from laid_out import design_of
from starlette.testclient import TestClient
from web_client import HOST, Browser, browser

from stubout.live.given import job_with
from stubout.run_field import live, texts
from stubout.store import jobs
from stubout.web import yaml_edit
from stubout.web.app import create
from stubout.web.live.compare import _paired
from stubout.web.live.pages import _changed
from stubout.web.live.worker import Tables
from stubout.web.office import Office
from stubout.web.settings import Limits, Settings
from stubout.web.yaml_edit import Nth

WALL = "wall P left"
DRAWN = next((Path(__file__).parents[2] / "examples").glob("*drawn*bath*.yaml")).read_text(encoding="utf-8")
STUB = {"view": WALL, "handle": "stub:LV1", "base": "1"}
INCH = 25.4


def moved(who: Browser, job: int, **words: Any) -> dict[str, Any]:
    answer = who.post(f"/jobs/{job}/drag/move", {**STUB, **{k: str(v) for k, v in words.items()}})
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def kept(who: Browser, job: int, **words: Any) -> Any:
    fields = {**STUB, "right": "0", "up": "0", **{k: str(v) for k, v in words.items()}}
    return who.post(f"/jobs/{job}/drag/keep", fields, follow_redirects=False)


def test_the_pictures_are_listed_and_each_opens(plumber: Browser, fresh: int) -> None:
    text = plumber.get(f"/jobs/{fresh}/drag").text
    views = re.findall(r'href="(/jobs/\d+/drag/on\?view=[^"]+)"', text)
    assert len(views) > 1
    for view in views:
        shown = plumber.get(view)
        assert shown.status_code == 200
        assert "<svg" in shown.text
        assert 'id="board"' in shown.text
        handles = re.search(r'data-handles="([^"]*)"', shown.text)
        assert handles
        assert json.loads(html.unescape(handles[1]))


def test_a_move_is_answered_with_where_it_is_and_what_comes(plumber: Browser, fresh: int) -> None:
    still = moved(plumber, fresh, right=0, up=0, rest="yes")
    assert "No finding comes or goes" in still["panel"]
    assert "May still be off" in still["panel"]
    high = moved(plumber, fresh, right=0, up=20 * INCH)
    assert "STB001" in high["panel"]
    assert "OUT" in high["panel"]
    assert high["up"] == pytest.approx(20 * INCH)
    assert "STB001" not in moved(plumber, fresh, right=0, up=0)["panel"]


def test_a_move_is_taken_in_whole_steps_and_no_farther_than_is_looked(plumber: Browser, fresh: int) -> None:
    assert moved(plumber, fresh, right=0, up=1.0)["up"] == pytest.approx(INCH / 16)
    assert moved(plumber, fresh, right=0, up=1e9)["up"] == pytest.approx(1200.0, abs=INCH / 16)


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ({"view": "wall no such left"}, 400), ({"handle": "stub:<b>"}, 400), ({"right": "x"}, 400),
        ({"right": "nan"}, 400), ({"up": "inf"}, 400), ({"base": "77"}, 404), ({"base": "-1"}, 400),
    ],
)  # fmt: skip
def test_nonsense_is_refused_with_a_sentence(plumber: Browser, fresh: int, words: dict[str, str], status: int) -> None:
    answer = plumber.post(f"/jobs/{fresh}/drag/move", {**STUB, "right": "0", "up": "0", **words})
    assert answer.status_code == status
    assert "<b>" not in answer.text.replace("<b>", "", 0) or "stub:<b>" not in answer.text


def test_a_move_wants_the_token(served: TestClient, plumber: Browser, fresh: int) -> None:
    answer = plumber.client.post(f"/jobs/{fresh}/drag/move", data={**STUB, "right": "0", "up": "0"})
    assert answer.status_code == 403
    answer = plumber.client.post(f"/jobs/{fresh}/drag/keep", data={**STUB, "right": "0", "up": "30"})
    assert answer.status_code == 403


def test_what_is_kept_is_a_revision_with_author_and_note_and_the_rest_of_the_file_stays(
    plumber: Browser, fresh: int, office: Office
) -> None:
    before = jobs.revision(office.store, fresh).text
    answer = kept(plumber, fresh, up=INCH, note="bowl came <deeper>")
    assert answer.status_code == 303
    assert "kept=2" in answer.headers["location"]
    last = jobs.revision(office.store, fresh)
    assert (last.number, last.author) == (2, "Plumber P")
    assert last.note == 'stub-out LV1 dragged: 1" up: bowl came <deeper>'
    changed = [(a, b) for a, b in zip(before.splitlines(), last.text.splitlines(), strict=False) if a != b]
    lines = set(last.text.splitlines()) - set(before.splitlines())
    assert any("stub height" in line for line in lines), lines
    assert len(lines) <= 2
    assert changed
    assert [line for line in before.splitlines() if "#" in line] == [
        line for line in last.text.splitlines() if "#" in line
    ]


def test_the_page_says_what_the_whole_plan_makes_of_it(plumber: Browser, fresh: int, office: Office) -> None:
    where = kept(plumber, fresh, up=INCH).headers["location"]
    waits = plumber.get(where).text
    assert "The whole plan follows" in waits
    assert "Nothing can be dragged before" in waits
    text = jobs.revision(office.store, fresh).text
    assert office.plans.wait(text, fresh, 120).state == "done"
    done = plumber.get(f"/jobs/{fresh}/drag/progress?view={WALL}&kept=2")
    assert done.headers["HX-Refresh"] == "true"
    page = plumber.get(where).text
    assert "Revision 2: the whole plan" in page
    assert "says what the quick answer said" in page or "It differs from the quick answer" in page


def test_a_wish_that_the_band_does_not_give_is_told_as_different(plumber: Browser, fresh: int, office: Office) -> None:
    where = kept(plumber, fresh, up=20 * INCH).headers["location"]
    assert office.plans.wait(jobs.revision(office.store, fresh).text, fresh, 120).state == "done"
    page = plumber.get(where).text
    assert "It differs from the quick answer" in page
    assert "LV1:" in page  # the plan puts the mark elsewhere
    assert "is not there: STB001" in page


def test_who_saves_second_is_refused_and_nothing_is_lost(
    plumber: Browser, helper: Browser, fresh: int, office: Office
) -> None:
    jobs.save(office.store, fresh, 1, jobs.revision(office.store, fresh).text + "# theirs\n", "Helper H")
    answer = kept(plumber, fresh, up=INCH)
    assert answer.status_code == 409
    assert "Nothing was saved" in answer.text
    assert jobs.job(office.store, fresh).head == 2


def test_a_drag_back_to_its_place_is_no_revision(plumber: Browser, fresh: int, office: Office) -> None:
    assert kept(plumber, fresh).status_code == 200
    assert jobs.job(office.store, fresh).head == 1


def test_a_drag_off_the_end_of_a_wall_is_a_fault_and_is_not_saved(plumber: Browser, fresh: int, office: Office) -> None:
    far = next(s * 1190.0 for s in (1, -1) if "contradict" in moved(plumber, fresh, right=s * 1190.0, up=0)["panel"])
    answer = kept(plumber, fresh, right=far)
    assert answer.status_code == 422
    assert "would put faults into the job file" in answer.text
    assert jobs.job(office.store, fresh).head == 1


def test_the_form_does_without_a_script(plumber: Browser, fresh: int, office: Office) -> None:
    page = plumber.get(f"/jobs/{fresh}/drag/on?view={WALL}").text
    assert 'name="across way"' in page
    assert 'name="upright"' in page
    tried = plumber.post(
        f"/jobs/{fresh}/drag/try",
        {**STUB, "across": "", "across way": "left", "upright": '1 1/2"', "upright way": "down"},
    ).text
    assert "1 1/2&#34; down" in tried
    up = re.search(r'name="up" value="([^"]*)"', tried)
    assert up
    assert float(up[1]) == pytest.approx(-1.5 * INCH)
    assert kept(plumber, fresh, up=up[1]).status_code == 303
    assert jobs.job(office.store, fresh).head == 2


def test_a_length_that_is_none_is_said_so(plumber: Browser, fresh: int) -> None:
    answer = plumber.post(f"/jobs/{fresh}/drag/try", {**STUB, "upright": "two", "upright way": "up"})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text


@pytest.mark.parametrize("name", ["starter", "drawn"])
def test_every_drag_is_written_so_that_the_file_says_it(name: str) -> None:
    """The file that is saved, read again, is the job that was judged: all other values and comments as they were."""
    text = texts.starter("inch") if name == "starter" else DRAWN
    design = design_of(texts.read_text(text))
    table = live.laid(text, live.put_away(design))
    comments = [line.partition("#")[2] for line in text.splitlines() if "#" in line]
    n = 0
    for view in table.listed():
        for h in table.picture(view["id"])["handles"][n % 3 :: 3]:
            shown, handle = table.hold(view["id"], h["id"])
            by = table.by(shown, handle, 3 * INCH, 2 * INCH)
            said = table.kept(view["id"], h["id"], 3 * INCH, 2 * INCH)
            new = _changed(text, said["values"])
            if texts.faults_of(new) or said["answer"]["faults"]:  # said at once, and never saved
                assert said["answer"]["faults"]
                assert h["kind"] != "wall" or new == text
                continue
            each = table._drag(shown, handle)[0].each(by)
            wanted = job_with(design, table.job, handle, by, each)
            read = texts.read_text(new)
            listed_all = ("cabinets", "routes", "walls", "rooms", "openings", "obstacles")
            for listed, key in (("fixtures", "tag"), *((one, "id") for one in listed_all)):
                for a, b in zip(getattr(read, listed), getattr(wanted, listed), strict=True):
                    assert getattr(a, key) == getattr(b, key)
                    _same(a.model_dump(), b.model_dump())
            assert [line.partition("#")[2] for line in new.splitlines() if "#" in line] == comments
            n += 1
    assert n >= 3


PLAN = "plan-main"
P = {"view": PLAN, "handle": "wall:P"}


def test_a_wall_is_dragged_with_its_corners_and_what_hangs_on_it(plumber: Browser, fresh: int, office: Office) -> None:
    """By hand: P goes 2 in east; T ends at it and grows, the bath grows, the living room shrinks, drains go along."""
    before = jobs.revision(office.store, fresh).text
    panel = moved(plumber, fresh, **P, right=2 * INCH)["panel"]
    assert "Bath, wide" in panel
    assert "5&#39;-1&#34;" in panel, "4'-11\" and 2 in"
    assert kept(plumber, fresh, **P, right=2 * INCH).status_code == 303
    last = jobs.revision(office.store, fresh)
    assert last.note == 'wall P dragged: 2" east'
    said = [" ".join(x.split("#")[0].split()) for x in set(last.text.splitlines()) - set(before.splitlines())]
    assert sorted(said) == sorted([
        "from: 5'-10 1/4\", 6'-0\"", "to: 5'-10 1/4\", 15'-6 1/2\"", "to: 5'-7 1/2\", 6'-1 3/4\"",
        "x: 6\", 5'-7\"", "x: 6'-1 1/2\", 19'-6\"", "drain: 4'-7\", 10'-8\"", "drain: 5'-5\", 14'-3 1/2\"",
        "x: 7 1/2\", 5'-7 1/2\"",
    ])  # fmt: skip
    assert texts.faults_of(last.text) == ()
    assert [x.partition("#")[2] for x in last.text.splitlines()] == [x.partition("#")[2] for x in before.splitlines()]


def test_a_wall_that_cannot_go_there_is_refused_with_a_sentence(plumber: Browser, fresh: int, office: Office) -> None:
    panel = moved(plumber, fresh, **P, right=-2 * INCH)["panel"]
    assert "The wall cannot go there" in panel
    assert "BT1 would stand in wall W" in panel
    answer = kept(plumber, fresh, **P, right=-2 * INCH)
    assert answer.status_code == 422
    assert "BT1 would stand in wall W" in answer.text
    assert jobs.job(office.store, fresh).head == 1


def test_the_outside_walls_have_no_ring(plumber: Browser, fresh: int) -> None:
    page = html.unescape(plumber.get(f"/jobs/{fresh}/drag/on?view={PLAN}").text)
    assert re.findall(r'"id": "wall:(\w+)"', page) == ["P", "T"]


def _same(a: Any, b: Any) -> None:
    if isinstance(a, float) and isinstance(b, float):
        assert a == pytest.approx(b, abs=0.001)
    elif isinstance(a, dict):
        for k in a:
            if k != "line":
                _same(a[k], b[k])
    elif isinstance(a, (list, tuple)):
        for x, y in zip(a, b, strict=True):
            _same(x, y)
    else:
        assert a == b


@pytest.mark.parametrize(
    ("text", "wanted"),
    [  # by hand
        ("r:\n  - id: A\n    p:\n      - 1, 2, 3   # one\n      - 4, 5, 6\n",
         "r:\n  - id: A\n    p:\n      - 1, 2, 3   # one\n      - 7, 8, 9\n"),
        ("r:\n  - {id: A, p: ['1, 2, 3', '4, 5, 6']}\n", "r:\n  - {id: A, p: ['1, 2, 3', '7, 8, 9']}\n"),
        ("r:\n  - id: A\n    p: [[1, 2, 3], [4, 5, 6]]\n", "r:\n  - id: A\n    p: [[1, 2, 3], [7, 8, 9]]\n"),
        ("r:\n  - id: A\n    p:\n      - [1, 2, 3]\n      - [4, 5, 6]  # two\n",
         "r:\n  - id: A\n    p:\n      - [1, 2, 3]\n      - [7, 8, 9]  # two\n"),
    ],
)  # fmt: skip
def test_one_point_of_a_route_is_changed_and_nothing_else(text: str, wanted: str) -> None:
    assert yaml_edit.change_nth(text, [Nth("A", "p", 2, "7, 8, 9")], "r") == wanted


def test_a_point_that_is_not_there_or_written_over_lines_is_refused() -> None:
    over = "r:\n  - id: A\n    p:\n      -\n        - 1\n        - 2\n"
    for n in (1, 2):
        with pytest.raises(yaml_edit.EditError):
            yaml_edit.change_nth(over, [Nth("A", "p", n, "7, 8")], "r")


def test_several_points_are_changed_at_once_or_none() -> None:
    text = "r:\n  - id: A\n    p: ['1, 2', '3, 4']\n  - id: B\n    p:\n      - 1, 2\n"
    both = [Nth("A", "p", 2, "30, 40"), Nth("B", "p", 1, "10, 20")]
    assert yaml_edit.change_nth(text, both, "r") == text.replace("3, 4", "30, 40").replace("- 1, 2", "- 10, 20")
    with pytest.raises(yaml_edit.EditError):
        yaml_edit.change_nth(text, [*both, Nth("C", "p", 1, "1, 1")], "r")


class Evil:
    def __reduce__(self) -> Any:
        return os.system, ("true",)


@pytest.mark.parametrize("data", [b"", b"nothing", pickle.dumps(Evil()), pickle.dumps({"a": 1}), pickle.dumps(len)])
def test_bytes_that_are_no_design_make_nothing(data: bytes) -> None:
    with pytest.raises((pickle.UnpicklingError, EOFError)):
        live.taken_out(data)


def test_designs_are_held_up_to_a_number(office: Office, starter: int) -> None:
    text = jobs.revision(office.store, starter).text
    path = str(office.plans.design(office.plans.key(text)))
    tables = Tables(2)
    for n in range(5):
        asked = {"key": str(n), "op": "listed"}
        assert tables.answer(asked) == {"want": "design"}
        assert tables.answer({**asked, "text": text, "design": path})["listed"]
        assert tables.answer(asked)["listed"]
    assert len(tables._held) == 2


def test_fifty_who_drag_at_once_hold_up_nobody_else(served: TestClient, starter: int) -> None:
    people = [browser(served, f"P{n}") for n in range(50)]
    moved(people[0], starter, right=0, up=0)

    def drag(n: int) -> int:
        fields = {**STUB, "right": "0", "up": str(n * INCH / 16)}
        return people[n].post(f"/jobs/{starter}/drag/move", fields).status_code

    with ThreadPoolExecutor(50) as pool:
        begun = time.monotonic()
        drags = [pool.submit(drag, n) for n in range(50)]
        other = browser(served, "Other O")
        slowest = 0.0
        for _ in range(5):
            at = time.monotonic()
            assert other.get("/").status_code == 200
            slowest = max(slowest, time.monotonic() - at)
        assert {d.result() for d in drags} == {200}
        whole = time.monotonic() - begun
    assert slowest < max(1.0, whole / 2)  # a page does not wait for the drags before it


def test_a_plan_that_is_forgotten_takes_its_design_along(tmp_path: Any) -> None:
    app = create(Settings(tmp_path, limits=Limits(kept=1)))
    with TestClient(app, base_url=f"http://{HOST}", client=("127.0.0.1", 50_000)):
        plans = app.state.office.plans
        first, second = texts.starter("mm"), texts.starter("mm") + "# other\n"
        for slot, text in enumerate((first, second)):
            assert plans.wait(text, slot, 180).state == "done"
        end = time.monotonic() + 10
        while plans.design(plans.key(first)).exists() and time.monotonic() < end:
            time.sleep(0.05)
        assert [p.name for p in plans.folder.glob("*.design")] == [plans.design(plans.key(second)).name]


def test_the_same_fault_under_a_new_number_is_the_same() -> None:
    more = Counter({("FIT006", ("D9", "LV1")): 1, ("STB003", ("LV1",)): 1})
    less = Counter({("FIT006", ("D7", "LV1")): 1})
    assert _paired(more, less) == (Counter({("STB003", ("LV1",)): 1}), Counter())


def test_a_move_of_a_job_that_is_not_planned_leads_to_the_job(plumber: Browser, office: Office) -> None:
    text = texts.starter("mm") + f"# {json.dumps('never planned')}\n"
    answer = plumber.post("/jobs/import", files={"file": ("j.yaml", text.encode())}, follow_redirects=False)
    job = int(answer.headers["location"].rpartition("/")[2])
    answer = plumber.post(f"/jobs/{job}/drag/move", {**STUB, "right": "0", "up": "0"}, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/jobs/{job}"


def test_words_of_a_job_are_words_on_the_pages_of_dragging_and_of_the_model(plumber: Browser, office: Office) -> None:
    evil = "<script>alert(1)</script>' \" &"
    text = texts.starter("inch")
    title = re.search(r"kind: lavatory\n(\s+)title: .*", text)
    assert title
    written = evil.replace("'", "''")
    text = text.replace(title[0], f"kind: lavatory\n{title[1]}title: '{written}'")
    answer = plumber.post("/jobs/import", files={"file": ("j.yaml", text.encode())}, follow_redirects=False)
    job = int(answer.headers["location"].rpartition("/")[2])
    assert office.plans.wait(text, job, 120).state == "done"
    for path in (f"/jobs/{job}/drag", f"/jobs/{job}/drag/on?view={WALL}", f"/jobs/{job}/model"):
        page = plumber.get(path)
        assert page.status_code == 200
        assert "<script>alert" not in page.text
    plan = plumber.get(f"/jobs/{job}/drag/on?view=plan-main").text
    found = re.search(r'data-handles="([^"]*)"', plan)
    assert found
    names = [h["name"] for h in json.loads(html.unescape(found[1]))]
    assert f"LV1 {evil}" in names
