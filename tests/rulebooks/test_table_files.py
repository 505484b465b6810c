"""One set of checks for every table file shipped, on the raw TOML and independent of the loader."""

from __future__ import annotations

import math
import re
import tomllib
from importlib.resources import files
from typing import Any

import pytest

from stubout.files.books import load_book

DATA = files("stubout.rulebooks") / "data"
TABLES = sorted(
    (book.name, path.name)
    for book in DATA.iterdir()
    if book.is_dir() and (book / "tables").is_dir()
    for path in (book / "tables").iterdir()
)
STATUSES = {"read": 0, "derived": 1, "secondary": 2, "estimate": 3, "memory": 4}
# what the page prints -> unit of the table file, with the factor to its `given`
PRINTED = re.compile(r"^(?P<a>\d+(?:\.\d+)?|\d+-\d+/\d+|\d+/\d+)\s*(?P<u>mm|m|ft|in|FU|DFU|dfu|deg)$")


def raw(book: str, name: str) -> dict[str, Any]:
    return tomllib.loads((DATA / book / "tables" / name).read_text(encoding="utf-8"))


def cells(t: dict[str, Any]) -> list[tuple[tuple[Any, ...], Any, dict[str, Any]]]:
    """Return (inputs, value, row) for every cell of the file, blanks left out."""
    names = [i["name"] for i in t["inputs"]]
    out = []
    for row in t["rows"]:
        if "across" in t:
            for column, value in zip(t["across"]["at"], row["cells"], strict=True):
                if value != "":
                    out.append(((*(row[n] for n in names), column), value, row))
        else:
            value = "NP" if row.get("allowed") is False else row["is"]
            out.append((tuple(row[n] for n in names), value, row))
    return out


@pytest.mark.parametrize(("book", "name"), TABLES)
def test_schema_source_and_status(book: str, name: str) -> None:
    t = raw(book, name)
    assert t["schema"] == 1
    assert t["outside"] == "error"
    assert f"{t['id']}.toml" == name
    assert t["source"]["section"]
    weakness = STATUSES[t["source"]["status"]]
    for _, _, row in cells(t):
        for status in (row.get("status", t["source"]["status"]), *row.get("weak", {}).values()):
            assert STATUSES[status] >= weakness, row


@pytest.mark.parametrize(("book", "name"), TABLES)
def test_control_rows_and_sum(book: str, name: str) -> None:
    """The sums of the large tables were also added up from the reference pages, column by column."""
    t = raw(book, name)
    numbers = [v for _, v, _ in cells(t) if isinstance(v, (int, float)) and not isinstance(v, bool)]
    control = t["source"]["control"]
    assert control["rows"] == len(cells(t))
    assert math.fsum(numbers) == pytest.approx(control.get("sum", math.fsum(numbers)), abs=1e-6)


@pytest.mark.parametrize(("book", "name"), TABLES)
def test_inputs_unique_and_sorted(book: str, name: str) -> None:
    keys = [k for k, _, _ in cells(raw(book, name))]
    assert len(set(keys)) == len(keys)
    for i, first in enumerate(keys[0]):
        if isinstance(first, str):
            continue
        lines: dict[tuple[Any, ...], list[float]] = {}
        for key in keys:
            lines.setdefault(key[:i] + key[i + 1 :], []).append(key[i])
        units = [n.get("unit") for n in [*raw(book, name)["inputs"], raw(book, name).get("across", {})]]
        for line in lines.values():
            assert line == sorted(line, reverse=units[i] == "1:n")


@pytest.mark.parametrize(("book", "name"), TABLES)
def test_monotone_where_declared(book: str, name: str) -> None:
    t = raw(book, name)
    names = [i["name"] for i in t["inputs"]] + ([t["across"]["name"]] if "across" in t else [])
    for declared, way in t.get("monotone", {}).items():
        k = names.index(declared)
        lines: dict[tuple[Any, ...], list[float]] = {}
        for key, value, _ in cells(t):
            if value != "NP":
                number = math.inf if value == "NL" else float(value)
                lines.setdefault(key[:k] + key[k + 1 :], []).append(number)
        for line in lines.values():
            assert line == sorted(line, reverse=way == "down"), (declared, line)


@pytest.mark.parametrize(("book", "name"), TABLES)
def test_printed_figure_is_the_value(book: str, name: str) -> None:
    """A plain printed figure converts to the loaded value within half its last digit."""
    factor = {"mm": 1, "m": 1000, "ft": 304.8, "in": 25.4}
    t = load_book(book).tables[name.removesuffix(".toml")]
    for row in t.rows:
        hit = PRINTED.match(row.cell.printed) if row.cell is not None else None
        if row.cell is None or hit is None:
            continue
        figure, unit = hit["a"], hit["u"]
        if "/" in figure:
            whole, _, part = figure.rpartition("-")
            top, bottom = part.split("/")
            number = float(whole or 0) + int(top) / int(bottom)
        else:
            number = float(figure)
        if row.cell.unit == "mm":
            number *= factor[unit]
        assert row.cell.number == pytest.approx(number, abs=1e-6), row.cell


@pytest.mark.parametrize(("book", "name"), TABLES)
def test_loaded_rows_match_the_file(book: str, name: str) -> None:
    t = load_book(book).tables[name.removesuffix(".toml")]
    file_cells = cells(raw(book, name))
    assert len(t.rows) == len(file_cells)
    for row, (_, value, _) in zip(t.rows, file_cells, strict=True):
        assert row.permitted is (value != "NP")
        assert (row.cell is None) is (value == "NP")
        if value == "NL":
            assert row.cell is not None
            assert math.isinf(row.cell.number)
