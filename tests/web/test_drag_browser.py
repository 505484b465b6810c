"""Dragging in a real browser: by mouse, by finger, by keys; what comes and goes; what is kept."""

from __future__ import annotations

import re
from typing import Any

import pytest
from test_browser import SIZES, TOUCH_PX, address, barriers, begun, chromium, opened, pytestmark

pytest.importorskip("playwright", reason="playwright is not installed")
from playwright.sync_api import Browser, Page, expect

from stubout.store import jobs
from stubout.web.office import Office

__all__ = ["address", "chromium", "pytestmark"]
WALL = "wall P left"


def at_wall(page: Page, address: str) -> int:
    """Begin a job and open the elevation with the lavatory."""
    job = begun(page)
    page.goto(f"{address}/jobs/{job}/drag/on?view={WALL}")
    expect(grip(page)).to_be_visible()
    return job


def grip(page: Page, name: str = "stub:LV1") -> Any:
    return page.locator(f'.grip[data-id="{name}"]')


def middle(page: Page, name: str = "stub:LV1") -> tuple[float, float]:
    grip(page, name).scroll_into_view_if_needed()
    box = grip(page, name).bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def mouse_by(page: Page, right: float, down: float) -> None:
    x, y = middle(page)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + right / 2, y + down / 2)
    page.mouse.move(x + right, y + down)


def finger_by(page: Page, right: float, down: float, name: str = "stub:LV1") -> None:
    """Put a finger down on a ring, draw it along and lift it, as the browser itself reports it."""
    x, y = middle(page, name)
    client = page.context.new_cdp_session(page)

    def touch(kind: str, *at: float) -> None:
        points = [{"x": at[0], "y": at[1]}] if at else []
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", x, y)
    for k in (1, 2, 3, 4):
        touch("touchMove", x + right * k / 4, y + down * k / 4)
    touch("touchEnd")
    client.detach()


def test_by_mouse_a_finding_comes_and_goes_and_what_is_kept_is_a_revision(
    chromium: Browser, address: str, office: Office
) -> None:
    with opened(chromium, address, "desk", "Plumber P") as page:
        job = at_wall(page, address)
        x, y = middle(page)
        mouse_by(page, 0, -150)
        panel = page.locator("#panel")
        expect(panel).to_contain_text("STB001")
        expect(panel.locator(".bandwords")).to_contain_text("OUT")
        assert page.locator(".over .bound").count() == 2
        page.mouse.move(x, y)
        expect(panel).not_to_contain_text("STB001")
        expect(panel.locator(".bandwords")).to_contain_text("WITHIN")
        page.mouse.move(x, y - 12)
        page.mouse.up()
        expect(panel).to_contain_text("May still be off")
        expect(panel.locator(".moved")).to_contain_text("up")
        page.get_by_role("button", name="Keep as a new revision").click()
        expect(page.locator("main")).to_contain_text("Saved as revision 2")
        assert jobs.job(office.store, job).head == 2
        last = jobs.revision(office.store, job)
        assert last.author == "Plumber P"
        assert "stub-out LV1 dragged" in last.note
        expect(page.locator("#compared")).to_be_visible(timeout=60_000)
        expect(grip(page)).to_be_visible()


def test_what_is_let_go_is_kept_at_once_if_that_is_asked_for(chromium: Browser, address: str, office: Office) -> None:
    with opened(chromium, address, "desk", "Plumber P") as page:
        job = at_wall(page, address)
        mouse_by(page, 0, -10)
        page.mouse.up()
        expect(page.locator(".badge")).to_contain_text("up")
        page.wait_for_timeout(400)
        assert jobs.job(office.store, job).head == 1  # letting go alone saves nothing
        page.get_by_label("keep it as soon as I let go").check()
        mouse_by(page, 0, 5)
        page.mouse.up()
        expect(page.locator("main")).to_contain_text("Saved as revision 2")
        assert jobs.job(office.store, job).head == 2


