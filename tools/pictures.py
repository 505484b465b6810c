"""Make the two pictures of the README: `python tools/pictures.py`, with the extra `test` and a chromium on the system.

A job is begun from a starter in a folder of its own, planned, and shown by the real app: a wall on a phone, and the
same wall on a desk with a fixture drawn aside.
"""

from __future__ import annotations

import shutil
import socket
import sys
import tempfile
import threading
import time
from pathlib import Path

import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright

from stubout.web.app import create
from stubout.web.settings import Settings

OUT = Path(__file__).resolve().parents[1] / "docs" / "pictures"
PHONE, DESK = (390, 844), (1100, 800)
RAISED = (0, 34)  # how far the stub-out is drawn to the left and up [px]
ANSWERED_MS = 1500  # its windows are told a moment after it lies still
LONGEST_S = 180.0


def main() -> None:
    """Write the pictures, or say in one sentence what is missing."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        sys.exit("no chromium is installed: install the one of your system")
    OUT.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, socket.create_server(("127.0.0.1", 0)) as listening:
        port = listening.getsockname()[1]
        home = f"http://127.0.0.1:{port}"
        app = create(Settings(data=Path(folder), port=port))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        try:
            with sync_playwright() as player:
                browser = player.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
                _shoot(browser, home)
                browser.close()
        finally:
            server.should_exit = True
            thread.join()


def _shoot(browser: Browser, home: str) -> None:
    desk = browser.new_page(viewport={"width": DESK[0], "height": DESK[1]})
    job = _begun(desk, home)
    phone = browser.new_context(
        viewport={"width": PHONE[0], "height": PHONE[1]}, storage_state=desk.context.storage_state()
    ).new_page()
    wall = desk.locator(f"a[href^='{job.removeprefix(home)}/site/wall']").first
    desk.goto(f"{job}/site")
    there = wall.get_attribute("href")
    assert there is not None
    phone.goto(home + there)
    phone.screenshot(path=OUT / "wall-on-a-phone.png")
    desk.goto(home + there)
    desk.get_by_role("link", name="Drag on this wall").click()
    desk.wait_for_load_state("networkidle")
    ring = desk.locator(".grip[data-id='stub:LV1']").bounding_box()
    assert ring is not None
    x, y = ring["x"] + ring["width"] / 2, ring["y"] + ring["height"] / 2
    desk.mouse.move(x, y)
    desk.mouse.down()
    desk.mouse.move(x - RAISED[0], y - RAISED[1], steps=4)
    desk.locator("#panel .bandwords").wait_for()
    desk.wait_for_timeout(ANSWERED_MS)
    desk.screenshot(path=OUT / "dragging-on-a-wall.png")


def _begun(page: Page, home: str) -> str:
    """Return the page of a job begun from a starter, as soon as it is planned."""
    page.goto(home)
    page.fill("input[name=name]", "Kim")
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/jobs/*")
    end = time.monotonic() + LONGEST_S
    while page.locator("a[href$='/site']").count() == 0 or "/site/wall" not in _html(page, f"{page.url}/site"):
        if time.monotonic() > end:
            sys.exit(f"the starter is not planned after {LONGEST_S:.0f} s")
        time.sleep(2.0)
        page.reload()
    return page.url


def _html(page: Page, address: str) -> str:
    return page.request.get(address).text()


if __name__ == "__main__":
    main()
