"""The file of a job taken along, opened from a disk in a real browser: its view from all sides, and its photos."""

from __future__ import annotations

import base64
import io
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

pytest.importorskip("playwright", reason="playwright is not installed")
from PIL import Image
from playwright.sync_api import Browser, Page, expect
from test_browser import CHROMIUM, SIZES, TOUCH_PX, barriers
from test_model import chromium_without, drawing
from web_client import Browser as Client

from stubout.run_field.model import Field
from stubout.store import jobs, records
from stubout.store.model import Kind
from stubout.web.along.data import Taken
from stubout.web.along.file import along
from stubout.web.office import Office
from stubout.web.settings import Limits
from stubout.web.solids import MODEL, solids_of

__all__ = ["chromium_without", "drawing"]  # fixtures
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium is installed")
Written = Callable[[int], Path]


@pytest.fixture
def written(plumber: Client, tmp_path: Path) -> Written:
    """Give what writes the file of a job onto the disk."""

    def write(job: int) -> Path:
        here = tmp_path / "along.html"
        here.write_text(plumber.get(f"/jobs/{job}/along.html").text, encoding="utf-8")
        return here

    return write


@contextmanager
def read(browser: Browser, file: Path, size: str = "phone", but: str = "GPU stall", **more: bool) -> Iterator[Page]:
    """Give a page of a phone without a network that has opened the file; nothing may be asked and nothing go wrong."""
    wide, high = SIZES[size]
    touch = size == "phone"
    context = browser.new_context(
        viewport={"width": wide, "height": high}, offline=True, has_touch=touch, is_mobile=touch, accept_downloads=True,
        **more,
    )  # fmt: skip
    page = context.new_page()
    wrong: list[str] = []
    page.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda e: wrong.append(str(e)))
    page.on("request", lambda r: None if r.url.startswith(("file:", "blob:file:")) else wrong.append(f"asked: {r.url}"))
    page.goto(file.as_uri())
    yield page
    context.close()
    assert [w for w in wrong if but not in w] == []


def turned(page: Page) -> None:
    """Open the view from all sides, as one does."""
    page.get_by_role("navigation").get_by_role("link", name="Sheets").click()
    page.get_by_role("link", name="From all sides (3D)").click()


def seen(page: Page) -> bytes:
    return page.locator("#model").screenshot()


# From all sides.


def test_the_model_is_drawn_when_its_part_is_opened_and_not_before(
    drawing: Browser,
    starter: int,
    written: Written,
) -> None:
    with read(drawing, written(starter), "desk") as page:
        page.goto(f"{page.url}#wall-0")
        assert page.evaluate("typeof THREE") == "undefined"
        turned(page)
        expect(page.locator("#model[data-ready] canvas")).to_be_visible(timeout=30_000)
        blank = Image.open(io.BytesIO(seen(page))).convert("L")
        assert len(set(blank.tobytes())) > 20, "something is drawn"
        box = page.locator("#model")
        last = seen(page)
        box.focus()
        for key in ("ArrowLeft", "ArrowUp", "+", "Home"):
            page.keyboard.press(key)
            now = seen(page)
            assert now != last, key
            last = now
        page.get_by_role("button", name="Top").click()
        assert seen(page) != last
        page.locator("summary", has_text="pipes").click()
        row = page.locator("#pipes a").nth(3)
        row.click()
        picked = page.locator("#picked")
        expect(picked.locator("h2")).to_have_text(f"Pipe {row.get_attribute('data-pipe')}")
        expect(picked.get_by_role("link")).to_have_count(0)  # reasons stay with the app
        assert page.url.endswith("#sides")
        box.press("Escape")
        page.locator("input[name=kind][value=wood]").uncheck()
        at = page.locator("#model canvas").bounding_box()
        assert at
        page.mouse.click(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)  # the list brought it to the middle
        expect(picked.locator("h2")).to_contain_text("Pipe ")
        page.goto(f"{page.url.partition('#')[0]}#walls")
        turned(page)
        expect(page.locator("#model canvas")).to_have_count(1)


@pytest.mark.parametrize("size", list(SIZES))
def test_the_view_fits_can_be_touched_and_has_no_barrier(
    drawing: Browser,
    starter: int,
    written: Written,
    size: str,
) -> None:
    # The policy of the file would not let the looker in.
    with read(drawing, written(starter), size, bypass_csp=True) as page:
        turned(page)
        expect(page.locator("#model[data-ready]")).to_be_visible(timeout=30_000)
        page.locator("summary", has_text="pipes").click()
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
        small = page.evaluate(
            """(least) => [...document.querySelectorAll("#sides :is(a, button, summary, .pick)")]
            .filter((e) => e.offsetParent && e.getBoundingClientRect().height < least).map((e) => e.outerHTML)""",
            TOUCH_PX,
        )
        assert small == []
        assert barriers(page) == []