def test_onto_a_stud_and_away_again(chromium: Browser, address: str) -> None:
    with opened(chromium, address, "desk", "Plumber P") as page:
        at_wall(page, address)
        grip(page).focus()
        panel = page.locator("#panel")
        for _ in range(12):
            page.keyboard.press("Shift+ArrowRight")
            expect(panel.locator(".moved")).to_contain_text("corner")
            page.wait_for_timeout(250)
            if "STB003" in (panel.text_content() or ""):
                break
        expect(panel).to_contain_text("STB003")
        page.keyboard.press("Escape")
        expect(panel).to_be_empty()
        page.keyboard.press("ArrowRight")
        expect(panel.locator(".moved")).to_contain_text('1/16"')
        expect(panel).not_to_contain_text("STB003")


def test_by_finger(chromium: Browser, address: str, office: Office) -> None:
    with opened(chromium, address, "phone", "Plumber P") as page:
        job = at_wall(page, address)
        finger_by(page, 0, -60)
        panel = page.locator("#panel")
        expect(panel).to_contain_text("STB001")
        finger_by(page, 0, 60)
        expect(panel).not_to_contain_text("STB001")
        finger_by(page, -6, 0)
        expect(panel.locator(".moved")).to_contain_text("corner")
        page.get_by_role("button", name="Keep as a new revision").tap()
        expect(page.locator("main")).to_contain_text("Saved as revision 2")
        assert jobs.job(office.store, job).head == 2


def test_by_keys_alone(chromium: Browser, address: str, office: Office) -> None:
    with opened(chromium, address, "desk", "Plumber P") as page:
        job = at_wall(page, address)
        for _ in range(60):  # from the top of the page by Tab alone
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.dataset.id") == "stub:LV1":
                break
        assert page.evaluate("document.activeElement.dataset.id") == "stub:LV1"
        page.keyboard.press("ArrowUp")
        expect(page.locator("#panel .moved")).to_have_text('1/16" up')
        page.keyboard.press("Shift+ArrowUp")
        expect(page.locator("#panel .moved")).to_have_text('1 1/16" up')
        expect(page.locator("#said")).to_contain_text('1 1/16" up')  # what is read aloud
        page.keyboard.press("Escape")
        expect(page.locator("#keep")).to_be_hidden()
        assert jobs.job(office.store, job).head == 1
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("Enter")
        expect(page.locator("main")).to_contain_text("Saved as revision 2")
        assert '1/8" down' in jobs.revision(office.store, job).note


def test_on_a_plan_a_fixture_keeps_to_its_wall(chromium: Browser, address: str, office: Office) -> None:
    with opened(chromium, address, "desk", "Plumber P") as page:
        job = begun(page)
        page.goto(f"{address}/jobs/{job}/drag")
        page.get_by_role("link", name=re.compile("Plan")).first.click()
        one = grip(page, "fixture:WC1")
        expect(one).to_be_visible()
        before = one.bounding_box()
        one.focus()
        page.keyboard.press("Shift+ArrowUp")  # along its wall, which runs north
        page.keyboard.press("Shift+ArrowRight")  # square to it: nothing
        expect(page.locator("#panel .moved")).to_contain_text('1" ')
        after = one.bounding_box()
        assert before
        assert after
        assert after["y"] < before["y"]
        assert after["x"] == pytest.approx(before["x"], abs=0.5)
        page.keyboard.press("Enter")
        expect(page.locator("main")).to_contain_text("Saved as revision 2")
        assert "WC1 dragged" in jobs.revision(office.store, job).note


