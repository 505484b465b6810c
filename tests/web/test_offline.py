"""The app without a signal: the server is stopped for good and started again; nothing lost, nothing doubled."""

from __future__ import annotations

import base64
import json
import re
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest
import uvicorn
from web_client import Browser as Client

from stubout.store import jobs, records
from stubout.store.model import Entry, Kind
from stubout.web.app import create
from stubout.web.office import Office
from stubout.web.settings import Settings

pytest.importorskip("playwright", reason="playwright is not installed")
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Route, expect
from test_browser import CHROMIUM, SIZES, chromium  # noqa: F401 - a fixture

# Resolves when the worker has taken the page over; the policy of our pages forbids to ask for it again and again.
CONTROLLED = """new Promise((done) => {
  navigator.serviceWorker.addEventListener("controllerchange", () => done(true));
  if (navigator.serviceWorker.controller) done(true);
})"""
# The tokens of the photos that a phone keeps.
LEFT = """new Promise((done) => { const asked = indexedDB.open("stubout-photos", 1); asked.onsuccess = () => {
  const keys = asked.result.transaction("photos").objectStore("photos").getAllKeys();
  keys.onsuccess = () => done(keys.result); }; })"""
needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="no chromium is installed")


@dataclass
class Server:
    """A server that can be stopped and started again under the same name."""

    office: Office
    port: int = 0
    _server: uvicorn.Server | None = None
    _thread: threading.Thread | None = None
    _listening: socket.socket | None = field(default=None)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        self._listening = socket.create_server(("127.0.0.1", self.port))
        self.port = self._listening.getsockname()[1]
        app = create(Settings(self.office.settings.data, port=self.port))
        self._server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none", timeout_graceful_shutdown=1))
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [self._listening]}, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.02)

    def stop(self) -> None:
        assert self._server
        assert self._thread
        assert self._listening
        self._server.should_exit = True
        self._thread.join(timeout=20)
        self._listening.close()


@pytest.fixture
def server(office: Office) -> Iterator[Server]:
    made = Server(office)
    made.start()
    yield made
    if made._thread and made._thread.is_alive():
        made.stop()


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:  # noqa: F811
    wide, high = SIZES["phone"]
    made = chromium.new_context(viewport={"width": wide, "height": high}, has_touch=True, is_mobile=True,
                                accept_downloads=True)  # fmt: skip
    yield made
    made.close()


def at_work(context: BrowserContext, server: Server, name: str) -> Page:
    page = context.new_page()
    page.goto(f"{server.address}/hello")
    page.get_by_label("Your name").fill(name)
    page.get_by_role("button", name="Go on").click()
    assert page.evaluate(CONTROLLED)
    return page


@needs_chromium
def test_what_is_recorded_without_a_signal_is_sent_once_when_it_is_back(
    context: BrowserContext, server: Server, fresh: int, office: Office
) -> None:
    page = at_work(context, server, "Plumber P")
    wall = f"{server.address}/jobs/{fresh}/site/wall-P-L"
    page.goto(wall)
    expect(page.locator("#kept")).to_be_hidden()
    server.stop()

    page.goto(wall)  # read from what the phone has
    expect(page.locator("#kept")).to_be_visible()
    expect(page.locator("#screen svg")).to_be_visible()
    page.goto(f"{server.address}/jobs/{fresh}/findings")
    expect(page.get_by_role("heading", name="No signal")).to_be_visible()
    page.goto(wall)
    page.get_by_role("button", name="bored").first.tap()
    expect(page.locator(".waits").first).to_contain_text("Kept on this phone")
    mark = page.locator("li.mark", has_text="stub-out").first
    mark.locator("summary").first.tap()
    mark.get_by_label("Height of the centre").fill("5-11 3/8")  # nobody can judge it here: told when it is sent
    mark.get_by_role("button", name="Judge and keep").click()
    expect(mark.locator(".waits")).to_contain_text("5-11 3/8")
    page.get_by_label("Note", exact=True).fill("no light <here>")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.locator("#queue")).to_contain_text("for a signal: 3")
    page.goto(wall)  # what waits outlasts the page
    expect(page.locator("#queue")).to_contain_text("for a signal: 3")
    # The page read from the phone has the tokens it had: the same tick is no second one, another height is.
    page.get_by_role("button", name="bored").first.tap()
    mark.locator("summary").first.tap()
    mark.get_by_label("Height of the centre").fill("1'-6 1/2\"")
    mark.get_by_role("button", name="Judge and keep").click()
    expect(page.locator("#queue")).to_contain_text("for a signal: 4")
    assert records.listed(office.store, fresh) == ()
    with page.expect_download() as waited:
        page.get_by_role("button", name="Save as a file").click()
    saved = waited.value.path().read_bytes()

    server.start()
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#queue")).to_contain_text("two readings", timeout=20_000)
    kept = records.listed(office.store, fresh)
    assert [(r.kind, r.author, r.brought_by) for r in kept] == [
        (kind, "Plumber P", "Plumber P") for kind in (Kind.TICK, Kind.NOTE, Kind.HEIGHT)
    ]
    assert kept[1].value == "no light <here>"
    page.get_by_role("button", name="I have seen it").click()
    expect(page.locator("#queue")).to_be_hidden()
    page.goto(wall)
    expect(page.locator("#kept")).to_be_hidden()
    expect(page.get_by_role("button", name=re.compile("bored.*Plumber P")).first).to_be_visible()
    # The same entries as a file: nothing twice.
    page.goto(f"{server.address}/jobs/{fresh}/along")
    page.locator("input[type=file]").set_input_files(
        {"name": "e.json", "mimeType": "application/json", "buffer": saved}
    )
    page.get_by_role("button", name="Bring back").click()
    expect(page.locator("#outcomes")).to_contain_text("0 added, 3 there already, 1 refused")
    assert len(records.listed(office.store, fresh)) == 3


