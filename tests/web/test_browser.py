"""The app in a real browser, on a phone and on a desk: what scripts, style and policy do together."""

from __future__ import annotations

import hashlib
import re
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn

from stubout.run_field import texts
from stubout.store import jobs, records
from stubout.store.model import Kind
from stubout.web.app import create
from stubout.web.office import Office
from stubout.web.settings import Settings

pytest.importorskip("playwright", reason="playwright is not installed")
from playwright.sync_api import Browser, Page, expect, sync_playwright

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
SIZES = {"phone": (390, 844), "desk": (1280, 800)}
AXE = Path(__file__).with_name("vendor").joinpath("axe.min.js").read_text(encoding="utf-8")  # axe-core 4.14.1, MPL-2.0
AXE_SHA256 = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"
TOUCH_PX = 47.5  # 48 points, less rounding
MAGNIFIED_PX = (640, 320)  # what a window of 1280 points shows at 200 and at 400 %

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium is installed")


@pytest.fixture(scope="module")
def address(office: Office, starter: int) -> Iterator[str]:
    """Give the address of a server on the data of the other tests: the starter is planned there."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        port = listening.getsockname()[1]
        app = create(Settings(office.settings.data, port=port))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.02)
        yield f"http://127.0.0.1:{port}"
        server.should_exit = True
        thread.join(timeout=20)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


@contextmanager
def opened(
    chromium: Browser, address: str, size: str, name: str, but: str = "no such words", *, looked_at: bool = False
) -> Iterator[Page]:
    """Give a page of somebody who has said who is at work; nothing may go wrong in it, `but` what is provoked."""
    wide, high = SIZES[size]
    touch = size == "phone"
    context = chromium.new_context(
        viewport={"width": wide, "height": high}, has_touch=touch, is_mobile=touch, bypass_csp=looked_at
    )
    page = context.new_page()
    wrong: list[str] = []
    page.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda e: wrong.append(str(e)))
    page.on("request", lambda r: None if r.url.startswith(address) else wrong.append(f"asked outside: {r.url}"))
    page.goto(f"{address}/")
    page.get_by_label("Your name").fill(name)
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("heading", name="Jobs")).to_be_visible()
    yield page
    context.close()
    assert [w for w in wrong if but not in w] == []


def begun(page: Page) -> int:
    """Begin a job from the starter: it is planned already."""
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("link", name="Packet, PDF")).to_be_visible(timeout=60_000)
    return int(page.url.rpartition("/")[2])


@pytest.mark.parametrize("size", list(SIZES))
def test_first_hour(chromium: Browser, address: str, size: str, office: Office) -> None:
    with opened(chromium, address, size, "Plumber P") as page:
        job = begun(page)
        page.get_by_role("navigation").get_by_role("link", name="Walls").click()
        page.get_by_role("link", name=re.compile("Wall P, left side")).click()
        expect(page.locator("#screen svg")).to_be_visible()
        box = page.get_by_role("button", name="bored").first
        (box.tap if size == "phone" else box.click)()
        expect(page.get_by_role("button", name=re.compile("bored.*Plumber P")).first).to_have_attribute(
            "aria-pressed", "true"
        )
        mark = page.locator("li.mark", has_text="stub-out").first
        mark.locator("summary").first.click()
        field = mark.get_by_label("Height of the centre")
        field.click()
        if size == "phone":
            pad = page.get_by_role("group", name="Keypad")
            for key in ("1", "feet", "6"):
                pad.get_by_role("button", name=key, exact=True).tap()
            pad.get_by_role("button", name="3/8", exact=True).tap()
            pad.get_by_role("button", name="1/2", exact=True).tap()  # another fraction takes its place
            assert field.input_value() == "1'6 1/2\""
            pad.get_by_role("button", name="keep").tap()
        else:
            expect(page.get_by_role("group", name="Keypad")).to_have_count(0)  # a keyboard is at hand
            field.fill("1'-6 1/2\"")
            field.press("Enter")
        expect(mark.locator(".verdict.within")).to_contain_text("as planned")
        kept = records.listed(office.store, job)
        assert [(r.kind, r.author) for r in kept] == [(Kind.TICK, "Plumber P"), (Kind.HEIGHT, "Plumber P")]


@pytest.mark.parametrize("size", list(SIZES))
def test_every_page_fits_can_be_touched_and_has_no_barrier(chromium: Browser, address: str, size: str) -> None:
    # The policy of our pages would not let the looker in; the other tests run under it.
    with opened(chromium, address, size, "Plumber P", looked_at=True) as page:
        job = begun(page)
        page.goto(f"{address}/jobs/{job}/site")
        wall = page.locator("ul.rows.big a").first.get_attribute("href")
        paths = (
            "", "/site", "/site/elsewhere", "/gates", "/sheets", "/sheets/2", "/findings", "/questions", "/why",
            "/parts", "/parts?of=walls", "/part?tag=LV1", "/part", "/part?of=walls&tag=P", "/edit", "/revisions",
            "/revisions/1", "/keep", "/prices", "/records", "/as-built", "/along", "/cards", "/part?of=questions",
            "/part?of=levels&tag=main",
            "/part?of=frames&tag=main floor", "/entry?at=job", "/entry?at=wishes", "/entry?at=records/%2B",
            "/entry?at=offcuts/%2B", "/entries?at=offcuts", "/leftovers", "/part?of=routes", "/parts?of=roof openings",
            "/entries?at=walls/P/left", "/entry?at=walls/P/left/%2B", "/entry?at=confirmations/%2B",
        )  # fmt: skip
        for path in ("/", wall, *(f"/jobs/{job}{p}" for p in paths)):
            look_over(page, address, path)


def magnified(page: Page, path: str) -> None:
    """See that a page reads on without scrolling sideways at twice and four times its size (WCAG 2.2, 1.4.10)."""
    usual = page.viewport_size
    assert usual is not None
    for wide in MAGNIFIED_PX:
        page.set_viewport_size({"width": wide, "height": usual["height"]})
        more: Any = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert more <= 0, f"{path} is {more} points wider than a window of {wide}"
    page.set_viewport_size(usual)


def look_over(page: Page, address: str, path: str | None) -> None:
    """Assert that a page is no wider than the screen, can be touched, and has no barrier."""
    page.goto(f"{address}{path}")
    wide: Any = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0, f"{path} is wider than the screen"
    magnified(page, path)
    small = page.evaluate(
        """least => [...document.querySelectorAll("a.button, button, nav a, select, summary, a.row, .pick,"
          + "input:not([type=hidden]):not([type=radio]):not([type=checkbox])")]
          .filter(e => { const r = e.getBoundingClientRect(); return r.width > 0 && r.height < least; })
          .map(e => e.outerHTML.slice(0, 80))""",
        TOUCH_PX,
    )
    assert small == [], path
    unnamed = page.evaluate(
        """() => [...document.querySelectorAll("input:not([type=hidden]), select, textarea")]
          .filter(e => e.labels.length === 0).map(e => e.outerHTML.slice(0, 80))"""
    )
    assert unnamed == [], path
    assert page.locator("h1").count() == 1, path
    assert barriers(page) == [], path


@pytest.mark.parametrize("size", list(SIZES))
def test_keeping_and_prices_go_on_by_themselves_and_have_no_barrier(
    chromium: Browser, address: str, size: str, office: Office
) -> None:
    with opened(chromium, address, size, "Plumber P", looked_at=True) as page:
        job = begun(page)
        look_over(page, address, f"/jobs/{job}/refine")
        if size == "phone":  # the narrower one
            page.get_by_label("How many layouts to try").select_option("16")
            page.get_by_role("button", name="Look").click()
            expect(page.get_by_role("columnheader", name="Work and material")).to_be_visible(timeout=180_000)
            look_over(page, address, page.url.removeprefix(address))
        page.goto(f"{address}/jobs/{job}/keep")
        page.locator('input[name="wall:P"]').check()
        page.get_by_label("In place since").fill("2030-03-01")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_role("heading", name="What is kept")).to_be_visible(timeout=90_000)
        look_over(page, address, page.url.removeprefix(address))
        page.get_by_role("button", name="Keep as a new revision").click()
        expect(page.get_by_role("heading", name="Revision 2")).to_be_visible()
        page.goto(f"{page.url}&plans=true")
        expect(page.get_by_role("heading", name="Pipes")).to_be_visible(timeout=90_000)
        look_over(page, address, page.url.removeprefix(address))
        assert "installed: " in jobs.revision(office.store, job).text
        page.goto(f"{address}/jobs/{job}/prices")
        page.locator('input[name="currency"]').fill("USD")
        page.locator("input.price").first.fill("2.5")
        page.get_by_role("button", name="Keep these prices").click()
        expect(page.get_by_role("heading", name="The order comes to")).to_be_visible(timeout=90_000)
        look_over(page, address, f"/jobs/{job}/prices")


def barriers(page: Page) -> list[list[str]]:
    """Return each barrier in a page by its rule, with the first place where it stands; see that it was looked for.

    Only these come out of the browser: of a page of drawings, what passes is as long as the page, many times over.
    """
    page.evaluate(AXE)
    found: dict[str, Any] = page.evaluate(
        """axe.run({resultTypes: ["violations"]}).then(
          found => ({barriers: found.violations.map(v => [v.id, v.nodes[0].html]), passes: found.passes.length}))"""
    )
    assert found["passes"] > 10
    barriers: list[list[str]] = found["barriers"]
    return barriers


def drawer_job(page: Page, address: str) -> int:
    """Bring in the starter with a drawer before its trap, which a cut-out mends."""
    back = '        back: 1/4"\n'
    text = texts.starter("inch").replace(back, f'{back}        drawers: [{{from: 16", to: 24"}}]\n')
    page.goto(f"{address}/")
    page.set_input_files("input[type=file]", {"name": "job.yaml", "mimeType": "text/plain", "buffer": text.encode()})
    page.locator("form:has(input[type=file]) button").click()
    expect(page.get_by_role("link", name="Packet, PDF")).to_be_visible(timeout=60_000)
    return int(page.url.rpartition("/")[2])


@pytest.mark.parametrize("size", list(SIZES))
def test_a_fix_is_applied_with_one_tap(chromium: Browser, address: str, size: str, office: Office) -> None:
    with opened(chromium, address, size, "Plumber P") as page:
        job = drawer_job(page, address)
        page.get_by_role("navigation").get_by_role("link", name="Findings").click()
        button = page.get_by_role("button", name="Apply: the cabinet maker agrees")
        expect(button).to_be_visible(timeout=60_000)  # the page goes on by itself
        (button.tap if size == "phone" else button.click)()
        expect(page.get_by_text("✓ GONE")).to_be_visible(timeout=60_000)
        expect(page.get_by_role("heading", name="Revision 2")).to_be_visible()
        assert "cut out depth" in jobs.revision(office.store, job).text
        page.get_by_role("link", name="Findings", exact=True).first.click()
        expect(page.get_by_text("STB005")).to_have_count(0)


@pytest.mark.parametrize("size", list(SIZES))
def test_the_pages_of_fixes_books_and_entries_have_no_barrier(chromium: Browser, address: str, size: str) -> None:
    with opened(chromium, address, size, "Plumber P", looked_at=True) as page:
        job = drawer_job(page, address)
        page.goto(f"{address}/jobs/{job}/findings")
        expect(page.get_by_role("button", name=re.compile("Apply"))).to_be_visible(timeout=60_000)
        page.goto(f"{address}/jobs/{job}/books?other=ipc-2021")
        expect(page.get_by_role("heading", name="upc-2021 and ipc-2021")).to_be_visible(timeout=60_000)
        paths = (
            "/findings", "/findings/1", "/books", "/books?other=ipc-2021", "/entry?at=job", "/entry?at=wishes",
            "/entries?at=amendments", "/entry?at=amendments/%2B", "/values?words=terminal",
            "/part?of=cabinets&tag=V1", "/entries?at=cabinets/V1/boxes", "/entry?at=cabinets/V1/boxes/1",
            "/entries?at=cabinets/V1/boxes/1/drawers", "/entry?at=cabinets/V1/boxes/1/drawers/1",
        )  # fmt: skip
        for path in paths:
            look_over(page, address, f"/jobs/{job}{path}")


def test_what_looks_for_barriers_is_the_one_we_know_and_finds_some(chromium: Browser) -> None:
    assert hashlib.sha256(AXE.encode()).hexdigest() == AXE_SHA256
    page = chromium.new_page()
    page.set_content("<html><body><img src='x'><input><p style='color:#ccc;background:#fff'>faint</p></body></html>")
    page.evaluate(AXE)
    found = {v["id"] for v in page.evaluate("axe.run()")["violations"]}
    page.close()
    assert {"image-alt", "label", "color-contrast", "html-has-lang"} <= found


def test_two_people_at_one_job(chromium: Browser, address: str, office: Office) -> None:
    at_desk = opened(chromium, address, "desk", "Plumber P", but="status of 409")
    with at_desk as desk, opened(chromium, address, "phone", "Helper H") as phone:
        job = begun(desk)
        phone.goto(f"{address}/jobs/{job}/site/elsewhere")
        box = phone.locator(".tickbox").first
        if not box.is_visible():
            phone.locator("details.group summary").first.tap()
        box.tap()
        expect(phone.locator(".tickbox.done").first).to_contain_text("Helper H")
        desk.goto(f"{address}/jobs/{job}/records")
        expect(desk.locator("tbody")).to_contain_text("Helper H")
        desk.goto(f"{address}/jobs/{job}/edit")
        jobs.save(office.store, job, 1, jobs.revision(office.store, job).text + "# theirs\n", "Helper H")
        area = desk.locator("#text")
        area.press("Control+End")
        area.type("# mine")
        desk.get_by_role("button", name="Save").click()
        desk.wait_for_load_state()
        assert "# mine" in area.input_value()
        expect(desk.get_by_role("alert")).to_contain_text("Saved meanwhile by Helper H")


def test_faults_are_told_while_typing(chromium: Browser, address: str) -> None:
    with opened(chromium, address, "desk", "Plumber P") as page:
        job = begun(page)
        page.goto(f"{address}/jobs/{job}/edit")
        expect(page.locator("#faults")).to_contain_text("no fault")
        area = page.locator("#text")
        area.press("Control+End")
        area.type("\nnonsense: 1\n")
        expect(page.locator("#faults")).to_contain_text("nonsense", timeout=10_000)
        page.locator("#faults a").first.click()
        assert "nonsense" in page.evaluate(
            "() => { const t = document.getElementById('text');"
            "  return t.value.slice(t.selectionStart, t.selectionEnd); }"
        )