@pytest.mark.parametrize("size", list(SIZES))
def test_a_whole_wall_by_finger_and_by_keys(chromium: Browser, address: str, office: Office, size: str) -> None:
    with opened(chromium, address, size, "Plumber P") as page:
        job = begun(page)
        page.goto(f"{address}/jobs/{job}/drag/on?view=plan-main")
        ring, panel = grip(page, "wall:P"), page.locator("#panel")
        expect(ring).to_be_visible()
        before = ring.bounding_box()
        if size == "phone":
            finger_by(page, 12, 30, "wall:P")  # it goes square to its line only
        else:
            ring.focus()
            page.keyboard.press("Shift+ArrowRight")
            page.keyboard.press("Shift+ArrowUp")
        expect(panel.locator(".moved")).to_contain_text(" east")
        expect(panel).to_contain_text("Bath, wide")
        after = ring.bounding_box()
        assert before
        assert after
        assert after["x"] > before["x"]
        assert after["y"] == pytest.approx(before["y"], abs=1.0)
        if size == "phone":
            finger_by(page, -60, 0, "wall:P")
        else:
            for _ in range(4):
                page.keyboard.press("Shift+ArrowLeft")
        expect(panel).to_contain_text("The wall cannot go there")
        expect(panel).to_contain_text("BT1 would stand in wall W")
        ring.focus()
        page.keyboard.press("Escape")
        page.keyboard.press("Shift+ArrowRight")
        expect(panel.locator(".moved")).to_have_text('1" east')
        page.keyboard.press("Enter")
        expect(page.locator("main")).to_contain_text("Saved as revision 2")
        assert jobs.revision(office.store, job).note == 'wall P dragged: 1" east'


@pytest.mark.parametrize("size", list(SIZES))
def test_the_pages_fit_can_be_touched_and_have_no_barrier(chromium: Browser, address: str, size: str) -> None:
    with opened(chromium, address, size, "Plumber P", looked_at=True) as page:
        job = begun(page)
        page.goto(f"{address}/jobs/{job}/drag")
        views = [a.get_attribute("href") for a in page.locator("a.row").all()]
        for path in (f"/jobs/{job}/drag", *views):
            page.goto(f"{address}{path}")
            rings = page.locator(".grip")
            if "view=" in (path or ""):
                expect(rings.first).to_be_visible()
                rings.first.focus()
                page.keyboard.press("ArrowUp")
                page.keyboard.press("ArrowRight")
                expect(page.locator("#panel")).to_contain_text("Quick answer")
            wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide <= 0, path
            small = page.evaluate(
                """least => [...document.querySelectorAll("a.button, button, nav a, select, summary, a.row, .pick,"
                  + "input:not([type=hidden]):not([type=checkbox])")]
                  .filter(e => { const r = e.getBoundingClientRect(); return r.width > 0 && r.height < least; })
                  .map(e => e.outerHTML.slice(0, 80))""",
                TOUCH_PX,
            )
            assert small == [], path
            assert barriers(page) == [], path


def test_rings_stand_apart(chromium: Browser, address: str) -> None:
    with opened(chromium, address, "phone", "Plumber P") as page:
        job = begun(page)
        page.goto(f"{address}/jobs/{job}/drag")
        page.get_by_role("link", name=re.compile("Plan")).first.tap()
        expect(page.locator(".grip").first).to_be_visible()
        boxes = [b for g in page.locator(".grip").all() if (b := g.bounding_box())]
        assert len(boxes) > 2
        apart = [
            ((a["x"] - b["x"]) ** 2 + (a["y"] - b["y"]) ** 2) ** 0.5
            for i, a in enumerate(boxes)
            for b in boxes[i + 1 :]
        ]
        assert min(apart) > 43


def test_without_scripts_the_form_does(chromium: Browser, address: str, office: Office) -> None:
    context = chromium.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{address}/")
    page.get_by_label("Your name").fill("Plumber P")
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Begin").click()
    job = int(page.url.rpartition("/")[2])
    page.goto(f"{address}/jobs/{job}/drag/on?view={WALL}")
    page.locator("summary", has_text="LV1").click()
    part = page.locator("details", has_text="LV1 stub-out")
    part.locator('select[name="upright way"]').select_option("down")
    part.locator('input[name="upright"]').fill('1/2"')
    part.get_by_role("button", name="Try it").click()
    expect(page.locator("#panel")).to_contain_text('1/2" down')
    page.get_by_role("button", name="Keep as a new revision").click()
    assert jobs.job(office.store, job).head == 2
    context.close()