def test_the_words_of_the_view_are_those_of_the_file(
    drawing: Browser,
    starter: int,
    office: Office,
    tmp_path: Path,
) -> None:
    text = jobs.revision(office.store, starter).text
    key = office.plans.key(text)
    have = {n: office.plans.file(key, n) for n in office.plans.names(key)}
    here = tmp_path / "es.html"
    here.write_bytes(along(Taken(text, office.plans.field(key), have), "es"))
    with read(drawing, here) as page:
        page.goto(f"{page.url}#sides")
        expect(page.locator("#model[data-ready]")).to_be_visible(timeout=30_000)
        page.locator("summary", has_text="tubos").tap()
        page.locator("#pipes a").first.tap()
        expect(page.locator("#picked h2")).to_contain_text("Tubo ")
        expect(page.locator("#picked dt").first).to_have_text("qué")


def test_where_no_3d_can_be_drawn_every_pipe_is_in_the_list(
    chromium_without: Browser,
    starter: int,
    written: Written,
    office: Office,
) -> None:
    with read(chromium_without, written(starter), but="WebGL") as page:
        turned(page)
        expect(page.locator("#nomodel")).to_have_text("This browser draws no 3D. Every pipe is in the list.")
        page.locator("summary", has_text="pipes").tap()
        key = office.plans.key(jobs.revision(office.store, starter).text)
        pipes = solids_of(office.plans.file(key, MODEL)).pipes
        assert len(pipes) > 10
        rows = page.locator("#pipes .row")
        assert rows.count() == len(pipes)
        for p, row in zip(pipes, rows.all_inner_texts(), strict=True):
            for fact in ("about", "what", "size", "slope", "length", "serves", "level"):
                assert p[fact] in row


def test_a_browser_that_cannot_unpack_shows_the_list(
    drawing: Browser,
    starter: int,
    written: Written,
) -> None:
    with read(drawing, written(starter)) as page:
        page.evaluate("delete window.DecompressionStream")
        turned(page)
        expect(page.locator("#nomodel")).to_have_text("This browser draws no 3D. Every pipe is in the list.")


# Photos.


@pytest.fixture
def field(starter: int, office: Office) -> Field:
    return office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))


def taken(size: tuple[int, int], colour: int = 120) -> dict[str, object]:
    """Return a photo as a phone hands it over: large, with the maker in it."""
    picture = Image.effect_noise(size, 90).convert("RGB")
    picture.paste((colour, 140, 160), (0, 0, size[0] // 2, size[1]))
    exif = picture.getexif()
    exif[0x010F] = "SECRET MAKER"
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=95, exif=exif)
    return {"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def saved(page: Page, file: Path) -> Path:
    page.goto(f"{page.url.partition('#')[0]}#start")
    with page.expect_download() as waited:
        page.locator("#save").tap()
    out = file.with_name("entries.json")
    waited.value.save_as(out)
    return out


def test_photos_are_taken_without_a_network_and_come_back_into_the_app(
    drawing: Browser,
    plumber: Client,
    fresh: int,
    written: Written,
    field: Field,
    office: Office,
) -> None:
    side, file = field.walls[0], written(fresh)
    with read(drawing, file) as page:
        page.goto(f"{page.url}#gates")
        need = page.locator("#gates .needs li", has_text="A photo of every wall")
        expect(need).to_contain_text("not met")
        page.goto(f"{page.url.partition('#')[0]}#wall-0")
        wall = page.locator("#wall-0")
        notes = wall.locator("section.card form").last
        notes.locator("input[type=file]").set_input_files(taken((3000, 2000)))
        notes.get_by_role("button", name="Keep the photo").tap()
        expect(page.locator("#author")).to_be_focused()  # nobody has said who is at work
        page.locator("#author").fill("Helper H")
        page.goto(f"{page.url.partition('#')[0]}#wall-0")
        notes.locator("input[name=value]").fill("before <b>cover</b>")
        notes.get_by_role("button", name="Keep the photo").tap()  # the picture is still chosen
        shown = wall.locator("section.card canvas")
        expect(shown).to_have_js_property("width", 704)
        expect(shown).to_have_attribute("aria-label", f"Photo of {side.id}: before <b>cover</b>")
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0]
        mark = wall.locator("li.mark").first
        mark.locator("summary", has_text="Photo of this mark").tap()
        mark.locator("input[type=file]").set_input_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"none"})
        mark.get_by_role("button", name="Keep the photo").tap()
        expect(mark.locator(".wrong:visible")).to_have_text("This browser cannot read that picture.")
        mark.locator("input[type=file]").set_input_files(taken((300, 600), 20))
        mark.get_by_role("button", name="Keep the photo").tap()
        expect(mark.locator("canvas")).to_have_js_property("height", 600)
        page.goto(f"{page.url.partition('#')[0]}#gates")
        expect(need).to_contain_text("✓")
        page.reload()
        page.goto(f"{page.url.partition('#')[0]}#wall-0")
        expect(shown).to_have_js_property("width", 704, timeout=15_000)  # the browser has kept it
        out = saved(page, file)
        expect(page.locator("#gone")).to_be_hidden()
        expect(page.locator("#count")).to_contain_text("2 entries, 0 of them")
    said = json.loads(out.read_text(encoding="utf-8"))
    assert said["schema"] == 2
    first = base64.b64decode(said["entries"][0]["photo"])
    assert b"SECRET MAKER" not in first
    assert len(first) <= Limits().brought_photo_bytes
    with Image.open(io.BytesIO(first)) as picture:
        assert picture.size == (2048, 1365)  # 3000 x 2000, its longer side at the limit
    for words in ("2 added, 0 there already, 0 refused", "0 added, 2 there already, 0 refused"):
        answer = plumber.post(f"/jobs/{fresh}/along/entries", files={"file": (out.name, out.read_bytes())})
        assert words in answer.text
    kept = records.listed(office.store, fresh)
    assert [(r.kind, r.author, r.wall, r.place) for r in kept] == [
        (Kind.PHOTO, "Helper H", side.id, ""), (Kind.PHOTO, "Helper H", side.id, side.marks[0].place),
    ]  # fmt: skip
    app = plumber.get(f"/jobs/{fresh}/site/wall-P-L").text
    for r in kept:
        assert f"/photos/{r.photo}.jpg" in app
    # A new file of the same revision knows them, and writes them out no more.
    with read(drawing, written(fresh)) as page:
        page.goto(f"{page.url}#wall-0")
        expect(page.locator("#wall-0 .kept", has_text="A photo, in the app")).to_have_count(2)


