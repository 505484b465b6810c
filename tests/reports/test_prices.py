"""Prices: from the user's file or not at all; what has none is asked for and left out of the sum."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from decimal import Decimal

import pytest

from stubout.catalog.prices import Price, PriceList
from stubout.design import Design
from stubout.export.csv_ import table
from stubout.export.csv_shop import order_list
from stubout.fabrication.model import MaterialLine
from stubout.files.prices import read_prices
from stubout.problems import JobFileError
from stubout.reports.materials import materials_page
from stubout.reports.model import Paragraph, TableBlock
from stubout.reports.order import order, price_question

LINES = (
    MaterialLine("pipe", "ABS DWV pipe, 3660 mm", "3", 4, "stick"),
    MaterialLine("fitting", "ABS 1/4 bend", "2", 3, "piece"),
    MaterialLine("fitting", "ABS sanitary tee", "3 x 3 x 2", 2, "piece"),
    MaterialLine("cement", "ABS cement D2235", "", 0.35, "US quart"),
)
FILE = """
currency: CAD
prices:
  - item: abs DWV pipe, 3660 mm
    size: 3"
    each: "41.10"
  - item: ABS sanitary tee
    size: 3 x 3 x 2
    each: "7.255"
  - item: ABS cement D2235
    each: 12.90
  - item: ABS wye
    size: 2 x 2 x 2
    each: 4
"""


@pytest.fixture
def bought(small_design: Design) -> Design:
    return replace(small_design, fabrication=replace(small_design.fabrication, materials=LINES))


def read(tmp_path, text: str) -> PriceList:
    path = tmp_path / "prices.yaml"
    path.write_text(text, encoding="utf-8")
    return read_prices(str(path))


# by hand: 4 x 41.10 = 164.40, 2 x 7.255 = 14.51, 0.35 x 12.90 = 4.515, to the cent 4.52; in all 183.43
def test_the_sum_by_hand_and_what_is_left_open(tmp_path, bought: Design) -> None:
    of = order(bought, read(tmp_path, FILE))
    assert [p.total for p in of.lines] == [Decimal("164.40"), None, Decimal("14.51"), Decimal("4.52")]
    assert of.total == Decimal("183.43")
    assert [m.item for m in of.unknown] == ["ABS 1/4 bend"]
    assert [p.item for p in of.unused] == ["ABS wye"]
    question = price_question(of)
    assert question is not None
    assert "ABS 1/4 bend 2" in question.text
    full = PriceList("CAD", tuple(Price(m.item, m.size, Decimal(1)) for m in LINES))
    assert price_question(order(bought, full)) is None


def test_the_page_says_the_sum_and_guesses_nothing(tmp_path, bought: Design) -> None:
    page = materials_page(bought, read(tmp_path, FILE))
    rows = {r[0]: r for b in page.blocks if isinstance(b, TableBlock) for r in b.rows}
    assert rows["ABS 1/4 bend"][4:6] == ("-", "not known")
    assert rows["ABS sanitary tee"][4:6] == ("7.26", "14.51") or rows["ABS sanitary tee"][5] == "14.51"
    said = " ".join(b.text for b in page.blocks if isinstance(b, Paragraph))
    assert "183.43 CAD" in said
    assert "1 line without one" in said
    assert "ABS wye 2 x 2 x 2" in said
    titles = [b.title for b in page.blocks if isinstance(b, TableBlock)]
    assert [t for t in titles if t] == ["Pipe", "Fittings: bends", "Fittings: tees", "Cement and primer"]
    plain = materials_page(bought)
    assert all("Each" not in b.head for b in plain.blocks if isinstance(b, TableBlock))


def test_the_order_as_a_list(tmp_path, bought: Design) -> None:
    rows = list(
        csv.DictReader(io.StringIO(table(*order_list(order(bought, read(tmp_path, FILE)))).decode("utf-8-sig")))
    )
    assert [r["total"] for r in rows] == ["164.4", "", "14.51", "4.52"]


@pytest.mark.parametrize(
    ("text", "path", "line"),
    [
        (FILE.replace("each: 4", "each: four"), "prices[no. 4].each", 14),
        (FILE.replace("each: 4", "each: -1"), "prices[no. 4].each", 14),
        (FILE.replace("each: 4", "each: NaN"), "prices[no. 4].each", 14),
        (FILE.replace("ABS wye", "ABS Sanitary tee").replace("2 x 2 x 2", "3x3x2"), "prices[no. 4]", 12),
        (FILE.replace("currency", "curency"), "curency", 2),
    ],
)
def test_faults_are_told_with_their_line(tmp_path, text: str, path: str, line: int) -> None:
    with pytest.raises(JobFileError) as told:
        read(tmp_path, text)
    assert any(f.path.startswith(path) and f.line == line for f in told.value.faults), told.value.faults


@pytest.mark.parametrize("text", ["", "# nothing yet\n"])
def test_an_empty_file_of_prices_is_no_job(tmp_path, text: str) -> None:
    with pytest.raises(JobFileError) as told:
        read(tmp_path, text)
    (fault,) = told.value.faults
    assert (fault.found, fault.wanted, fault.do) == ("an empty file", "lines of `key: value`", "")