def sent_photo(page: Page, form: Locator, data: bytes, value: str) -> None:
    form.locator("input[type=file]").set_input_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": data})
    form.get_by_label("What it shows").fill(value)
    form.get_by_role("button", name="Keep the photo").click()


@needs_chromium
def test_photos_taken_without_a_signal_are_sent_when_it_is_back(
    context: BrowserContext, server: Server, fresh: int, office: Office, photo: bytes
) -> None:
    page = at_work(context, server, "Plumber P")
    wall = f"{server.address}/jobs/{fresh}/site/wall-P-L"
    page.goto(wall)
    form = page.locator("#notes form[action$=photos]")
    sent_photo(page, form, photo, "with a signal")  # goes as a form does
    expect(page.locator("#notes .kept")).to_have_count(1)
    server.stop()
    page.goto(wall)
    for n, (data, value) in enumerate(((photo, "before cover"), (photo, "another"), (b"none", "x"))):
        sent_photo(page, form, data, value)
        waits = page.locator("#notes .waits")
        if value == "x":
            expect(waits).to_contain_text("cannot read that picture")
        else:
            expect(waits).to_contain_text(value)
            expect(page.locator("#queue")).to_contain_text(f"for a signal: {n + 1}")
    page.goto(wall)  # a page read from the phone has the tokens it had
    mark = page.locator("li.mark").first
    mark.locator("summary", has_text="Photo of this mark").tap()
    sent_photo(page, mark.locator("form[action$=photos]"), photo, "at the mark")
    expect(page.locator("#queue")).to_contain_text("for a signal: 3")
    sent_photo(page, form, photo, "before cover")  # the same again is no second one
    expect(page.locator("#notes .waits")).to_contain_text("before cover")
    expect(page.locator("#queue")).to_contain_text("for a signal: 3")
    with page.expect_download() as waited:
        page.get_by_role("button", name="Save as a file").click()
    saved = waited.value.path().read_bytes()
    assert b"SECRET MAKER" not in base64.b64decode(json.loads(saved)["entries"][0]["photo"])
    assert len(records.listed(office.store, fresh)) == 1

    server.start()
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#queue")).to_be_hidden(timeout=20_000)
    kept = records.listed(office.store, fresh)
    assert [(r.kind, r.value, r.author) for r in kept] == [
        (Kind.PHOTO, value, "Plumber P") for value in ("with a signal", "before cover", "another", "at the mark")
    ]
    assert [bool(r.place) for r in kept] == [False, False, False, True]
    for r in kept:
        assert records.photo(office.store, r.photo).data.startswith(b"\xff\xd8")
    # What was sent is not on the phone any more; the same entries as a file add nothing.
    left = page.evaluate(LEFT)
    assert left == []
    page.goto(f"{server.address}/jobs/{fresh}/along")
    page.locator("input[type=file]").set_input_files(
        {"name": "e.json", "mimeType": "application/json", "buffer": saved}
    )
    page.get_by_role("button", name="Bring back").click()
    expect(page.locator("#outcomes")).to_contain_text("0 added, 3 there already, 0 refused")


@needs_chromium
def test_a_photo_whose_answer_got_lost_is_not_doubled(
    context: BrowserContext, server: Server, fresh: int, office: Office, photo: bytes
) -> None:
    page = at_work(context, server, "Plumber P")
    page.goto(f"{server.address}/jobs/{fresh}/site/wall-P-L")

    def lose(route: Route) -> None:
        route.fetch(max_redirects=0)  # the server has it
        route.abort("connectionreset")  # the phone never hears of it

    page.route(re.compile(r"/photos$"), lose)
    sent_photo(page, page.locator("#notes form[action$=photos]"), photo, "")
    expect(page.locator("#queue")).to_contain_text("for a signal: 1")
    assert len(records.listed(office.store, fresh)) == 1
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#queue")).to_be_hidden()
    assert len(records.listed(office.store, fresh)) == 1


@needs_chromium
def test_an_answer_that_got_lost_does_not_double_the_record(
    context: BrowserContext, server: Server, fresh: int, office: Office
) -> None:
    page = at_work(context, server, "Plumber P")
    page.goto(f"{server.address}/jobs/{fresh}/site/wall-P-L")

    def lose(route: Route) -> None:
        route.fetch()  # the server has it
        route.abort("connectionreset")  # the phone never hears of it

    page.route(re.compile(r"/records$"), lose)
    page.get_by_role("button", name="bored").first.tap()
    expect(page.locator("#queue")).to_contain_text("for a signal: 1")
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#queue")).to_be_hidden()
    assert len(records.listed(office.store, fresh)) == 1


