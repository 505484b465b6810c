"""Nobody comes in who should not: names, origins, sessions, tokens, sizes, rates, codes."""

from __future__ import annotations

import hashlib
import re
from importlib.resources import files
from pathlib import Path

import httpx2 as httpx
import pytest
from starlette.testclient import TestClient
from web_client import HOST, Browser, browser

from stubout.store import sessions
from stubout.web.app import create
from stubout.web.guard import Budget
from stubout.web.office import Office
from stubout.web.pages_people import own_path
from stubout.web.people import Pairing
from stubout.web.settings import Limits, Settings

HTMX_SHA256 = "a0abb04f2f45a1f89d1d4844023245537e5e6014c87b144553e0607b4cc32130"  # htmx.org 4.0.1, dist/htmx.min.js


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "localhost.evil.example:8787", ""])
def test_a_name_that_is_not_ours_is_refused(served: TestClient, host: str) -> None:
    answer = served.get("/", headers={"Host": host})
    assert answer.status_code == 421
    assert "name" in answer.text


@pytest.mark.parametrize("host", [HOST, "localhost:8787", "LOCALHOST:8787"])
def test_our_own_names_are_taken(served: TestClient, host: str) -> None:
    assert served.get("/hello", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_form_of_another_page_changes_nothing(plumber: Browser, headers: dict[str, str]) -> None:
    answer = plumber.post("/jobs/new", {"starter": "inch"}, headers=headers)
    assert answer.status_code == 403


def test_our_own_origin_is_taken(plumber: Browser) -> None:
    answer = plumber.post("/jobs/new", {"starter": "no such"}, headers={"Origin": f"http://{HOST}"})
    assert answer.status_code == 400


@pytest.mark.parametrize("token", ["", "0" * 64, "ü"])
def test_a_form_without_its_token_changes_nothing(plumber: Browser, served: TestClient, token: str) -> None:
    assert plumber.post("/jobs/new", {"starter": "inch", "csrf": token}).status_code == 403
    answer = plumber.client.post("/api/jobs", json={"name": "x", "starter": "inch"})
    assert answer.status_code == 403
    assert set(answer.json()) == {"schema", "error", "faults"}


def test_the_token_of_another_session_is_none(plumber: Browser, helper: Browser) -> None:
    assert plumber.csrf != helper.csrf
    assert plumber.post("/jobs/new", {"starter": "inch", "csrf": helper.csrf}).status_code == 403


def test_without_a_session_a_page_asks_who_is_at_work(served: TestClient) -> None:
    served.cookies.clear()
    answer = served.get("/jobs/1", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/hello?next=/jobs/1")
    assert served.get("/api/jobs").status_code == 401


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(served: TestClient) -> None:
    answer = served.post("/hello", data={"name": "P"}, follow_redirects=False)
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert "max-age=" in cookie


def test_a_session_that_was_left_is_over(plumber: Browser, office: Office) -> None:
    token = plumber.client.cookies["stubout"]
    assert sessions.session(office.store, token) is not None
    plumber.post("/leave")
    assert sessions.session(office.store, token) is None


@pytest.mark.parametrize("path", ["//evil.example", "/\\evil.example", "https://evil.example", "", "/a\r\nX: y"])
def test_nobody_is_led_away(path: str) -> None:
    assert own_path(path) == "/"
    assert own_path("/jobs/1") == "/jobs/1"


PAGES = ("/hello", "/", "/jobs/{job}", "/jobs/{job}/site", "/jobs/{job}/edit", "/jobs/{job}/sheets/2", "/nowhere")


@pytest.mark.parametrize("path", PAGES)
def test_every_answer_forbids_what_it_does_not_need(plumber: Browser, starter: int, path: str) -> None:
    answer = plumber.get(path.format(job=starter))
    policy = answer.headers["content-security-policy"]
    assert "unsafe" not in policy
    assert policy.startswith("default-src 'none'")
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"
    # What the policy forbids is not there: no script, style or handler inside the page, nothing from outside.
    assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", answer.text)
    outside = re.findall(r'(?:src|href|action|hx-[a-z]+)="(?:https?:)?//[^"]*"', answer.text)
    assert outside == []


def test_static_files_fetch_nothing_and_htmx_is_the_one_we_know() -> None:
    folder = files("stubout.web").joinpath("static")
    assert hashlib.sha256(folder.joinpath("htmx.min.js").read_bytes()).hexdigest() == HTMX_SHA256
    assert "THE SOFTWARE IS PROVIDED" in folder.joinpath("htmx.LICENSE.txt").read_text(encoding="utf-8")
    for name in ("field.js", "field.css"):
        assert not re.search(r"(https?:)?//[a-z0-9.-]+\.[a-z]", folder.joinpath(name).read_text(encoding="utf-8"))


def test_static_files_are_kept_by_the_browser(served: TestClient) -> None:
    answer = served.get("/static/field.css")
    assert "immutable" in answer.headers["cache-control"]
    for path in ("/static/../app.py", "/static/%2e%2e/app.py", "/fonts/../run.py", "/static/"):
        assert served.get(path).status_code in (404, 405)


def test_too_much_is_not_read(plumber: Browser) -> None:
    limits = Limits()
    assert plumber.post("/jobs/new", {"name": "x" * limits.form_bytes}).status_code == 413
    large = {"file": ("job.yaml", b"x" * (limits.job_bytes + 1))}
    assert plumber.post("/jobs/import", files=large).status_code == 413
    # Sent piece by piece, without saying how much comes.
    pieces = (b"x" * 10_000 for _ in range(20))
    answer = plumber.client.post(
        "/jobs/new", content=pieces, headers={"Content-Type": "application/x-www-form-urlencoded"}
    )
    assert answer.status_code == 413
    assert plumber.get("/", headers={"Content-Length": "many"}).status_code == 413


def test_a_budget_is_refilled() -> None:
    clock = [0.0]
    budget = Budget(3, 1.0, lambda: clock[0])
    assert [budget.take("a") for _ in range(4)] == [True, True, True, False]
    assert budget.take("b")
    clock[0] = 1.0
    assert [budget.take("a") for _ in range(2)] == [True, False]


def network(folder: Path) -> tuple[TestClient, Office]:
    app = create(Settings(folder, network=True, hosts=("192.0.2.7",)))
    client = TestClient(app, base_url="http://192.0.2.7:8787", client=("192.0.2.50", 4000))
    return client, app.state.office


def test_on_a_network_a_browser_has_to_say_the_code(tmp_path: Path) -> None:
    client, office = network(tmp_path)
    with client:
        assert "Pairing code" in client.get("/hello").text
        answer = client.post("/hello", data={"name": "Phone", "code": "WRONG"})
        assert answer.status_code == 400
        assert "not the code" in answer.text
        assert client.post("/api/session", json={"name": "Phone"}).status_code == 403
        said = office.pairing.shown.lower()
        assert client.post("/hello", data={"name": "Phone", "code": f" {said} "}).url.path == "/"
        assert office.pairing.shown not in client.get("/").text


def test_the_code_cannot_be_guessed_at(tmp_path: Path) -> None:
    client, office = network(tmp_path)
    with client:
        tries = [client.post("/hello", data={"name": "Phone", "code": "WRONG"}).text for _ in range(7)]
        assert sum("Wait a minute" in t for t in tries) == 2
        # Even the right one has to wait now.
        assert "Wait" in client.post("/hello", data={"name": "P", "code": office.pairing.code}).text


def test_a_code_that_many_guess_at_is_changed() -> None:
    pairing = Pairing(Limits(pairing_misses=3))
    first = pairing.code
    assert [pairing.fits(f"192.0.2.{n}", "X") for n in range(3)] == [False, False, False]
    assert pairing.changed
    assert pairing.code != first


def test_a_client_of_the_network_has_a_budget_and_this_machine_none(tmp_path: Path) -> None:
    limits = Limits(requests_burst=5, requests_a_second=0.01)
    app = create(Settings(tmp_path, network=True, hosts=("192.0.2.7",), limits=limits))
    far = TestClient(app, base_url="http://192.0.2.7:8787", client=("192.0.2.50", 4000))
    near = TestClient(app, base_url="http://192.0.2.7:8787", client=("127.0.0.1", 4000))
    with far:
        assert [far.get("/hello").status_code for _ in range(7)].count(429) >= 1
        assert {near.get("/hello").status_code for _ in range(7)} == {200}


def test_openapi_is_ours_and_its_pages_are_not_served(served: TestClient) -> None:
    assert served.get("/api/openapi.json").status_code == 200
    for path in ("/docs", "/redoc", "/openapi.json"):
        assert served.get(path).status_code == 404


def test_words_of_a_client_are_escaped(plumber: Browser) -> None:
    made = plumber.post("/jobs/new", {"starter": "inch", "name": '<script>alert("x")</script>'})
    assert "<script>alert" not in made.text
    assert "&lt;script&gt;" in made.text
    other = browser(plumber.client, "<b>Bold</b>")
    assert "<b>Bold" not in other.get("/").text


def test_every_answer_is_kept_from_frames(served: TestClient) -> None:
    answer: httpx.Response = served.get("/hello")
    assert answer.headers["x-frame-options"] == "DENY"
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
