"""The plan from all sides: what the page lists, and in a real browser what can be turned, hidden and picked."""

from __future__ import annotations

import hashlib
import html
import json
import re
import shutil
from collections.abc import Iterator
from importlib.resources import files

import pytest
from test_browser import SIZES, TOUCH_PX, address, barriers, begun, opened
from web_client import Browser as Client

from stubout.layout.model import Role
from stubout.store import jobs
from stubout.web.office import Office
from stubout.web.solids import MODEL, PIPE_WORDS, document_of, nodes_of

pytest.importorskip("playwright", reason="playwright is not installed")
from playwright.sync_api import Browser, Page, expect, sync_playwright

__all__ = ["address"]
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ("--no-sandbox", "--enable-unsafe-swiftshader", "--use-gl=angle", "--use-angle=swiftshader")
THREE_SHA256 = "cf889a7516d9ebc4ac2a9badab3960e9fd971ec3705631f7fc80b7691530ec77"  # three.js 0.187.0: tools/three
in_browser = pytest.mark.skipif(CHROMIUM is None, reason="no chromium is installed")


@pytest.fixture(scope="module")
def drawing() -> Iterator[Browser]:
    """Give a browser that draws 3D without a card for it."""
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


def test_what_draws_is_the_one_we_know_with_its_licence_and_asks_nothing_outside() -> None:
    static = files("stubout.web").joinpath("static")
    data = static.joinpath("three.min.js").read_bytes()
    assert hashlib.sha256(data).hexdigest() == THREE_SHA256
    assert b"new Function" not in data  # the policy of our pages forbids it
    licence = static.joinpath("three.LICENSE.txt").read_text(encoding="utf-8")
    assert "MIT License" in licence
    assert "three.js authors" in licence


def test_the_page_lists_every_pipe_of_the_model(plumber: Client, fresh: int, office: Office) -> None:
    page = plumber.get(f"/jobs/{fresh}/model").text
    key = office.plans.key(jobs.revision(office.store, fresh).text)
    told = nodes_of(document_of(office.plans.file(key, MODEL)))
    pipes = [n for n in told if n["kind"] == "pipe"]
    assert len(pipes) > 10
    for p in pipes:
        assert f'data-pipe="{p["about"]}"' in page
    assert "<script>" not in page
    model = plumber.get(f"/jobs/{fresh}/files/{key}/{MODEL}")
    assert model.headers["content-type"] == "model/gltf-binary"
    assert nodes_of(document_of(model.content)) == told


def test_what_the_model_says_of_a_pipe_is_spoken(plumber: Client, starter: int) -> None:
    assert {r.value for r in Role} <= set(PIPE_WORDS)
    plumber.post("/hello", {"name": "Plumber P", "language": "es"})
    try:
        page = plumber.get(f"/jobs/{starter}/model").text
    finally:
        plumber.post("/hello", {"name": "Plumber P", "language": "en"})
    assert "brazo de trampa, " in page
    said = re.search(r'data-words="([^"]+)"', page)
    assert said
    words = json.loads(html.unescape(said[1]))
    assert words["No pipe picked"] == "Ningún tubo elegido"
    assert words["drain"] == "desagüe"


def ready(page: Page, where: str, job: int, more: str = "") -> None:
    page.goto(f"{where}/jobs/{job}/model{more}")
    expect(page.locator("#model[data-ready]")).to_be_visible(timeout=20_000)


def seen(page: Page) -> bytes:
    return page.locator("#model").screenshot()


@in_browser
def test_a_pipe_is_picked_from_the_list_and_by_a_tap(drawing: Browser, address: str) -> None:
    with opened(drawing, address, "desk", "Plumber P", but="GPU stall") as page:
        job = begun(page)
        ready(page, address, job)
        expect(page.locator("#picked")).to_contain_text("No pipe picked")
        before = seen(page)
        page.locator("summary", has_text="pipes").click()
        row = page.locator("#pipes a").nth(3)
        name = row.get_attribute("data-pipe")
        row.click()
        picked = page.locator("#picked")
        expect(picked.locator("h2")).to_have_text(f"Pipe {name}")
        expect(picked).to_contain_text(" in")
        expect(picked.get_by_role("link")).to_have_attribute("href", f"{address}/jobs/{job}/why?about={name}")
        assert seen(page) != before
        page.locator("#model").press("Escape")
        expect(picked).to_contain_text("No pipe picked")
        page.locator("input[name=kind][value=wood]").uncheck()
        box = page.locator("#model canvas").bounding_box()
        assert box
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)  # the list brought it to the middle
        expect(picked.locator("h2")).to_contain_text("Pipe ")
        picked.get_by_role("link").click()
        expect(page.get_by_role("heading").first).to_be_visible()
        assert "/why" in page.url


@in_browser
def test_it_turns_by_keys_and_buttons_and_hides_what_is_not_wanted(drawing: Browser, address: str) -> None:
    with opened(drawing, address, "desk", "Plumber P", but="GPU stall") as page:
        job = begun(page)
        ready(page, address, job)
        box = page.locator("#model")
        box.focus()
        last = seen(page)
        for key in ("ArrowLeft", "ArrowUp", "+", "Home"):
            page.keyboard.press(key)
            now = seen(page)
            assert now != last, key
            last = now
        for words in ("Top", "Front", "Nearer", "Whole"):
            page.get_by_role("button", name=words).click()
            now = seen(page)
            assert now != last, words
            last = now
        for value in ("wood", "vent", "drain"):
            page.locator(f"input[name=kind][value={value}]").uncheck()
            now = seen(page)
            assert now != last, value
            last = now
        page.locator("input[name=level]").first.uncheck()


@in_browser
def test_one_pipe_can_be_asked_for(drawing: Browser, address: str, office: Office) -> None:
    with opened(drawing, address, "desk", "Plumber P", but="GPU stall") as page:
        job = begun(page)
        ready(page, address, job, "?about=D4")
        expect(page.locator("#picked h2")).to_have_text("Pipe D4")


@in_browser
@pytest.mark.parametrize("size", list(SIZES))
def test_the_page_fits_can_be_touched_and_has_no_barrier(drawing: Browser, address: str, size: str) -> None:
    with opened(drawing, address, size, "Plumber P", "GPU stall", looked_at=True) as page:
        job = begun(page)
        ready(page, address, job)
        page.locator("summary", has_text="pipes").click()
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0
        small = page.evaluate(
            """least => [...document.querySelectorAll("a.button, button, nav a, summary, a.row, .pick")]
              .filter(e => { const r = e.getBoundingClientRect(); return r.width > 0 && r.height < least; })
              .map(e => e.outerHTML.slice(0, 80))""",
            TOUCH_PX,
        )
        assert small == []
        assert barriers(page) == []


@in_browser
def test_without_3d_the_list_is_there(chromium_without: Browser, address: str) -> None:
    with opened(chromium_without, address, "desk", "Plumber P", but="WebGL") as page:
        job = begun(page)
        page.goto(f"{address}/jobs/{job}/model")
        expect(page.locator("#nomodel")).to_contain_text("Every pipe is in the list")
        page.locator("summary", has_text="pipes").click()
        expect(page.locator("#pipes a").first).to_be_visible()


@pytest.fixture(scope="module")
def chromium_without(drawing: Browser) -> Iterator[Browser]:
    """Give a browser that draws no 3D at all."""
    browser = drawing.browser_type.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-3d-apis"])
    yield browser
    browser.close()
