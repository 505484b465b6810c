"""Prices of the user in the app: kept with the job, laid into the lists, given out; sums by hand, to the cent."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from html import unescape
from pathlib import Path

import pytest
from web_client import Browser, waited

from stubout import run
from stubout.run_field import texts
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind, StoreError
from stubout.web import pricing
from stubout.web.office import Office, opened

EVIL = '<img src=x onerror="alert(1)">'


def materials(office: Office, job: int) -> list[dict[str, str]]:
    data = office.plans.file(opened(office, job).key, "lists/materials.csv").decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(data, newline="")))


def listed(rows: list[dict[str, str]], each: str = "2.50", currency: str = "CAD") -> str:
    lines = [f"currency: {currency}", "prices:"]
    for r in rows:
        item, size = (pricing.quoted(r[k]) for k in ("item", "size"))
        lines += [f"  - {{item: {item}, size: {size}, each: '{each}'}}"]
    return "\n".join(lines) + "\n"


def keep(who: Browser, job: int, text: str, **files: object) -> str:
    answer = who.post(f"/jobs/{job}/prices", {"revision": "1", "text": text}, **files)
    assert answer.status_code == 200, answer.text
    waited(who, f"/jobs/{job}/prices/progress")
    return who.get(f"/jobs/{job}/prices").text


def test_prices_are_kept_and_laid_into_the_lists(plumber: Browser, fresh: int, office: Office, tmp_path: Path) -> None:
    path, rows = f"/jobs/{fresh}", materials(office, fresh)
    assert "Give your prices" in plumber.get(f"{path}/prices").text
    text = listed(rows[1:])
    page = keep(plumber, fresh, "", files={"file": ("prices.yaml", text.replace("\n", "\r\n").encode())})
    total = sum((Decimal(r["quantity"]) * Decimal("2.50")).quantize(Decimal("0.01")) for r in rows[1:])  # by hand
    assert f"The order comes to CAD {total:,.2f}" in page
    assert "Lines without a price, not in it: 1." in page
    assert page.count("no price") == 1
    assert f"CAD, {len(rows) - 1} prices" in page
    sheets = plumber.get(f"{path}/sheets").text
    assert f"The order comes to CAD {total:,.2f}" in sheets
    # The same files as `plan --prices` writes.
    (tmp_path / "p.yaml").write_text(text, encoding="utf-8")
    files, _, _ = run.plan(
        texts.read_text(jobs.revision(office.store, fresh).text), prices=run.price_list(str(tmp_path / "p.yaml"))
    )
    laid = pricing.priced(office, opened(office, fresh))
    assert laid is not None
    for name in ("packet.pdf", "lists/order.csv"):
        assert plumber.get(f"{path}/files/{laid.plan.key}/{name}").content == files[name], name
    # The file that is taken along has the order too.
    along = plumber.get(f"{path}/along.html").text
    assert "Order with prices" in along
    assert f">{2.5 * float(rows[1]['quantity']):g}<" in along.replace(".0<", "<")
    kept = records.standing(records.listed(office.store, fresh))[-1]
    assert (kept.kind, kept.author) == (Kind.PRICES, "Plumber P")
    given = plumber.get(f"{path}/prices/{kept.paper}.yaml")
    assert given.text == text
    assert f"/prices/{kept.paper}.yaml" in plumber.get(f"{path}/records").text


def test_the_last_prices_hold_and_are_taken_back(plumber: Browser, fresh: int, office: Office) -> None:
    rows = materials(office, fresh)
    keep(plumber, fresh, listed(rows, "1"))
    page = keep(plumber, fresh, listed(rows, "2", "USD"))
    assert "The order comes to USD" in page
    assert "Every line has a price" in page
    last = records.listed(office.store, fresh)[-1]
    plumber.post(f"/jobs/{fresh}/prices/out", {"record": str(last.id)})
    assert "The order comes to CAD" in plumber.get(f"/jobs/{fresh}/prices").text
    plumber.post(f"/jobs/{fresh}/prices/out", {"record": str(last.id)})  # sent twice: it does not hold any more
    assert "The order comes to CAD" in plumber.get(f"/jobs/{fresh}/prices").text
    held = pricing.held(office, opened(office, fresh))
    assert held is not None
    plumber.post(f"/jobs/{fresh}/prices/out", {"record": str(held.id)})
    assert "Give your prices" in plumber.get(f"/jobs/{fresh}/prices").text


def test_words_of_a_list_are_no_markup(plumber: Browser, fresh: int, office: Office) -> None:
    rows = [*materials(office, fresh), {"item": EVIL, "size": ""}]
    page = keep(plumber, fresh, listed(rows, currency=EVIL))
    assert EVIL not in page
    assert "&lt;img" in page
    for path in ("sheets", "records", "along.html", "along"):
        assert EVIL not in plumber.get(f"/jobs/{fresh}/{path}").text, path


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("currency: CAD\nprices:\n  - {item: a, each: much}\n", "an amount such as 12.50"),
        ("currency: CAD\nprices:\n  - {item: a, each: 1}\n  - {item: A, each: 2}\n", "every item once"),
        ("currency: CAD\n", "prices"),
        ("- a\n", "lines of"),
        ("a: [", "line"),
    ],
)
def test_a_list_with_faults_is_not_kept_and_comes_back(
    plumber: Browser, fresh: int, office: Office, text: str, words: str
) -> None:
    answer = plumber.post(f"/jobs/{fresh}/prices", {"revision": "1", "text": text})
    assert answer.status_code == 422
    assert "Nothing was kept" in answer.text
    assert words in answer.text
    assert records.listed(office.store, fresh) == ()


def test_what_is_no_list_is_refused(plumber: Browser, helper: Browser, fresh: int, office: Office) -> None:
    path = f"/jobs/{fresh}/prices"
    assert plumber.post(path, {"revision": "1", "text": " "}).status_code == 400
    assert plumber.post(path, {"revision": "9", "text": "currency: A\nprices: []\n"}).status_code == 404
    assert plumber.post(path, {"revision": "1"}, files={"file": ("p", b"\xff\xfe\x00")}).status_code == 400
    assert plumber.post(path, {"revision": "1", "text": "#" * 300_000}).status_code == 413
    large = "currency: A\nprices: []\n# " + "x" * 210_000
    assert plumber.post(path, {"revision": "1", "text": large}).status_code == 400
    assert plumber.client.post(path, data={"revision": "1", "text": "x"}).status_code == 403, "no token"
    assert helper.get(f"{path}/{'0' * 64}.yaml").status_code == 404
    assert plumber.post(f"{path}/out", {"record": "77"}).status_code == 200
    forged = {"kind": "prices", "about": "prices", "value": "x", "revision": "1"}
    assert plumber.post(f"/jobs/{fresh}/records", forged).status_code == 400
    assert records.listed(office.store, fresh) == ()


def test_only_prices_name_a_list(office: Office, fresh: int) -> None:
    digest = records.keep_paper(office.store, "currency: A\nprices: []\n")
    assert records.keep_paper(office.store, "currency: A\nprices: []\n") == digest
    with pytest.raises(StoreError, match="no other record"):
        records.add(office.store, fresh, 1, "P", Entry(Kind.NOTE, "x", "y", paper=digest))
    with pytest.raises(StoreError, match="no such list"):
        records.add(office.store, fresh, 1, "P", Entry(Kind.PRICES, "x", "y", paper="0" * 64))


def test_the_list_to_fill_in_has_every_line(office: Office, fresh: int) -> None:
    text = pricing.skeleton(office, opened(office, fresh))
    priced = text.replace("\n  # ", "\n  ").replace("each: \n", "each: 1\n")
    assert any(f.path == "currency" for f in texts.price_faults(priced))  # never guessed
    filled = priced.replace("currency:  # as you write it", "currency: CAD")
    assert texts.price_faults(filled) == ()
    assert len(texts.prices_of(filled).prices) == len(materials(office, fresh))


def by_line(page: str) -> dict[str, str]:
    """Return what a browser would send of the form by line, if nothing was touched."""
    form = re.search(r'<form method="post" action="/jobs/\d+/prices/lines">(.*?)</form>', page, re.DOTALL)
    assert form
    tags = (dict(re.findall(r'([\w-]+)="([^"]*)"', tag)) for tag in re.findall(r"<input[^>]*>", form[1]))
    return {unescape(t["name"]): unescape(t["value"]) for t in tags if t["name"] != "csrf"}


def test_prices_are_typed_line_by_line(plumber: Browser, fresh: int, office: Office) -> None:
    path, rows = f"/jobs/{fresh}/prices", materials(office, fresh)
    sent = by_line(plumber.get(path).text)
    fields = [k for k in sent if k.startswith("each:")]
    assert len(fields) == len(rows)
    assert set(sent.values()) - {sent["token"]} == {""}  # nothing is guessed, the currency neither
    assert plumber.post(f"{path}/lines", {**sent, fields[0]: "2"}).status_code == 400  # of which currency?
    assert plumber.post(f"{path}/lines", {**sent, "currency": "CAD"}).status_code == 400  # no price at all
    first = {**sent, "currency": "CAD", fields[0]: "2.50", fields[2]: " 0.0025 "}
    plumber.post(f"{path}/lines", first)
    waited(plumber, f"{path}/progress")
    held = pricing.held(office, opened(office, fresh))
    assert held is not None
    text = records.paper(office.store, held.paper)
    said = texts.prices_of(text)
    assert [(p.item, p.size, str(p.each)) for p in said.prices] == [
        (rows[0]["item"], rows[0]["size"], "2.50"), (rows[2]["item"], rows[2]["size"], "0.0025")
    ]  # fmt: skip
    page = plumber.get(path).text
    again = by_line(page)
    assert (again[fields[0]], again[fields[2]], again["currency"]) == ("2.50", "0.0025", "CAD")
    assert page.count("no price") == len(rows) - 2
    assert plumber.post(f"{path}/lines", again).status_code == 200  # nothing touched
    assert len(records.listed(office.store, fresh)) == 1
    # One changed, one taken out: what the list says besides stays letter for letter.
    by_text = text.replace("currency: CAD", "currency: CAD   # of the yard") + "  - {item: spare part, each: 9}\n"
    keep(plumber, fresh, by_text)
    now = {**by_line(plumber.get(path).text), fields[0]: "", fields[2]: "3"}
    stale = plumber.post(f"{path}/lines", {**again, fields[2]: "4"})
    assert stale.status_code == 409
    assert "Somebody has changed the prices meanwhile" in stale.text
    assert by_line(stale.text)[fields[2]] == "4"
    plumber.post(f"{path}/lines", now)
    held = pricing.held(office, opened(office, fresh))
    assert held is not None
    new = records.paper(office.store, held.paper)
    assert "currency: CAD   # of the yard\n" in new
    assert "{item: spare part, each: 9}" in new
    assert [(p.item, str(p.each)) for p in texts.prices_of(new).prices] == [(rows[2]["item"], "3"), ("spare part", "9")]


def test_a_price_that_cannot_be_read_comes_back(plumber: Browser, fresh: int, office: Office) -> None:
    path = f"/jobs/{fresh}/prices"
    sent = by_line(plumber.get(path).text)
    name = next(k for k in sent if k.startswith("each:"))
    for bad in ("much", "-1", "1,5", "nan", EVIL):
        answer = plumber.post(f"{path}/lines", {**sent, "currency": "CAD", name: bad})
        assert answer.status_code == 422
        assert "wanted an amount such as 12.50" in answer.text
        assert by_line(answer.text)[name] == bad
        assert EVIL not in answer.text
    assert plumber.post(f"{path}/lines", {**sent, "currency": "CAD", name: "1", "csrf": ""}).status_code == 403
    assert records.listed(office.store, fresh) == ()


def test_prices_go_along_with_a_copy_where_it_is_wanted(plumber: Browser, fresh: int, office: Office) -> None:
    assert 'name="prices"' not in plumber.get(f"/jobs/{fresh}").text
    text = listed(materials(office, fresh))
    keep(plumber, fresh, text)
    assert 'name="prices" value="yes" checked' in plumber.get(f"/jobs/{fresh}").text
    copies = [
        int(plumber.post(f"/jobs/{fresh}/duplicate", sent).url.path.rpartition("/")[2])
        for sent in ({"prices": "yes"}, {})
    ]
    held = [pricing.held(office, opened(office, job)) for job in copies]
    assert held[1] is None
    assert held[0] is not None
    assert records.paper(office.store, held[0].paper) == text
    assert held[0].author == "Plumber P"
    assert "The order comes to CAD" in plumber.get(f"/jobs/{copies[0]}/prices").text
