"""Whatever is sent to whatever door: a page, a sentence or the error object, never a fault of the program."""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterator

import pytest
from fastapi.routing import APIRoute
from hypothesis import example, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient
from web_client import HOST, Browser, browser

from stubout.run_field import texts
from stubout.store import jobs
from stubout.web import yaml_edit
from stubout.web.app import create
from stubout.web.guard import Budget
from stubout.web.settings import Settings

NUMBERS = ("0", "-1", "1", "999999999", "2147483648", "99999999999999999999999", "x", "1e3", "%00", "%F0%9F%9A%BD")
WORDS = ("..", "%2e%2e", "%00", "x", "a" * 300, "%F0%9F%9A%BD", "'\"<>")
FIELDS = (
    "base", "text", "note", "name", "starter", "tag", "new", "kind", "about", "place", "value", "wall", "revision",
    "token", "takes_back", "datum", "next", "part", "code", "anyway", "start", "end", "minutes", "leaks", "witness",
    "at", "room", "of",
)  # fmt: skip
VALUES = (
    "", "0", "1", "-1", "x", "\0", "\x1b", "a" * 5000, "🚽", "//evil.example", "99999999999", "taken back", "height",
    "slope", "test", "sign-off", "5-11 3/8", "&x", "- [", "stubout: 1", "fixtures", "walls",
)  # fmt: skip


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """Give a server of its own with one planned job: others would wait for the long work that is asked for here."""
    app = create(Settings(tmp_path_factory.mktemp("nonsense")))
    with TestClient(app, base_url=f"http://{HOST}", client=("127.0.0.1", 50_000)) as client:
        yield client


@pytest.fixture(scope="module")
def starter(served: TestClient) -> int:
    office = served.app.state.office  # type: ignore[attr-defined]
    job = jobs.create(office.store, "Starter", texts.starter("inch"), "Plumber P", "").id
    assert office.plans.wait(texts.starter("inch"), job, 120).state == "done"
    return int(job)


def routes(served: TestClient) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    pending = list(served.app.routes)  # type: ignore[attr-defined]
    while pending:
        route = pending.pop()
        if isinstance(route, APIRoute):
            found += [(m, route.path) for m in route.methods or ()]
        pending += list(getattr(route, "routes", None) or [])
        inner = getattr(route, "original_router", None)
        pending += list(getattr(inner, "routes", None) or [])
    return sorted(set(found))


def test_every_door_is_tried(served: TestClient) -> None:
    paths = {p for _, p in routes(served)}
    assert {"/jobs/{job_id}/records", "/jobs/{job_id}/part", "/photos/{digest}.jpg", "/hello"} <= paths
    assert len(paths) > 40


def test_nonsense_is_answered(served: TestClient, starter: int) -> None:
    who = browser(served, "Plumber P")
    tried: set[tuple[str, str]] = set()  # a door without a number or a word in it is tried once
    for method, path in routes(served):
        for number, word in itertools.zip_longest((str(starter), *NUMBERS), WORDS, fillvalue="x"):
            address = path.replace("{job_id}", number).replace("{number}", number)
            for name in ("{name}", "{name:path}", "{key}", "{digest}", "{of}", "{book}"):
                address = address.replace(name, word)
            if (method, address) in tried:
                continue
            tried.add((method, address))
            if method == "GET":
                answer = who.get(address)
            elif path != "/leave":
                headers = {"X-CSRF-Token": who.csrf}
                answer = who.client.request(method, address, data={"csrf": who.csrf}, headers=headers)
            assert answer.status_code < 500, (method, address)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(("records", "edit", "part", "part/out", "rename", "faults", "photos", "revisions/1/back")),
    st.dictionaries(st.sampled_from(FIELDS), st.sampled_from(VALUES) | st.text(max_size=40), max_size=12),
)
@example("records", {"kind": "test", "revision": "1", "about": "x", "place": "y"})
@example("records", {"kind": "sign-off", "revision": "1", "about": "glue", "value": "x"})
@example("records", {"kind": "height", "revision": "1", "about": "x", "value": "1 m", "datum": "moon"})
@example("records", {"kind": "tick", "revision": "1", "about": "x", "place": "y", "part": "task"})
@example("part", {"of": "fixtures", "base": "1", "new": "- x", "kind": "lavatory", "room": "bath", "anyway": "1"})
@example(
    "part", {"of": "fixtures", "base": "1", "tag": "LV1", "kind": "lavatory", "room": "bath", "at": "{", "anyway": "1"}
)
def test_any_form_is_answered(served: TestClient, starter: int, where: str, fields: dict[str, str]) -> None:
    who = _who(served)
    job = _copy(who, starter)
    safe = {k: v.encode("utf-8", "replace").decode() for k, v in fields.items()}
    answer = who.post(f"/jobs/{job}/{where}", safe, headers={"HX-Request": "true"} if "part" in safe else {})
    assert answer.status_code < 500


_KEPT: dict[int, Browser | int] = {}


def _who(served: TestClient) -> Browser:
    if 0 not in _KEPT:
        _KEPT[0] = browser(served, "Plumber P")
    found = _KEPT[0]
    assert isinstance(found, Browser)
    return found


def _copy(who: Browser, starter: int) -> int:
    if 1 not in _KEPT:
        _KEPT[1] = int(who.post(f"/jobs/{starter}/duplicate").url.path.rpartition("/")[2])
    found = _KEPT[1]
    assert isinstance(found, int)
    return found


PLAIN = "fixtures:\n  - tag: A   # kept\n    title: old   # kept too\n  - {tag: B, title: old}\nother: 1\n"


@settings(max_examples=150, deadline=None)
@given(st.sampled_from("AB"), st.text(alphabet=string.printable + "⅜′é🚽", max_size=30))
@example("A", "- x")
@example("B", "a, b: {c} [d]")
@example("A", "# no comment")
@example("B", "'")
@example("A", "null")
@example("A", "[1, 2]")
@example("A", "&a *b !c")
def test_any_value_is_written_so_that_it_is_read_back(tag: str, value: str) -> None:
    wanted = " ".join(value.split())
    try:
        text = yaml_edit.change(PLAIN, tag, {"title": value})
    except yaml_edit.EditError:
        return
    found = {i.tag: i.values for i in yaml_edit.items(text)}
    assert " ".join(found[tag].get("title", "").split()) == wanted
    assert found["AB".replace(tag, "")]["title"] == "old"
    assert "# kept\n" in text
    assert text.endswith("other: 1\n")


@pytest.mark.parametrize("value", ["plain", "it's 3/4\" # x", "a: b", "- x", "{", "yes", "1_0", "⅜"])
def test_usual_values_are_never_refused(value: str) -> None:
    for tag in "AB":
        found = yaml_edit.items(yaml_edit.change(PLAIN, tag, {"title": value}))
        assert next(i for i in found if i.tag == tag).values["title"] == value


@given(st.lists(st.tuples(st.sampled_from("abc"), st.floats(0, 10)), max_size=60))
def test_no_budget_lets_more_through_than_it_has(asked: list[tuple[str, float]]) -> None:
    clock = [0.0]
    budget = Budget(5, 1.0, lambda: clock[0])
    passed: dict[str, list[float]] = {}
    for client, wait in asked:
        clock[0] += wait
        if budget.take(client):
            passed.setdefault(client, []).append(clock[0])
    for times in passed.values():
        for i, begin in enumerate(times):
            for j, end in enumerate(times[i:], start=1):
                assert j <= 5 + (end - begin) + 1e-6