@needs_chromium
def test_who_leaves_leaves_nothing_to_be_read_and_another_sees_only_his_own(
    context: BrowserContext, server: Server, fresh: int
) -> None:
    page = at_work(context, server, "Plumber P")
    wall = f"{server.address}/jobs/{fresh}/site/wall-P-L"
    page.goto(wall)
    stores = "caches.keys().then((k) => k.filter((n) => n.startsWith('stubout-pages-')))"
    (mine,) = page.evaluate(stores)
    kept = page.evaluate(f"caches.open('{mine}').then((c) => c.keys()).then((k) => k.map((r) => r.url))")
    assert kept == [wall]  # of all pages seen only those that may be kept
    # Another name in the same browser: what the first one saw is gone with the first page.
    page.goto(f"{server.address}/hello")
    page.get_by_label("Your name").fill("Helper H")
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("heading", name="Jobs")).to_be_visible()
    assert page.evaluate(stores) == []
    page.goto(wall)
    assert mine not in page.evaluate(stores)
    # What waits holds one back from leaving.
    server.stop()
    page.get_by_role("button", name="bored").first.tap()
    expect(page.locator("#queue")).to_contain_text("for a signal: 1")
    server.start()
    page.route(re.compile("/along/entries$"), lambda route: route.abort())
    page.goto(f"{server.address}/hello")
    page.get_by_role("button", name=re.compile("Leave")).click()
    expect(page.locator(".waits")).to_contain_text("send them first")
    page.unroute(re.compile("/along/entries$"))
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#queue")).to_be_hidden()
    page.get_by_role("button", name=re.compile("Leave")).click()
    expect(page.get_by_role("heading", name="Who is at work?")).to_be_visible()
    assert page.evaluate(stores) == []
    server.stop()
    page.goto(wall)
    expect(page.get_by_role("heading", name="No signal")).to_be_visible()


def test_only_wall_pages_may_be_kept_and_each_page_says_whose_it_is(
    plumber: Client, helper: Client, starter: int
) -> None:
    marks = set()
    for who in (plumber, helper):
        for path, keeps in (
            ("/site", True), ("/site/elsewhere", True), ("/site/wall-P-L", True), ("/gates", True), ("", False),
            ("/records", False), ("/edit", False), ("/along", False), ("/findings", False),
        ):  # fmt: skip
            answer = who.get(f"/jobs/{starter}{path}")
            assert ("x-stubout-keeps" in answer.headers) is keeps, path
            marks.add(answer.headers["x-stubout-session"])
            assert answer.headers["cache-control"] == "no-store"
    assert len(marks) == 2
    assert plumber.client.cookies["stubout"] not in marks


def test_the_app_can_be_put_on_a_home_screen(plumber: Client) -> None:
    manifest = plumber.get("/app.webmanifest")
    assert manifest.headers["content-type"].startswith("application/manifest+json")
    said = manifest.json()
    assert (said["start_url"], said["display"]) == ("/", "standalone")
    for icon in said["icons"]:
        assert plumber.get(icon["src"]).content.startswith(b"\x89PNG")
    assert 'rel="manifest"' in plumber.get("/").text
    worker = plumber.get("/worker.js")
    assert worker.headers["content-type"].startswith("text/javascript")
    assert "script-src 'self'" in worker.headers["content-security-policy"]
    for path in re.findall(r'"(/(?:static|fonts)/[^"]+)"', worker.text):
        assert plumber.get(path).status_code == 200
    nobody = Client(plumber.client, "").client
    nobody.cookies.clear()
    assert nobody.get("/offline").status_code == 200


def test_entries_of_the_queue_carry_the_name_of_the_session(plumber: Client, fresh: int, office: Office) -> None:
    records.add(office.store, fresh, 1, "P", Entry(Kind.TICK, "B0"))
    at = jobs.revision(office.store, fresh).at
    text = (
        f'{{"stubout": "entries", "schema": 1, "job": {{"id": {fresh}, "revision": 1}}, "entries": [{{"token": '
        f'"0123456789abcdef", "kind": "tick", "about": "B1", "author": "Somebody Else", "at": "{at}"}}]}}'
    )
    answer = plumber.post(f"/jobs/{fresh}/along/entries", {"text": text, "own": "yes", "as": "json"})
    assert answer.json()["outcomes"] == [{"token": "0123456789abcdef", "state": "added", "words": ""}]
    assert {r.about: r.author for r in records.listed(office.store, fresh)}["B1"] == "Plumber P"
    wrong = text.replace('"revision": 1', '"revision": 9')
    answer = plumber.post(f"/jobs/{fresh}/along/entries", {"text": wrong, "own": "yes", "as": "json"})
    assert answer.status_code == 400
    assert "no revision" in answer.json()["error"]