def test_a_wall_with_photos_has_no_barrier(drawing: Browser, fresh: int, written: Written) -> None:
    with read(drawing, written(fresh), bypass_csp=True) as page:
        page.locator("#author").fill("Helper H")
        page.goto(f"{page.url}#wall-0")
        notes = page.locator("#wall-0 section.card form").last
        notes.locator("input[type=file]").set_input_files(taken((300, 200)))
        notes.get_by_role("button", name="Keep the photo").tap()
        expect(page.locator("#wall-0 canvas")).to_have_js_property("width", 300)
        page.locator("#wall-0 li.mark summary", has_text="Photo of this mark").first.tap()
        assert barriers(page) == []


def test_a_photo_that_the_browser_has_lost_is_told(
    drawing: Browser,
    fresh: int,
    written: Written,
) -> None:
    file = written(fresh)
    with read(drawing, file) as page:
        page.locator("#author").fill("Helper H")
        page.goto(f"{page.url}#wall-0")
        notes = page.locator("#wall-0 section.card form").last
        notes.locator("input[type=file]").set_input_files(taken((300, 200)))
        notes.get_by_role("button", name="Keep the photo").tap()
        expect(page.locator("#wall-0 canvas")).to_have_js_property("width", 300)
        page.evaluate("Photos.drop(document.querySelector('#wall-0 canvas').dataset.photo)")
        out = saved(page, file)
        expect(page.locator("#gone")).to_contain_text("1 photos are not in this browser any more")
        expect(page.locator("#count")).to_contain_text("1 entries, 1 of them")
    assert json.loads(out.read_text(encoding="utf-8"))["entries"] == []


def test_a_browser_that_keeps_no_photos_says_so_and_the_file_still_has_them(
    drawing: Browser,
    fresh: int,
    written: Written,
) -> None:
    file = written(fresh)
    with read(drawing, file) as page:
        page.evaluate("void (IDBFactory.prototype.open = () => { throw new Error('no'); })")
        page.locator("#author").fill("Helper H")
        expect(page.locator("#forgetful")).to_be_hidden()
        page.goto(f"{page.url}#wall-0")
        notes = page.locator("#wall-0 section.card form").last
        notes.locator("input[type=file]").set_input_files(taken((300, 200)))
        notes.get_by_role("button", name="Keep the photo").tap()
        expect(page.locator("#wall-0 canvas")).to_have_js_property("width", 300)
        out = saved(page, file)
        expect(page.locator("#forgetful")).to_be_visible()
    assert json.loads(out.read_text(encoding="utf-8"))["entries"][0]["photo"]
