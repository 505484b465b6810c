"""The file of a job taken along, in a real browser without a network: it reads and judges as the server does."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

pytest.importorskip("playwright", reason="playwright is not installed")
from playwright.sync_api import Page, expect, sync_playwright
from test_browser import CHROMIUM, FLAGS, SIZES, TOUCH_PX, barriers
from web_client import Browser

from stubout import units
from stubout.run_field.model import Drain, Field, Filling, WallMark, Way
from stubout.run_field.phrases import told
from stubout.run_field.words import LANGUAGES, speaker
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind
from stubout.web import gates, verdicts
from stubout.web.along.data import as_script
from stubout.web.along.spoken import PARTS, SCRIPT_WORDS, _own
from stubout.web.office import Office

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium is installed")


@pytest.fixture
def field(starter: int, office: Office) -> Field:
    return office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))


def file_of(plumber: Browser, job: int) -> str:
    return plumber.get(f"/jobs/{job}/along.html").text


@pytest.fixture(scope="module")
def phone() -> Iterator[Page]:
    """Give a page that has no network at all."""
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        wide, high = SIZES["phone"]
        context = browser.new_context(
            viewport={"width": wide, "height": high}, offline=True, has_touch=True, is_mobile=True,
            accept_downloads=True,
        )  # fmt: skip
        yield context.new_page()
        browser.close()


def bench(page: Page, system: str, language: str = "en") -> None:
    """Load what reads and judges, without the rest of the file."""
    say = speaker(language)
    words = {w: say(w) for w in SCRIPT_WORDS}
    data = as_script({"units": system, "words": words, "noLeaks": list(verdicts.NO_LEAKS)})
    code = "\n".join(_own(p) for p in PARTS[:2])
    out = "window.X = {lengthMm, slopeOf, named, slopeShown, heightVerdict, slopeVerdict, testVerdict, Unread};"
    page.set_content(
        f'<script type="application/json" id="data">{data}</script><script>(() => {{{code}\n{out}}})();</script>'
    )


def asked(page: Page, name: str, many: list[Any]) -> list[Any]:
    """Return what a function of the script answers to each; the words of the refusal where it refuses."""
    got = page.evaluate(
        """([name, many]) => many.map((a) => { try { return {v: X[name](...a)}; }
        catch (e) { if (!(e instanceof X.Unread)) throw e; return {w: e.message}; } })""",
        [name, many],
    )
    return [g.get("v", g.get("w")) for g in got]


SPELLINGS = (
    '14 3/4"', "5'-11\"", "1'2 3/4\"", "5ft 11-3/8in", "⅜", "375 mm", "37.5 cm", "1.8 m", "-0'-4\"", "5-11 3/8",
    "5-11",
    "470", "18.5", '18.5"', ".5", "5.", "3/4", "14 3/4", "14-3/4", "4/3", "1/0", "1 4/3", "2'-12\"", "2.5' 3\"",
    "1,5 m",
    "1’ 6½″", "1 ft 6 in", "12 feet", "3 inches", "  7  mm ", "+3 in", "-3 in", "", "high", "1e3", "12 kg", "0x10",
    "9" * 70,
    "9" * 59, "1\u00a0ft\u00a06 in", "MM", "5 MM", "18''", "1'6''", "1´6", "½", "1½", "3 1/2 in.", "--3", "3 -",
)  # fmt: skip
SLOPES = (
    "1/4 in/ft", '1/4" per foot', "2 %", "2%", "1:50", "1 in 50", "20 mm/m", "2 cm/m", "0.02 m/m", "1.2 deg", "1.2°",
    "-2 %", "2", "90 deg", "1:0", "1/0 %", "steep", "", "3/16 in / ft", "¼ in/ft", "2 per cent", "1 : 48", "89.9 deg",
)  # fmt: skip


def server_length(text: str, system: units.Units) -> float | str:
    try:
        return units.parse_length_mm(text, system)
    except units.UnitError as error:
        return str(error)


def server_slope(text: str) -> float | str:
    try:
        return units.parse_slope(text)
    except units.UnitError as error:
        return str(error)


def agree(here: list[Any], there: list[Any], said: list[Any]) -> None:
    for a, b, text in zip(here, there, said, strict=True):
        if isinstance(a, str):
            assert a == b, text
        else:
            assert not isinstance(b, str), (text, a, b)
            assert math.isclose(a, b, rel_tol=1e-12), (text, a, b)


SYSTEMS: tuple[units.Units, ...] = ("inch", "mm")


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_file_reads_what_the_server_reads_and_refuses_what_it_refuses(phone: Page, system: units.Units) -> None:
    bench(phone, system)
    agree([server_length(s, system) for s in SPELLINGS], asked(phone, "lengthMm", [[s] for s in SPELLINGS]),
          list(SPELLINGS))  # fmt: skip
    agree([server_slope(s) for s in SLOPES], asked(phone, "slopeOf", [[s] for s in SLOPES]), list(SLOPES))


PIECES = st.sampled_from(["1", "2", "11", "12", "0", "3/8", "1/2", "5/4", "'", '"', " ", "-", ".", "ft", "in", "mm",
                          "m",
                          "cm", "½", "%", ":", "deg", "/", "per", "+", ",", "′", "″"])  # fmt: skip


def test_the_file_reads_random_spellings_as_the_server_does(phone: Page) -> None:
    bench(phone, "inch")

    @settings(max_examples=40, deadline=None, derandomize=True)
    @given(st.lists(st.lists(PIECES, max_size=7).map("".join), min_size=200, max_size=400))
    def held(many: list[str]) -> None:
        agree([server_length(s, "inch") for s in many], asked(phone, "lengthMm", [[s] for s in many]), many)
        agree([server_slope(s) for s in many], asked(phone, "slopeOf", [[s] for s in many]), many)

    held()


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_file_prints_as_the_server_prints(phone: Page, system: units.Units) -> None:
    bench(phone, system)
    lengths = [n * 0.79375 - 300 for n in range(5000)]
    assert asked(phone, "named", [[v] for v in lengths]) == [units.named(v, system) for v in lengths]
    slopes = [n / 9600 for n in range(-40, 1000)]
    assert asked(phone, "slopeShown", [[v] for v in slopes]) == [units.slope(v, system) for v in slopes]


MARK = WallMark(
    1, "stub", "X", "X", "", "", "", "", "", stop=False, place="stub of X", above_subfloor_mm=300.0,
    above_finished_mm=290.0, up=Way(10.0, True, "ARM001 long"), down=Way(20.0, False),
)  # fmt: skip
MARKS = (MARK, replace(MARK, up=None), replace(MARK, above_finished_mm=None), replace(MARK, down=Way(5.0, True, "X")))
DRAIN = Drain("D1", "branch", 1 / 48, "1/4 in/ft", 1 / 48, "least 1/4 in/ft by X 7.3", 0.0005, "x", "3'", True)
FILLING = Filling("A", "all", "10 ft", 15.0, "15 min", (), "section A")
TESTS = (
    ("10'-0\"", "10'-0\"", "15", "none"), ("10'-0\"", "9'-11 15/16\"", "15", "none"), ("3 m", "3 m", "14.5", "None"),
    ("3 m", "3 m", "20", "joint F3"), ("top", "3 m", "15", "none"),
    ("3 m", "3 m", "x", "none"), ("3 m", "3 m", "", "0"),
    ("3 m", "3 m", "1e2", "ninguna"),
)  # fmt: skip


@pytest.mark.parametrize("language", list(LANGUAGES))
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_file_judges_as_the_server_judges(phone: Page, system: units.Units, language: str) -> None:
    bench(phone, system, language)
    say = speaker(language)

    def way(w: Way | None) -> dict[str, Any] | None:
        return {"amount": w.amount_mm, "bound": w.bound, "words": w.words} if w else None

    many, wanted = [], []
    for m in MARKS:
        mark = {"subfloor": m.above_subfloor_mm, "finished": m.above_finished_mm, "up": way(m.up), "down": way(m.down)}
        for mm in (270, 279, 280, 289.96, 290, 294, 296, 300, 300.04, 305, 310, 311, 330):
            for datum in verdicts.DATUMS.values():
                value = f"{mm} mm above {datum}"
                many.append([mark, value])
                wanted.append(verdicts.height(m, value, system, say))
    got = asked(phone, "heightVerdict", many)
    assert [(g["state"], g["words"]) for g in got] == [(w.state, w.words) for w in wanted]
    assert {w.state for w in wanted} == {"within", "out", "open"}
    for d in (DRAIN, replace(DRAIN, least=None)):
        drain = {"least": d.least, "leastWords": told(d.least_words, say), "offBy": d.off_by}
        said = [s for s in SLOPES if isinstance(server_slope(s), float)]
        got = asked(phone, "slopeVerdict", [[drain, s] for s in said])
        slopes = [verdicts.slope(d, s, system, say) for s in said]
        assert [(g["state"], g["words"]) for g in got] == [(w.state, w.words) for w in slopes]
    for f in (FILLING, replace(FILLING, hold_min=None)):
        values = [verdicts.Tested(*v, "I").value for v in TESTS]
        got = asked(phone, "testVerdict", [[{"holdMin": f.hold_min, "hold": told(f.hold, say)}, v] for v in values])
        tests = [verdicts.test(f, v, system, say) for v in values]
        assert [(g["state"], g["words"]) for g in got] == [(w.state, w.words) for w in tests]


# The file on a phone, from its own storage.


def test_a_file_opened_from_a_disk_records_and_its_entries_come_back(
    phone: Page, plumber: Browser, fresh: int, office: Office, field: Field, tmp_path: Path
) -> None:
    task = next(t for t in field.tasks if t.kind == "hanger")
    records.add(office.store, fresh, 1, "Plumber P", Entry(Kind.TICK, task.about, place=task.place))
    here = tmp_path / "along.html"
    here.write_text(file_of(plumber, fresh), encoding="utf-8")
    wrong: list[str] = []
    phone.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
    phone.on("pageerror", lambda e: wrong.append(str(e)))
    phone.on("request", lambda r: None if r.url.startswith(("file:", "blob:")) else wrong.append(f"asked: {r.url}"))

    phone.goto(f"{here.as_uri()}#wall-0")
    wall = phone.locator("#wall-0")
    wall.locator(".tickbox").first.tap()
    expect(phone.locator("#wall-0 .tickbox.done")).to_have_count(0)  # nobody has said who is at work
    phone.goto(f"{here.as_uri()}#start")
    phone.locator("#author").fill("Helper H")
    phone.goto(f"{here.as_uri()}#wall-0")
    wall.locator(".tickbox").first.tap()
    expect(wall.locator(".tickbox.done").first).to_contain_text("Helper H")
    mark = wall.locator("li.mark", has_text="stub-out").first
    mark.locator("summary").first.tap()
    mark.locator("input.length").fill("5-11 3/8")
    mark.locator("form button.main").first.click()
    expect(mark.locator(".wrong").first).to_contain_text("two readings")
    expect(mark.locator(".verdict")).to_have_count(0)
    mark.locator("input.length").fill("1'-6 1/2\"")
    mark.locator("form button.main").first.click()
    expect(mark.locator(".verdict.within")).to_contain_text("as planned")
    wall.locator("textarea").fill("wire <b>here</b>")
    wall.get_by_role("button", name="Keep the note").click()
    expect(wall.locator(".kept")).to_contain_text("wire <b>here</b>")
    phone.goto(f"{here.as_uri()}#elsewhere")
    drain = phone.locator("#elsewhere li.mark").first
    drain.locator("summary").tap()
    drain.locator("input").fill("0.2 deg")
    drain.locator("form button.main").click()
    expect(drain.locator(".verdict.out")).to_contain_text("too flat")
    group = phone.locator("#elsewhere details.group", has_text="Hangers")
    group.locator("summary").first.tap()
    box = group.locator("li", has_text=re.compile(rf"^{task.about}\b")).locator(".tickbox")
    expect(box).to_contain_text("Plumber P")
    box.tap()  # takes the record of the app back
    expect(box).not_to_contain_text("Plumber P")
    phone.goto(f"{here.as_uri()}#gates")
    form = phone.locator("#gates .filling").first
    form.locator("summary").tap()
    for name, value in (("start", "3 m"), ("end", "3 m"), ("minutes", "20"), ("leaks", "none"), ("witness", "I")):
        form.locator(f"input[name={name}]").fill(value)
    form.locator("form button.main").click()
    expect(form.locator(".verdict.within")).to_contain_text("no drop")
    phone.reload()  # what was entered is still there
    expect(form.locator(".verdict.within")).to_contain_text("no drop")
    counts = phone.locator("#gates .needs li").all_inner_texts()

    phone.goto(f"{here.as_uri()}#start")
    expect(phone.locator("#count")).to_contain_text("6 entries, 6 of them")
    with phone.expect_download() as waited:
        phone.locator("#save").tap()
    out = tmp_path / waited.value.suggested_filename
    waited.value.save_as(out)
    expect(phone.locator("#count")).to_contain_text("6 entries, 0 of them")
    assert out.suffix == ".json"
    assert wrong == []

    for added, there in ((6, 0), (0, 6)):
        page = plumber.post(f"/jobs/{fresh}/along/entries", files={"file": (out.name, out.read_bytes())})
        assert f"{added} added, {there} there already, 0 refused" in page.text
    kept = records.standing(records.listed(office.store, fresh))
    assert sorted((r.kind.value, r.author) for r in kept) == [
        (k, "Helper H") for k in ("height", "note", "slope", "test", "tick")
    ]
    # A new file of the same revision knows what has come back: nothing stands there twice.
    here.write_text(file_of(plumber, fresh), encoding="utf-8")
    phone.goto(f"{here.as_uri()}#wall-0")
    phone.reload()
    expect(wall.locator(".kept")).to_have_count(1)
    back = next(r for r in kept if r.kind is Kind.NOTE)
    records.add(office.store, fresh, 1, "P", Entry(Kind.BACK, back.about, takes_back=back.id))
    here.write_text(file_of(plumber, fresh), encoding="utf-8")
    phone.reload()
    expect(wall.locator(".kept")).to_have_count(0)
    # What the file reckoned for the gates is what the app reckons now.
    for shown, need in zip(counts, (n for g in gates.gates(field, kept) for n in g.needs), strict=True):
        words = f"{need.done} of {need.of}" if need.of > 1 else ("met" if need.met else "not met")
        assert words in shown.replace("\n", " "), (shown, need)


def test_every_page_of_the_file_fits_a_phone_and_can_be_touched(
    phone: Page, plumber: Browser, starter: int, tmp_path: Path
) -> None:
    here = tmp_path / "along.html"
    here.write_text(file_of(plumber, starter), encoding="utf-8")
    for at in ("start", "walls", "wall-0", "elsewhere", "gates", "lists", "sheets"):
        phone.goto(f"{here.as_uri()}#{at}")
        expect(phone.locator(f"#{at}")).to_be_visible()
        assert phone.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0]
        small = phone.evaluate(
            """(least) => [...document.querySelectorAll("a, button, summary, input:not([type=radio]), textarea")]
            .filter((e) => e.offsetParent && e.getBoundingClientRect().height < least).map((e) => e.outerHTML)""",
            TOUCH_PX,
        )
        assert small == [], at


def test_the_file_has_no_barrier(plumber: Browser, starter: int, tmp_path: Path, phone: Page) -> None:
    here = tmp_path / "along.html"
    here.write_text(file_of(plumber, starter), encoding="utf-8")
    assert phone.context.browser
    page = phone.context.browser.new_page(bypass_csp=True)  # the policy of the file would not let the looker in
    for at in ("start", "walls", "wall-0", "elsewhere", "gates", "lists", "sheets"):
        page.goto(f"{here.as_uri()}#{at}")
        assert barriers(page) == [], at
    page.close()
