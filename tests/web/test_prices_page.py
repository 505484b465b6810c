"""Prices of the user in the app: kept with the job, laid into the lists, given out; sums by hand, to the cent."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
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
